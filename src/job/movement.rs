//! How far a plastic glazing grows, and how much smaller it is cut for that.
//!
//! A maker's text gives 4.0e-5 to 4.4e-5 a degree Fahrenheit for acrylic, that is 7.2e-5
//! to 7.9e-5 a kelvin, and for damp from dry 0.2 % at 60 % of relative humidity, 0.3 %
//! at 80 and 0.6 % at 100. How warm and damp it gets indoors is this program's choice:
//! 30 degrees Fahrenheit (17 kelvins) and half of the first of those.

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
