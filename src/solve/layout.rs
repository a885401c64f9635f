//! Which run of a unit each part goes to, at the least net cost.

use super::instance::{Instance, StockKind};

/// Steps after which the best arrangement so far is taken.
const MOST_STEPS: u32 = 20_000;

/// A pattern's contents: types and how many of each, types rising.
pub(crate) type Contents = Vec<(usize, u32)>;

/// How the parts of a pattern lie in the runs of its unit.
#[derive(Debug, Clone)]
pub(crate) struct Arrangement {
    /// The net cost.
    pub cost: i64,
    /// The run of each part: type by type, piece by piece, part by part. Empty
    /// where there is one run.
    pub run_of: Vec<usize>,
    /// Whether no arrangement costs less.
    pub sure: bool,
}

/// So many steps of arranging weigh as much as one of a search for patterns.
const ARRANGED_A_STEP: u64 = 16;

/// The cheapest arrangement of the pieces in a unit of the kind, if they fit.
///
/// Exact up to `MOST_STEPS` steps of a depth-first search over the runs of each
/// part, longest part first, equal parts in the order of their runs.
pub(crate) fn arrange(
    instance: &Instance,
    kind: &StockKind,
    pieces: &[(usize, u32)],
) -> Option<Arrangement> {
    arrange_counting(instance, kind, pieces, &mut 0)
}

/// The same, with the steps of a search for patterns that it takes added to `steps`.
pub(crate) fn arrange_counting(
    instance: &Instance,
    kind: &StockKind,
    pieces: &[(usize, u32)],
    steps: &mut u64,
) -> Option<Arrangement> {
    let length =
        |&(t, count): &(usize, u32)| i128::from(instance.types[t].length) * i128::from(count);
    let total = pieces.iter().map(length).sum::<i128>();
    let total = i64::try_from(total).ok().filter(|&total| total <= kind.room)?;
    // In one run there is nothing to arrange, however many pieces there are.
    if kind.is_plain() {
        return Some(Arrangement { cost: kind.cost_at(total), run_of: Vec::new(), sure: true });
    }
    let parts: Vec<i64> = pieces
        .iter()
        .flat_map(|&(t, count)| {
            (0..count).flat_map(move |_| instance.types[t].parts.iter().copied())
        })
        .collect();
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by_key(|&p| (-parts[p], p));
    let mut search = Arranging {
        kind,
        parts: order.iter().map(|&p| parts[p]).collect(),
        taken: vec![0; kind.runs.len()],
        runs: vec![0; parts.len()],
        floor: kind.cost_at(total),
        best: None,
        steps: 0,
    };
    search.search();
    *steps += u64::from(search.steps) / ARRANGED_A_STEP;
    let sure = search.steps < MOST_STEPS;
    let (cost, runs) = search.best?;
    let mut run_of = vec![0; parts.len()];
    for (position, &p) in order.iter().enumerate() {
        run_of[p] = runs[position];
    }
    Some(Arrangement { cost, run_of, sure })
}

struct Arranging<'a> {
    kind: &'a StockKind,
    parts: Vec<i64>,
    taken: Vec<i64>,
    runs: Vec<usize>,
    floor: i64,
    best: Option<(i64, Vec<usize>)>,
    steps: u32,
}

impl Arranging<'_> {
    /// Tries every run for every part, depth first, the last part first to move
    /// on; ends at once at an arrangement than which none costs less.
    fn search(&mut self) {
        let mut p = 0;
        // The run that the part at hand is tried in next.
        let mut next = 0;
        loop {
            if next == 0 || p == self.parts.len() {
                self.steps += 1;
            }
            if p == self.parts.len() && self.is_least() || self.steps >= MOST_STEPS {
                return;
            }
            match self.roomy(p, next) {
                Some(r) => {
                    self.taken[r] += self.parts[p];
                    self.runs[p] = r;
                    p += 1;
                    next = 0;
                }
                None if p == 0 => return,
                None => {
                    p -= 1;
                    self.taken[self.runs[p]] -= self.parts[p];
                    next = self.runs[p] + 1;
                }
            }
        }
    }

    /// The first run from `next` on with room for part `p`, none before that of an
    /// equal part.
    fn roomy(&self, p: usize, next: usize) -> Option<usize> {
        let part = *self.parts.get(p)?;
        let equal = p > 0 && self.parts[p - 1] == part;
        let first = if equal { next.max(self.runs[p - 1]) } else { next };
        let fits = |&r: &usize| self.taken[r] + part <= self.kind.runs[r].room;
        (first..self.taken.len()).find(fits)
    }

    /// Keeps the arrangement of all parts if it is the best so far; whether no
    /// other costs less.
    fn is_least(&mut self) -> bool {
        let cost = self.kind.net_cost(&self.taken);
        if self.best.as_ref().is_none_or(|(best, _)| cost < *best) {
            self.best = Some((cost, self.runs.clone()));
        }
        self.kind.credit.is_none() || cost == self.floor
    }
}

#[cfg(test)]
mod tests {
    use super::super::problem::{Credit, Item, Problem, Run, STRAIGHT, Stock};
    use super::*;

    /// A stick of 100 with a flaw from 40 to 50; an inch kept is worth one.
    fn flawed(lengths: &[i64]) -> Instance {
        let first = Run { tail: 100, ..Run::clear(40) };
        let second = Run::clear(50);
        let credit = Credit {
            keep: 20,
            full: 20,
            share: 1_000_000,
            knots: STRAIGHT,
            rate: 1,
            per: 1,
            scale: 1,
        };
        let stock = Stock {
            runs: vec![first, second],
            cost: 100,
            supply: None,
            credit: Some(credit),
            group: 0,
        };
        let item = |&length: &i64| Item { parts: vec![length], demand: 1, group: None };
        Instance::new(&Problem { stock: vec![stock], items: lengths.iter().map(item).collect() })
    }

    // Computed by hand: from the first run, 100 - 30 = 70 are left in one piece;
    // from the second, 40 before it and 20 after it.
    #[test]
    fn a_part_goes_where_most_is_left() {
        let instance = flawed(&[30]);
        let arrangement = arrange(&instance, &instance.kinds[0], &[(0, 1)]).expect("it fits");
        assert_eq!((arrangement.cost, arrangement.run_of), (30, vec![0]));
    }

    #[test]
    fn parts_that_fit_only_across_runs_are_shared_out() {
        let instance = flawed(&[45, 38]);
        let arrangement =
            arrange(&instance, &instance.kinds[0], &[(0, 1), (1, 1)]).expect("they fit");
        assert_eq!((arrangement.cost, arrangement.run_of), (100, vec![1, 0]));
        let instance = flawed(&[45, 41]);
        assert!(arrange(&instance, &instance.kinds[0], &[(0, 1), (1, 1)]).is_none());
    }
}
