//! How the shop makes a price of what a frame takes.

use std::collections::BTreeMap;

use crate::measure::{Length, Money, Worth};

/// The shop's own rules for prices; those that it leaves out change nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceRules {
    /// How much moulding is charged for.
    pub footage: Footage,
    /// The share that is added to it for waste, in millionths.
    pub waste: u32,
    /// Footage is charged in whole multiples of this, if of anything.
    pub footage_step: Option<Length>,
    /// What list cost is multiplied by.
    pub markup: Markup,
    /// The same for mouldings of some classes.
    pub classes: BTreeMap<String, Markup>,
    /// What the cost of boards, glazing and fixings is multiplied by, in millionths.
    pub materials: u64,
    /// The share that is added to that cost for waste, in millionths.
    pub materials_waste: u32,
    /// What is charged for a frame beside its moulding, rising from a size on: width
    /// and height of the package added up.
    pub labour: Vec<(Length, Money)>,
    /// The least price of a frame, before tax.
    pub minimum: Money,
    /// Prices are rounded up to whole multiples of this; a minor unit at least.
    pub round: Money,
    /// The share of tax, in millionths.
    pub tax: u32,
    /// Whether the price that is said has tax in it.
    pub tax_in: bool,
}

/// How much moulding a frame is charged for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Footage {
    /// The trade's rule of thumb: the perimeter and eight times the face width.
    Rule,
    /// The rails, end to end along the back edge.
    Rails,
}

/// What list cost is multiplied by, in millionths, rising from a list price on of the
/// unit of footage: a foot, or a metre. The first is from nothing on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Markup(pub Vec<(Worth, u64)>);

impl Markup {
    /// What moulding of this list price is multiplied by.
    pub fn at(&self, list: Worth) -> u64 {
        let reached = self.0.iter().rev().find(|(from, _)| *from <= list);
        reached.map_or(MILLION, |(_, factor)| *factor)
    }
}

/// Millionths in a whole.
pub const MILLION: u64 = 1_000_000;

impl PriceRules {
    /// The markup of a moulding of this class; of none, the shop's.
    pub fn markup_of(&self, class: Option<&str>) -> &Markup {
        class.and_then(|class| self.classes.get(class)).unwrap_or(&self.markup)
    }

    /// What is charged beside moulding for a package of this size.
    pub fn labour_of(&self, size: Length) -> Money {
        let reached = self.labour.iter().rev().find(|(from, _)| *from <= size);
        reached.map_or(Money(0), |(_, charge)| *charge)
    }
}
