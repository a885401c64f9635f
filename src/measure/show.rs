//! One canonical way to print a length in the shop's unit.

use super::{Length, Unit};

/// How lengths are shown on this shop's sheets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LengthStyle {
    /// The unit in which they are shown.
    pub unit: Unit,
    /// The bench mark: inches are shown to the nearest of these.
    pub mark: Length,
}

/// Millimetres are shown to a tenth.
const TENTH_OF_MM: i64 = 100_000;

impl LengthStyle {
    /// The nearest marking of a ruler: a reduced fraction of an inch to the
    /// bench mark, or millimetres to a tenth. Halves round up.
    ///
    /// ```
    /// use longpoint::measure::{Length, LengthStyle, Unit};
    /// let inches = LengthStyle { unit: Unit::Inch, mark: Length::from_64ths(2) };
    /// assert_eq!(inches.show(Length::from_64ths(64 * 16 + 16)), "16 1/4");
    /// assert_eq!(inches.show(Length::from_64ths(48)), "3/4");
    /// assert_eq!(inches.show(Length::ZERO), "0");
    /// let metric = LengthStyle { unit: Unit::Millimetre, mark: Length::from_nm(500_000) };
    /// assert_eq!(metric.show(Length::from_nm(412_500_000)), "412.5");
    /// assert_eq!(metric.show(Length::from_mm(412)), "412");
    /// ```
    pub fn show(&self, length: Length) -> String {
        let grain = self.grain();
        self.write(
            length.nm().div_euclid(grain) + i64::from(length.nm().rem_euclid(grain) * 2 >= grain),
        )
    }

    /// As [`show`](Self::show), but never more than there is: for what is left.
    pub fn show_down(&self, length: Length) -> String {
        self.write(length.nm().div_euclid(self.grain()))
    }

    /// As [`show`](Self::show), with the unit's symbol after it.
    pub fn show_unit(&self, length: Length) -> String {
        format!("{} {}", self.show(length), self.unit.symbol())
    }

    /// As [`show_down`](Self::show_down), with the unit's symbol after it.
    pub fn show_down_unit(&self, length: Length) -> String {
        format!("{} {}", self.show_down(length), self.unit.symbol())
    }

    /// The steps in which lengths are shown, in nanometres.
    fn grain(&self) -> i64 {
        match self.unit {
            Unit::Inch => self.mark.nm(),
            Unit::Millimetre => TENTH_OF_MM,
        }
    }

    fn write(&self, steps: i64) -> String {
        let sign = if steps < 0 { "-" } else { "" };
        let per_unit = self.unit.nm() / self.grain();
        let (whole, part) = (steps.abs() / per_unit, steps.abs() % per_unit);
        match (self.unit, whole, part) {
            (_, whole, 0) => format!("{sign}{whole}"),
            (Unit::Millimetre, whole, part) => format!("{sign}{whole}.{part}"),
            (Unit::Inch, whole, part) => {
                let common = gcd(part, per_unit);
                let fraction = format!("{}/{}", part / common, per_unit / common);
                if whole == 0 {
                    format!("{sign}{fraction}")
                } else {
                    format!("{sign}{whole} {fraction}")
                }
            }
        }
    }
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::parse_length;
    use proptest::prelude::*;

    const INCHES: LengthStyle = LengthStyle { unit: Unit::Inch, mark: Length::from_64ths(2) };
    const METRIC: LengthStyle =
        LengthStyle { unit: Unit::Millimetre, mark: Length::from_nm(500_000) };

    #[test]
    fn what_lies_between_two_marks_goes_to_the_nearest_or_down() {
        let odd = Length::from_64ths(64 * 7 + 51);
        assert_eq!(INCHES.show(odd), "7 13/16");
        assert_eq!(INCHES.show_down(odd), "7 25/32");
        assert_eq!(METRIC.show(Length::from_nm(4_525_484)), "4.5");
        assert_eq!(METRIC.show_down(Length::from_nm(4_599_999)), "4.5");
        assert_eq!(INCHES.show(-Length::from_64ths(32)), "-1/2");
    }

    proptest! {
        #[test]
        fn what_is_printed_reads_back_the_same(steps in 0_i64..500_000) {
            let inches = Length::from_64ths(2 * (steps % 60_000));
            prop_assert_eq!(parse_length(&INCHES.show(inches), Unit::Inch), Ok(inches));
            prop_assert_eq!(parse_length(&INCHES.show_unit(inches), Unit::Millimetre), Ok(inches));
            let tenths = Length::from_nm(100_000 * steps);
            prop_assert_eq!(parse_length(&METRIC.show(tenths), Unit::Millimetre), Ok(tenths));
            prop_assert_eq!(parse_length(&METRIC.show_unit(tenths), Unit::Inch), Ok(tenths));
        }
    }
}
