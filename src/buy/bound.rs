//! The best choice and what no choice can cost less than, in integers.
//!
//! Each supplier is in one of a few states. With the states of all suppliers
//! given, the ways of the mouldings are tied together only by how much is bought
//! from whom, and by the budget. These ties are priced instead of kept (a
//! Lagrangian relaxation: Geoffrion, "Lagrangean relaxation for integer
//! programming", 1974, from memory): then each moulding takes its cheapest way by
//! itself. Whatever the prices are, the sum is a bound, so nothing hangs on how
//! well they are found (`price`).
//!
//! The ways are too many to list. Prices are found on those that were shown so
//! far; then each moulding is asked for ways below the cheapest of those (column
//! generation in a tree: Barnhart et al., "Branch-and-price", 1998, from memory).
//! Where the states are all given every way that could be part of a cheaper choice
//! is asked for, and the cheapest choice of them is found (`labels`). What is left of the
//! tree when it is cut off can be gone on with.

use std::collections::{BTreeMap, BTreeSet};

use super::labels::{Cheapest, Leaf};
use super::pool::{Pool, PricedChoice, exchanged};
use super::price::{ScaledPrices, ascend, pricing, up};
use super::question::{BuyingProblem, Pricing, Terms, WHOLE, Way};
use super::states::{SupplierState, states};
use super::tally::Tally;

/// Nodes of the tree at most.
const MOST_NODES: usize = 4_000;

/// Asking every moulding once may take one part in so many of the steps that are left.
const ASKINGS: u64 = 8;

/// Rounds of prices and ways asked for at a node.
const MOST_ROUNDS: usize = 12;

/// States of one supplier at most: steps of carriage, each with and without a
/// long parcel.
const MOST_STATES: usize = 1 << 20;

/// Ways are first asked for within this part of what could still be won.
const FIRST_PART: i128 = 27;

/// More ways of a moulding than this are not compared in one state.
const MOST_LISTED: usize = 3_000;

/// Ways that are gathered before those that are dominated are dropped.
const THINNED: usize = 400;

/// Ways with a doubt that are looked at closer before the tree is gone on with.
const MOST_OPEN: usize = 60;

/// The finest step of prices before all states are given.
const COARSE: i128 = 64;

/// What was left of the tree when it was cut off: whoever goes on with it, knowing more of
/// the same ways, need not begin anew. By default nothing was begun.
#[derive(Default)]
pub struct Begun {
    open: Vec<SupplierNode>,
    /// What is dearer was left out; `None` before anything was.
    lowest: Option<i64>,
}

/// A node: the states of some suppliers, the prices of the node above, and its bound.
#[derive(Clone)]
pub(super) struct SupplierNode {
    pub given: Vec<Option<SupplierState>>,
    pub prices: ScaledPrices,
    bound: i64,
    /// Whether every moulding showed its cheapest way at these prices.
    is_all: bool,
}

pub(super) struct SupplierTree<'a, 'q> {
    pub question: &'a BuyingProblem<'q>,
    pub pool: &'a mut Pool,
    pub best: PricedChoice,
    /// Steps that are left.
    pub steps: &'a mut u64,
    /// For each moulding those that are.
    pub open: Vec<BTreeSet<Way>>,
    /// The least bound of what was not closed.
    least: i64,
    /// What could not be closed with what is known now.
    later: Vec<SupplierNode>,
    states: Vec<Vec<SupplierState>>,
}

impl SupplierNode {
    fn is_root(&self) -> bool {
        self.given.iter().all(Option::is_none)
    }
}

