//! What `shop.toml` says of the shop itself.

use super::price::PriceRules;
use super::{JobRules, ShopDays};
use crate::measure::{Currency, Length, LengthStyle, Money, Unit};

/// The shop's name, units and rules of thumb.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// Printed on the sheets.
    pub name: String,
    /// Printed on orders.
    pub contact: Contact,
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
    /// The shop's rules for buying.
    pub buying: Buying,
    /// The shop's rules for prices, if it has written them down.
    pub price: Option<PriceRules>,
    /// When the shop works.
    pub days: ShopDays,
    /// How jobs are worked out.
    pub job: JobRules,
}

/// Where somebody is written to; empty as far as it is not known.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Contact {
    /// The lines of the address.
    pub address: Vec<String>,
    /// The telephone number.
    pub phone: String,
    /// The address for e-mail.
    pub email: String,
    /// Where the shop's page is on its own network, without a slash at its end.
    pub page: String,
}

impl Contact {
    /// All that there is of it, a line each.
    pub fn lines(&self) -> impl Iterator<Item = &str> {
        let lines = self.address.iter().chain([&self.phone, &self.email]);
        lines.map(String::as_str).filter(|line| !line.is_empty())
    }
}

/// How the shop buys.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Buying {
    /// The share of what it cost that a stick bought beyond need is worth, in
    /// millionths.
    pub spare: u32,
    /// The most to spend on sticks beyond need; `None` is no limit.
    pub spare_most: Option<Money>,
    /// When the rack is filled up to what is to be kept on it.
    pub restock: Restock,
    /// For how many months' use sticks may be bought beyond need, in thousandths.
    pub cover_months: u32,
    /// The most sticks of one moulding that are bought beyond need.
    pub beyond_most: u32,
    /// The share that the trade's rule of thumb adds for waste, in millionths.
    pub waste: u32,
}

/// When the rack is filled up to [`keep_on_rack`](super::Moulding::keep_on_rack).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Restock {
    /// Where it lowers what the order comes to.
    WhenItPays,
    /// Whenever there is less.
    Always,
}

impl Default for Buying {
    /// A spare stick at half of what it cost, no limit of money, restocked when it
    /// pays, a month's use and three sticks beyond need (common practice, no source),
    /// and a tenth for waste.
    fn default() -> Buying {
        Buying {
            spare: 500_000,
            spare_most: None,
            restock: Restock::WhenItPays,
            cover_months: 1000,
            beyond_most: 3,
            waste: 100_000,
        }
    }
}

impl Settings {
    /// How lengths are shown on this shop's sheets.
    pub fn style(&self) -> LengthStyle {
        LengthStyle { unit: self.unit, mark: self.mark }
    }

    /// Of two examples of what may be typed, the one in the shop's own unit.
    pub fn example<'t>(&self, inches: &'t str, millimetres: &'t str) -> &'t str {
        match self.unit {
            Unit::Inch => inches,
            Unit::Millimetre => millimetres,
        }
    }
}
