//! What `shop.toml` says of the shop itself.

use crate::measure::{Currency, Length, LengthStyle, Unit};

/// The shop's name, units and rules of thumb.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// Printed on the sheets.
    pub name: String,
    /// How bare numbers are read and lengths are shown.
    pub unit: Unit,
    /// The bench mark: long points round up to it.
    pub mark: Length,
    /// What is added to each dimension of a size so that the package drops in.
    pub allowance: Length,
    /// In which prices are given.
    pub currency: Currency,
    /// The machine for mouldings that name none.
    pub default_cutter: String,
    /// The shortest offcut worth racking.
    pub keep: Length,
    /// The share of its price that a just-kept offcut is worth, in millionths.
    pub worth: u32,
}

impl Settings {
    /// How lengths are shown on this shop's sheets.
    pub fn style(&self) -> LengthStyle {
        LengthStyle { unit: self.unit, mark: self.mark }
    }
}
