//! A depth-first search through the table of values for many different
//! patterns that gain, or for all of them, after da Silva and Schouery, "Solving
//! cutting stock problems via an extended Ryan-Foster scheme and fast column
//! generation" (INFORMS Journal on Computing 2023.0399).

use super::bundles::PricedType;
use super::subproblems::Subproblem;
use super::table::ValueTable;
use crate::solve::bounds::knapsack::LengthRange;
use crate::solve::cutting_plan::Column;
use crate::solve::instance::{Instance, StockKind};
use crate::solve::layout::{Contents, arrange_counting};
use crate::solve::prices::Prices;
use crate::solve::watchman::Watchman;

/// Steps between two looks at the clock.
const LOOK: u64 = 256;

/// Types in one pattern at most: the search goes no deeper, and then counts as
/// cut off.
const MOST_TYPES: usize = 2_000;

/// A depth-first search for patterns that gain more than `floor`.
pub(crate) struct Enumeration<'a> {
    pub instance: &'a Instance,
    pub class: &'a Subproblem,
    pub prices: &'a Prices,
    pub choices: &'a [PricedType],
    pub table: &'a ValueTable,
    /// Kinds to make patterns for, as places in the class.
    pub kinds: &'a [usize],
    /// The least that a pattern of each cell costs.
    least: Vec<i64>,
    /// The least that a pattern of each kind costs in each cell.
    paid: Vec<Vec<i64>>,
    pub floor: i64,
    /// Raise the floor to the best found.
    pub best_only: bool,
    /// Make a column for every kind that gains, not only for the best.
    pub every_kind: bool,
    /// Do not follow types that are in this many columns.
    pub often: u32,
    seen: Vec<u32>,
    pub left: u64,
    /// Ends the search as if its steps were used up.
    pub watchman: Watchman<'a>,
    /// Keep no pattern that takes less than this.
    pub shortest: i64,
    /// Stop once more than this many are found.
    pub most_found: usize,
    pub found: Vec<(i64, Column)>,
    /// Whether some cost might be less than what was found for it.
    pub doubt: bool,
    /// For each of `kinds`, the lengths that count, where only some do.
    within: Vec<Option<&'a [LengthRange]>>,
    taken: Contents,
    /// Whether some types may not be together.
    split: bool,
    /// For each type the cuts that speak of it and have a price.
    cuts: Vec<Vec<usize>>,
}

