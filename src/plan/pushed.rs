//! Whom something pushes back: a frame that comes in, a line that is given up. What comes
//! later in one plan than in the other.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::Plan;
use crate::shop::Shop;

/// Copies of a frame that come later in one plan than in another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PushedBack {
    /// Its ticket number.
    pub frame: String,
    /// How many of its copies.
    pub copies: u32,
    /// When it is due.
    pub due: Option<Date>,
    /// Whether that day was promised.
    pub promised: bool,
    /// How it stands in the one.
    pub before: WhenMade,
    /// How it stands in the other.
    pub after: WhenMade,
    /// Whether it is late then and was not before.
    pub is_late: bool,
}

/// How a copy stands, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WhenMade {
    /// It is cut today.
    Today,
    /// Its moulding arrives on this day.
    Arrives(Date),
    /// It waits, and nothing is known to come for it, or not when it comes.
    Waits,
    /// It cannot be made as asked.
    Held,
}

/// Every frame `but` one of which some copies come later in one plan than in the other, each
/// with the shop that it is of.
pub fn pushed(before: (&Shop, &Plan), (shop, after): (&Shop, &Plan), but: &str) -> Vec<PushedBack> {
    let (then, now) = (standings(before), standings((shop, after)));
    let mut pushed: Vec<PushedBack> = Vec::new();
    for frame in shop.frames.iter().filter(|frame| frame.id != but) {
        for copy in frame.pending() {
            let of = |standings: &Standings| {
                standings.get(&(frame.id.as_str(), copy)).copied().unwrap_or(WhenMade::Today)
            };
            let (before, after) = (of(&then), of(&now));
            if after <= before {
                continue;
            }
            let is_late = |standing: WhenMade| match standing {
                WhenMade::Today => false,
                WhenMade::Arrives(day) => shop.is_late(day, frame.due),
                WhenMade::Waits | WhenMade::Held => true,
            };
            let one = PushedBack {
                frame: frame.id.clone(),
                copies: 1,
                due: frame.due,
                promised: frame.promised,
                before,
                after,
                is_late: is_late(after) && !is_late(before),
            };
            match pushed.last_mut() {
                Some(last) if PushedBack { copies: 1, ..last.clone() } == one => last.copies += 1,
                _ => pushed.push(one),
            }
        }
    }
    pushed
}

type Standings<'a> = BTreeMap<(&'a str, u32), WhenMade>;

/// How each copy stands that is not cut today.
fn standings<'a>((shop, plan): (&Shop, &'a Plan)) -> Standings<'a> {
    let mut standings = BTreeMap::new();
    for waiting in &plan.waiting {
        standings.insert((waiting.frame.as_str(), waiting.copy), WhenMade::Waits);
    }
    for awaited in &plan.order.awaited {
        let unsure = |frame| plan.unsure(shop, (frame, awaited.copy), plan.date);
        if shop.frame(&awaited.frame).and_then(unsure).is_some() {
            continue;
        }
        let arrives = awaited.arrives.map_or(WhenMade::Arrives(plan.date), WhenMade::Arrives);
        standings.insert((awaited.frame.as_str(), awaited.copy), arrives);
    }
    for held in &plan.held {
        standings.insert((held.frame.as_str(), held.copy), WhenMade::Held);
    }
    standings
}
