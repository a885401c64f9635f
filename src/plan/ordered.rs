//! The order as plain data: what goes to suppliers, and what is known of it.

use jiff::civil::Date;

use super::{Bill, CutStick, PlacedRail};
use crate::measure::{Length, Money, Worth};
use crate::rails::rails_to_cut;
use crate::shop::{Frame, Shop, halved};

/// What to buy, and what the waiting frames will be cut from.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Order {
    /// What to buy.
    pub lines: Vec<OrderLine>,
    /// New sticks and untouched rack sticks, with the rails of waiting frames.
    pub sticks: Vec<CutStick>,
    /// Sticks that are on order already and untouched rack sticks, with the rails
    /// of waiting frames that need nothing beyond them.
    pub coming: Vec<CutStick>,
    /// The layers that a supplier cuts to size.
    pub chops: Vec<Chopped>,
    /// What each supplier charges.
    pub bills: Vec<Bill>,
    /// Until when the order from each of them can wait.
    pub deadlines: Vec<OrderDeadline>,
    /// What the whole order comes to; `None` where the shop has no offers.
    pub account: Option<Account>,
    /// When each waiting frame's moulding arrives and what it costs, where the
    /// plan chooses the suppliers.
    pub awaited: Vec<Awaited>,
    /// How much of what is bought becomes rails.
    pub yields: Vec<Yield>,
    /// What certainty about random lengths costs.
    pub certainty: Vec<Certainty>,
    /// What might be worth buying beside it.
    pub advice: Vec<Advice>,
}

impl Order {
    /// All sticks that waiting frames will be cut from.
    pub fn all_sticks(&self) -> impl Iterator<Item = &CutStick> {
        self.coming.iter().chain(&self.sticks)
    }

    /// Whether some of these copies of a frame need nothing beyond what is on the
    /// rack and on order.
    pub fn is_covered(&self, shop: &Shop, frame: &str, copies: &[u32]) -> bool {
        let own = |rail: &PlacedRail| rail.frame == frame && copies.contains(&rail.copy);
        let needs_none = |frame: &Frame, copy: &u32| {
            frame.to_cut(*copy).is_empty() || frame.progress.ordered.contains(copy)
        };
        let needs_none = |frame: &Frame| copies.iter().any(|copy| needs_none(frame, copy));
        self.coming.iter().flat_map(|stick| &stick.rails).any(own)
            || shop.frame(frame).is_some_and(needs_none)
    }
}

/// A layer of a frame copy that a supplier cuts to size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chopped {
    /// The frame's ticket number.
    pub frame: String,
    /// Which copy, counted from 1.
    pub copy: u32,
    /// Which layer, counted from 1, innermost first.
    pub layer: usize,
    /// Which moulding.
    pub moulding: String,
    /// From whom.
    pub supplier: String,
    /// The row of the offer in `offers.csv`.
    pub offer: u64,
    /// The length that is billed.
    pub billed: Length,
}

/// What an order comes to: the bills, and the worth of rack sticks that are cut,
/// less the worth of what is left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Account {
    /// All of it.
    pub net: Worth,
    /// No order of the kinds that were compared comes to less.
    pub bound: Worth,
    /// Whether all of the kinds that the rules allow were compared.
    pub whole: bool,
    /// What is spent on sticks beyond need.
    pub beyond_need: Money,
}

/// Until when the order from a supplier can wait, and nothing comes too late for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderDeadline {
    /// From whom.
    pub supplier: String,
    /// The last day on which it can be placed; none where any day will do.
    pub last: Option<Date>,
    /// When it arrives if it is placed on that day.
    pub arrives: Option<Date>,
    /// The frame copy that cannot wait any longer; none where the supplier's terms end.
    pub frame: Option<(String, u32)>,
}

/// A waiting frame copy and its moulding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Awaited {
    /// The frame's ticket number.
    pub frame: String,
    /// Which copy, counted from 1.
    pub copy: u32,
    /// When the last of it arrives; `None` if all of it is at hand.
    pub arrives: Option<Date>,
    /// When the last of it could arrive at the earliest.
    pub earliest: Option<Date>,
    /// What its moulding costs, its share of what is left counted off, without
    /// carriage.
    pub cost: Money,
}

/// How much of a moulding becomes rails, against the trade's rule of thumb.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Yield {
    /// Which moulding.
    pub moulding: String,
    /// The rails that are cut, end to end.
    pub rails: Length,
    /// What is bought.
    pub bought: Length,
    /// What the rule asks for these frames: perimeter and eight times the width.
    pub rule: Length,
    /// The same with the shop's percentage for waste.
    pub with_waste: Length,
}

/// What it costs to be sure that random lengths suffice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Certainty {
    /// Which moulding.
    pub moulding: String,
    /// From whom.
    pub supplier: String,
    /// The pieces that are planned, all of them as short as can be.
    pub sticks: u32,
    /// How many fewer would do if each were of the middle length.
    pub extra: u32,
    /// The middle length.
    pub middle: Length,
}

/// A box or a step more that pays back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Advice {
    /// Which moulding.
    pub moulding: String,
    /// From whom.
    pub supplier: String,
    /// How it is sold.
    pub form: String,
    /// How long the sticks are.
    pub length: Length,
    /// How many more sticks or boxes.
    pub more: u32,
    /// How many more sticks that is.
    pub sticks: u32,
    /// What they cost more; less than nothing if the step makes all cheaper.
    pub costs: Money,
    /// Once so many of them are used they have paid for themselves.
    pub pays_at: u32,
}

impl OrderLine {
    /// Whether a chopped layer is one of those that the line is for, rail by rail.
    pub fn is_for(&self, shop: &Shop, chop: &Chopped) -> bool {
        let rails = || -> Option<Vec<Length>> {
            let frame = shop.frame(&chop.frame)?;
            let mut layers = rails_to_cut(shop, frame, chop.copy).into_iter();
            let layer = layers.find(|layer| layer.layer == chop.layer)?;
            Some(layer.rails.iter().map(|rail| rail.long_point).collect())
        };
        self.form == "chop"
            && (Some(chop.offer), chop.billed) == (self.offer, self.length)
            && rails().is_some_and(|rails| rails == self.rails)
    }

    /// How long each piece is at the least as it arrives: half of what is
    /// ordered, less what the supplier's saw takes, where they halve.
    pub fn piece(&self) -> Length {
        if self.halved { halved(self.length) } else { self.length }
    }
}

/// So many of one thing to buy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderLine {
    /// From whom; empty where the plan does not choose.
    pub supplier: String,
    /// How it is sold: `length`, `box` or `chop`, or a `sheet`.
    pub form: String,
    /// Which moulding, or of what a sheet is.
    pub moulding: String,
    /// How long each is; how wide a sheet.
    pub length: Length,
    /// How high a sheet is; nothing of moulding.
    pub height: Option<Length>,
    /// How many.
    pub count: u32,
    /// What they cost together; `None` where no price is known.
    pub cost: Option<Money>,
    /// The row of the offer in `offers.csv`; `None` where the plan does not
    /// choose.
    pub offer: Option<u64>,
    /// Whether the supplier is asked to halve the sticks.
    pub halved: bool,
    /// How many pieces arrive at the least; none for chops.
    pub pieces: u32,
    /// How many of them are cut for waiting frames.
    pub cut: u32,
    /// How many of the others fill the rack up to what is kept on it.
    pub restock: u32,
    /// For a chop, the long points of the rails of each.
    pub rails: Vec<Length>,
    /// The tickets that sheets are for; of moulding the plan itself says it.
    pub tickets: Vec<String>,
}
