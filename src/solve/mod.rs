//! Cutting stock in integers: the best way to take pieces from stock, with proof.
//!
//! [`solve`] tells the story; each technique has a file of its own.
//!
//! # The map
//!
//! A plan asks for one moulding's packing at a time, of some hundred pieces at most;
//! `pack` may ask for anything.
//!
//! | file | technique | after | reached by |
//! |---|---|---|---|
//! | `bounds::material` | material bound, best rate, L2 | Martello and Toth 1990 | plan, pack |
//! | `bounds::covering` | knapsack cover of whole units | | plan, pack |
//! | `bounds::total_length` | least cost of a total length | | plan, pack |
//! | `bounds::reachable` | costs that are possible at all | | plan, pack |
//! | `bounds::shortfall` | plain reasons why there is no plan | | plan, pack |
//! | `bounds::frontier`, `multiple_choice`, `knapsack`, `whole_units` | multiple-choice knapsack over Pareto frontiers | Nemhauser and Ullmann 1969 | where leftovers are worth something |
//! | `bounds::completion` | completion bound for packing units again | | plan, pack |
//! | `heuristics::greedy`, `fill`, `downsize` | longest first, sequential value correction | Mukhacheva and others 2000 | plan, pack |
//! | `heuristics::neighbourhood`, `repack` | large-neighbourhood search by bin completion | Shaw 1998, Korf 2002 | plan, pack |
//! | `columns::simplex` | revised simplex, updated LU factors | Markowitz 1957, Forrest and Tomlin 1972 | plan, pack |
//! | `columns::master`, `generation` | column generation, its bound in integers | Gilmore and Gomory 1961 | plan, pack |
//! | `columns::pricing`, `subproblems`, `table`, `by_room`, `bundles` | knapsack pricing by dynamic programming | Gilmore and Gomory 1966 | plan, pack |
//! | `columns::rolling` | pricing of one very large room | Gilmore and Gomory 1966 | pack |
//! | `columns::enumeration`, `listing` | many columns at once; all of small reduced cost | da Silva and Schouery 2024 | plan, pack |
//! | `exact::by_demand`, `small` | dynamic program over demand | | plan, pack |
//! | `exact::by_stock`, `stock_states`, `links` | dynamic program over stock, from a list of columns | | plan, pack |
//! | `tree::root`, `dive` | rounding, diving with pricing | Sadykov and others 2019 | plan, pack |
//! | `tree::gap`, `set_partitioning`, `candidates` | set-partitioning branch and bound over listed columns | Baldacci and others 2008 | plan, pack |
//! | `tree::fixing` | reduced-cost fixing of lengths | Baldacci and others 2008 | where leftovers are worth something |
//! | `tree::subset_rows` | subset-row cuts | Jepsen and others 2008 | where they are worth nothing |
//! | `tree::unit_branching`, `pair_branching` | branching on units, on pairs | Belov and Scheithauer 2002, Ryan and Foster 1981 | plan, pack |
//! | `tree::local_branching` | dives near a good one | Fischetti and Lodi 2003 | where a plan leaves nothing over |
//! | `tree::schedule` | which of these when | | plan, pack |
//! | `tree::bulk` | demands too large to take piece by piece | | pack |
//! | `check` | trusts nothing | | plan, pack |
//!
//! Beside them lies what they share: the question (`problem`), as the search sees it
//! (`instance`), the answer (`outcome`), a plan under way (`cutting_plan`), where pieces
//! lie in a unit (`layout`), duals (`prices`), what is left (`residual`), effort
//! (`search`, `cells`, `watchman`), and a shorter reason (`explain`).

mod bounds;
mod cells;
mod check;
mod columns;
mod cutting_plan;
mod exact;
mod explain;
mod heuristics;
mod instance;
mod layout;
mod outcome;
mod prices;
mod problem;
mod residual;
mod search;
mod subset_row;
#[cfg(test)]
mod techniques;
mod tree;
mod watchman;

pub use check::{
    MOST_STEPS, SolverFault, bound_by_prices, check, check_certificate, check_solution,
};
pub use explain::explain;
pub use outcome::{Certificate, Limits, Outcome, Pattern, Piece, Progress, Shortfall, Solution};
pub use problem::{Credit, Item, MOST_KNOTS, Problem, Run, STRAIGHT, Stock, WHOLE};

