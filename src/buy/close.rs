//! The cheapest choice where the states of all suppliers are given.
//!
//! Every way that could be part of a cheaper choice is asked for, and the cheapest choice
//! of them is found (`labels`).

use super::bound::{SupplierNode, SupplierTree};
use super::labels::{Cheapest, Leaf};
use super::pool::{PricedChoice, exchanged};
use super::price::{pricing, up};
use super::question::{Pricing, WHOLE, Way};
use super::tally::Tally;

/// Ways are first asked for within this part of what could still be won.
const FIRST_PART: i128 = 27;

/// More ways of a moulding than this are not compared in one state.
const MOST_LISTED: usize = 3_000;

/// Ways that are gathered before those that are dominated are dropped.
const THINNED: usize = 400;

impl SupplierTree<'_, '_> {
    /// The cheapest choices in these states, if any could be cheaper than the best.
    ///
    /// Ways are taken up by how much dearer they are than the cheapest of their
    /// moulding: a choice with any that is dearer by more comes to that much more
    /// than the bound. So few are asked for first, then more.
    pub(super) fn close(&mut self, node: &SupplierNode) {
        let pricing = pricing(&node.given, &node.prices, self.question);
        let fixed = node.prices.fixed(self.question, &node.given);
        let leaf = Leaf::new(self.question, &node.given);
        let Some(each) = self.cheapest_known(&pricing) else {
            // There were no steps to be shown one way of each moulding.
            return self.put_off(node, node.bound);
        };
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
        self.put_off(node, bound);
        for (moulding, way) in open {
            self.open[moulding].insert(way);
        }
        if self.best.cost < before {
            self.exchange();
        }
    }

    /// Keeps for later what could not be closed: nothing in it costs less than the bound.
    fn put_off(&mut self, node: &SupplierNode, bound: i64) {
        self.least = self.least.min(bound);
        if bound < self.best.cost.0 {
            self.later.push(SupplierNode { bound, ..node.clone() });
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
