//! Days that were promised to customers, and that a plan does not keep.

use jiff::civil::Date;

use super::{Bill, HoldReason, Plan, WaitReason, Waiting};
use crate::shop::{Coming, Frame, Shop};

/// Copies of a frame that will not be ready on the day that was promised, or may not be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BrokenPromise {
    /// The frame's ticket number.
    pub frame: String,
    /// How many of its copies.
    pub copies: u32,
    /// The day that was promised.
    pub due: Date,
    /// Why not.
    pub why: BrokenBy,
}

/// Why a promise is not kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BrokenBy {
    /// The day is over.
    Past,
    /// The last of its moulding comes on this day, which leaves too few for the bench.
    Arrives(Date),
    /// It waits, and nothing is known to come for it.
    NothingComes,
    /// It waits for what is on order, of which nobody knows when it comes.
    NotKnown,
    /// It waits for what should have come on this day and has not.
    Overdue(Date),
    /// It cannot be made as asked.
    Held,
    /// These suppliers have to be asked for long enough sticks of this moulding.
    Lengths {
        /// Who.
        suppliers: Vec<String>,
        /// Of which moulding.
        moulding: String,
    },
    /// Its moulding is in an order that these suppliers refuse, below their minimum.
    Refused(Vec<String>),
    /// The shop is closed on the day, since after it was promised.
    Closed,
    /// More is due before it than the shop makes in a day; its turn is on this day.
    Hands(Date),
}

impl BrokenBy {
    /// Whether it may be kept yet, as suppliers answer.
    pub fn is_in_doubt(&self) -> bool {
        matches!(self, BrokenBy::Refused(_) | BrokenBy::Lengths { .. })
    }
}

impl Plan {
    /// The promises that this plan does not keep, in the order of the pile.
    pub fn broken_promises(&self, shop: &Shop) -> Vec<BrokenPromise> {
        let mut broken: Vec<BrokenPromise> = Vec::new();
        let turns = self.turns(shop, &shop.frames, None);
        for frame in shop.frames.iter().filter(|frame| frame.promised) {
            let Some(due) = frame.due else { continue };
            for copy in frame.pending().filter(|_| self.wishes.concerns(frame)) {
                let turn = turns.get(&(frame.id.as_str(), copy)).copied();
                let why = match self.broken_by(shop, &frame.id, copy, due) {
                    Some(why) if !why.is_in_doubt() => Some(why),
                    doubt => broken_by_days(shop, due, turn).or(doubt),
                };
                let Some(why) = why else { continue };
                let one = BrokenPromise { frame: frame.id.clone(), copies: 1, due, why };
                match broken.last_mut() {
                    Some(last) if BrokenPromise { copies: 1, ..last.clone() } == one => {
                        last.copies += 1;
                    }
                    _ => broken.push(one),
                }
            }
        }
        broken
    }

    fn broken_by(&self, shop: &Shop, frame: &str, copy: u32, due: Date) -> Option<BrokenBy> {
        if due < self.date {
            return Some(BrokenBy::Past);
        }
        let mut held = self.held.iter();
        let (comes, otherwise, unsure) =
            match held.find(|held| held.frame == frame && held.copy == copy) {
                Some(held) => (ordered_later(shop, &held.reason), held_by(&held.reason), None),
                None => {
                    let mut waiting = self.waiting.iter();
                    let waiting = waiting.find(|of| of.frame == frame && of.copy == copy)?;
                    let unsure = self.unsure(shop, (shop.frame(frame)?, copy), self.date);
                    (self.comes(shop, waiting), BrokenBy::NothingComes, unsure)
                }
            };
        match comes {
            Some(day) if shop.is_late(day, Some(due)) => Some(BrokenBy::Arrives(day)),
            _ if unsure.is_some() => unsure,
            Some(_) => {
                let refusing = self.refusing(shop, frame, Some(copy));
                (!refusing.is_empty()).then_some(BrokenBy::Refused(refusing))
            }
            None => Some(otherwise),
        }
    }

    /// Who refuses the order that a frame's moulding is in, or that of one of its copies.
    pub fn refusing(&self, shop: &Shop, frame: &str, copy: Option<u32>) -> Vec<String> {
        let is_own = |id: &str, of: u32| id == frame && copy.is_none_or(|copy| copy == of);
        let sells = |bill: &&Bill| {
            let mut sticks = self.order.sticks.iter().filter(|of| of.supplier == bill.supplier);
            let mut chops = self.order.chops.iter().filter(|of| of.supplier == bill.supplier);
            sticks.any(|of| of.is_new && of.rails.iter().any(|r| is_own(&r.frame, r.copy)))
                || chops.any(|of| is_own(&of.frame, of.copy))
        };
        let refused = self.order.bills.iter().filter(|bill| bill.refused_below(shop).is_some());
        refused.filter(sells).map(|bill| bill.supplier.clone()).collect()
    }

