//! The question of an order, as plain integers.

use super::states::State;

/// Thousandths in a minor unit.
pub(super) const FINE: i64 = 1000;

/// One way to be chosen for each lot, and what suppliers add to the whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// The suppliers, by their number.
    pub suppliers: Vec<Terms>,
    /// For each moulding the ways to get it.
    pub lots: Vec<Vec<Way>>,
    /// The most that may be spent on sticks beyond need, in minor units.
    pub budget: Option<i64>,
}

/// What a supplier adds to the price of the goods, in minor units.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Terms {
    /// A smaller order is charged as much.
    pub minimum: i64,
    /// From which price of goods which carriage holds; the first from 0, rising.
    pub freight: Vec<(i64, i64)>,
    /// What is added if anything long is in the order.
    pub long: i64,
}

/// One way to get a moulding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Way {
    /// What it uses up beside the goods it buys, less what is left of them, in
    /// thousandths.
    pub own: i64,
    /// How much less it might use up for all that is proven, in thousandths.
    pub doubt: i64,
    /// What it buys, at most one entry a supplier.
    pub goods: Vec<Goods>,
    /// What it spends on sticks beyond need, in minor units.
    pub spare: i64,
}

/// What a way buys at one supplier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Goods {
    /// The supplier's number.
    pub supplier: usize,
    /// The price of the goods in minor units.
    pub cost: i64,
    /// Whether anything is in it that makes a parcel long.
    pub long: bool,
}

/// The choice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// For each lot which of its ways.
    pub chosen: Vec<usize>,
    /// What the whole costs, in thousandths.
    pub cost: i64,
    /// No choice costs less, in thousandths.
    pub bound: i64,
    /// For each lot the ways, rising, that a choice below `cost` could be made of,
    /// if all doubts turned out well; and what was chosen.
    pub open: Vec<Vec<usize>>,
}

/// A choice with what it costs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Found {
    pub chosen: Vec<usize>,
    pub cost: i64,
}

impl Terms {
    /// What is charged beyond the goods: made up to the minimum, carriage, and
    /// for long parcels. Nothing if nothing is ordered.
    pub fn beyond(&self, goods: i64, long: bool) -> i64 {
        if goods == 0 {
            return 0;
        }
        self.made_up(goods) + self.carriage(goods) + if long { self.long } else { 0 }
    }

    /// What is charged at the least for these goods and whatever comes to them:
    /// carriage at its cheapest step, and no minimum.
    pub fn at_best(&self) -> Terms {
        let least = self.freight.iter().map(|(_, charge)| *charge).min().unwrap_or(0);
        Terms { minimum: 0, freight: vec![(0, least)], long: self.long }
    }

    /// How much less can be charged beyond the goods, in minor units, at the most,
    /// if more is bought than goods of this price and whatever comes to them.
    pub fn most_saved(&self, goods: i64) -> i64 {
        let later = self.freight.iter().filter(|(from, _)| *from > goods);
        let (mut dearest, mut drop) = (self.carriage(goods), 0);
        for (_, charge) in later {
            dearest = dearest.max(*charge);
            drop = drop.max(dearest - charge);
        }
        drop + self.made_up(goods)
    }

    /// The last price of goods from which what is charged beyond them changes.
    pub fn last_bend(&self) -> i64 {
        self.freight.last().map_or(0, |(from, _)| *from).max(self.minimum)
    }

    /// What lacks to the minimum.
    pub fn made_up(&self, goods: i64) -> i64 {
        (self.minimum - goods).max(0)
    }

    /// What carriage costs for goods of this price.
    pub fn carriage(&self, goods: i64) -> i64 {
        let holds = self.freight.iter().take_while(|(from, _)| *from <= goods).last();
        holds.map_or(0, |(_, charge)| *charge)
    }
}

impl Way {
    /// What it costs before suppliers add their own, in thousandths.
    pub fn cost(&self) -> i64 {
        self.own + self.goods.iter().map(|goods| goods.cost * FINE).sum::<i64>()
    }

    /// What it buys at a supplier, and whether that is long.
    pub fn at(&self, supplier: usize) -> (i64, bool) {
        let goods = self.goods.iter().find(|goods| goods.supplier == supplier);
        goods.map_or((0, false), |goods| (goods.cost, goods.long))
    }

    /// Whether it can be chosen while the suppliers are in these states.
    pub(super) fn is_allowed(&self, states: &[Option<State>]) -> bool {
        self.goods.iter().all(|goods| {
            states[goods.supplier].is_none_or(|state| state.used && (state.long || !goods.long))
        })
    }
}

impl Question {
    /// What a choice costs, in thousandths; `None` if it spends more than may be
    /// on sticks beyond need.
    pub fn cost(&self, chosen: &[usize]) -> Option<i64> {
        let (mut cost, mut spare) = (0, 0);
        let mut bought = vec![(0, false); self.suppliers.len()];
        for (lot, &way) in self.lots.iter().zip(chosen) {
            let way = &lot[way];
            cost += way.own;
            spare += way.spare;
            for goods in &way.goods {
                let (all, long) = &mut bought[goods.supplier];
                *all += goods.cost;
                *long |= goods.long;
            }
        }
        if self.budget.is_some_and(|budget| spare > budget) {
            return None;
        }
        let bills = self.suppliers.iter().zip(bought);
        let bill =
            |(terms, (goods, long)): (&Terms, (i64, bool))| goods + terms.beyond(goods, long);
        Some(cost + bills.map(bill).sum::<i64>() * FINE)
    }

    /// The same with only these ways of each lot.
    pub(super) fn only(&self, kept: &[Vec<usize>]) -> Question {
        let lot = |(lot, kept): (&Vec<Way>, &Vec<usize>)| {
            kept.iter().map(|&way| lot[way].clone()).collect()
        };
        Question { lots: self.lots.iter().zip(kept).map(lot).collect(), ..self.clone() }
    }
}
