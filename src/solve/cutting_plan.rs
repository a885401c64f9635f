//! A plan under way: patterns in types and kinds, and its way back to the
//! items and stock of the problem.

use super::instance::{Instance, ItemSource};
use super::layout::{Contents, arrange};
use super::outcome::{Pattern, Piece};

/// One way to cut a unit of a kind.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Column {
    pub kind: usize,
    pub pieces: Contents,
    /// The least net cost of the pieces.
    pub cost: i64,
}

impl Column {
    /// The cheapest column of the pieces, if they fit.
    pub fn new(instance: &Instance, kind: usize, pieces: Contents) -> Option<Column> {
        let cost = arrange(instance, &instance.kinds[kind], &pieces)?.cost;
        Some(Column { kind, pieces, cost })
    }

    /// The length taken, in units.
    pub fn length(&self, instance: &Instance) -> i64 {
        let length = |&(t, count): &(usize, u32)| instance.types[t].length * i64::from(count);
        self.pieces.iter().map(length).sum()
    }
}

/// Columns that together give every type exactly its demand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct CuttingPlan {
    pub uses: Vec<(Column, u32)>,
    pub cost: i64,
}

impl CuttingPlan {
    pub fn new(uses: Vec<(Column, u32)>) -> CuttingPlan {
        let cost = uses.iter().map(|(c, times)| c.cost * i64::from(*times)).sum();
        CuttingPlan { uses, cost }
    }

    /// Whether the plan keeps to demand and supply.
    pub fn is_exact(&self, instance: &Instance) -> bool {
        let mut wanted: Vec<i64> = instance.types.iter().map(|t| i64::from(t.demand)).collect();
        let mut supply: Vec<i64> = instance.kinds.iter().map(|k| i64::from(k.supply)).collect();
        for (column, times) in &self.uses {
            supply[column.kind] -= i64::from(*times);
            for &(t, count) in &column.pieces {
                wanted[t] -= i64::from(count) * i64::from(*times);
            }
        }
        wanted.iter().all(|&w| w == 0) && supply.iter().all(|&s| s >= 0)
    }

    /// The plan in the problem's own items and stock.
    pub fn patterns(&self, instance: &Instance) -> Vec<Pattern> {
        let mut stock: Vec<Vec<(usize, u32)>> =
            instance.kinds.iter().map(|k| k.stocks.clone()).collect();
        let mut sources: Vec<Vec<ItemSource>> =
            instance.types.iter().map(|t| t.sources.clone()).collect();
        let mut patterns = Vec::new();
        for (column, times) in &self.uses {
            let mut left = *times;
            while left > 0 {
                let pattern = draw(instance, column, left, &mut stock, &mut sources);
                left -= pattern.times;
                patterns.push(pattern);
            }
        }
        Pattern::merged(patterns)
    }
}

/// Takes the next units of stock and the next items for the column: as many
/// times over as one stock and one item of each type allow, at least once.
fn draw(
    instance: &Instance,
    column: &Column,
    times: u32,
    stock: &mut [Vec<(usize, u32)>],
    sources: &mut [Vec<ItemSource>],
) -> Pattern {
    let kind = &instance.kinds[column.kind];
    let arrangement =
        arrange(instance, kind, &column.pieces).expect("a column fits the kind it was made for");
    let shelf = &mut stock[column.kind];
    while shelf.last().is_some_and(|&(_, units)| units == 0) {
        shelf.pop();
    }
    let (index, units) = shelf.last_mut().expect("a plan keeps to the supply");
    let whole = column.pieces.iter().map(|&(t, count)| {
        sources[t].retain(|source| source.demand > 0);
        sources[t][0].demand / count
    });
    let times = whole.fold(times.min(*units), u32::min).max(1);
    *units -= times;
    if kind.is_plain() {
        let mut runs = vec![Vec::new(); kind.all_runs];
        runs[kind.first_run] = draw_plain(column, times, sources);
        return Pattern { stock: *index, times, runs };
    }
    let mut runs = vec![Vec::new(); kind.all_runs];
    let in_use = &mut runs[kind.first_run..];
    let mut at = 0;
    for &(t, count) in &column.pieces {
        for _ in 0..count {
            let source = sources[t]
                .iter_mut()
                .find(|source| source.demand > 0)
                .expect("a plan keeps to the demand");
            source.demand -= times;
            if instance.types[t].parts.len() == 1 {
                in_use[arrangement.run_of[at]]
                    .extend(source.order.iter().map(|&part| (source.item, part)));
                at += 1;
            } else {
                for &part in &source.order {
                    in_use[arrangement.run_of[at]].push((source.item, part));
                    at += 1;
                }
            }
        }
    }
    Pattern { stock: *index, times, runs: runs.into_iter().map(count_up).collect() }
}

/// The next items for a column that lies in one run, so many at a time as come
/// from one item.
fn draw_plain(column: &Column, times: u32, sources: &mut [Vec<ItemSource>]) -> Vec<Piece> {
    let mut pieces = Vec::new();
    for &(t, count) in &column.pieces {
        let mut left = count;
        let mut next = 0;
        while left > 0 {
            let source = &mut sources[t][next];
            // All units take the same: from the next item, what it has for each.
            let taken = (source.demand / times).min(left);
            source.demand -= taken * times;
            left -= taken;
            next += 1;
            let parts = source.order.iter().filter(|_| taken > 0);
            pieces.extend(parts.map(|&part| Piece { item: source.item, part, count: taken }));
        }
    }
    pieces.sort_unstable();
    pieces
}

fn count_up(mut parts: Vec<(usize, usize)>) -> Vec<Piece> {
    parts.sort_unstable();
    let mut pieces: Vec<Piece> = Vec::new();
    for (item, part) in parts {
        match pieces.last_mut() {
            Some(last) if (last.item, last.part) == (item, part) => last.count += 1,
            _ => pieces.push(Piece { item, part, count: 1 }),
        }
    }
    pieces
}
