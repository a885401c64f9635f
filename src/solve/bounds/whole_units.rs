//! The bound by whole units of stock, asked for and remembered.

use std::rc::Rc;

use super::knapsack::{KnapsackBound, Remembered, tell};
use crate::solve::prices::Prices;
use crate::solve::search::Search;

/// Joined pairs to the gap: as many as the steps allow.
const JOINS: [i64; 2] = [128, 16];
const MOST_STEPS: u64 = 2_000_000;
/// So many of these steps are one of the search's.
const STEPS_OF_WORK: u64 = 8;

/// Whether lengths matter at all: where what is left of a unit is credited.
pub(crate) fn applies(search: &Search) -> bool {
    search.instance.kinds.iter().any(|kind| kind.credit.is_some())
}

/// Raises the bound to what whole units cost.
pub(crate) fn bound(search: &mut Search, prices: &Prices) {
    if !search.is_proven() {
        let _ = told(search, prices);
    }
}

/// What the knapsack says of plans that cost less than the best or the target.
pub(crate) fn told(search: &mut Search, prices: &Prices) -> Option<Rc<KnapsackBound>> {
    told_below(search, prices, search.cost_to_beat())
}

/// What the knapsack says of plans that cost less than `beat`; raises the bound.
pub(crate) fn told_below(
    search: &mut Search,
    prices: &Prices,
    beat: i64,
) -> Option<Rc<KnapsackBound>> {
    let instance = Rc::clone(&search.instance);
    let last = search.told.take().filter(|last| last.is_of(&instance, prices, beat));
    let last = last.or_else(|| {
        let most = MOST_STEPS.min(search.left().saturating_mul(STEPS_OF_WORK));
        let ask = |&joins: &i64| tell(&instance, prices, beat, joins, most);
        let told = Rc::new(JOINS.iter().find_map(ask)?);
        search.spend(told.steps / STEPS_OF_WORK);
        Some(Remembered { instance: Rc::clone(&instance), prices: prices.clone(), beat, told })
    })?;
    let told = Rc::clone(&last.told);
    search.told = Some(last);
    search.raise(told.least.min(i128::from(beat)));
    Some(told)
}
