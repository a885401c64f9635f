//! How far a plastic glazing grows, and how much smaller it is cut for that.
//!
//! A maker's text gives 4.0e-5 to 4.4e-5 a degree Fahrenheit for acrylic, that is 7.2e-5
//! to 7.9e-5 a kelvin, and for damp from dry 0.2 % at 60 % of relative humidity, 0.3 %
//! at 80 and 0.6 % at 100. How warm and damp it gets indoors is this program's choice:
//! 30 degrees Fahrenheit (17 kelvins) and half of the first of those.

use super::package::Lip;
use crate::measure::{Length, Unit};

/// What a kelvin is counted in, so that a degree Fahrenheit is a whole number: five.
pub const NINTHS: i64 = 9;

/// Parts in a whole, for both kinds of growth.
const BILLION: i128 = 1_000_000_000;

/// How a glazing grows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Growth {
    /// With warmth, in parts of a thousand million for each kelvin.
    pub warm: i64,
    /// With damp, in parts of a thousand million in all.
    pub damp: i64,
}

impl Growth {
    /// Acrylic, where its packet says nothing else.
    pub const ACRYLIC: Growth = Growth { warm: 72_000, damp: 1_000_000 };
}

/// How much warmer it gets indoors: 30 degrees Fahrenheit, in ninths of a kelvin.
pub const INDOORS: i64 = 150;

/// Room that is left beyond movement: 1/32 in.
const CLEAR: Length = Length::from_64ths(2);

/// What a plastic glazing is cut to: 1/16 in; in millimetres a whole one, our own choice.
pub const fn step(unit: Unit) -> Length {
    match unit {
        Unit::Inch => Length::from_64ths(4),
        Unit::Millimetre => Length::from_mm(1),
    }
}

/// How much longer a length gets, up to the nanometre; warmer by so many ninths of a
/// kelvin.
pub fn movement(length: Length, growth: Growth, warmer: i64) -> Length {
    let warm = i128::from(growth.warm) * i128::from(warmer);
    let parts = warm + i128::from(growth.damp) * i128::from(NINTHS);
    let over = i128::from(length.nm()) * parts;
    let under = BILLION * i128::from(NINTHS);
    Length::from_nm(i64::try_from(over.div_euclid(under) + 1).unwrap_or(i64::MAX))
}

/// How much smaller than the package a glazing is cut, so that movement and clearance
/// stay within the allowance: a whole number of [`step`]s.
pub fn undersize(length: Length, allowance: Length, growth: Growth, unit: Unit) -> Length {
    let lacks = movement(length, growth, INDOORS) + CLEAR - allowance;
    if lacks.is_positive() { lacks.round_up(step(unit)) } else { Length::ZERO }
}

/// So much of a plastic glazing stays behind the lip on each side, however much it moves:
/// 1/16 in, this program's own caution.
const HELD: Length = Length::from_64ths(4);

/// What a plastic glazing is cut to for a package: smaller by its undersize, but not so
/// small that its lip would hardly hold it.
pub fn cut(package: Length, lip: Lip, growth: Growth, unit: Unit) -> Length {
    let down = |length: Length| length.round_down(step(unit));
    let free = down(package - undersize(package, lip.allowance, growth, unit));
    let held = (lip.sight(package) + HELD * 2).round_up(step(unit));
    if lip.covers() { free.max(held.min(down(package))) } else { free }
}

/// How much a glazing moves with its clearance, and what room it has, cut so for a
/// package; nothing where it has enough.
pub fn tight(
    (package, cut): (Length, Length),
    lip: Lip,
    growth: Growth,
) -> Option<(Length, Length)> {
    let moves = movement(package, growth, INDOORS) + CLEAR;
    let room = package + lip.allowance - cut;
    (moves > room).then_some((moves, room))
}
