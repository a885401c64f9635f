//! Which ways with a doubt are to be looked at closer: those that the bound hangs on.

use super::bound::{SupplierNode, SupplierTree};
use super::labels::Cheapest;
use super::price::pricing;
use super::question::{Pricing, Way};

/// Choices with doubts of which the ways are looked at closer in each state.
const AT_ONCE: usize = 3;

/// With so many mouldings whose cheapest way is in doubt the tree is not begun yet.
const MANY_IN_DOUBT: usize = 4;

impl SupplierTree<'_, '_> {
    /// The ways with a doubt of the first choice that could be cheaper than the
    /// best, if all doubts turned out well.
    pub(super) fn doubts(&self, lists: &[Vec<Way>], cheapest: &Cheapest) -> Vec<(usize, Way)> {
        let cheaper = cheapest.choices.iter().filter(|(cost, _)| *cost < self.best.cost.0);
        let open = |(_, places): &(i64, Vec<usize>)| -> Vec<(usize, Way)> {
            let ways = places.iter().zip(lists).map(|(place, list)| &list[*place]).enumerate();
            ways.filter(|(_, way)| way.is_open).map(|(at, way)| (at, way.clone())).collect()
        };
        cheaper.map(open).filter(|open| !open.is_empty()).take(AT_ONCE).flatten().collect()
    }

    /// With no state given, the bound is what the cheapest ways of all come to: as
    /// long as many of them are in doubt, these are looked at closer before anything
    /// else.
    pub(super) fn doubt_first(&mut self, node: &SupplierNode) {
        let pricing = pricing(&node.given, &node.prices, self.question);
        let cheapest = |ways: &Vec<Way>| {
            let priced = ways.iter().filter_map(|way| Some((pricing.of(way)?, way)));
            priced.min().map(|(_, way)| way.clone())
        };
        let cheapest = self.pool.ways.iter().map(cheapest).enumerate();
        let doubtful = cheapest.filter_map(|(moulding, way)| {
            way.filter(|way| way.is_open && way.doubt > 0).map(|way| (moulding, way))
        });
        let doubtful: Vec<(usize, Way)> = doubtful.collect();
        if doubtful.len() >= MANY_IN_DOUBT {
            for (moulding, way) in doubtful {
                self.open[moulding].insert(way);
            }
        }
    }

    /// A node that is not gone into says at least which ways seem cheap in it.
    pub(super) fn give_up(&mut self, node: &SupplierNode) {
        if self.open.iter().any(|open| !open.is_empty()) {
            return;
        }
        let pricing = pricing(&node.given, &node.prices, self.question);
        let Some(each) = self.cheapest_known(&pricing) else { return };
        for (moulding, way) in self.doubtful(&pricing, &vec![i128::MAX; each.len()]) {
            self.open[moulding].insert(way);
        }
    }

    /// Where ways are too many to be compared, of each moulding the cheapest below a
    /// price that were shown with a doubt.
    pub(super) fn doubtful(&self, pricing: &Pricing, below: &[i128]) -> Vec<(usize, Way)> {
        let mut open = Vec::new();
        for ((moulding, ways), below) in self.pool.ways.iter().enumerate().zip(below) {
            let priced = ways.iter().filter(|way| way.is_open).filter_map(|way| {
                pricing.of(way).filter(|price| price < below).map(|price| (price, way))
            });
            let mut priced: Vec<(i128, &Way)> = priced.collect();
            priced.sort();
            open.extend(priced.into_iter().take(AT_ONCE).map(|(_, way)| (moulding, way.clone())));
        }
        open
    }
}
