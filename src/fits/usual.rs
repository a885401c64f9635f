//! The usual sizes and proportions of pictures: common practice, no source.

use crate::measure::{Length, Unit};

/// In inches: paper, prints and ready-made frames as they are commonly sold.
/// Common practice, no source.
const INCHES: [(i64, i64); 24] = [
    (4, 6),
    (5, 7),
    (6, 8),
    (8, 8),
    (8, 10),
    (8, 12),
    (9, 12),
    (10, 10),
    (11, 14),
    (12, 12),
    (12, 16),
    (12, 18),
    (14, 18),
    (16, 16),
    (16, 20),
    (18, 24),
    (20, 20),
    (20, 24),
    (20, 30),
    (22, 28),
    (24, 30),
    (24, 36),
    (27, 40),
    (30, 40),
];

/// In millimetres; the last four are A4 to A1. Common practice, no source.
const MILLIMETRES: [(i64, i64); 24] = [
    (100, 100),
    (100, 150),
    (130, 180),
    (150, 150),
    (150, 200),
    (180, 240),
    (200, 200),
    (200, 250),
    (200, 300),
    (240, 300),
    (250, 250),
    (300, 300),
    (300, 400),
    (350, 500),
    (400, 400),
    (400, 500),
    (500, 500),
    (500, 700),
    (600, 800),
    (700, 1000),
    (210, 297),
    (297, 420),
    (420, 594),
    (594, 841),
];

/// Short side to long side, from the square on. Common practice, no source.
pub const PROPORTIONS: [(i64, i64); 6] = [(1, 1), (4, 5), (3, 4), (5, 7), (2, 3), (1, 2)];

/// The usual sizes of a shop that measures in this unit, short side first.
pub fn sizes(unit: Unit) -> Vec<(Length, Length)> {
    let inch = |(short, long)| (Length::from_64ths(short * 64), Length::from_64ths(long * 64));
    let mm = |(short, long)| (Length::from_mm(short), Length::from_mm(long));
    match unit {
        Unit::Inch => INCHES.into_iter().map(inch).collect(),
        Unit::Millimetre => MILLIMETRES.into_iter().map(mm).collect(),
    }
}

/// The steps in which the largest frame of a proportion is looked for.
pub fn step(unit: Unit) -> Length {
    match unit {
        Unit::Inch => Length::from_64ths(8),
        Unit::Millimetre => Length::from_mm(1),
    }
}
