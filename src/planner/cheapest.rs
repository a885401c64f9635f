//! Of choices that serve the dates equally well, the one that uses up least,
//! then the one that takes fewest sticks: for each component by itself.

use std::collections::BTreeMap;
use std::ops::ControlFlow;

use super::choice::{
    Decision, FrameChoice, MOST_CHOICES, Packings, Pick, asked_by, side_by_side, sum,
};
use super::component::Component;
use super::front::NonDominated;
use super::packing::{Counts, Packed, Packing};
use super::search::ChoiceSearch;
use crate::measure::Worth;

/// For each moulding whether no other choice is better, and the least that it uses up.
type Verdicts = Vec<(String, (bool, Worth))>;

/// So many choices are packed as well as can be; the others must show at a
/// glance that they use up more.
const MOST_PACKED: usize = 40;

/// After so many choices whose packing could not be proven, the others are only
/// glanced at: the best of them would not be known.
const MOST_UNPROVEN: usize = 3;

/// What a choice comes to.
struct ChoiceCost {
    choice: FrameChoice,
    used_up: Worth,
    sticks: u32,
    proven: bool,
    /// What it uses up at the least, by moulding.
    bounds: BTreeMap<String, Worth>,
}

impl ChoiceCost {
    /// Packs a choice, at a glance or as well as the limits allow; `None` if no
    /// packing for it was found.
    fn of<'p>(
        front: &NonDominated,
        packings: &mut Packings<'p>,
        choice: &FrameChoice,
        pack: fn(&mut Packing<'p>, &Counts) -> Packed,
    ) -> Option<ChoiceCost> {
        let asked = asked_by(front.classes, choice);
        let (choice, bounds) = (choice.clone(), BTreeMap::new());
        let mut cost = ChoiceCost { choice, used_up: Worth(0), sticks: 0, proven: true, bounds };
        for (moulding, packing) in packings {
            let counts = sum(front.asked.get(moulding), asked.get(moulding));
            if counts.is_empty() {
                cost.bounds.insert(moulding.clone(), Worth(0));
                continue;
            }
            let fit = pack(packing, &counts).fit()?;
            cost.used_up += fit.used_up;
            cost.sticks += fit.sticks;
            cost.proven &= fit.proven;
            cost.bounds.insert(moulding.clone(), fit.bound);
        }
        Some(cost)
    }

    fn key(&self) -> (Worth, u32, &FrameChoice) {
        (self.used_up, self.sticks, &self.choice)
    }

    /// The least that it may use up.
    fn least(&self) -> Worth {
        self.bounds.values().copied().sum()
    }
}

/// Decides between the choices of the front.
pub(crate) fn cheapest(mut front: NonDominated, packings: &mut Packings) -> Decision {
    front.spread_doubt(&FrameChoice::new());
    let parts = std::mem::take(&mut front.components).into_iter();
    let parts = parts.map(|component| (component.mouldings.clone(), component)).collect();
    let decided =
        side_by_side(packings, parts, |component, packings| decide(&front, component, packings));
    let (picks, verdicts): (_, Vec<Vec<_>>) = decided.into_iter().unzip();
    let doubts = front.doubtful.into_iter().map(|moulding| (moulding, (false, Worth(0))));
    let verdicts = verdicts.into_iter().flatten().chain(doubts).collect();
    Decision { common: front.common, picks, verdicts }
}

/// Decides between the choices of a component: the one that is taken, and for each
/// moulding whether nothing is better and the least that can be.
fn decide(front: &NonDominated, component: Component, packings: &mut Packings) -> (Pick, Verdicts) {
    let is_listed = component.is_listed();
    let Component { levels, mouldings, seen } = component;
    let mut search = ChoiceSearch::new(front, levels, packings);
    if !is_listed {
        search = search.with_curves();
    }
    let (mut costs, open) = glanced(front, &mut search);
    if costs.is_empty() {
        costs.extend(ChoiceCost::of(front, search.packings, &seen, Packing::pack));
    }
    pack_best(front, &mut costs, search.packings);
    let Some(best) = costs.first() else {
        // Cut off before any was packed: nothing is known but that one has room.
        let verdicts = mouldings.iter().map(|id| (id.clone(), (false, Worth(0)))).collect();
        return (Pick { choices: vec![seen], mouldings, whole: false }, verdicts);
    };
    let unproven = costs.iter().filter(|cost| !cost.proven).map(ChoiceCost::least);
    let loose = unproven.chain(open).min();
    let is_best = best.proven && loose.is_none_or(|loose| loose > best.used_up);
    let of = |id: &String| {
        let least = match open {
            None => costs.iter().map(|cost| cost.bounds[id]).min().unwrap_or_default(),
            Some(_) if mouldings.len() == 1 => best.used_up.min(loose.unwrap_or(best.used_up)),
            Some(_) => Worth(search.least_of(id)),
        };
        (id.clone(), (is_best, least))
    };
    let verdicts = mouldings.iter().map(of).collect();
    let is_equal = |cost: &&ChoiceCost| (cost.used_up, cost.sticks) == (best.used_up, best.sticks);
    let equals = costs.iter().take_while(is_equal).map(|cost| cost.choice.clone());
    let choices = equals.take(if is_best { usize::MAX } else { 1 }).collect();
    (Pick { choices, mouldings, whole: is_best }, verdicts)
}

/// What the choices come to at a glance, and what those use up at the least of which
/// that is not known.
fn glanced(front: &NonDominated, search: &mut ChoiceSearch) -> (Vec<ChoiceCost>, Option<Worth>) {
    let (mut costs, mut least_found, mut unknown) = (Vec::new(), Worth(i64::MAX), None);
    let left = search.walk(true, |search, choice, least| {
        if costs.len() == MOST_CHOICES || Worth(least) > least_found {
            return ControlFlow::Break(());
        }
        let mut cost = ChoiceCost::of(front, search.packings, choice, Packing::glance);
        if cost.is_none() && search.full_looks > 0 {
            search.full_looks -= 1;
            cost = ChoiceCost::of(front, search.packings, choice, Packing::pack);
        }
        match cost {
            Some(cost) => {
                least_found = least_found.min(cost.used_up);
                costs.push(cost);
            }
            None => unknown = unknown.into_iter().chain([least]).min(),
        }
        ControlFlow::Continue(())
    });
    (costs, left.into_iter().chain(unknown).min().map(Worth))
}

/// Packs those that may be best as well as can be, and puts the best first.
fn pack_best(front: &NonDominated, costs: &mut Vec<ChoiceCost>, packings: &mut Packings) {
    let order = |costs: &mut Vec<ChoiceCost>| costs.sort_by(|a, b| a.key().cmp(&b.key()));
    order(costs);
    costs.dedup_by(|a, b| a.choice == b.choice);
    let (mut least_found, mut unproven) = (Worth(i64::MAX), 0);
    for (place, cost) in costs.iter_mut().enumerate() {
        if cost.least() <= least_found
            && place < MOST_PACKED
            && unproven < MOST_UNPROVEN
            && let Some(full) = ChoiceCost::of(front, packings, &cost.choice, Packing::pack)
        {
            unproven += usize::from(!full.proven);
            *cost = full;
        }
        least_found = least_found.min(cost.used_up);
    }
    order(costs);
}