use bounds::{covering, shortfall, whole_units};
use columns::generation::Reached;
use cutting_plan::CuttingPlan;
use exact::small::outright;
use heuristics::{greedy, neighbourhood};
use instance::Instance;
use search::Search;
use tree::root::{self, Root};
use tree::{bulk, fixing, gap, schedule, subset_rows};

/// Steps for solving a small problem outright.
const OUTRIGHT: u64 = 20_000;
/// Steps for mending a plan without success, before and after prices are known.
const IMPROVE_FIRST: u64 = 1_000_000;
const IMPROVE_LATER: u64 = 3_000_000;

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
    solve_counting(problem, limits).0
}

/// As [`solve`], with the steps that it took, whatever came of it.
pub fn solve_counting(problem: &Problem, limits: &Limits) -> (Outcome, u64) {
    let instance = Instance::new(problem);
    let mut search = Search::new(instance, limits);
    if search.instance.types.is_empty() {
        search.offer(CuttingPlan::new(Vec::new()));
        return (search.exhausted(), search.work());
    }
    if let Some(shortfall) = shortfall::shortfall(&search.instance) {
        return (Outcome::Impossible(shortfall), search.work());
    }
    search.tell();
    let is_settled = if bulk::applies(&search.instance) {
        bulk::is_settled(problem, &mut search)
    } else {
        is_settled(&mut search, limits.work)
    };
    let outcome = if is_settled { search.exhausted() } else { search.outcome() };
    (outcome, search.work())
}

/// What no way to cut every item costs less than, by lengths alone.
///
/// ```
/// use longpoint::solve::{least, Item, Problem, Run, Stock};
/// // Rails of 280 in all take more than two sticks of 100.
/// let item = |length, demand| Item { parts: vec![length], demand, group: None };
/// let stock = Stock { runs: vec![Run::clear(100)], cost: 1, supply: None, credit: None, group: 0 };
/// let problem = Problem { stock: vec![stock], items: vec![item(40, 4), item(30, 4)] };
/// assert_eq!(least(&problem), 3);
/// ```
pub fn least(problem: &Problem) -> i64 {
    let limits = Limits { work: 0, deadline: None, stop: None, watch: None };
    Search::new(Instance::new(problem), &limits).bound
}

/// The story of a search: plans and bounds by rule, the exact table for what is
/// small, the linear program with plans from it, and what closes the gap that is
/// left. Whether the best plan is proven or all others were ruled out.
fn is_settled(search: &mut Search, work: u64) -> bool {
    bulk::plan_first(search);
    greedy::longest_first(search);
    if search.is_proven() {
        return true;
    }
    covering::raise(search);
    if search.is_proven() || outright(search, OUTRIGHT) {
        return true;
    }
    greedy::value_correction(search, 6);
    if search.is_proven() {
        return true;
    }
    let mut improver = neighbourhood::NeighbourhoodSearch::new(search);
    if !whole_units::applies(search) {
        improver.improve(search, None, IMPROVE_FIRST);
    }
    if search.is_proven() {
        return true;
    }
    let mut root = root::solve(search);
    if root.reached == Reached::Infeasible || search.is_proven() {
        return true;
    }
    // What follows is set up at some expense, whatever comes of it.
    if search.is_late() {
        return false;
    }
    let prices = root.proven_prices(search);
    if whole_units::applies(search) {
        root = fixing::fix_and_improve(search, root, &prices, &mut improver, work);
    } else {
        improver.improve(search, Some(&prices), IMPROVE_LATER);
    }
    search.is_proven() || !search.is_late() && closes(search, &root, &mut improver, work)
}

/// Closes the gap that is left, if that can be done.
fn closes(
    search: &mut Search,
    root: &Root,
    improver: &mut neighbourhood::NeighbourhoodSearch,
    work: u64,
) -> bool {
    gap::close(search, root)
        || !search.is_late() && subset_rows::close(search, root)
        || !search.is_late() && schedule::take(search, root, improver, work)
}