impl<'a, 'q> SupplierTree<'a, 'q> {
    pub fn new(
        question: &'a BuyingProblem<'q>,
        pool: &'a mut Pool,
        best: PricedChoice,
        steps: &'a mut u64,
    ) -> SupplierTree<'a, 'q> {
        let sellers: BTreeSet<(usize, bool)> =
            question.mouldings.iter().flat_map(|ways| ways.sellers()).collect();
        let states_of = |(supplier, terms)| {
            let sells = [false, true].map(|long| sellers.contains(&(supplier, long)));
            let most = if sells.contains(&true) { i64::MAX } else { 0 };
            states(terms, most, terms_matter(terms, sells))
        };
        let states = question.suppliers.iter().enumerate().map(states_of).collect();
        let open = vec![BTreeSet::new(); question.mouldings.len()];
        SupplierTree {
            question,
            pool,
            best,
            steps,
            open,
            least: i64::MAX,
            later: Vec::new(),
            states,
        }
    }

    /// Goes through the tree, or on with what was left of it; afterwards `best` is the best
    /// choice that is known, and the bound is given.
    pub fn run(&mut self, begun: &mut Begun) -> i64 {
        let before = match begun.lowest {
            None => vec![self.root()],
            Some(_) => std::mem::take(&mut begun.open),
        };
        // The node with the least bound first, of those alike the latest.
        let keyed = before.into_iter().enumerate().map(|(at, node)| ((node.bound, at), node));
        let mut open: BTreeMap<(i64, usize), SupplierNode> = keyed.collect();
        let mut nodes = 0_usize;
        while let Some((key, node)) = open.pop_first() {
            if node.bound >= self.best.cost.0 {
                open.clear();
                break;
            }
            nodes += 1;
            // The first node gives some bound for nothing.
            let is_enough = self.named() >= MOST_OPEN;
            if nodes > 1 && (*self.steps == 0 || nodes > MOST_NODES || is_enough) {
                self.least = self.least.min(node.bound);
                self.give_up(&node);
                open.insert(key, node);
                break;
            }
            let root = node.is_root().then(|| node.clone());
            let below = self.grow(node);
            if let Some((root, first)) = root.zip(below.first()).filter(|_| self.named() > 0) {
                // All below hangs on what is looked at first.
                self.least = self.least.min(first.bound);
                open.insert(key, SupplierNode { bound: first.bound, ..root });
                break;
            }
            for (place, node) in below.into_iter().enumerate() {
                open.insert((node.bound, usize::MAX - nodes * MOST_STATES - place), node);
            }
        }
        let lowest = begun.lowest.unwrap_or(i64::MAX).min(self.best.cost.0);
        begun.lowest = Some(lowest);
        begun.open = open.into_values().chain(self.later.drain(..)).collect();
        self.least.min(lowest)
    }

    /// Nothing but the whole.
    fn root(&self) -> SupplierNode {
        let count = self.question.suppliers.len();
        SupplierNode {
            given: vec![None; count],
            prices: ScaledPrices::none(count),
            bound: i64::MIN,
            is_all: false,
        }
    }

    /// How many ways with a doubt are to be looked at closer.
    fn named(&self) -> usize {
        self.open.iter().map(BTreeSet::len).sum()
    }

    /// Lifts the bound of a node, and gives the nodes below it.
    fn grow(&mut self, mut node: SupplierNode) -> Vec<SupplierNode> {
        let is_leaf = node.given.iter().all(Option::is_some);
        let finest = if is_leaf { 1 } else { COARSE };
        for _ in 0..MOST_ROUNDS {
            let known = ascend(
                self.question,
                self.pool,
                &node.given,
                &mut node.prices,
                finest,
                self.best.cost.0,
                self.steps,
            );
            let Some((bound, is_new, is_all)) = self.asked(&node) else { return Vec::new() };
            (node.bound, node.is_all) = (node.bound.max(bound), is_all);
            if node.bound >= self.best.cost.0 {
                return Vec::new();
            }
            // What is to be gone on with needs no better prices yet.
            let goes_on = !is_leaf && known.is_some_and(|known| known < self.best.cost.0);
            if !is_new || goes_on {
                break;
            }
        }
        if is_leaf {
            self.close(&node);
            return Vec::new();
        }
        if node.is_root() {
            self.doubt_first(&node);
        }
        let next = self.most_neglected(&node);
        let below = |state: &SupplierState| {
            let mut given = node.given.clone();
            given[next] = Some(*state);
            let (prices, bound) = (node.prices.clone(), node.bound);
            SupplierNode { given, prices, bound, is_all: false }
        };
        self.states[next].iter().map(below).collect()
    }

