//! A morning planned as wished: spare rails to who can use them, the plan, its check.

pub mod close_up;
pub(crate) mod day;
mod pile;
pub mod remake;

use std::collections::BTreeSet;

use jiff::civil::Date;

use crate::plan::{Held, Plan, SpareUse, Told, Wishes, with_spares};
use crate::planner::spare::{self, FrameCopy};
use crate::shop::Shop;
use crate::solve::Limits;
use crate::verify::{Fault, Verified, verified};
use day::plan_served;
use pile::Pile;

/// The steps of search that each packing of a morning may take unless the
/// caller says otherwise: half a second or so for the hardest, which few reach.
pub const WORK: u64 = 1_000_000;

/// Plans a morning with nothing out of the ordinary wished of it.
///
/// See [`plan_as_wished`].
///
/// # Errors
/// As there.
pub fn plan(shop: &Shop, date: Date, limits: Limits) -> Result<Verified<Plan>, Vec<Fault>> {
    plan_as_wished(shop, date, &Wishes::default(), limits)
}

/// Plans a morning as wished.
///
/// First what could never be cut is held. Then the frames for today are chosen
/// and packed into the rack; what waits is packed into what the rack has left
/// and sticks still to be bought.
///
/// Mouldings are packed side by side on the threads of the rayon pool that this
/// is called in. `limits` hold for each packing by itself, so the plan does not
/// depend on how many threads there are; `limits.watch` is told nothing.
///
/// Spare rails go first to whoever can use them. A frame that must be of one lot takes
/// some of its rails of them where what is left of it is cut today from that lot, and
/// everything else that would be cut today still is.
///
/// # Errors
/// What the check finds wrong with the plan, which is then not to be had: a mistake of
/// the program.
pub fn plan_as_wished(
    shop: &Shop,
    date: Date,
    wishes: &Wishes,
    limits: Limits,
) -> Result<Verified<Plan>, Vec<Fault>> {
    planned(shop, date, wishes, (&limits, None))
}

/// The same, telling how many mouldings are done and of how many: first of those that are
/// cut today, then of those that are ordered, and anew where something is decided anew.
///
/// # Errors
/// As there.
pub fn plan_telling(
    shop: &Shop,
    date: Date,
    wishes: &Wishes,
    limits: Limits,
    told: Told,
) -> Result<Verified<Plan>, Vec<Fault>> {
    planned(shop, date, wishes, (&limits, Some(told)))
}

/// How hard to search, and who is told how far it is.
type Searched<'a> = (&'a Limits<'a>, Option<Told<'a>>);

fn planned(
    shop: &Shop,
    date: Date,
    wishes: &Wishes,
    search: Searched,
) -> Result<Verified<Plan>, Vec<Fault>> {
    let plan = served_as_wholes(shop, date, wishes, search)?;
    let plan = served_in_part(shop, wishes, search, &plan)?.unwrap_or(plan);
    owning_up(shop, plan)
}

/// So often it is looked at again who takes spare rails.
const LOOKS: usize = 3;

/// The plan in which frames take spare rails as they may whatever else is cut. One that
/// is impossible all the same takes none; what another takes instead may show that of
/// one more, so this is looked at a few times.
fn served_as_wholes(
    shop: &Shop,
    date: Date,
    wishes: &Wishes,
    search: Searched,
) -> Result<Plan, Vec<Fault>> {
    let (mut without, mut look) = (BTreeSet::new(), 0);
    loop {
        look += 1;
        let uses = spare::offer(shop, wishes, &without);
        let in_vain = |held: &[Held]| -> Vec<FrameCopy> {
            let takes = takers(&uses);
            copies_held(held).filter(|copy| takes.contains(copy)).collect()
        };
        let served = with_spares(shop, &uses);
        let pile = Pile::new(&served, date, wishes, search);
        // What no stick could ever make is known before anything is packed.
        let mut vain = in_vain(&pile.work.held);
        if vain.is_empty() || look == LOOKS {
            let plan = plan_served(&served, date, wishes, pile)?;
            vain = in_vain(&plan.held);
            if vain.is_empty() || look == LOOKS {
                return Ok(Plan { spares: uses, ..plan });
            }
        }
        without.extend(vain);
    }
}

/// The plan in which frames that must be of one lot take some spare rails besides, where
/// nothing is lost by that against a `plain` one; `None` if nobody does.
fn served_in_part(
    shop: &Shop,
    wishes: &Wishes,
    search: Searched,
    plain: &Plan,
) -> Result<Option<Plan>, Vec<Fault>> {
    let served = with_spares(shop, &plain.spares);
    let mut without: BTreeSet<FrameCopy> = copies_held(&plain.held).collect();
    for _ in 0..LOOKS {
        let some = spare::offer_some(&served, wishes, &without);
        if some.is_empty() {
            return Ok(None);
        }
        let bound = with_spares(&served, &some);
        let pile = Pile::new(&bound, plain.date, wishes, search);
        let plan = plan_served(&bound, plain.date, wishes, pile)?;
        let cut = copies_cut(&plan);
        let vain: Vec<FrameCopy> = takers(&some).difference(&cut).cloned().collect();
        if vain.is_empty() {
            let spares = [plain.spares.as_slice(), &some].concat();
            return Ok(copies_cut(plain).is_subset(&cut).then_some(Plan { spares, ..plan }));
        }
        without.extend(vain);
    }
    Ok(None)
}

/// The copies that take spare rails.
fn takers(uses: &[SpareUse]) -> BTreeSet<FrameCopy> {
    uses.iter().map(|of| (of.frame.clone(), of.copy)).collect()
}

fn copies_held(held: &[Held]) -> impl Iterator<Item = FrameCopy> + '_ {
    held.iter().map(|held| (held.frame.clone(), held.copy))
}

/// The copies of which something is cut today, which are made then.
fn copies_cut(plan: &Plan) -> BTreeSet<FrameCopy> {
    let rails = plan.today.iter().flat_map(|stick| &stick.rails);
    rails.map(|rail| (rail.frame.clone(), rail.copy)).collect()
}

/// The plan, checked. Who is served by what is on order is decided before the order, and
/// whatever day it comes, and what is kept of the rack counts on all of it: where a frame
/// could be there sooner by that, the plan is good all the same, but does not say that
/// all was compared.
fn owning_up(shop: &Shop, plan: Plan) -> Result<Verified<Plan>, Vec<Fault>> {
    if shop.coming.is_empty() {
        return verified(shop, plan);
    }
    let mut humble = plan.clone();
    let faults = match verified(shop, plan) {
        Err(faults) => faults,
        stands => return stands,
    };
    if !faults.iter().all(|fault| matches!(fault, Fault::Late { .. })) {
        return Err(faults);
    }
    if let Some(account) = &mut humble.order.account {
        account.whole = false;
    }
    verified(shop, humble)
}
