//! A shorter reason why no plan can meet every demand.
//!
//! That there is no arrangement of forty items tells nobody much; that there is
//! none of three of them can be tried on the bench. Items are left out while
//! those that stay are still proven impossible: first the shortest all at once,
//! as many as bisection allows, then one by one (the deletion test of Chinneck
//! and Dravnieks 1991, "Locating minimal infeasible constraint sets in linear
//! programs", ORSA Journal on Computing 3). Every trial gets the same small
//! work limit, so that the reason is the same on every machine; where a trial
//! is not settled within it, the item stays.
//!
//! # Why only when it is shown
//!
//! This tries dozens of smaller problems to name few items. The planner asks whether
//! frames fit hundreds of times and reads no reasons; `pack` asks once.

use super::outcome::{Limits, Outcome, Shortfall};
use super::problem::Problem;
use super::solve;
use super::watchman::Watchman;

/// Trials at most.
const MOST_TRIALS: u32 = 60;
/// Steps for one trial.
const STEPS: u64 = 30_000;

/// A reason that names fewer items, or a plainer one, if a little search finds
/// it; otherwise the reason itself.
///
/// Deadline and stop flag of the limits hold here too; the work limit is of its
/// own. Only [`Shortfall::NoArrangement`] can be made shorter.
///
/// ```
/// use longpoint::solve::{explain, solve, Item, Limits, Outcome, Problem, Run, Shortfall, Stock};
/// // Two sticks of 100: the 56 goes with none of the three below it, and they
/// // do not go together, whatever becomes of the 1.
/// let item = |length| Item { parts: vec![length], demand: 1, group: None };
/// let runs = vec![Run::clear(100)];
/// let stock = Stock { runs, cost: 1, supply: Some(2), credit: None, group: 0 };
/// let items = [56, 48, 47, 48, 1].map(item).to_vec();
/// let problem = Problem { stock: vec![stock], items };
/// let limits = Limits { work: 1_000_000, deadline: None, stop: None, watch: None };
/// let Outcome::Impossible(shortfall) = solve(&problem, &limits) else { panic!() };
/// let shorter = explain(&problem, shortfall, &limits);
/// assert_eq!(shorter, Shortfall::NoArrangement(vec![0, 1, 2, 3]));
/// ```
pub fn explain(problem: &Problem, shortfall: Shortfall, limits: &Limits) -> Shortfall {
    let Shortfall::NoArrangement(items) = shortfall else {
        return shortfall;
    };
    let mut search = LeaveOut { problem, limits, left: MOST_TRIALS };
    search.shorten(items)
}

struct LeaveOut<'a> {
    problem: &'a Problem,
    limits: &'a Limits<'a>,
    left: u32,
}

impl LeaveOut<'_> {
    fn shorten(&mut self, mut items: Vec<usize>) -> Shortfall {
        let longest = |item: usize| self.problem.items[item].parts.iter().copied().max();
        items.sort_by_key(|&item| (std::cmp::Reverse(longest(item)), item));
        // Fewer than `fewest` of the longest are not known to be impossible.
        let (mut fewest, mut most) = (1, items.len());
        while fewest < most {
            let half = fewest.midpoint(most);
            match self.without_plan(&items[..half]) {
                Some(Shortfall::NoArrangement(_)) => most = half,
                Some(plainer) => return plainer,
                None => fewest = half + 1,
            }
        }
        items.truncate(most);
        // Without the last there may be a plan: it stays.
        for place in (0..items.len().saturating_sub(1)).rev() {
            let mut fewer = items.clone();
            fewer.remove(place);
            match self.without_plan(&fewer) {
                Some(Shortfall::NoArrangement(_)) => items = fewer,
                Some(plainer) => return plainer,
                None => {}
            }
        }
        items.sort_unstable();
        Shortfall::NoArrangement(items)
    }

    /// Why these items alone cannot be placed, if that is found to be so.
    fn without_plan(&mut self, items: &[usize]) -> Option<Shortfall> {
        let watchman = Watchman { deadline: self.limits.deadline, stop: self.limits.stop };
        self.left = self.left.checked_sub(1).filter(|_| !watchman.is_late())?;
        let mut fewer = self.problem.clone();
        fewer.items.iter_mut().for_each(|item| item.demand = 0);
        for &index in items {
            fewer.items[index].demand = self.problem.items[index].demand;
        }
        let limits = Limits { work: STEPS, watch: None, ..*self.limits };
        match solve(&fewer, &limits) {
            Outcome::Impossible(shortfall) => Some(shortfall),
            Outcome::Solved(_) | Outcome::Interrupted { .. } => None,
        }
    }
}