    /// Asks each moulding for ways below the cheapest that is known at these
    /// prices: the bound, whether any were new, and whether the cheapest of each is
    /// known now. `None` if some moulding has no way at all.
    fn asked(&mut self, node: &SupplierNode) -> Option<(i64, bool, bool)> {
        let pricing = pricing(&node.given, &node.prices, self.question);
        let mut sum = node.prices.fixed(self.question, &node.given);
        let (mut is_new, mut is_all) = (false, true);
        let share = *self.steps / (ASKINGS * self.question.mouldings.len() as u64).max(1) + 1;
        for (moulding, ways) in self.question.mouldings.iter().enumerate() {
            let known = self.pool.ways[moulding].iter().filter_map(|way| pricing.of(way)).min();
            let known = known.unwrap_or(i128::MAX);
            let (mut least, mut found) = (known, None);
            let mut met = |way: Way| {
                if let Some(price) = pricing.of(&way).filter(|price| *price < least) {
                    (least, found) = (price, Some(way));
                }
                least
            };
            let mut own = share.min(*self.steps);
            *self.steps -= own;
            let rest = ways.show(&pricing, known, &mut own, &mut met);
            *self.steps += own;
            if let Some(way) = found {
                is_new |= self.pool.add(moulding, way);
            }
            is_all &= rest.is_none();
            least = rest.map_or(least, |rest| rest.min(least));
            if least == i128::MAX {
                return None;
            }
            sum += least;
        }
        Some((up(sum), is_new, is_all))
    }

    /// The cheapest choices in these states, if any could be cheaper than the best.
    ///
    /// Ways are taken up by how much dearer they are than the cheapest of their
    /// moulding: a choice with any that is dearer by more comes to that much more
    /// than the bound. So few are asked for first, then more.
    fn close(&mut self, node: &SupplierNode) {
        let pricing = pricing(&node.given, &node.prices, self.question);
        let fixed = node.prices.fixed(self.question, &node.given);
        let leaf = Leaf::new(self.question, &node.given);
        let Some(each) = self.cheapest_known(&pricing) else { return };
        let before = self.best.cost;
        self.close_known(&leaf, &pricing, fixed);
        let least = fixed + each.iter().sum::<i128>();
        let (mut floor, mut radius, mut open) = (node.bound, 0, Vec::new());
        loop {
            let room = i128::from(self.best.cost.0) * WHOLE - least;
            if radius >= room {
                floor = floor.max(self.best.cost.0);
                break;
            }
            if *self.steps == 0 {
                break;
            }
            let below = self.best.cost.0;
            radius = (radius * 3).max(room / FIRST_PART + 1).min(room);
            let Some(lists) = self.lists(&leaf, &pricing, &each, radius) else {
                if open.is_empty() {
                    let below: Vec<i128> = each.iter().map(|least| least + room).collect();
                    open = self.doubtful(&pricing, &below);
                }
                break;
            };
            let cheapest = leaf.cheapest(&lists, &pricing, (fixed, below), self.steps);
            self.better(&lists, &cheapest);
            let first = cheapest.choices.first().map_or(below, |(cost, _)| *cost);
            let inside = cheapest.rest.map_or(first, |rest| first.min(up(rest)));
            floor = floor.max(inside.min(up(least + radius)));
            open = self.doubts(&lists, &cheapest);
            if inside < up(least + radius) {
                break;
            }
        }
        let bound = if node.is_all { floor } else { node.bound };
        self.least = self.least.min(bound);
        if bound < self.best.cost.0 {
            self.later.push(SupplierNode { bound, ..node.clone() });
        }
        for (moulding, way) in open {
            self.open[moulding].insert(way);
        }
        if self.best.cost < before {
            self.exchange();
        }
    }

