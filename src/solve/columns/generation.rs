//! Column generation: the bound of Gilmore and Gomory (1961, "A linear
//! programming approach to the cutting-stock problem", Operations Research 9),
//! proven in integers at every step.
//!
//! For any prices `p` of the pieces, no plan costs less than the worth of all
//! pieces less, for each unit of stock, the most that a pattern of it can be
//! worth beyond its net cost (Lagrange); where all stock is endless, dividing
//! by the greatest worth for the cost is stronger (Farley 1990, "A note on
//! bounding a class of linear programming problems", Operations Research 38).

use super::master::{Master, VALUE_EPS};
use super::pricing::{Extent, Priced, price};
use super::subproblems::Subproblems;
use super::table::Grain;
use crate::solve::bounds::material::ceil_div;
use crate::solve::instance::Instance;
use crate::solve::prices::Prices;
use crate::solve::residual::Residual;
use crate::solve::search::Search;

/// Steps of the search for many columns at a time: so many entries of a table
/// by room to a step, within these.
const ENTRIES_A_STEP: i64 = 64;
const STEPS: std::ops::RangeInclusive<i64> = 6_000..=60_000;
/// Artificial variables dearer than this, in units of the dearest stock, mean that the
/// demand can hardly be met.
const DEAR: f64 = 1e4;

/// How column generation ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Reached {
    /// The optimum of the linear program, or near enough: with its bound.
    Bound(i128),
    /// The bound says that nothing here beats the best plan.
    Beaten,
    /// The demand cannot be met, not even in fractions.
    Infeasible,
    /// Limits or numbers ended it.
    Stopped,
}

/// The bound that these prices prove for the rest, without what is paid.
pub(crate) fn bound(
    instance: &Instance,
    rest: &Residual,
    prices: &Prices,
    answer: &Priced,
) -> i128 {
    let worth: i128 = rest
        .wanted
        .iter()
        .zip(&prices.piece)
        .map(|(&count, &piece)| i128::from(count) * i128::from(piece))
        .sum::<i128>()
        - prices.cut_worth(instance, &rest.wanted);
    let scale = i128::from(prices.scale);
    let kinds = || instance.kinds.iter().enumerate().filter(|&(k, _)| rest.supply[k] > 0);
    // Units that must be used and cannot pay add what they lack.
    let over = |k: usize| {
        let gain = i128::from(answer.gain[k]);
        let units = if gain > 0 { rest.supply[k] } else { rest.least[k] };
        i128::from(units) * gain
    };
    let all: i128 = kinds().map(|(k, _)| over(k)).sum();
    let lagrange = ceil_div(worth - all, scale);
    let lengths = instance.types.iter().map(|t| t.length);
    let least = lengths.min().unwrap_or(1);
    // Shrink the prices until endless stock does not gain.
    let (mut over_limited, mut top, mut bottom) = (0, 1, 1);
    for (k, kind) in kinds() {
        let gain = i128::from(answer.gain[k].max(0));
        let cost = scale * i128::from(kind.cost_at(least.min(kind.room)));
        if kind.limited || rest.least[k] > 0 {
            over_limited += over(k);
        } else if cost <= 0 || !prices.costs {
            return lagrange;
        } else if gain > 0 && (gain + cost) * bottom > top * cost {
            (top, bottom) = (gain + cost, cost);
        }
        if cost < 0 {
            return lagrange;
        }
    }
    let shrunk = (worth - over_limited).checked_mul(bottom);
    let farley = shrunk.and_then(|sum| Some(ceil_div(sum, top.checked_mul(scale)?)));
    farley.map_or(lagrange, |farley| farley.max(lagrange))
}

/// Adds columns until the linear program over all patterns is solved for the
/// rest, or its bound shows that it is of no use. `look` sees every optimum on
/// the way. With `tight`, patterns that no better plan can use for their waste
/// are left out, and the bound speaks of better plans alone.
pub(crate) fn generate(
    search: &mut Search,
    view: &Subproblems,
    master: &mut Master,
    rest: &Residual,
    tight: bool,
    look: &mut dyn FnMut(&mut Search, &Master),
) -> Reached {
    let instance = &view.instance;
    let mut best = i128::MIN;
    let mut grain = Grain::Rounded;
    loop {
        let cutoff = search.cutoff();
        let waste = rest.waste(instance, cutoff).filter(|_| tight);
        if waste.is_some_and(|waste| waste < 0) {
            return Reached::Beaten;
        }
        if !(master.shut_wasteful(search, instance, waste) && master.solve(search)) {
            return Reached::Stopped;
        }
        look(search, master);
        let prices = master.prices(instance);
        let answer = priced(search, view, &prices, rest, waste, grain);
        best = best.max(bound(instance, rest, &prices, &answer) + i128::from(rest.paid));
        let rounded = search.round_up(best);
        search.consider(view.whole, rest, rounded.min(i128::from(cutoff)));
        if rounded >= i128::from(search.cutoff()) {
            return Reached::Beaten;
        }
        // Not for less than a rounding error of the objective: that can go on
        // for ever.
        let now = master.objective() + rest.paid as f64;
        let met = master.missing() < VALUE_EPS;
        if met && (now - now.abs() * 1e-13).ceil() as i128 <= best {
            return Reached::Bound(rounded);
        }
        let added =
            answer.columns.into_iter().filter(|(_, column)| master.add(column.clone())).count();
        if added > 0 {
            grain = Grain::Rounded;
            continue;
        }
        if answer.grain < Grain::Exact && grain < Grain::Exact {
            grain = grain.finer();
            continue;
        }
        if met {
            return Reached::Bound(rounded);
        }
        if master.stand_in_cost() > DEAR {
            return feasible(search, view, master, rest);
        }
        master.raise_stand_ins(8.0);
    }
}

/// What pricing says, with its work counted.
fn priced(
    search: &mut Search,
    view: &Subproblems,
    prices: &Prices,
    rest: &Residual,
    waste: Option<i64>,
    grain: Grain,
) -> Priced {
    let open = rest.wanted.iter().filter(|&&count| count > 0).count() as i64;
    let room = view.classes.iter().map(|class| class.room()).max().unwrap_or(0);
    let steps = (open * room / ENTRIES_A_STEP).clamp(*STEPS.start(), *STEPS.end());
    let extent = Extent { steps: steps.unsigned_abs(), waste, grain };
    let cells = &mut search.cells;
    let answer =
        price(&view.instance, &view.classes, prices, &rest.wanted, &rest.supply, extent, cells);
    search.spend(answer.work);
    answer
}

/// Whether the demand can be met in fractions, costs left aside.
fn feasible(search: &mut Search, view: &Subproblems, master: &Master, rest: &Residual) -> Reached {
    let mut master = master.clone();
    master.forget_costs();
    loop {
        if !master.solve(search) {
            return Reached::Stopped;
        }
        if master.missing() < VALUE_EPS {
            return Reached::Stopped;
        }
        let prices = master.prices(&view.instance);
        let answer = priced(search, view, &prices, rest, None, Grain::Fine);
        if bound(&view.instance, rest, &prices, &answer) > 0 {
            return Reached::Infeasible;
        }
        let added =
            answer.columns.into_iter().filter(|(_, column)| master.add(column.clone())).count();
        if added == 0 {
            return Reached::Stopped;
        }
    }
}
