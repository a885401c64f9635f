//! Which total costs are possible at all, so that a bound can be rounded up to
//! the next of them.

use crate::solve::instance::{Instance, gcd};

/// The largest table of sums that is kept.
const MOST_SUMS: i64 = 1 << 22;
/// Sums times kinds at most: none of the sums is looked at more often.
const MOST_WORK: i64 = 1 << 26;

/// The total costs that units of stock can add up to.
pub(crate) struct Sums {
    /// Every total is a multiple of this.
    step: i64,
    /// Cost in steps and supply of each kind, where nothing is credited.
    kinds: Option<Vec<(i64, u32)>>,
    /// Whether `step x index` is a total, for as far as the table has grown.
    table: Vec<bool>,
}

impl Sums {
    pub fn new(instance: &Instance) -> Sums {
        let costs = instance.kinds.iter().map(|kind| kind.cost);
        let scales = instance.kinds.iter().filter_map(|kind| kind.credit.map(|c| c.scale));
        let step = costs.chain(scales).fold(0, gcd).max(1);
        let bare =
            |kind: &crate::solve::instance::StockKind| kind.credit.is_none() && kind.cost > 0;
        let kinds = instance.kinds.iter().all(bare).then(|| {
            let kinds = instance.kinds.iter();
            kinds.map(|kind| (kind.cost / step, kind.supply)).collect()
        });
        Sums { step, kinds, table: Vec::new() }
    }

    /// The least possible total of at least `bound`.
    pub fn round_up(&mut self, bound: i128) -> i128 {
        let step = i128::from(self.step);
        let steps = super::material::ceil_div(bound, step);
        self.reach(steps).unwrap_or(steps) * step
    }

    /// The least sum of at least `steps`, if the table can tell.
    fn reach(&mut self, steps: i128) -> Option<i128> {
        let kinds = self.kinds.as_ref()?;
        let steps = i64::try_from(steps.max(0)).ok()?;
        let dearest = kinds.iter().map(|&(cost, _)| cost).max()?;
        let end = steps.checked_add(dearest)?;
        let each = i64::try_from(kinds.len()).ok()?;
        if end >= MOST_SUMS.min(MOST_WORK / each) || each == 1 && kinds[0].0 == 1 {
            return None;
        }
        let size = usize::try_from(end).ok()? + 1;
        if self.table.len() < size {
            self.table = table(kinds, size + size / 4);
        }
        let start = usize::try_from(steps).ok()?;
        (start..self.table.len()).find(|&s| self.table[s]).map(|s| s as i128)
    }
}

/// Bounded subset sums in one pass a kind: `used[s]` is the fewest units of the
/// kind that sum `s` needs on top of the kinds before.
fn table(kinds: &[(i64, u32)], size: usize) -> Vec<bool> {
    let mut table = vec![false; size];
    table[0] = true;
    for &(cost, supply) in kinds {
        let Ok(cost) = usize::try_from(cost) else {
            continue;
        };
        let mut used = vec![0u32; size];
        for s in cost..size {
            if !table[s] && table[s - cost] && used[s - cost] < supply {
                table[s] = true;
                used[s] = used[s - cost] + 1;
            }
        }
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solve::problem::{Item, Problem, Run, Stock};

    fn stock(length: i64, cost: i64, supply: Option<u32>) -> Stock {
        let run = Run::clear(length);
        Stock { runs: vec![run], cost, supply, credit: None, group: 0 }
    }

    #[test]
    fn a_bound_goes_up_to_the_next_total_that_stock_can_cost() {
        let item = Item { parts: vec![1], demand: 9, group: None };
        let problem =
            Problem { stock: vec![stock(10, 30, Some(2)), stock(12, 48, None)], items: vec![item] };
        let mut sums = Sums::new(&Instance::new(&problem));
        let totals = [(0, 0), (1, 30), (31, 48), (49, 60), (61, 78), (79, 96), (97, 108)];
        for (bound, total) in totals {
            assert_eq!(sums.round_up(bound), total, "from {bound}");
        }
    }
}
