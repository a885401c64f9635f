//! Closing the gap between bound and best plan: all patterns that a better plan
//! could use, and the best plan out of them.
//!
//! The best plan is often much closer to the bound than the best one known, so
//! a narrow gap is searched first and then widened.

use std::rc::Rc;

use super::root::Root;
use super::set_partitioning::select;
use crate::solve::bounds::knapsack::CompletionTable;
use crate::solve::bounds::whole_units;
use crate::solve::columns::listing::{Listed, list, proven};
use crate::solve::columns::table::Grain;
use crate::solve::cutting_plan::{Column, CuttingPlan};
use crate::solve::exact::by_stock::{self, Reachable};
use crate::solve::outcome::Settled;
use crate::solve::prices::Prices;
use crate::solve::search::Search;

/// Parts of the gap, of this many, that are searched one after another.
const SHARES: [i128; 6] = [1, 2, 4, 8, 12, 16];
const WHOLE: i128 = 16;
/// Steps for listing patterns, and how many of them can be chosen from.
const LIST_STEPS: u64 = 3_000_000;
const MOST_LISTED: usize = 30_000;
/// The same for a glance.
const GLANCE_STEPS: u64 = 20_000;
const MOST_GLANCED: usize = 500;
/// Steps for choosing among them stage by stage: before and after it seems
/// worth while to work out what lengths cost at least.
const FEW_STEPS: u64 = 20_000;
const STAGE_STEPS: u64 = 30_000_000;
/// Steps for choosing stage by stage where what is left of units is credited,
/// and for the outlook.
const CREDITED_STEPS: u64 = 100_000;
const AHEAD_STEPS: u64 = 1_000_000;
/// Steps for choosing by branch and bound where there are other ways: joining
/// pairs where all stock is one kind, other targets where remainders count.
const SELECT_STEPS: u64 = 500_000;

/// Columns that are few enough to choose among by branch and bound first, and
/// steps for that.
const FEW_LISTED: usize = 4_000;
const QUICK_STEPS: u64 = 100_000;

/// Searches the whole gap if there are few patterns to it; whether that settled
/// the problem.
pub(crate) fn glance(search: &mut Search, root: &Root) -> bool {
    within(search, root, GLANCE_STEPS, MOST_GLANCED)
}

/// Searches the whole gap; whether that settled the problem.
pub(crate) fn close(search: &mut Search, root: &Root) -> bool {
    within(search, root, LIST_STEPS, MOST_LISTED)
}

fn within(search: &mut Search, root: &Root, list_steps: u64, most_listed: usize) -> bool {
    let prices = root.master.prices(&search.instance);
    let (instance, classes, cells) = (&search.instance, &root.view.classes, &mut search.cells);
    let prices = proven(instance, classes, &prices, &root.rest, Grain::Fine, cells);
    let mut closing = Closing {
        root,
        prices,
        outlook: Reachable::Unknown,
        steps: FEW_STEPS,
        list_steps,
        most_listed,
    };
    let bottom = i128::from(search.bound);
    let gap = i128::from(search.cutoff()) - bottom;
    // Where remainders count, targets are close to the bound as it is.
    let credited = whole_units::applies(search);
    for &share in if credited { &SHARES[SHARES.len() - 1..] } else { &SHARES[..] } {
        if search.is_proven() || search.is_stopped() {
            return search.is_proven();
        }
        let cutoff = search.round_up(bottom + gap * share / WHOLE).min(bottom + gap);
        let Ok(cutoff) = i64::try_from(cutoff) else {
            continue;
        };
        if cutoff <= search.bound && share < WHOLE {
            continue;
        }
        let Some(columns) = closing.list(search, cutoff) else {
            return search.is_proven();
        };
        let few = credited && columns.len() <= FEW_LISTED;
        if few && select(search, &root.rest, columns.clone(), cutoff, QUICK_STEPS) {
            return true;
        }
        match closing.stages(search, &columns, cutoff) {
            Settled::Yes(plan) => {
                search.offer(plan);
                return true;
            }
            Settled::No if share == WHOLE => return true,
            Settled::No => search.raise(i128::from(cutoff)),
            Settled::Unknown => {
                let alone = search.instance.kinds.len() == 1;
                let most = if alone || credited { SELECT_STEPS } else { u64::MAX };
                if !select(search, &root.rest, columns, cutoff, most) {
                    return false;
                }
                if share == WHOLE || search.cutoff() < cutoff {
                    return true;
                }
                search.raise(i128::from(cutoff));
            }
        }
    }
    false
}

struct Closing<'a> {
    root: &'a Root,
    prices: Prices,
    outlook: Reachable,
    steps: u64,
    list_steps: u64,
    most_listed: usize,
}

impl Closing<'_> {
    /// All columns of plans that cost less than `cutoff`.
    fn list(&self, search: &mut Search, cutoff: i64) -> Option<Vec<Column>> {
        let mut steps = self.list_steps;
        let knapsack_bound = if whole_units::applies(search) {
            whole_units::knapsack_bound_below(search, &self.prices, cutoff)
        } else {
            None
        };
        let found = list(
            &search.instance,
            &self.root.view.classes,
            &self.prices,
            &self.root.rest,
            cutoff,
            knapsack_bound.as_ref().map_or(&[], |knapsack_bound| &knapsack_bound.stretches),
            self.most_listed,
            &mut steps,
            &mut search.cells,
        );
        let going = search.spend(self.list_steps - steps);
        match found {
            Listed::All(columns) if going => Some(columns),
            _ => None,
        }
    }

    /// Chooses among the columns; works out what is still to be paid, where that
    /// depends on what is left of units or if it takes long.
    fn stages(
        &mut self,
        search: &mut Search,
        columns: &[Column],
        cutoff: i64,
    ) -> Settled<CuttingPlan> {
        let (instance, rest) = (Rc::clone(&search.instance), &self.root.rest);
        if whole_units::applies(search) {
            let ahead = by_stock::ahead(&instance, rest, &self.prices, cutoff, AHEAD_STEPS);
            search.spend(ahead.as_ref().map_or(AHEAD_STEPS, CompletionTable::steps) / 8);
            self.outlook = ahead.map_or(Reachable::Unknown, Reachable::Fronts);
            self.steps = CREDITED_STEPS;
            return self.stages_once(search, columns, cutoff);
        }
        let staged = self.stages_once(search, columns, cutoff);
        let known = !matches!(self.outlook, Reachable::Unknown);
        if !matches!(staged, Settled::Unknown) || known || instance.kinds.len() == 1 {
            return staged;
        }
        self.steps = STAGE_STEPS;
        if let Some(lengths) = by_stock::lengths(&instance, rest, &self.prices, search.watchman()) {
            let total = instance.length_of(&rest.wanted);
            let bound = search.round_up(i128::from(lengths.least(0, total) + rest.paid));
            search.raise(bound);
            self.outlook = Reachable::Lengths(lengths);
        }
        self.stages_once(search, columns, cutoff)
    }

    fn stages_once(
        &mut self,
        search: &mut Search,
        columns: &[Column],
        cutoff: i64,
    ) -> Settled<CuttingPlan> {
        let rest = &self.root.rest;
        by_stock::solve(search, rest, &self.prices, columns, cutoff, &self.outlook, &mut self.steps)
    }
}
