//! Corners: v-nails, glue, and how far out of true a frame may be.

use jiff::ToSpan;
use jiff::civil::{Date, DateTime};

use super::root;
use crate::measure::{Length, Unit};

/// The heights in which v-nails are made, in millimetres or in parts of an inch.
const NAILS_MM: [i64; 4] = [7, 10, 12, 15];
const NAILS_64THS: [i64; 4] = [16, 24, 32, 40];

/// How long a glued joint stays clamped, and when at the latest it comes off: a maker's
/// guide says half an hour to an hour.
pub const CLAMP_MINUTES: (i64, i64) = (30, 60);

/// A v-nail stays this far from the face: 1/8 in, or 3 mm. Common practice, no source.
const fn from_face(unit: Unit) -> Length {
    match unit {
        Unit::Inch => Length::from_64ths(8),
        Unit::Millimetre => Length::from_mm(3),
    }
}

/// The v-nail for a moulding of this height where it enters: the highest that is no more
/// than three quarters of it and stays off the face. Nothing if none is.
pub fn nail(height: Length, unit: Unit) -> Option<Length> {
    let made: [Length; 4] = match unit {
        Unit::Inch => NAILS_64THS.map(Length::from_64ths),
        Unit::Millimetre => NAILS_MM.map(Length::from_mm),
    };
    let fits = |nail: &Length| *nail * 4 <= height * 3 && height - *nail >= from_face(unit);
    made.into_iter().rev().find(fits)
}

/// From when to when the clamps come off a joint glued at a time, and from when on it may
/// be loaded or hung: so many hours later.
pub fn glue(at: DateTime, hours: u32) -> [DateTime; 3] {
    let minutes = [CLAMP_MINUTES.0, CLAMP_MINUTES.1, i64::from(hours) * 60];
    minutes.map(|minutes| at.saturating_add(minutes.minutes()))
}

/// The first day on which a frame that is joined on a day may be loaded, whatever the
/// time: so many hours are that many days or parts of one.
pub fn may_be_loaded(joined: Date, hours: u32) -> Date {
    joined.saturating_add(i64::from(hours.div_ceil(24)).days())
}

/// How far out of square a frame is along its longer side when its diagonals differ by so
/// much, up: times the diagonal, over twice the shorter side.
pub fn out_of_square(size: (Length, Length), differ: Length) -> Length {
    let over = i128::from(differ.nm()) * diagonal(size);
    let under = 2 * i128::from(size.0.min(size.1).nm());
    Length::from_nm(i64::try_from(over / under + 1).unwrap_or(i64::MAX))
}

/// How much its diagonals may differ so that it is out of square by no more than half the
/// allowance, down.
pub fn diagonals_may_differ(size: (Length, Length), allowance: Length) -> Length {
    let over = i128::from(allowance.nm()) * i128::from(size.0.min(size.1).nm());
    Length::from_nm(i64::try_from(over / diagonal(size)).unwrap_or(0))
}

/// How far the last corner gapes when each of eight cuts is off by a tenth of a degree:
/// the face width times the root of two, times eight of them. Up.
pub fn gape(width: Length) -> Length {
    // 0.8 degrees x sqrt 2, in parts of 10^9: pi / 225 x sqrt 2.
    const PARTS: i128 = 19_746_146;
    let over = i128::from(width.nm()) * PARTS;
    Length::from_nm(i64::try_from(over / 1_000_000_000 + 1).unwrap_or(i64::MAX))
}

/// How much two rails may lean when the rails between them, so far apart, differ by so
/// much: in thousandths of a degree, up; of small angles.
pub fn lean(differ: Length, apart: Length) -> i64 {
    // 180 000 / pi, thousandfold.
    const SCALE: i128 = 57_295_780;
    let over = i128::from(differ.nm()) * SCALE;
    let under = i128::from(apart.nm()) * 1000;
    i64::try_from(over / under + 1).unwrap_or(i64::MAX)
}

fn diagonal(size: (Length, Length)) -> i128 {
    let square = |length: Length| i128::from(length.nm()) * i128::from(length.nm());
    root::up(square(size.0) + square(size.1)).max(1)
}
