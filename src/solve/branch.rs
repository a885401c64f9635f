//! Branching on the units of each kind of stock.
//!
//! With several stock lengths the number of units of each is the first thing to
//! settle (Belov and Scheithauer 2002, "A cutting plane algorithm for the
//! one-dimensional cutting stock problem with multiple stock lengths", EJOR
//! 141): a branch bounds it from one side, which the prices of that kind carry.
//! Depth first, diving at every node. What stays fractional with all units whole
//! is left open with its bound.

use super::dive::dive;
use super::generate::{Reached, Rest, generate};
use super::market::View;
use super::master::Master;
use super::root::{Root, stand_in_rate};
use super::search::Search;

/// Below this a number of units counts as whole.
const WHOLE_EPS: f64 = 1e-5;
const DEEPEST: u32 = 200;

/// Branches from the root, raising the bound as far as that goes.
pub(super) fn branch(search: &mut Search, root: &Root) {
    if !matches!(root.reached, Reached::Bound(_)) || search.instance.kinds.len() < 2 {
        return;
    }
    let rate = stand_in_rate(search) * 4.0;
    let mut master = Master::new(&search.instance, &root.rest, rate, true);
    for column in &root.master.columns {
        master.add(column.clone());
    }
    let bound = node(search, &root.view, &mut master, &root.rest, 0);
    search.raise(bound);
}

/// The best bound proven for the rest: the cost to beat if nothing better is
/// in it.
fn node(search: &mut Search, view: &View, master: &mut Master, rest: &Rest, depth: u32) -> i128 {
    let floor = i128::from(search.bound);
    if !master.restrict(rest) {
        return floor;
    }
    let reached = generate(search, view, master, rest, true, &mut |_, _| {});
    let beat = i128::from(search.cost_to_beat());
    let bound = match reached {
        Reached::Bound(bound) => bound.max(floor),
        Reached::Beaten | Reached::Infeasible => return beat,
        Reached::Stopped => return floor,
    };
    let units = master.units(rest.supply.len());
    dive(search, view, master, rest, 1);
    if bound >= i128::from(search.cost_to_beat()) {
        return i128::from(search.cost_to_beat());
    }
    let off = |k: usize| (units[k] - units[k].round()).abs();
    let open = (0..units.len()).filter(|&k| off(k) > WHOLE_EPS);
    let Some(k) = open.max_by(|&a, &b| off(a).total_cmp(&off(b))) else {
        return bound;
    };
    if depth >= DEEPEST || search.is_stopped() {
        return bound;
    }
    let basis = master.basis();
    let floor_units = units[k].floor() as u32;
    let (mut fewer, mut more) = (rest.clone(), rest.clone());
    fewer.supply[k] = floor_units;
    more.least[k] = floor_units + 1;
    let up = units[k].fract() > 0.5;
    let order = if up { [more, fewer] } else { [fewer, more] };
    let mut least = i128::MAX;
    for child in order {
        master.restore(basis.clone());
        least = least.min(node(search, view, master, &child, depth + 1));
    }
    bound.max(least)
}
