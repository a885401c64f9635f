//! A weight as a whole number of micrograms.
//!
//! # Why micrograms
//!
//! Packets say pounds or kilograms; a pound is 453 592 370 of them exactly.

use std::iter::Sum;
use std::ops::{Add, Mul};

use super::decimal::{DecimalError, parse_decimal};

/// A weight, or the load of one, in whole micrograms.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Weight(i64);

/// Why a text is no weight.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WeightError {
    /// Without a unit, or with another.
    #[error("is not a weight with its unit (write 20 kg, 350 g or 45 lb)")]
    NoUnit,
    /// Its figure is none.
    #[error(transparent)]
    Figure(#[from] DecimalError),
    /// Heavier than anything that hangs on a wall.
    #[error("is more than 10,000 kg (is the unit right?)")]
    Absurd,
}

/// The units with how many micrograms one is.
const UNITS: [(&str, i64); 3] = [("kg", KILOGRAM), ("lb", 453_592_370), ("g", 1_000_000)];

const KILOGRAM: i64 = 1_000_000_000;

/// The heaviest that is taken as meant.
const MOST: i64 = 10_000 * KILOGRAM;

impl Weight {
    /// No weight at all.
    pub const ZERO: Weight = Weight(0);

    /// A weight of so many micrograms.
    pub const fn from_ug(ug: i64) -> Weight {
        Weight(ug)
    }

    /// A weight of so many whole grams.
    pub const fn from_g(grams: i64) -> Weight {
        Weight(grams * 1_000_000)
    }

    /// The weight in micrograms.
    pub const fn ug(self) -> i64 {
        self.0
    }

    /// Half of it, up.
    pub const fn half(self) -> Weight {
        Weight(self.0 / 2 + self.0 % 2)
    }

    /// In kilograms to a tenth, up: `2.4 kg`.
    ///
    /// ```
    /// use longpoint::measure::Weight;
    /// assert_eq!(Weight::from_g(2397).show(), "2.4 kg");
    /// assert_eq!(Weight::from_g(2401).show(), "2.5 kg");
    /// ```
    pub fn show(self) -> String {
        format!("{} kg", tenths_up(self.0, KILOGRAM))
    }

    /// In pounds to a tenth, up: `5.3 lb`.
    pub fn show_pounds(self) -> String {
        format!("{} lb", tenths_up(self.0, UNITS[1].1))
    }

    /// A load that something holds, in kilograms and in pounds to a tenth, down, so that more
    /// is never said than is printed: `13.6 kg (30.0 lb)`.
    ///
    /// ```
    /// use longpoint::measure::parse_weight;
    /// assert_eq!(parse_weight("30 lb").unwrap().show_load(), "13.6 kg (30.0 lb)");
    /// assert_eq!(parse_weight("5 kg").unwrap().show_load(), "5.0 kg (11.0 lb)");
    /// ```
    pub fn show_load(self) -> String {
        let tenths_down = |unit: i64| {
            let tenths = (i128::from(self.0) * 10).div_euclid(i128::from(unit));
            format!("{}.{}", tenths / 10, tenths % 10)
        };
        format!("{} kg ({} lb)", tenths_down(KILOGRAM), tenths_down(UNITS[1].1))
    }
}

fn tenths_up(ug: i64, unit: i64) -> String {
    let tenths = (i128::from(ug) * 10 + i128::from(unit - 1)).div_euclid(i128::from(unit));
    format!("{}.{}", tenths / 10, tenths % 10)
}

/// Reads a weight with its unit.
///
/// ```
/// use longpoint::measure::{Weight, parse_weight};
/// assert_eq!(parse_weight("2.4 kg"), Ok(Weight::from_g(2400)));
/// assert_eq!(parse_weight("350g"), Ok(Weight::from_g(350)));
/// assert_eq!(parse_weight("50 lb"), Ok(Weight::from_ug(22_679_618_500)));
/// assert!(parse_weight("50").is_err());
/// ```
///
/// # Errors
/// Says what is wrong with the text.
pub fn parse_weight(text: &str) -> Result<Weight, WeightError> {
    let text = text.trim();
    for (symbol, unit) in UNITS {
        let Some(figure) = text.strip_suffix(symbol) else { continue };
        let thousandths = parse_decimal(figure.trim_end(), 3)?;
        let ug = i128::from(thousandths) * i128::from(unit) / 1000;
        let ug = i64::try_from(ug).ok().filter(|ug| *ug <= MOST);
        return ug.map(Weight).ok_or(WeightError::Absurd);
    }
    match parse_decimal(text, 3) {
        Err(DecimalError::Negative) => Err(DecimalError::Negative.into()),
        _ => Err(WeightError::NoUnit),
    }
}

impl Add for Weight {
    type Output = Weight;
    fn add(self, other: Weight) -> Weight {
        Weight(self.0 + other.0)
    }
}

impl Mul<i64> for Weight {
    type Output = Weight;
    fn mul(self, times: i64) -> Weight {
        Weight(self.0 * times)
    }
}

impl Sum for Weight {
    fn sum<I: Iterator<Item = Weight>>(weights: I) -> Weight {
        weights.fold(Weight::ZERO, Add::add)
    }
}
