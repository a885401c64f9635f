//! Cutting stock in integers: the best way to take pieces from stock, with proof.
//!
//! [`solve`] tells the story; each technique has a file of its own.

mod bounds;
mod branch;
mod by_room;
mod check;
mod cover;
mod dive;
mod downsize;
mod enumerate;
mod explain;
mod fill;
mod front;
mod fronts;
mod gap;
mod generate;
mod greedy;
mod hunt;
mod instance;
mod layout;
mod lengths;
mod market;
mod master;
mod mend;
mod needs;
mod outcome;
mod pairs;
mod plan;
mod pricing;
mod problem;
mod repack;
mod rolling;
mod root;
mod sack;
mod search;
mod select;
mod shortfall;
mod sift;
mod simplex;
mod stage_table;
mod stages;
mod states;
mod sums;
mod table;
#[cfg(test)]
mod techniques;
mod turns;
mod wholeness;

pub use check::{Fault, bound_by_prices, check};
pub use explain::explain;
pub use outcome::{Certificate, Limits, Outcome, Pattern, Piece, Progress, Shortfall, Solution};
pub use problem::{Credit, Item, Problem, Run, Stock, WHOLE};

use generate::Reached;
use instance::Instance;
use plan::Plan;
use search::Search;
use states::Answer;

/// Steps for solving a small problem outright.
const OUTRIGHT: u64 = 20_000;
/// Steps for mending a plan without success, before and after prices are known.
const MEND_FIRST: u64 = 1_000_000;
const MEND_LATER: u64 = 3_000_000;

/// The least-cost way to cut every item, or how near to it the limits allowed.
///
/// The answer depends on the problem and on [`Limits::work`] alone, as long as
/// neither the deadline nor the stop flag cuts the search off.
///
/// ```
/// use longpoint::solve::{solve, Item, Limits, Outcome, Problem, Run, Stock};
/// // Four rails of 40 and four of 30 from sticks of 100: three sticks will do.
/// let item = |length, demand| Item { parts: vec![length], demand, group: None };
/// let stock = Stock { runs: vec![Run::clear(100)], cost: 1, supply: None, credit: None, group: 0 };
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
    if let Some(shortfall) = shortfall::shortfall(&search.instance) {
        return Outcome::Impossible(shortfall);
    }
    search.tell();

    greedy::longest_first(&mut search);
    if search.is_proven() {
        return search.outcome();
    }
    cover::raise(&mut search);
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
    let mut mender = mend::Mender::new(&search);
    if !sift::applies(&search) {
        mender.mend(&mut search, None, MEND_FIRST);
    }
    if search.is_proven() {
        return search.outcome();
    }
    let root = root::solve(&mut search);
    if root.reached == Reached::Infeasible || search.is_proven() {
        return search.exhausted();
    }
    let prices = root.proven_prices(&search.instance);
    let root = if sift::applies(&search) {
        sift::sift_and_mend(&mut search, root, &prices, &mut mender, limits.work)
    } else {
        mender.mend(&mut search, Some(&prices), MEND_LATER);
        root
    };
    if search.is_proven() {
        return search.outcome();
    }
    if gap::close(&mut search, &root) {
        return search.exhausted();
    }
    if turns::take(&mut search, &root, &mut mender, limits.work) {
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
