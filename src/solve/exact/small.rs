//! A small problem solved outright, by the exact table of states.

use super::by_demand;
use crate::solve::outcome::Settled;
use crate::solve::search::Search;

/// Tries the exact table within so many steps; whether that settled the problem.
pub(crate) fn outright(search: &mut Search, most: u64) -> bool {
    let (wanted, supply) = (search.instance.demands(), search.instance.supplies());
    let mut steps = 0;
    let cutoff = search.cutoff();
    let (instance, watchman) = (&search.instance, search.watchman());
    let answer = by_demand::solve(instance, &wanted, &supply, cutoff, most, &mut steps, watchman);
    search.spend(steps);
    match answer {
        Settled::Yes(plan) => {
            search.offer(plan);
            true
        }
        Settled::No => true,
        Settled::Unknown => false,
    }
}
