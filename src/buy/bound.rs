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
//! Where the states are all given a node is closed (`close`). What is left of the tree
//! when it is cut off can be gone on with.

use std::collections::{BTreeMap, BTreeSet};

use super::pool::{Pool, PricedChoice};
use super::price::{ScaledPrices, ascend, pricing, up};
use super::question::{BuyingProblem, Pricing, Terms, Way};
use super::states::{SupplierState, states};

/// Nodes of the tree at most.
const MOST_NODES: usize = 4_000;

/// Asking every moulding once may take one part in so many of the steps that are left:
/// with much less each is cut off before its search has begun.
const ASKINGS: u64 = 2;

/// Rounds of prices and ways asked for at a node.
const MOST_ROUNDS: usize = 12;

/// States of one supplier at most: steps of carriage, each with and without a
/// long parcel.
const MOST_STATES: usize = 1 << 20;

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
    pub bound: i64,
    /// Whether every moulding showed its cheapest way at these prices.
    pub is_all: bool,
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
    pub least: i64,
    /// What could not be closed with what is known now.
    pub later: Vec<SupplierNode>,
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

    /// The least price of each moulding's ways that were shown; `None` if one has none.
    pub(super) fn cheapest_known(&self, pricing: &Pricing) -> Option<Vec<i128>> {
        let least = |ways: &Vec<Way>| ways.iter().filter_map(|way| pricing.of(way)).min();
        self.pool.ways.iter().map(least).collect()
    }
}

/// Whether states with a long parcel are states of their own.
fn terms_matter(terms: &Terms, sells: [bool; 2]) -> bool {
    terms.long > 0 && sells[1]
}
