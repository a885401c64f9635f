//! What no choice can cost less than, in integers.
//!
//! Each supplier is in one of a few states. With the states of all suppliers
//! given, the ways of the lots are tied together only by how much is bought from
//! whom, and by the budget. These ties are priced instead of kept (a Lagrangian
//! relaxation: Geoffrion, "Lagrangean relaxation for integer programming", 1974,
//! from memory): then each lot takes its cheapest way by itself. Whatever the
//! prices are, the sum is a bound, so nothing hangs on how well they are found.
//! A tree over the suppliers' states keeps the least of the bounds, and where the
//! states are all given every choice that could still be cheaper is looked at
//! (`descend`). Where that is given up for size, the bound above counts.

use std::cell::Cell;

use super::descend::{Descent, descend};
use super::question::{FINE, Found, Question, Way};
use super::states::{State, states};

/// Parts in the whole of a price on the ties.
const WHOLE: i128 = 1024;

/// Nodes of the tree at most; each costs a look at every way.
const MOST_NODES: usize = 4_000;

/// Steps at most of looking at single choices, in all states together.
const MOST_STEPS: u64 = 1_000_000;

/// Looks at single ways at most while prices are sought, in all states together:
/// about a tenth of a second's worth. Where no choice keeps the budget, prices
/// could rise for ever.
const MOST_LOOKS: u64 = 6_000_000;

/// The finest step of prices before all states are given.
const COARSE: i128 = 64;

/// Prices on what ties the lots together, in 1024ths.
#[derive(Clone)]
struct Prices {
    /// A minor unit more of goods: for each supplier, worth this much less ...
    least: Vec<i128>,
    /// ... or costing this much more, ...
    most: Vec<i128>,
    /// ... or saving this much of what is made up to the minimum, at most all.
    made_up: Vec<i128>,
    /// A minor unit more of spare sticks costs this much.
    spare: i128,
}

/// The bound, at most the cost of `best`, and a better choice if one was met.
pub(super) fn bound(question: &Question, best: &Found) -> (i64, Option<Found>) {
    let mut tree = Tree::new(question, best.cost);
    let none = Prices::none(question);
    tree.grow(&mut vec![None; question.suppliers.len()], 0, &none);
    (tree.least.min(tree.cost), tree.better)
}

/// For each lot the ways that could be part of a cheaper choice.
pub(super) fn open(question: &Question, cost: i64) -> Vec<Vec<usize>> {
    let mut tree = Tree::new(question, cost);
    tree.open = Some(question.lots.iter().map(|lot| vec![false; lot.len()]).collect());
    let none = Prices::none(question);
    tree.grow(&mut vec![None; question.suppliers.len()], 0, &none);
    let open = tree.open.expect("just set");
    let places = |lot: &Vec<bool>| (0..lot.len()).filter(|way| lot[*way]).collect();
    open.iter().map(places).collect()
}

struct Tree<'a> {
    question: &'a Question,
    states: Vec<Vec<State>>,
    cost: i64,
    /// The least bound of the nodes that were not closed.
    least: i64,
    nodes: usize,
    /// Looks at single ways that are left for seeking prices.
    looks: Cell<u64>,
    /// Steps of looking at choices that are left.
    steps: u64,
    /// A choice that costs less than was known.
    better: Option<Found>,
    open: Option<Vec<Vec<bool>>>,
}

