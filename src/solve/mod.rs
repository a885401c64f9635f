//! Cutting stock in integers: the best way to take pieces from stock, with proof.
//!
//! [`solve`] tells the story; each technique has a file of its own.

mod bounds;
mod check;
mod dive;
mod enumerate;
mod fill;
mod generate;
mod greedy;
mod improve;
mod instance;
mod layout;
mod market;
mod master;
mod outcome;
mod plan;
mod pricing;
mod problem;
mod root;
mod search;
mod select;
mod simplex;
mod stages;
mod states;
mod sums;
mod table;

pub use check::{Fault, check};
pub use outcome::{Limits, Outcome, Pattern, Piece, Progress, Shortfall, Solution};
pub use problem::{Credit, Item, Problem, Run, Stock, WHOLE};

use enumerate::Listed;
use generate::Reached;
use instance::Instance;
use plan::Plan;
use root::Root;
use search::Search;
use stages::Staged;
use states::Answer;

/// Steps for solving a small problem outright.
const OUTRIGHT: u64 = 20_000;
/// The same when nothing else has proven the plan.
const OUTRIGHT_AT_LAST: u64 = 100_000_000;

/// Steps for listing patterns, and how many of them can be chosen from.
const LIST_STEPS: u64 = 3_000_000;
const MOST_LISTED: usize = 30_000;
/// Steps for choosing among them stage by stage.
const STAGE_STEPS: u64 = 20_000_000;

/// The least-cost way to cut every item, or how near to it the limits allowed.
///
/// The answer depends on the problem and on [`Limits::work`] alone, as long as
/// neither the deadline nor the stop flag cuts the search off.
///
/// ```
/// use longpoint::solve::{solve, Item, Limits, Outcome, Problem, Run, Stock};
/// // Four rails of 40 and four of 30 from sticks of 100: three sticks will do.
/// let item = |length, demand| Item { parts: vec![length], demand, group: None };
/// let run = Run { room: 100, tail: 100, gap: 100 };
/// let stock = Stock { runs: vec![run], cost: 1, supply: None, credit: None, group: 0 };
/// let problem = Problem { stock: vec![stock], items: vec![item(40, 4), item(30, 4)] };
/// let limits = Limits { work: 1_000_000, deadline: None, stop: None, watch: None };
/// let Outcome::Solved(solution) = solve(&problem, &limits) else { panic!() };
/// assert_eq!((solution.cost, solution.is_proven()), (3, true));
/// ```
pub fn solve(problem: &Problem, limits: &Limits) -> Outcome {
    let instance = Instance::new(problem);
    let mut search = Search::new(instance, limits);
    if search.instance.types.is_empty() {
        search.offer(Plan::new(Vec::new()));
        return search.exhausted();
    }
    if let Some(shortfall) = bounds::shortfall(&search.instance) {
        return Outcome::Impossible(shortfall);
    }
    let bound = search.round_up(bounds::material(&search.instance));
    search.raise(bound);

    greedy::longest_first(&mut search);
    if search.is_proven() {
        return search.outcome();
    }
    if outright(&mut search, OUTRIGHT) {
        return search.exhausted();
    }
    greedy::value_correction(&mut search, 6);
    if search.is_proven() {
        return search.outcome();
    }
    let root = root::solve(&mut search);
    if root.reached == Reached::Infeasible || search.is_proven() {
        return search.exhausted();
    }
    if chosen(&mut search, &root) {
        return search.exhausted();
    }
    if outright(&mut search, limits.work.min(OUTRIGHT_AT_LAST)) {
        return search.exhausted();
    }
    search.outcome()
}

/// Tries the exact table of states; whether that settled the problem.
fn outright(search: &mut Search, most: u64) -> bool {
    let (wanted, supply) = (search.instance.demands(), search.instance.supplies());
    let mut steps = 0;
    let beat = search.cost_to_beat();
    let answer = states::solve(&search.instance, &wanted, &supply, beat, most, &mut steps);
    search.spend(steps);
    match answer {
        Answer::Best(plan) => {
            search.offer(plan);
            true
        }
        Answer::Nothing => true,
        Answer::TooLarge => false,
    }
}

/// Lists all patterns that a better plan could use and picks the best plan of
/// them; whether that settled the problem.
fn chosen(search: &mut Search, root: &Root) -> bool {
    let prices = root.master.prices(&search.instance);
    let mut steps = LIST_STEPS;
    let beat = search.cost_to_beat();
    let listed = enumerate::list(
        &search.instance,
        &root.classes,
        &prices,
        &root.rest,
        beat,
        MOST_LISTED,
        &mut steps,
    );
    search.spend(LIST_STEPS - steps);
    let Listed::All(columns, prices) = listed else {
        return false;
    };
    let mut steps = STAGE_STEPS;
    let staged = stages::solve(&search.instance, &root.rest, &prices, &columns, beat, &mut steps);
    search.spend(STAGE_STEPS - steps);
    match staged {
        Staged::Best(plan) => {
            search.offer(plan);
            true
        }
        Staged::Nothing => true,
        Staged::AtLeast(bound) => {
            search.raise(bound);
            select::select(search, &root.rest, columns, u64::MAX)
        }
    }
}
