//! Money in whole minor units, and worth a thousand times finer.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Sub};

use super::decimal::{DecimalError, parse_decimal};

/// An amount in minor units of the shop's currency (cents, pence, ...).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(pub i64);

/// What a length of moulding is worth, in thousandths of a minor unit.
///
/// A sixteenth of an inch of a cheap moulding is worth less than a cent; the
/// finer unit keeps such amounts apart until they are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Worth(pub i64);

/// Thousandths in one minor unit.
pub(crate) const FINE: i64 = 1000;

/// A currency by its three-letter code (ISO 4217) and how many decimals its
/// amounts are written with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Currency {
    code: String,
    decimals: u32,
}

/// Codes whose minor unit is not a hundredth (ISO 4217, from memory).
const OTHER_DECIMALS: [(&str, u32); 11] = [
    ("BHD", 3),
    ("CLP", 0),
    ("ISK", 0),
    ("JOD", 3),
    ("JPY", 0),
    ("KRW", 0),
    ("KWD", 3),
    ("OMR", 3),
    ("PYG", 0),
    ("TND", 3),
    ("VND", 0),
];

impl Currency {
    /// The currency of a three-letter code, or `None` if it is not one.
    pub fn new(code: &str) -> Option<Currency> {
        let is_code = code.len() == 3 && code.bytes().all(|b| b.is_ascii_uppercase());
        let decimals =
            OTHER_DECIMALS.iter().find(|(other, _)| *other == code).map_or(2, |(_, d)| *d);
        is_code.then(|| Currency { code: code.to_owned(), decimals })
    }

    /// Its three-letter code.
    pub fn code(&self) -> &str {
        &self.code
    }

    /// Reads an amount to the minor unit.
    ///
    /// # Errors
    /// If the text is no number, is negative, or is finer than a minor unit.
    pub fn parse(&self, text: &str) -> Result<Money, DecimalError> {
        parse_decimal(text, self.decimals).map(Money)
    }

    /// Reads a price to a thousandth of a minor unit.
    ///
    /// # Errors
    /// If the text is no number, is negative, or is finer than that.
    pub fn parse_fine(&self, text: &str) -> Result<Worth, DecimalError> {
        parse_decimal(text, self.decimals + 3).map(Worth)
    }

    /// An amount as a decimal string, such as `12.50`.
    pub fn show(&self, money: Money) -> String {
        let unit = 10_u64.pow(self.decimals);
        let sign = if money.0 < 0 { "-" } else { "" };
        let (whole, part) = (money.0.unsigned_abs() / unit, money.0.unsigned_abs() % unit);
        if self.decimals == 0 {
            format!("{sign}{whole}")
        } else {
            let width = usize::try_from(self.decimals).unwrap_or(0);
            format!("{sign}{whole}.{part:0width$}")
        }
    }

    /// A price as it is typed: to the minor unit where that is all.
    pub fn show_price(&self, price: Worth) -> String {
        match price.0 % FINE {
            0 => self.show(price.to_money()),
            _ => self.show_fine(price).trim_end_matches('0').to_owned(),
        }
    }

    /// A worth to its full fineness as a decimal string, such as `12.50375`.
    pub fn show_fine(&self, worth: Worth) -> String {
        let finer = Currency { code: self.code.clone(), decimals: self.decimals + 3 };
        finer.show(Money(worth.0))
    }
}

impl Worth {
    /// The nearest whole minor unit, halves away from zero.
    pub fn to_money(self) -> Money {
        let half = if self.0 < 0 { -FINE / 2 } else { FINE / 2 };
        Money((self.0 + half) / FINE)
    }
}

impl From<Money> for Worth {
    fn from(money: Money) -> Worth {
        Worth(money.0 * FINE)
    }
}

impl Add for Money {
    type Output = Money;
    fn add(self, other: Money) -> Money {
        Money(self.0 + other.0)
    }
}

impl Add for Worth {
    type Output = Worth;
    fn add(self, other: Worth) -> Worth {
        Worth(self.0 + other.0)
    }
}

impl AddAssign for Worth {
    fn add_assign(&mut self, other: Worth) {
        self.0 += other.0;
    }
}

impl Sub for Money {
    type Output = Money;
    fn sub(self, other: Money) -> Money {
        Money(self.0 - other.0)
    }
}

impl Sub for Worth {
    type Output = Worth;
    fn sub(self, other: Worth) -> Worth {
        Worth(self.0 - other.0)
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Money>>(all: I) -> Money {
        all.fold(Money(0), Add::add)
    }
}

impl Sum for Worth {
    fn sum<I: Iterator<Item = Worth>>(worths: I) -> Worth {
        worths.fold(Worth(0), Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_written_with_the_decimals_of_their_currency() {
        let usd = Currency::new("USD").unwrap();
        assert_eq!(usd.show(Money(1250)), "12.50");
        assert_eq!(usd.show(Money(-5)), "-0.05");
        assert_eq!(usd.show_fine(Worth(1_250_375)), "12.50375");
        assert_eq!(Currency::new("JPY").unwrap().show(Money(1250)), "1250");
        assert_eq!(Currency::new("usd"), None);
    }

    #[test]
    fn worth_rounds_to_the_nearest_minor_unit() {
        assert_eq!(Worth(1499).to_money(), Money(1));
        assert_eq!(Worth(1500).to_money(), Money(2));
        assert_eq!(Worth(-1500).to_money(), Money(-2));
    }
}
