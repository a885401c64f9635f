//! What units with room for a length cost at least: a quick bound for packing
//! units again.

use crate::solve::instance::Instance;

/// Cells of the table of least costs at most, and cells times kinds.
const MOST_CELLS: i64 = 200_000;
const MOST_WORK: i64 = 20_000_000;

/// What units with room for a length cost at least.
pub(crate) struct CompletionBound {
    /// Where costs do not depend on what is cut: by length, supply left aside.
    cell: i64,
    cost: Vec<i64>,
    /// Where they do: kinds with the least that a unit of length costs in them,
    /// the cheapest first.
    rates: Vec<(usize, f64)>,
}

impl CompletionBound {
    /// For lengths up to `most`.
    pub fn new(instance: &Instance, most: i64) -> CompletionBound {
        if instance.kinds.iter().any(|kind| kind.credit.is_some()) {
            return CompletionBound { cell: 1, cost: vec![0], rates: rates(instance) };
        }
        let kinds = i64::try_from(instance.kinds.len().max(1)).unwrap_or(i64::MAX);
        let cell = 1 + most / MOST_CELLS.min((MOST_WORK / kinds).max(1));
        let size = usize::try_from(most / cell).unwrap_or(0) + 1;
        let mut cost = vec![0i64; size];
        let kinds: Vec<(usize, i64)> = instance
            .kinds
            .iter()
            .map(|kind| {
                let cells = if cell == 1 { kind.room } else { kind.room / cell + 1 };
                (usize::try_from(cells).unwrap_or(usize::MAX), kind.cost)
            })
            .collect();
        for g in 1..size {
            let with = kinds.iter().map(|&(room, c)| cost[g.saturating_sub(room)] + c);
            cost[g] = with.min().unwrap_or(0);
        }
        CompletionBound { cell, cost, rates: Vec::new() }
    }

    /// The least for the length, or for the longest that the table holds, where
    /// so many units of each kind are left.
    pub fn least(&self, instance: &Instance, supply: &[u32], length: i64) -> i64 {
        if self.rates.is_empty() {
            let g = usize::try_from(length / self.cell).unwrap_or(0);
            return self.cost[g.min(self.cost.len() - 1)];
        }
        let (mut lacking, mut cost) = (length as f64, 0.0);
        for &(k, rate) in &self.rates {
            let room = instance.kinds[k].room as f64 * f64::from(supply[k]);
            cost += rate * room.min(lacking);
            lacking -= room;
            if lacking <= 0.0 {
                return cost.floor() as i64 - 1;
            }
        }
        i64::MAX / 4
    }
}

/// Kinds of one run with the least that a unit of length costs in each.
fn rates(instance: &Instance) -> Vec<(usize, f64)> {
    let shortest = instance.types.iter().map(|t| t.length).min().unwrap_or(1);
    let plain = (0..instance.kinds.len()).filter(|&k| instance.kinds[k].is_plain());
    let mut rates: Vec<(usize, f64)> = plain
        .map(|k| {
            let kind = &instance.kinds[k];
            let corners = kind.corners(shortest.min(kind.room)).into_iter();
            let each = corners.map(|t| kind.cost_at(t) as f64 / t.max(1) as f64);
            (k, each.fold(f64::INFINITY, f64::min))
        })
        .collect();
    rates.sort_by(|a, b| a.1.total_cmp(&b.1));
    rates
}
