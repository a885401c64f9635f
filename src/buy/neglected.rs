//! Which supplier the tree branches on next: the bound charges nothing of those without a
//! state, so it rises most where most is neglected.

use std::cmp::Reverse;

use super::bound::{SupplierNode, SupplierTree};
use super::price::pricing;
use super::question::Way;

impl SupplierTree<'_, '_> {
    /// The supplier without a state who would charge most for what the bound hangs on and
    /// is not charged in it: of those alike the first.
    pub(super) fn most_neglected(&self, node: &SupplierNode) -> usize {
        let pricing = pricing(&node.given, &node.prices, self.question);
        let cheapest = |ways: &Vec<Way>| {
            let priced = ways.iter().enumerate();
            let priced = priced.filter_map(|(place, way)| Some((pricing.of(way)?, place)));
            priced.min().map(|(_, place)| place)
        };
        let mut bought = vec![(0_i64, false); node.given.len()];
        for ways in &self.pool.ways {
            for goods in cheapest(ways).into_iter().flat_map(|place| &ways[place].goods) {
                let (cost, long) = &mut bought[goods.supplier];
                (*cost, *long) = (*cost + goods.cost, *long | goods.long);
            }
        }
        let neglected = |(supplier, (goods, long)): (usize, &(i64, bool))| {
            (self.question.suppliers[supplier].beyond(*goods, *long), Reverse(supplier))
        };
        let open = bought.iter().enumerate().filter(|(at, _)| node.given[*at].is_none());
        let most = open.map(neglected).max();
        most.map_or(0, |(_, Reverse(supplier))| supplier)
    }
}