    /// The cheapest choices in these states of ways that are known.
    fn close_known(&mut self, leaf: &Leaf, pricing: &Pricing, fixed: i128) {
        let known = |ways: &Vec<Way>| {
            let known = ways.iter().filter(|way| way.is_known() && pricing.of(way).is_some());
            let mut known: Vec<Way> = known.map(Way::as_known).collect();
            leaf.thin(&mut known, self.steps);
            known
        };
        let lists: Vec<Vec<Way>> = self.pool.ways.iter().map(known).collect();
        let cheapest = leaf.cheapest(&lists, pricing, (fixed, self.best.cost.0), self.steps);
        self.better(&lists, &cheapest);
    }

    /// Takes over the best of these, if it is better.
    fn better(&mut self, lists: &[Vec<Way>], cheapest: &Cheapest) {
        for (_, places) in &cheapest.choices {
            let chosen: Vec<Way> =
                places.iter().zip(lists).map(|(place, list)| list[*place].clone()).collect();
            let own = Tally::of(self.question, &chosen).cost(self.question);
            let Some(own) = own.filter(|own| *own < self.best.cost) else { continue };
            if chosen.iter().all(Way::is_known) {
                self.best = PricedChoice { chosen, cost: own };
            }
        }
    }

    /// The least price of each moulding's ways that were shown; `None` if one has none.
    pub(super) fn cheapest_known(&self, pricing: &Pricing) -> Option<Vec<i128>> {
        let least = |ways: &Vec<Way>| ways.iter().filter_map(|way| pricing.of(way)).min();
        self.pool.ways.iter().map(least).collect()
    }

    /// What is good in some states may be better with a way of others.
    fn exchange(&mut self) {
        for (moulding, way) in self.best.chosen.clone().into_iter().enumerate() {
            self.pool.add(moulding, way);
        }
        let chosen = self.best.chosen.clone();
        let found = exchanged(self.question, self.pool, chosen, self.steps);
        if let Some(found) = found.filter(|found| found.cost < self.best.cost) {
            self.best = found;
        }
    }

    /// For each moulding the ways that are dearer than the cheapest of `each` by
    /// less than the radius; `None` if they are too many.
    fn lists(
        &mut self,
        leaf: &Leaf,
        pricing: &Pricing,
        each: &[i128],
        radius: i128,
    ) -> Option<Vec<Vec<Way>>> {
        let mut lists = Vec::new();
        for ((moulding, ways), least) in self.question.mouldings.iter().enumerate().zip(each) {
            let below = least + radius;
            let (mut list, mut most) = (Vec::new(), THINNED);
            let (mut thinning, mut is_few) = (*self.steps, true);
            let mut met = |way: Way| {
                list.push(way);
                if list.len() >= most {
                    is_few = leaf.thin(&mut list, &mut thinning) && list.len() <= MOST_LISTED;
                    most = THINNED + 2 * list.len();
                }
                // Of what is too much no more is asked for.
                if is_few { below } else { i128::MIN }
            };
            let is_all = ways.show(pricing, below, self.steps, &mut met).is_none();
            *self.steps = (*self.steps).min(thinning);
            if !is_all || !is_few {
                return None;
            }
            let known = self.pool.ways[moulding].iter();
            list.extend(
                known.filter(|way| pricing.of(way).is_some_and(|price| price < below)).cloned(),
            );
            leaf.thin(&mut list, self.steps);
            lists.push(list);
        }
        Some(lists)
    }
}

/// Whether states with a long parcel are states of their own.
fn terms_matter(terms: &Terms, sells: [bool; 2]) -> bool {
    terms.long > 0 && sells[1]
}