impl<'a> Enumeration<'a> {
    #[allow(clippy::too_many_arguments)]
    pub fn new(
        instance: &'a Instance,
        class: &'a Subproblem,
        prices: &'a Prices,
        choices: &'a [PricedType],
        table: &'a ValueTable,
        kinds: &'a [usize],
        floor: i64,
        steps: u64,
    ) -> Enumeration<'a> {
        let paid: Vec<Vec<i64>> = kinds
            .iter()
            .map(|&c| {
                class.costs[c].iter().map(|&cost| prices.paid(class.kinds[c], cost)).collect()
            })
            .collect();
        let cells = class.ends.len();
        let least = (0..cells)
            .map(|cell| {
                paid.iter().filter_map(|paid| paid.get(cell)).min().copied().unwrap_or(i64::MAX)
            })
            .collect();
        Enumeration {
            instance,
            class,
            prices,
            choices,
            table,
            kinds,
            least,
            paid,
            floor,
            best_only: false,
            every_kind: false,
            often: u32::MAX,
            seen: vec![0; instance.types.len()],
            left: steps,
            watchman: Watchman::default(),
            shortest: 0,
            most_found: usize::MAX,
            found: Vec::new(),
            doubt: false,
            within: vec![None; kinds.len()],
            taken: Vec::new(),
            split: instance.is_split(),
            cuts: priced(instance, prices),
        }
    }

    /// Finds only patterns of these lengths, and of the worth that each needs;
    /// the floor must not change afterwards.
    pub fn keep_within(&mut self, stretches: &'a [Option<Vec<LengthRange>>]) {
        for (i, &c) in self.kinds.iter().enumerate() {
            let of_kind = stretches.get(self.class.kinds[c]).and_then(Option::as_ref);
            self.within[i] = of_kind.map(Vec::as_slice);
            let Some(stretches) = self.within[i] else {
                continue;
            };
            let mut first = 1;
            for (paid, &end) in self.paid[i].iter_mut().zip(&self.class.ends) {
                let from = stretches.partition_point(|stretch| stretch.last < first);
                let met = stretches[from..].iter().take_while(|stretch| stretch.first <= end);
                // As if a pattern had to gain more than the floor over this.
                let needed = met.map(|stretch| stretch.worth - 1 - self.floor).min();
                *paid = needed.map_or(i64::MAX, |needed| needed.max(*paid));
                first = end + 1;
            }
        }
        for (cell, least) in self.least.iter_mut().enumerate() {
            let paid = self.paid.iter().filter_map(|paid| paid.get(cell));
            *least = paid.min().copied().unwrap_or(i64::MAX);
        }
    }

    /// Whether a pattern of that length and worth counts for the kind.
    fn is_within(&self, i: usize, length: i64, value: i64) -> bool {
        self.within[i].is_none_or(|stretches| {
            let next = stretches.partition_point(|stretch| stretch.last < length);
            stretches.get(next).is_some_and(|s| s.first <= length && s.worth <= value)
        })
    }

    /// Whether some pattern beyond this one, of choices from `j` on, might gain
    /// more than the floor.
    fn hopeful(&self, j: usize, length: i64, value: i64) -> bool {
        let first = self.class.cell(length.max(1));
        (first..self.least.len()).rev().any(|cell| {
            let least = self.least[cell];
            let more = || self.table.best(j, self.class.ends[cell] - length);
            least < i64::MAX && value + more() - least > self.floor
        })
    }

    /// Extends the pattern in hand by choices from `j` on; false when the steps
    /// are used up.
    pub fn search(&mut self, j: usize, length: i64, value: i64) -> bool {
        if self.taken.len() > MOST_TYPES {
            self.left = 0;
            return false;
        }
        let room = self.class.room();
        for j in j..self.choices.len() {
            if !self.hopeful(j, length, value) {
                return true;
            }
            let choice = self.choices[j];
            let (mut length, mut value) = (length, value);
            for count in 1..=choice.most {
                length += choice.length;
                value += choice.value - self.cut_price(choice.of_type, count);
                if length > room || self.seen[choice.of_type] >= self.often {
                    break;
                }
                if self.left == 0 || self.found.len() > self.most_found {
                    return false;
                }
                self.left -= 1;
                if self.left % LOOK == 0 && self.watchman.is_late() {
                    self.left = 0;
                    return false;
                }
                if self.split && !self.admits(choice.of_type, count) {
                    break;
                }
                if !self.hopeful(j + 1, length, value) {
                    continue;
                }
                self.taken.push((choice.of_type, count));
                let fits = self.record(length, value);
                let going = !fits || self.search(j + 1, length, value);
                self.taken.pop();
                if !going {
                    return false;
                }
                if !fits {
                    break;
                }
            }
        }
        true
    }

    /// What one more of a type, which then is there `count` times, makes the
    /// pattern in hand pay for cuts. More pieces never make that less.
    fn cut_price(&self, of_type: usize, count: u32) -> i64 {
        let price = |&c: &usize| {
            let cut = &self.instance.cuts[c];
            let others = self.taken.iter().filter(|(t, _)| cut.types().contains(t));
            let others = others.map(|(_, count)| count).sum::<u32>();
            // It becomes a pair with every second piece.
            if (others + count) % 2 == 0 { self.prices.cut[c] } else { 0 }
        };
        self.cuts.get(of_type).map_or(0, |cuts| cuts.iter().map(price).sum())
    }

    /// Whether the pattern in hand may have that many of a type.
    fn admits(&self, of_type: usize, count: u32) -> bool {
        let apart = &self.instance.types[of_type].apart;
        !(count > 1 && apart.contains(&of_type))
            && self.taken.iter().all(|(other, _)| !apart.contains(other))
    }

    /// Keeps the pattern in hand if it gains enough; whether it or more might
    /// fit some kind.
    fn record(&mut self, length: i64, value: i64) -> bool {
        if length < self.shortest {
            return true;
        }
        let cell = self.class.cell(length);
        let mut best: Option<(i64, usize, i64)> = None;
        let mut fits = false;
        for (i, &c) in self.kinds.iter().enumerate() {
            let k = self.class.kinds[c];
            let kind = &self.instance.kinds[k];
            if length > kind.room {
                continue;
            }
            let paid = self.paid[i][cell];
            let hopeful = paid < i64::MAX && value - paid > self.floor;
            let hopeful = hopeful && self.is_within(i, length, value);
            if kind.is_plain() {
                fits = true;
                if !hopeful {
                    continue;
                }
            }
            let Some(cost) = self.cost(kind, length) else {
                continue;
            };
            fits = true;
            let gain = value - self.prices.paid(k, cost);
            if gain <= self.floor {
                continue;
            }
            if self.every_kind {
                self.keep(gain, k, cost);
            } else if best.is_none_or(|(most, ..)| gain > most) {
                best = Some((gain, k, cost));
            }
        }
        if let Some((gain, k, cost)) = best {
            self.keep(gain, k, cost);
            if self.best_only {
                self.floor = gain;
            }
        }
        fits
    }

    fn cost(&mut self, kind: &StockKind, length: i64) -> Option<i64> {
        if kind.is_plain() {
            return Some(kind.cost_at(length));
        }
        let mut pieces = self.taken.clone();
        pieces.sort_unstable();
        let mut steps = 0;
        let arrangement = arrange_counting(self.instance, kind, &pieces, &mut steps);
        self.left = self.left.saturating_sub(steps);
        let arrangement = arrangement?;
        self.doubt |= !arrangement.sure;
        Some(arrangement.cost)
    }

    fn keep(&mut self, gain: i64, kind: usize, cost: i64) {
        let mut pieces = self.taken.clone();
        pieces.sort_unstable();
        for &(t, _) in &pieces {
            self.seen[t] += 1;
        }
        self.found.push((gain, Column { kind, pieces, cost }));
    }

    /// Adds one column by its pieces.
    pub fn add(&mut self, kind: usize, pieces: Contents) {
        let value: i64 = pieces.iter().map(|&(t, n)| self.prices.piece[t] * i64::from(n)).sum();
        let paid = self.prices.cut_paid(self.instance, &pieces);
        if let Some(column) = Column::new(self.instance, kind, pieces) {
            let gain = value - paid - self.prices.paid(kind, column.cost);
            if gain > 0 {
                self.found.push((gain, column));
            }
        }
    }
}

/// For each type the cuts that speak of it and have a price; nothing if none has.
fn priced(instance: &Instance, prices: &Prices) -> Vec<Vec<usize>> {
    if prices.cut.iter().all(|&price| price == 0) {
        return Vec::new();
    }
    let mut cuts = vec![Vec::new(); instance.types.len()];
    for (c, cut) in instance.cuts.iter().enumerate().filter(|&(c, _)| prices.cut[c] > 0) {
        cut.types().iter().for_each(|&t| cuts[t].push(c));
    }
    cuts
}
