//! Branching on the units of each kind of stock.
//!
//! With several stock lengths the number of units of each is the first thing to
//! settle (Belov and Scheithauer 2002, "A cutting plane algorithm for the
//! one-dimensional cutting stock problem with multiple stock lengths", EJOR
//! 141): a branch bounds it from one side, which the prices of that kind carry.
//! The node of the least bound comes next, the deepest of them first, so that
//! the bound rises as the tree is worked off; between nodes the best plan is
//! mended for as long as the node took. What stays fractional with all units
//! whole is handed on to branching on pairs.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::dive::dive;
use super::pair_branching;
use super::root::{Root, artificial_rate};
use crate::solve::columns::generation::{Reached, generate};
use crate::solve::columns::master::Master;
use crate::solve::columns::simplex::Basis;
use crate::solve::heuristics::neighbourhood::NeighbourhoodSearch;
use crate::solve::instance::Instance;
use crate::solve::prices::Prices;
use crate::solve::residual::Residual;
use crate::solve::search::Search;

/// Below this a number of units counts as whole.
const WHOLE_EPS: f64 = 1e-5;
/// Nodes that keep a basis of their own to start from.
const MOST_BASES: usize = 64;
/// Nodes that are dived from at first, and nodes between two dives later.
const FIRST_DIVES: u64 = 24;
const DIVE_EVERY: u64 = 4;
/// Steps that branching on pairs may first take where all units are whole.
const PAIR_STEPS: u64 = 2_000_000;

/// A node that is still to be solved.
struct Node {
    rest: Residual,
    /// The node above, if its optimum was kept.
    above: Option<Rc<Solved>>,
}

/// A node solved: what it asked for, and the optimum.
struct Solved {
    rest: Residual,
    basis: Basis,
}

/// The tree of all nodes still open.
pub(crate) struct UnitTree<'a> {
    root: &'a Root,
    prices: Prices,
    master: Master,
    home: Rc<Solved>,
    /// By bound, how far from the deepest, and number.
    open: BTreeMap<(i128, i64, u64), Node>,
    bases: usize,
    nodes: u64,
    /// The least bound of the nodes that are not followed further.
    closed: i128,
}

impl<'a> UnitTree<'a> {
    /// The tree before its first node; nothing where there is nothing to branch
    /// on.
    pub fn new(search: &mut Search, root: &'a Root) -> Option<UnitTree<'a>> {
        if !matches!(root.reached, Reached::Bound(_)) || search.instance.kinds.len() < 2 {
            return None;
        }
        let rate = artificial_rate(search) * 4.0;
        let mut master = Master::new(&search.instance, &root.rest, rate, true);
        for column in &root.master.columns {
            master.add(column.clone());
        }
        let first = Node { rest: root.rest.clone(), above: None };
        Some(UnitTree {
            root,
            prices: root.proven_prices(search),
            home: Rc::new(Solved { rest: root.rest.clone(), basis: master.basis() }),
            master,
            open: BTreeMap::from([((i128::from(search.bound), 0, 0), first)]),
            bases: 0,
            nodes: 0,
            closed: i128::MAX,
        })
    }

    /// Works off nodes for about so many steps, raising the bound.
    pub fn grow(&mut self, search: &mut Search, improver: &mut NeighbourhoodSearch, steps: u64) {
        let end = search.work().saturating_add(steps);
        while let Some(((bound, depth, number), node)) = self.open.pop_first() {
            let cutoff = i128::from(search.cutoff());
            search.raise(bound.min(self.closed).min(cutoff));
            if search.is_proven() || search.is_stopped() || search.work() >= end {
                self.open.insert((bound, depth, number), node);
                return;
            }
            if bound >= cutoff {
                continue;
            }
            let before = search.work();
            self.node(search, bound, depth, node);
            let spent = search.work() - before;
            improver.improve(search, Some(&self.prices), spent);
        }
        search.raise(self.closed.min(i128::from(search.cutoff())));
    }

    /// Whether every node is settled or left open for good.
    pub fn is_done(&self) -> bool {
        self.open.is_empty()
    }

    fn node(&mut self, search: &mut Search, bound: i128, depth: i64, node: Node) {
        let view = &self.root.view;
        self.nodes += 1;
        let above = node.above.unwrap_or_else(|| Rc::clone(&self.home));
        self.bases -= usize::from(Rc::strong_count(&above) == 1);
        let rest = node.rest;
        // Columns found since then come in before the bounds change.
        self.master.restore(above.basis.clone());
        let ready = self.master.restrict(search, &above.rest)
            && self.master.solve(search)
            && self.master.restrict(search, &rest);
        if !ready {
            self.closed = self.closed.min(bound);
            return;
        }
        let reached = generate(search, view, &mut self.master, &rest, true, &mut |_, _| {});
        let bound = match reached {
            Reached::Bound(reached) => bound.max(reached),
            Reached::Beaten | Reached::Infeasible => return,
            Reached::Stopped => {
                self.closed = self.closed.min(bound);
                return;
            }
        };
        let units = self.master.units(rest.supply.len());
        let solved = Solved { rest: rest.clone(), basis: self.master.basis() };
        let solved = Rc::new(solved);
        if self.nodes == 1 {
            self.home = Rc::clone(&solved);
        }
        let off = |k: usize| (units[k] - units[k].round()).abs();
        let fractional = (0..units.len()).filter(|&k| off(k) > WHOLE_EPS);
        let next = fractional.max_by(|&a, &b| off(a).total_cmp(&off(b)));
        let dives = self.nodes <= FIRST_DIVES || self.nodes % DIVE_EVERY == 0;
        if next.is_none() || dives {
            dive(search, view, &mut self.master, &rest, 1);
        }
        if bound >= i128::from(search.cutoff()) {
            return;
        }
        let Some(k) = next else {
            self.whole(search, bound, &rest);
            return;
        };
        let keep = self.bases < MOST_BASES;
        self.bases += usize::from(keep);
        let above = keep.then_some(solved);
        let floor = units[k].floor() as u32;
        let (mut fewer, mut more) = (rest.clone(), rest);
        fewer.supply[k] = floor;
        more.least[k] = floor + 1;
        let first = if units[k].fract() > 0.5 { [more, fewer] } else { [fewer, more] };
        for (place, rest) in (0u64..).zip(first) {
            let key = (bound, depth - 1, 2 * self.nodes + place);
            self.open.insert(key, Node { rest, above: above.clone() });
        }
    }

    /// All units whole, and pieces still shared out in fractions: which pieces
    /// go together is the next thing to settle.
    fn whole(&mut self, search: &mut Search, bound: i128, rest: &Residual) {
        let instance = within(&search.instance, rest);
        let below = pair_branching::branch_within(search, instance, &self.master, rest, PAIR_STEPS);
        self.closed = self.closed.min(bound.max(below));
    }
}

/// The instance with no more units than the rest has.
fn within(instance: &Instance, rest: &Residual) -> Instance {
    let mut within = instance.clone();
    for (kind, &units) in within.kinds.iter_mut().zip(&rest.supply) {
        kind.limited |= units < kind.supply;
        kind.supply = units;
    }
    within
}
