//! The least cost of cutting a total length, with whole units of stock.
//!
//! The linear program lets half a stick be cut; length alone does not say
//! which pieces go together, but it knows that units are whole and that one
//! long remainder is worth more than two short ones. Dynamic programming kind
//! by kind on a grid of lengths, each rounded so that the cost never exceeds
//! the truth.

use crate::solve::instance::{Instance, StockKind};
use crate::solve::watchman::Watchman;

/// Cells in the room of the longest kind.
const CELLS: i64 = 240;
/// Cells of the whole length at most.
const MOST_CELLS: i64 = 6_000;

/// Least costs by length.
pub(crate) struct LengthCosts {
    cell: i64,
    /// The least cost of a length of at least `index x cell`, with the first
    /// limited kinds left out: one row for each kind left out.
    rows: Vec<Vec<i64>>,
}

impl LengthCosts {
    /// For limited kinds in the order in which they will be left out, with
    /// their units, and endless kinds; `None` if some net cost is negative, or
    /// once it is late.
    pub fn new(
        instance: &Instance,
        limited: &[(usize, u32)],
        endless: &[usize],
        total: i64,
        watchman: Watchman,
    ) -> Option<LengthCosts> {
        let kinds = || limited.iter().map(|&(k, _)| k).chain(endless.iter().copied());
        let pays = |k: usize| instance.kinds[k].cost_at(0) < 0;
        if kinds().any(pays) {
            return None;
        }
        let shortest = instance.types.iter().map(|t| t.length).min()?;
        let longest = kinds().map(|k| instance.kinds[k].room).max()?;
        let cell = (longest / CELLS).max(total / MOST_CELLS).max(0) + 1;
        let size = usize::try_from(total / cell).ok()? + 1;
        let mut row = vec![i64::MAX; size];
        row[0] = 0;
        for &k in endless {
            let costs = costs(&instance.kinds[k], cell, shortest);
            if watchman.is_late() {
                return None;
            }
            for g in 1..size {
                row[g] = row[g].min(least(&row, g, &costs));
            }
        }
        let mut rows = vec![row];
        for &(k, units) in limited.iter().rev() {
            let costs = costs(&instance.kinds[k], cell, shortest);
            let mut row = rows.last().expect("there is a first row").clone();
            for _ in 0..units {
                if watchman.is_late() {
                    return None;
                }
                let before = row.clone();
                for g in 1..size {
                    row[g] = before[g].min(least(&before, g, &costs));
                }
            }
            rows.push(row);
        }
        rows.reverse();
        Some(LengthCosts { cell, rows })
    }

    /// The least cost of the length from all but the first `out` limited kinds.
    pub fn least(&self, out: usize, length: i64) -> i64 {
        let g = usize::try_from(length / self.cell).unwrap_or(0);
        self.rows[out][g.min(self.rows[out].len() - 1)]
    }
}

/// Cells that a unit can give and what it costs to take a length that ends in
/// the last of them, at least a shortest piece.
fn costs(kind: &StockKind, cell: i64, shortest: i64) -> Vec<(usize, i64)> {
    let cells = (shortest - 1) / cell..(kind.room - 1).div_euclid(cell) + 1;
    let cost = |c: i64| kind.cost_at((c * cell + 1).max(shortest).min(kind.room));
    cells.map(|c| (usize::try_from(c + 1).unwrap_or(0), cost(c))).collect()
}

/// The least cost of length `g` with one more unit.
fn least(row: &[i64], g: usize, costs: &[(usize, i64)]) -> i64 {
    let with = costs.iter().map(|&(cells, cost)| row[g.saturating_sub(cells)].saturating_add(cost));
    with.min().unwrap_or(i64::MAX)
}
