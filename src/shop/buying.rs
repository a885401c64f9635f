//! What can be bought, and from whom.

use crate::measure::{Length, Money, Worth};

use super::Per;

/// Someone who sells moulding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Supplier {
    /// The shop's short name for them.
    pub id: String,
    /// What they are called.
    pub name: String,
    /// The least that an order must come to.
    pub minimum: Money,
    /// What carriage costs, by the goods' price; rising `from`, the first from 0.
    pub freight: Vec<Freight>,
    /// Days from order to delivery.
    pub lead_days: u16,
    /// Anything else.
    pub note: String,
}

/// Carriage for orders from a certain price of goods.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Freight {
    /// The goods' price from which this holds.
    pub from: Money,
    /// What is charged.
    pub charge: Money,
}

/// One moulding as one supplier sells it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// Who sells it.
    pub supplier: String,
    /// Which moulding.
    pub moulding: String,
    /// How it is sold.
    pub form: Form,
    /// The lengths it comes in; for chops, the rails that they will cut.
    pub lengths: Lengths,
    /// What one `per` costs, to a thousandth of a minor unit.
    pub price: Worth,
    /// What the price is for.
    pub per: Per,
    /// Lower prices for more, rising `from`.
    pub steps: Vec<Step>,
    /// Anything else.
    pub note: String,
    /// Where it stands in `offers.csv`.
    pub row: u64,
}

/// How moulding is sold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Whole sticks, one by one.
    Length,
    /// Cartons of so many sticks.
    Box {
        /// Sticks in a carton.
        sticks: u32,
    },
    /// Rails cut to size.
    Chop {
        /// The least length billed for a frame.
        least: Length,
    },
}

/// The lengths that an offer covers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Lengths {
    /// Just these, rising.
    These(Vec<Length>),
    /// Whatever comes, between two lengths.
    Between(Length, Length),
}

/// A price that holds from a certain count of what it is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Step {
    /// From how many feet, metres, sticks or boxes.
    pub from: u32,
    /// The price of one from then on.
    pub price: Worth,
}
