//! A length as a whole number of nanometres.
//!
//! # Why nanometres
//!
//! 1/64 in is 396 875 nm exactly, and so are 0.1 mm and 0.001 in. With a coarser unit
//! the rails of an inch shop and a metric kerf would not add up twice the same.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

/// A length in whole nanometres; 1/64 in is 396 875 nm exactly.
///
/// Sums and differences are exact. Input is limited to 50 m, so a sum of a
/// hundred million rails still fits in the 64 bits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

/// The unit in which bare numbers are read and lengths are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Inches with binary fractions.
    Inch,
    /// Millimetres with decimals.
    Millimetre,
}

impl Unit {
    /// The first where lengths are in inches, the other where they are in millimetres.
    pub fn either<T>(self, inches: T, millimetres: T) -> T {
        match self {
            Unit::Inch => inches,
            Unit::Millimetre => millimetres,
        }
    }

    /// Nanometres in one of this unit.
    pub const fn nm(self) -> i64 {
        match self {
            Unit::Inch => 25_400_000,
            Unit::Millimetre => 1_000_000,
        }
    }

    /// The unit's symbol, as written in a shop's settings.
    pub const fn symbol(self) -> &'static str {
        match self {
            Unit::Inch => "in",
            Unit::Millimetre => "mm",
        }
    }
}

impl Length {
    /// No length at all.
    pub const ZERO: Length = Length(0);

    /// A length of so many nanometres.
    pub const fn from_nm(nm: i64) -> Length {
        Length(nm)
    }

    /// A length of so many whole millimetres.
    pub const fn from_mm(mm: i64) -> Length {
        Length(mm * Unit::Millimetre.nm())
    }

    /// A length of so many 64ths of an inch.
    ///
    /// ```
    /// use longpoint::measure::Length;
    /// assert_eq!(Length::from_64ths(64).nm(), 25_400_000);
    /// ```
    pub const fn from_64ths(count: i64) -> Length {
        Length(count * (Unit::Inch.nm() / 64))
    }

    /// The length in nanometres.
    pub const fn nm(self) -> i64 {
        self.0
    }

    /// Whether it is greater than zero.
    pub const fn is_positive(self) -> bool {
        self.0 > 0
    }

    /// The next multiple of `mark` that is not less than this length.
    ///
    /// # Panics
    /// If `mark` is not greater than zero.
    pub fn round_up(self, mark: Length) -> Length {
        assert!(mark.0 > 0, "a bench mark is greater than zero");
        Length(
            self.0.div_euclid(mark.0) * mark.0
                + if self.0.rem_euclid(mark.0) > 0 { mark.0 } else { 0 },
        )
    }

    /// The next multiple of `mark` that is not more than this length.
    ///
    /// # Panics
    /// As [`round_up`](Self::round_up).
    pub fn round_down(self, mark: Length) -> Length {
        -(-self).round_up(mark)
    }

    /// The nearest multiple of `mark`, halves up.
    ///
    /// # Panics
    /// As [`round_up`](Self::round_up).
    pub fn nearest(self, mark: Length) -> Length {
        let down = self.round_down(mark);
        if (self - down) * 2 >= mark { down + mark } else { down }
    }

    /// The millimetres as a number that prints as the exact decimal.
    ///
    /// Eleven digits at most, which a double holds; for output only.
    pub fn as_mm(self) -> f64 {
        self.0 as f64 / Unit::Millimetre.nm() as f64
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0 + other.0)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Length) {
        self.0 += other.0;
    }
}

impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0 - other.0)
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Length) {
        self.0 -= other.0;
    }
}

impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(-self.0)
    }
}

impl Mul<i64> for Length {
    type Output = Length;
    fn mul(self, times: i64) -> Length {
        Length(self.0 * times)
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(lengths: I) -> Length {
        lengths.fold(Length::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_up_keeps_a_length_on_the_mark_and_lifts_any_other() {
        let mark = Length::from_64ths(2);
        assert_eq!(Length::from_64ths(6).round_up(mark), Length::from_64ths(6));
        assert_eq!(Length::from_64ths(7).round_up(mark), Length::from_64ths(8));
        assert_eq!(
            (Length::from_64ths(6) + Length::from_nm(1)).round_up(mark),
            Length::from_64ths(8)
        );
        assert_eq!(Length::ZERO.round_up(mark), Length::ZERO);
        let odd = Length::from_64ths(7);
        assert_eq!(odd.round_down(mark), Length::from_64ths(6));
        assert_eq!(odd.nearest(mark), Length::from_64ths(8));
        assert_eq!((odd - Length::from_nm(1)).nearest(mark), Length::from_64ths(6));
        assert_eq!(Length::from_64ths(6).nearest(mark), Length::from_64ths(6));
    }
}
