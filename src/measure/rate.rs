//! A price by length: so much worth for so long a piece.

use super::{Length, Worth};

/// A price by length, kept as a fraction so that nothing is rounded early.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rate {
    /// What `per` costs, in thousandths of a minor unit.
    pub amount: Worth,
    /// The length that it buys; greater than zero.
    pub per: Length,
}

impl Rate {
    /// What a length costs, rounded down to a thousandth.
    ///
    /// ```
    /// use longpoint::measure::{Length, Rate, Worth};
    /// // 1.85 a foot: a stick of nine feet costs 16.65.
    /// let rate = Rate { amount: Worth(185_000), per: Length::from_64ths(12 * 64) };
    /// assert_eq!(rate.of(Length::from_64ths(108 * 64)), Worth(1_665_000));
    /// ```
    pub fn of(self, length: Length) -> Worth {
        let over = i128::from(self.amount.0) * i128::from(length.nm());
        Worth(i64::try_from(over.div_euclid(i128::from(self.per.nm()))).unwrap_or(i64::MAX))
    }

    /// The lower of two; this one if they are equal.
    pub fn lower(self, other: Rate) -> Rate {
        let own = i128::from(self.amount.0) * i128::from(other.per.nm());
        let others = i128::from(other.amount.0) * i128::from(self.per.nm());
        if own <= others { self } else { other }
    }
}
