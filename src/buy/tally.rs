//! What a choice comes to, kept up as one way is put for another.

use super::question::{BuyingProblem, FINE, Way};

/// The sums of a choice.
#[derive(Clone)]
pub(super) struct Tally {
    own: i64,
    spare: i64,
    /// For each supplier the price of the goods, and how many ways make it long.
    bought: Vec<(i64, u32)>,
}

/// What a choice costs in thousandths, then what is paid of that in minor units:
/// of two that cost the same the one that pays less is the better.
pub(super) type Cost = (i64, i64);

impl Tally {
    pub fn of<'w>(question: &BuyingProblem, chosen: impl IntoIterator<Item = &'w Way>) -> Tally {
        let mut tally = Tally { own: 0, spare: 0, bought: vec![(0, 0); question.suppliers.len()] };
        chosen.into_iter().for_each(|way| tally.add(way));
        tally
    }

    pub fn add(&mut self, way: &Way) {
        self.own += way.own;
        self.spare += way.spare;
        for goods in &way.goods {
            let (cost, long) = &mut self.bought[goods.supplier];
            *cost += goods.cost;
            *long += u32::from(goods.long);
        }
    }

    pub fn take_out(&mut self, way: &Way) {
        self.own -= way.own;
        self.spare -= way.spare;
        for goods in &way.goods {
            let (cost, long) = &mut self.bought[goods.supplier];
            *cost -= goods.cost;
            *long -= u32::from(goods.long);
        }
    }

    /// `None` beyond the budget for sticks beyond need.
    pub fn cost(&self, question: &BuyingProblem) -> Option<Cost> {
        if question.budget.is_some_and(|budget| self.spare > budget) {
            return None;
        }
        let bill = |(terms, (goods, long)): (&super::Terms, &(i64, u32))| {
            goods + terms.beyond(*goods, *long > 0)
        };
        let paid: i64 = question.suppliers.iter().zip(&self.bought).map(bill).sum();
        Some((self.own + paid * FINE, paid))
    }
}
