//! The front of a kind of stock: for each length cut from a unit, the most that
//! its pieces can be worth and the least that it costs.

use crate::solve::instance::{Instance, StockKind};
use crate::solve::prices::Prices;

/// Cells of the longest room at most.
const CELLS: i64 = 4_000;
/// For each group of stock, the most that pieces are worth by their length in
/// cells, rounded down piece by piece.
pub(crate) struct Frontiers {
    cell: i64,
    shortest: i64,
    groups: Vec<(u32, Vec<i64>)>,
}

/// A point of a front, or what some units come to: worth, and cost with
/// charges, in fixed point. Never worth more than its cost.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Pair {
    pub worth: i64,
    pub cost: i64,
}

/// A point with the least length that it is reached at.
pub(crate) struct Point {
    pub length: i64,
    pub pair: Pair,
}

/// What a unit of a kind may be cut for.
pub(crate) struct Frontier {
    /// So high that no point is worth more than its cost.
    pub charge: i64,
    /// With worth and cost rising.
    pub points: Vec<Point>,
}

impl Frontiers {
    pub fn new(instance: &Instance, prices: &Prices) -> Frontiers {
        let longest = instance.kinds.iter().map(|kind| kind.room).max().unwrap_or(1);
        let cell = (longest / CELLS).max(1);
        let size = usize::try_from(longest / cell).unwrap_or(0) + 1;
        let mut groups: Vec<(u32, Vec<i64>)> = Vec::new();
        for kind in &instance.kinds {
            if groups.iter().any(|&(group, _)| group == kind.group) {
                continue;
            }
            let mut best = vec![0i64; size];
            for (t, of_type) in instance.types.iter().enumerate() {
                let serves = of_type.group.is_none_or(|group| group == kind.group);
                if serves && prices.piece[t] > 0 {
                    let length = usize::try_from(of_type.length / cell).unwrap_or(usize::MAX);
                    add_pieces(&mut best, length, prices.piece[t], of_type.demand);
                }
            }
            groups.push((kind.group, best));
        }
        let shortest = instance.types.iter().map(|t| t.length).min().unwrap_or(1);
        Frontiers { cell, shortest, groups }
    }

    pub fn of(&self, kind: &StockKind, prices: &Prices) -> Frontier {
        let group = self.groups.iter().find(|&&(group, _)| group == kind.group);
        let best = group.map_or(&[][..], |(_, best)| best);
        let cells = usize::try_from(kind.room / self.cell).unwrap_or(0);
        let mut points: Vec<Point> = Vec::new();
        let mut charge = 0;
        for (g, &worth) in best.iter().enumerate().take(cells + 1) {
            // Stock that pays to be cut is cut for pieces worth nothing too.
            let length = (g as i64 * self.cell).max(self.shortest.min(kind.room));
            let cost = prices.scale.saturating_mul(kind.cost_at(length));
            charge = charge.max(worth.saturating_sub(cost));
            let rises = |last: &Point| last.pair.worth < worth || last.pair.cost < cost;
            if points.last().is_none_or(rises) {
                points.push(Point { length, pair: Pair { worth, cost } });
            }
        }
        for point in &mut points {
            point.pair.cost = point.pair.cost.saturating_add(charge);
        }
        Frontier { charge, points }
    }
}

impl Frontier {
    /// The undominated points within the gap, those joined whose worth is the
    /// same but for so many last bits.
    pub fn joined(&self, gap: i64, bits: u32) -> Vec<Pair> {
        let mut points: Vec<Pair> = Vec::new();
        for &Point { pair, .. } in &self.points {
            if pair.cost - pair.worth >= gap {
                continue;
            }
            match points.last_mut() {
                Some(last) if pair.worth >> bits == last.worth >> bits => {
                    last.worth = last.worth.max(pair.worth);
                }
                Some(last) if pair.worth <= last.worth => {}
                Some(last) if pair.cost <= last.cost => *last = pair,
                _ => points.push(pair),
            }
        }
        points
    }
}

/// Adds up to `count` pieces of a length and worth to the most that each length
/// can hold.
fn add_pieces(best: &mut [i64], length: usize, worth: i64, count: u32) {
    let mut left = count;
    let mut share = 1;
    while left > 0 {
        let times = share.min(left);
        left -= times;
        share *= 2;
        let Some(taken) = length.checked_mul(times as usize).filter(|&l| l < best.len()) else {
            continue;
        };
        let gained = worth.saturating_mul(i64::from(times));
        for g in (taken..best.len()).rev() {
            best[g] = best[g].max(best[g - taken].saturating_add(gained));
        }
    }
}
