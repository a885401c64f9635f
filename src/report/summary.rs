//! The morning in a few figures, counted once for every writer.

use std::collections::BTreeSet;

use crate::chop::Schedule;
use crate::offcuts::flaws_on;
use crate::plan::{CutStick, Left, Part, Plan, Proof};
use crate::shop::{Flaw, Shop};

/// The figures at the head of the sheets.
pub(super) struct Summary {
    /// Frame copies that are cut today.
    pub frames: usize,
    /// Rails that are cut today.
    pub rails: usize,
    /// Sticks that are cut today.
    pub sticks: usize,
    /// How many of them are shorter than their moulding is sold.
    pub offcuts: usize,
    /// How often a stop is set.
    pub settings: u32,
    /// How often in every plan as good.
    pub least_settings: u32,
    /// What is used up today of mouldings with a price, with its bound; `None`
    /// where there is no such moulding.
    pub priced: Option<Proof>,
    /// The same for mouldings without a price.
    pub unpriced: Option<Proof>,
}

impl Summary {
    pub(super) fn new(plan: &Plan, shop: &Shop, schedule: &Schedule) -> Summary {
        let rails = || plan.today.iter().flat_map(|stick| &stick.rails);
        let spare = plan.spares_today().map(|of| (&of.frame, of.copy));
        let copies: BTreeSet<_> =
            rails().map(|rail| (&rail.frame, rail.copy)).chain(spare).collect();
        let part_used =
            plan.today.iter().filter(|cut| cut.length < shop.moulding(&cut.moulding).stick);
        Summary {
            frames: copies.len(),
            rails: rails().count(),
            sticks: plan.today.len(),
            offcuts: part_used.count(),
            settings: schedule.settings(),
            least_settings: plan.least_settings,
            priced: together(plan, true),
            unpriced: together(plan, false),
        }
    }
}

/// Today's proofs added up: proven only where each of them is.
fn together(plan: &Plan, priced: bool) -> Option<Proof> {
    let mut today = plan.proof.iter().filter(|p| p.part == Part::Today && p.priced == priced);
    let mut sum = today.next()?.clone();
    for proof in today {
        sum.proven &= proof.proven;
        sum.used_up += proof.used_up;
        sum.bound += proof.bound;
        sum.sticks += proof.sticks;
    }
    sum.moulding.clear();
    Some(sum)
}

/// The flaws of a piece that remains, along the back edge from its end just cut,
/// which is its marked end from now on.
pub(super) fn flaws_of(stick: &CutStick, left: &Left) -> Vec<Flaw> {
    flaws_on(&stick.flaws, left.from, left.length)
}

/// Today's kept offcuts, each with the stick that it comes from.
pub(super) fn kept(plan: &Plan) -> impl Iterator<Item = (&CutStick, &Left)> {
    plan.today.iter().flat_map(|stick| {
        let pieces = stick.between.iter().chain([&stick.left]);
        pieces.filter(|left| left.keep).map(move |left| (stick, left))
    })
}