impl<'a> Tree<'a> {
    fn new(question: &'a Question, cost: i64) -> Tree<'a> {
        let states_of = |(supplier, terms)| {
            let ways = || question.lots.iter().flatten().map(|way: &Way| way.at(supplier));
            let most = |lot: &Vec<Way>| lot.iter().map(|way| way.at(supplier).0).max();
            let most = question.lots.iter().filter_map(most).sum();
            states(terms, most, terms.long > 0 && ways().any(|(_, long)| long))
        };
        let states = question.suppliers.iter().enumerate().map(states_of).collect();
        Tree {
            question,
            states,
            cost,
            least: i64::MAX,
            nodes: 0,
            looks: Cell::new(MOST_LOOKS),
            steps: MOST_STEPS,
            better: None,
            open: None,
        }
    }

    fn grow(&mut self, given: &mut Vec<Option<State>>, next: usize, prices: &Prices) {
        self.nodes += 1;
        let Some(plain) = self.value(given, prices) else { return };
        if plain >= self.cost {
            return;
        }
        if next == given.len() || self.nodes > MOST_NODES || self.looks.get() == 0 {
            let (prices, value) = self.priced(given, (prices, plain), 1);
            if value < self.cost {
                self.close(given, &prices, value);
            }
            return;
        }
        let (prices, value) = self.priced(given, (prices, plain), COARSE);
        if value >= self.cost {
            return;
        }
        for state in self.states[next].clone() {
            given[next] = Some(state);
            self.grow(given, next + 1, &prices);
        }
        given[next] = None;
    }

    /// Looks at every choice in these states that could be cheaper; if there are
    /// too many, the bound of the states counts.
    fn close(&mut self, given: &[Option<State>], prices: &Prices, value: i64) {
        if self.open.is_some() {
            self.note(given, prices, value);
            return;
        }
        let lot = |lot: &Vec<Way>| -> Vec<(i128, usize)> {
            let ways = lot.iter().enumerate().filter(|(_, way)| way.is_allowed(given));
            ways.map(|(place, way)| (self.reduced(way, given, prices), place)).collect()
        };
        let lots = self.question.lots.iter().map(lot).collect();
        let descent = Descent { lots, fixed: self.fixed(given, prices), whole: WHOLE };
        let mut met = |chosen: &[usize], cost: &mut i64| {
            let Some(own) = self.question.cost(chosen) else { return };
            if own < *cost {
                *cost = own;
                self.better = Some(Found { chosen: chosen.to_vec(), cost: own });
            }
            let ways = chosen.iter().zip(&self.question.lots).map(|(way, lot)| &lot[*way]);
            let doubt: i64 = ways.map(|way| way.doubt).sum();
            self.least = self.least.min(own - doubt);
        };
        let is_closed = descend(descent, &mut self.cost, &mut self.steps, &mut met);
        if !is_closed {
            self.least = self.least.min(value);
        }
    }

    /// Marks the ways whose choice does not lift the bound to the cost.
    fn note(&mut self, given: &[Option<State>], prices: &Prices, value: i64) {
        let Some(mut open) = self.open.take() else { return };
        for (lot, open) in self.question.lots.iter().zip(&mut open) {
            let costs = lot.iter().map(|way| (way, self.reduced(way, given, prices)));
            let costs: Vec<(&Way, i128)> = costs.collect();
            let allowed = costs.iter().filter(|(way, _)| way.is_allowed(given));
            let Some(least) = allowed.map(|(_, cost)| *cost).min() else { continue };
            for (open, (way, cost)) in open.iter_mut().zip(&costs) {
                let lifted = i128::from(value) + (cost - least).div_euclid(WHOLE);
                *open |= way.is_allowed(given) && lifted < i128::from(self.cost);
            }
        }
        self.open = Some(open);
    }

    /// Better prices for these states, and the bound with them: each price is
    /// moved by shrinking steps while that lifts the bound and looks are left.
    fn priced(
        &self,
        given: &[Option<State>],
        (prices, plain): (&Prices, i64),
        finest: i128,
    ) -> (Prices, i64) {
        let (mut best, mut value) = (prices.clone(), plain);
        let mut step = 4 * WHOLE;
        while step >= finest && value < self.cost && self.looks.get() > 0 {
            let mut lifted = false;
            for place in 0..best.count() {
                for by in [step, -step] {
                    let mut other = best.clone();
                    if !other.shift(place, by) {
                        continue;
                    }
                    if let Some(found) = self.value(given, &other).filter(|found| *found > value) {
                        (best, value, lifted) = (other, found, true);
                    }
                }
            }
            if !lifted {
                step /= 2;
            }
        }
        (best, value)
    }

    /// The bound with these prices; `None` if some lot has no way left.
    fn value(&self, given: &[Option<State>], prices: &Prices) -> Option<i64> {
        let mut sum = self.fixed(given, prices);
        let ways: usize = self.question.lots.iter().map(Vec::len).sum();
        let looks = u64::try_from(ways).unwrap_or(u64::MAX).saturating_add(1);
        self.looks.set(self.looks.get().saturating_sub(looks));
        for lot in &self.question.lots {
            let allowed = lot.iter().filter(|way| way.is_allowed(given));
            sum += allowed.map(|way| self.reduced(way, given, prices)).min()?;
        }
        // Up, since what a choice costs is a whole number.
        let whole = sum.div_euclid(WHOLE) + i128::from(sum.rem_euclid(WHOLE) != 0);
        Some(i64::try_from(whole).unwrap_or(i64::MAX))
    }

    /// What the states cost by themselves at these prices.
    fn fixed(&self, given: &[Option<State>], prices: &Prices) -> i128 {
        let mut sum = 0;
        for (supplier, state) in given.iter().enumerate() {
            let Some(state) = state.filter(|state| state.used) else { continue };
            let minimum = self.question.suppliers[supplier].minimum;
            let parts = WHOLE * i128::from(state.charge)
                + prices.least[supplier] * i128::from(state.from)
                - state.to.map_or(0, |to| prices.most[supplier] * i128::from(to))
                + prices.made_up[supplier] * i128::from(minimum);
            sum += parts * i128::from(FINE);
        }
        let budget = self.question.budget.unwrap_or(0);
        sum - prices.spare * i128::from(budget) * i128::from(FINE)
    }

    /// What a way costs at these prices, at its least, in 1024ths of thousandths.
    fn reduced(&self, way: &Way, given: &[Option<State>], prices: &Prices) -> i128 {
        let mut cost = i128::from(way.cost() - way.doubt) * WHOLE;
        for goods in &way.goods {
            let supplier = goods.supplier;
            let Some(state) = given[supplier] else { continue };
            let most = if state.to.is_some() { prices.most[supplier] } else { 0 };
            let by = most - prices.least[supplier] - prices.made_up[supplier];
            cost += by * i128::from(goods.cost) * i128::from(FINE);
        }
        // Without a budget there is no tie to price.
        let spare = if self.question.budget.is_some() { prices.spare } else { 0 };
        cost + spare * i128::from(way.spare) * i128::from(FINE)
    }
}

impl Prices {
    fn none(question: &Question) -> Prices {
        let none = vec![0; question.suppliers.len()];
        Prices { least: none.clone(), most: none.clone(), made_up: none, spare: 0 }
    }

    fn count(&self) -> usize {
        3 * self.least.len() + 1
    }

    /// Moves one price; whether it may be moved so.
    fn shift(&mut self, place: usize, by: i128) -> bool {
        let count = self.least.len();
        let (price, most) = match place / count.max(1) {
            0 if count > 0 => (&mut self.least[place], i128::MAX),
            1 if count > 0 => (&mut self.most[place - count], i128::MAX),
            2 if count > 0 => (&mut self.made_up[place - 2 * count], WHOLE),
            _ => (&mut self.spare, i128::MAX),
        };
        *price += by;
        (0..=most).contains(price)
    }
}