    /// Why it is not known when the last of what a waiting copy needs comes, if it is not: some
    /// of it is on order with no day, or with one before `today`. What is laid out for it
    /// counts; of what was ordered for and is not, all that could be for it.
    pub fn unsure(
        &self,
        shop: &Shop,
        (frame, copy): (&Frame, u32),
        today: Date,
    ) -> Option<BrokenBy> {
        let is_own = |rail: &super::PlacedRail| rail.frame == frame.id && rail.copy == copy;
        let laid = self.order.all_sticks().filter(|stick| stick.rails.iter().any(is_own));
        let laid: Vec<&str> = laid.map(|stick| stick.stick.as_str()).collect();
        let is_ordered = laid.is_empty() && frame.progress.ordered.contains(&copy);
        let to_cut = frame.to_cut(copy);
        let could_be = |moulding: &str| {
            is_ordered && to_cut.iter().any(|layer| frame.layers[layer - 1].moulding == moulding)
        };
        let is_for_it = |coming: &&Coming| {
            let stick = &coming.stick;
            !coming.at_bench && (laid.contains(&stick.id.as_str()) || could_be(&stick.moulding))
        };
        let sticks = shop.coming.iter().filter(is_for_it).map(|coming| coming.arrives);
        let chops = frame.coming(copy).into_iter().map(|(.., arrives)| arrives);
        let unsure = sticks.chain(chops).filter(|day| day.is_none_or(|day| day < today));
        // What has no day comes before what is overdue: less is known of it.
        unsure.min().map(|day| day.map_or(BrokenBy::NotKnown, BrokenBy::Overdue))
    }

    /// When the last of what a copy waits for comes: today if all of it is at hand or at
    /// the bench, `None` where nothing is known to come.
    pub fn comes(&self, shop: &Shop, waiting: &Waiting) -> Option<Date> {
        let (frame, copy) = (&waiting.frame, waiting.copy);
        let mut awaited = self.order.awaited.iter();
        if let Some(awaited) = awaited.find(|a| a.frame == *frame && a.copy == copy) {
            return Some(awaited.arrives.unwrap_or(self.date));
        }
        let is_own = |rail: &super::PlacedRail| rail.frame == *frame && rail.copy == copy;
        let sticks = self.order.coming.iter().filter(|stick| stick.rails.iter().any(is_own));
        let comes = |coming: &Coming| coming.arrives.or(coming.at_bench.then_some(self.date));
        let sticks = sticks.filter_map(|stick| comes(shop.coming_stick(&stick.stick)?));
        let chopped = match &waiting.reason {
            WaitReason::OnOrder { arrives, .. } => *arrives,
            // All of it is at hand.
            WaitReason::Patience { .. } => Some(self.date),
            WaitReason::Moulding(_) | WaitReason::Chops(_) => None,
        };
        sticks.chain(chopped).max()
    }
}

/// Whether what is at hand in time is not ready on its day all the same: the shop is closed
/// then, or has no hands for it before its turn.
fn broken_by_days(shop: &Shop, due: Date, turn: Option<Date>) -> Option<BrokenBy> {
    if !shop.settings.days.open.is_open(due) {
        return Some(BrokenBy::Closed);
    }
    turn.filter(|turn| *turn > due).map(BrokenBy::Hands)
}

/// What a frame that is held breaks its promise by.
fn held_by(reason: &HoldReason) -> BrokenBy {
    match reason {
        HoldReason::RandomLengths { moulding, suppliers, .. } => {
            BrokenBy::Lengths { suppliers: suppliers.clone(), moulding: moulding.clone() }
        }
        _ => BrokenBy::Held,
    }
}

/// When what cannot be ordered today comes, if it is ordered on the first day on which
/// it can be.
fn ordered_later(shop: &Shop, reason: &HoldReason) -> Option<Date> {
    let HoldReason::NotSold { mouldings, from: Some(from) } = reason else { return None };
    let comes = |moulding: &String| {
        let offers = shop.offers.iter().filter(|offer| offer.moulding == *moulding);
        let offers = offers.filter(|offer| offer.dates.hold_on(*from));
        let suppliers = offers.filter_map(|offer| shop.suppliers.get(&offer.supplier));
        suppliers.filter(|of| of.takes_orders(*from)).filter_map(|of| of.arrives(*from)).min()
    };
    // Each of them comes, or the day of the last is not known.
    mouldings.iter().map(comes).try_fold(*from, |last, comes| Some(last.max(comes?)))
}
