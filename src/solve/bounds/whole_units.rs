//! The bound by whole units of stock, asked for and remembered.

use std::rc::Rc;

use super::knapsack::{KnapsackBound, Remembered, solve_knapsack};
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
        let _ = knapsack_bound(search, prices);
    }
}

/// What the knapsack says of plans that cost less than the best or the target.
pub(crate) fn knapsack_bound(search: &mut Search, prices: &Prices) -> Option<Rc<KnapsackBound>> {
    knapsack_bound_below(search, prices, search.cutoff())
}

/// What the knapsack says of plans that cost less than `cutoff`; raises the bound.
pub(crate) fn knapsack_bound_below(
    search: &mut Search,
    prices: &Prices,
    cutoff: i64,
) -> Option<Rc<KnapsackBound>> {
    let instance = Rc::clone(&search.instance);
    let last = search.knapsack_bound.take().filter(|last| last.is_of(&instance, prices, cutoff));
    let last = last.or_else(|| {
        let most = MOST_STEPS.min(search.left().saturating_mul(STEPS_OF_WORK));
        let ask = |&joins: &i64| solve_knapsack(&instance, prices, cutoff, joins, most);
        let knapsack_bound = Rc::new(JOINS.iter().find_map(ask)?);
        search.spend(knapsack_bound.steps / STEPS_OF_WORK);
        Some(Remembered {
            instance: Rc::clone(&instance),
            prices: prices.clone(),
            cutoff,
            knapsack_bound,
        })
    })?;
    let knapsack_bound = Rc::clone(&last.knapsack_bound);
    search.knapsack_bound = Some(last);
    search.raise(knapsack_bound.least.min(i128::from(cutoff)));
    Some(knapsack_bound)
}
