//! Pricing: the patterns that gain most over their cost at given prices.
//!
//! One table of values serves all stock lengths and their credit (Gilmore and
//! Gomory 1961, 1963). A depth-first search through the table brings many
//! different patterns at a time, after da Silva and Schouery, "Solving cutting
//! stock problems via an extended Ryan-Foster scheme and fast column
//! generation" (INFORMS Journal on Computing 2023.0399). All values are
//! integers, so the greatest gain of each kind is a proof.

use super::fronts::Stretch;
use super::instance::{Instance, Kind};
use super::layout::{Pieces, arrange};
use super::market::Class;
use super::plan::Column;
use super::table::{Cells, Choice, Grain, Table};

/// A type in this many columns of one search is no longer followed.
const OFTEN: u32 = 6;
/// A column is kept while each of its types is in fewer kept columns.
const KEPT: u32 = 3;
/// Patterns over several runs that are tried to find the best exactly.
const RUN_STEPS: u64 = 4_000;

/// Prices in fixed point: `scale` stands for one unit of cost.
#[derive(Debug, Clone)]
pub(super) struct Prices {
    pub scale: i64,
    /// What a piece of each type is worth, never negative.
    pub piece: Vec<i64>,
    /// What a unit of each kind costs beside its net cost, never negative.
    pub charge: Vec<i64>,
    /// Whether net costs count at all; without them prices speak of
    /// feasibility alone.
    pub costs: bool,
}

impl Prices {
    /// What the kind costs when `cost` is its net cost.
    fn paid(&self, kind: usize, cost: i64) -> i64 {
        self.charge[kind] + if self.costs { self.scale * cost } else { 0 }
    }
}

/// The answer of pricing.
pub(super) struct Quote {
    /// No pattern of the kind is worth more than its net cost and this,
    /// charges left aside.
    pub gain: Vec<i64>,
    /// Patterns that gain something over net cost and charge, best first.
    pub columns: Vec<(i64, Column)>,
    /// Whether the gains are to the last digit.
    pub fine: bool,
    pub work: u64,
}

/// How far pricing goes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Extent {
    /// Steps of the search for more columns than the best.
    pub steps: u64,
    /// The most of a unit that may be left.
    pub waste: Option<i64>,
    pub grain: Grain,
}

impl Extent {
    /// The best alone, to the last digit.
    pub const BEST: Extent = Extent { steps: 0, waste: None, grain: Grain::Fine };
}

/// Patterns at the prices, made of no more than `wanted`, from kinds with some
/// `supply`.
pub(super) fn price(
    instance: &Instance,
    classes: &[Class],
    prices: &Prices,
    wanted: &[u32],
    supply: &[u32],
    extent: Extent,
    cells: &mut Cells,
) -> Quote {
    let Extent { steps, waste, grain } = extent;
    let mut quote =
        Quote { gain: vec![0; instance.kinds.len()], columns: Vec::new(), fine: true, work: 0 };
    for class in classes {
        let kinds: Vec<usize> =
            (0..class.kinds.len()).filter(|&c| supply[class.kinds[c]] > 0).collect();
        if kinds.is_empty() {
            continue;
        }
        // Pieces without worth fill what may not be wasted.
        let least = if waste.is_some() { 0 } else { 1 };
        let choices = choices(instance, class, prices, wanted, least);
        let table = Table::new(&choices, class.room(), waste, grain, cells);
        quote.work += table.work;
        quote.fine &= table.fine;
        let mut hunt = Hunt::new(instance, class, prices, &choices, &table, &kinds, 0, steps);
        hunt.often = OFTEN;
        hunt.shortest = waste.map_or(0, |waste| class.room() - waste);
        bests(instance, class, prices, wanted, &mut hunt, &mut quote);
        if !hunt.found.is_empty() {
            hunt.left = steps;
            hunt.search(0, 0, 0);
        }
        quote.work += steps - hunt.left;
        let found = std::mem::take(&mut hunt.found);
        table.give_back(cells);
        quote.columns.extend(diverse(found, wanted.len()));
    }
    quote.columns.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
    quote.columns.dedup_by(|a, b| a.1 == b.1);
    quote
}

/// The types worth at least so much, longest first.
pub(super) fn choices(
    instance: &Instance,
    class: &Class,
    prices: &Prices,
    wanted: &[u32],
    least: i64,
) -> Vec<Choice> {
    let room = class.room();
    let types = class.types.iter().copied();
    let mut choices: Vec<Choice> = types
        .filter(|&t| wanted[t] > 0 && prices.piece[t] >= least && instance.types[t].length <= room)
        .map(|t| Choice {
            of_type: t,
            length: instance.types[t].length,
            value: prices.piece[t],
            most: wanted[t],
        })
        .collect();
    choices.sort_by_key(|choice| -choice.length);
    choices
}

/// The best pattern of each kind, and its gain for the bound.
fn bests(
    instance: &Instance,
    class: &Class,
    prices: &Prices,
    wanted: &[u32],
    hunt: &mut Hunt,
    quote: &mut Quote,
) {
    let front = hunt.table.front();
    let open = class.types.iter().filter(|&&t| wanted[t] > 0);
    let Some(shortest) = open.copied().min_by_key(|&t| instance.types[t].length) else {
        return;
    };
    let least = instance.types[shortest].length;
    for &c in hunt.kinds {
        let k = class.kinds[c];
        let kind = &instance.kinds[k];
        let cost = |length: i64| {
            if prices.costs { prices.scale * kind.cost_at(length) } else { 0 }
        };
        // A pattern of pieces without worth costs at least this.
        let idle = -cost(least.min(kind.room));
        let end = front.partition_point(|&(length, _)| length <= kind.room);
        let best = best_entry(&front[..end], &cost, kind.credit.is_none());
        quote.work += 1;
        if idle > prices.charge[k] {
            hunt.add(k, vec![(shortest, 1)]);
        }
        quote.gain[k] = idle;
        let Some((gain, room)) = best else { continue };
        quote.gain[k] = gain.max(idle);
        if gain <= prices.charge[k] {
            continue;
        }
        let traced = (kind.is_plain() && hunt.table.attained).then(|| {
            let counts = hunt.table.trace(hunt.choices, room);
            pieces(hunt.choices, &counts)
        });
        if let Some(pieces) = traced.filter(|pieces| instance.agree(pieces)) {
            hunt.add(k, pieces);
        } else {
            quote.gain[k] = search_one(hunt, c).map_or(quote.gain[k], |gain| gain.max(idle));
        }
    }
}

/// The entry of most value over cost, where costs rise with the length. Blocks
/// are skipped whole where their last value at their first cost is no better.
fn best_entry(front: &[(i64, i64)], cost: &dyn Fn(i64) -> i64, level: bool) -> Option<(i64, i64)> {
    fn look(block: &[(i64, i64)], cost: &dyn Fn(i64) -> i64, best: &mut Option<(i64, i64)>) {
        let (Some(first), Some(last)) = (block.first(), block.last()) else {
            return;
        };
        let most = last.1 - cost(first.0);
        if best.is_some_and(|(gain, _)| most <= gain) {
            return;
        }
        if block.len() == 1 {
            *best = Some((most, last.0));
            return;
        }
        let (left, right) = block.split_at(block.len() / 2);
        look(right, cost, best);
        look(left, cost, best);
    }
    if level {
        return front.last().map(|&(length, value)| (value - cost(length), length));
    }
    let mut best = None;
    look(front, cost, &mut best);
    best
}

/// Searches one kind for its best pattern; its gain without the charge if the
/// search was complete.
fn search_one(hunt: &mut Hunt, c: usize) -> Option<i64> {
    let kinds = [c];
    let mut one = Hunt::new(
        hunt.instance,
        hunt.class,
        hunt.prices,
        hunt.choices,
        hunt.table,
        &kinds,
        0,
        RUN_STEPS,
    );
    one.best_only = true;
    one.shortest = hunt.shortest;
    one.search(0, 0, 0);
    let complete = one.left > 0 && !one.doubt;
    let charge = hunt.prices.charge[hunt.class.kinds[c]];
    let gain = one.floor + charge;
    hunt.found.append(&mut one.found);
    complete.then_some(gain)
}

pub(super) fn pieces(choices: &[Choice], counts: &[u32]) -> Pieces {
    let counted = choices.iter().zip(counts).filter(|&(_, &count)| count > 0);
    let mut pieces: Pieces = counted.map(|(choice, &count)| (choice.of_type, count)).collect();
    pieces.sort_unstable();
    pieces
}

/// The best columns, no type in many of them; the very best of each kind stay.
fn diverse(mut found: Vec<(i64, Column)>, types: usize) -> Vec<(i64, Column)> {
    found.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
    found.dedup_by(|a, b| a.1 == b.1);
    let mut kept = vec![0; types];
    let mut led: Vec<usize> = Vec::new();
    found.retain(|(_, column)| {
        let leads = !led.contains(&column.kind);
        let fresh = column.pieces.iter().all(|&(t, _)| kept[t] < KEPT);
        if leads || fresh {
            led.push(column.kind);
            column.pieces.iter().for_each(|&(t, _)| kept[t] += 1);
        }
        leads || fresh
    });
    found
}

/// A depth-first search for patterns that gain more than `floor`.
pub(super) struct Hunt<'a> {
    instance: &'a Instance,
    class: &'a Class,
    prices: &'a Prices,
    choices: &'a [Choice],
    table: &'a Table,
    /// Kinds to make patterns for, as places in the class.
    kinds: &'a [usize],
    /// The least that a pattern of each cell costs.
    least: Vec<i64>,
    /// The least that a pattern of each kind costs in each cell.
    paid: Vec<Vec<i64>>,
    floor: i64,
    /// Raise the floor to the best found.
    pub best_only: bool,
    /// Make a column for every kind that gains, not only for the best.
    pub every_kind: bool,
    /// Do not follow types that are in this many columns.
    pub often: u32,
    seen: Vec<u32>,
    pub left: u64,
    /// Keep no pattern that takes less than this.
    pub shortest: i64,
    /// Stop once more than this many are found.
    pub most_found: usize,
    pub found: Vec<(i64, Column)>,
    /// Whether some cost might be less than what was found for it.
    pub doubt: bool,
    /// For each of `kinds`, the lengths that count, where only some do.
    within: Vec<Option<&'a [Stretch]>>,
    taken: Pieces,
    /// Whether some types may not be together.
    split: bool,
}

impl<'a> Hunt<'a> {
    #[allow(clippy::too_many_arguments)]
    pub fn new(
        instance: &'a Instance,
        class: &'a Class,
        prices: &'a Prices,
        choices: &'a [Choice],
        table: &'a Table,
        kinds: &'a [usize],
        floor: i64,
        steps: u64,
    ) -> Hunt<'a> {
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
        Hunt {
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
            shortest: 0,
            most_found: usize::MAX,
            found: Vec::new(),
            doubt: false,
            within: vec![None; kinds.len()],
            taken: Vec::new(),
            split: instance.is_split(),
        }
    }

    /// Finds only patterns of these lengths, and of the worth that each needs;
    /// the floor must not change afterwards.
    pub fn keep_within(&mut self, stretches: &'a [Option<Vec<Stretch>>]) {
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
        let room = self.class.room();
        for j in j..self.choices.len() {
            if !self.hopeful(j, length, value) {
                return true;
            }
            let choice = self.choices[j];
            let (mut length, mut value) = (length, value);
            for count in 1..=choice.most {
                length += choice.length;
                value += choice.value;
                if length > room || self.seen[choice.of_type] >= self.often {
                    break;
                }
                if self.left == 0 || self.found.len() > self.most_found {
                    return false;
                }
                self.left -= 1;
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

    fn cost(&mut self, kind: &Kind, length: i64) -> Option<i64> {
        if kind.is_plain() {
            return Some(kind.cost_at(length));
        }
        let mut pieces = self.taken.clone();
        pieces.sort_unstable();
        let arrangement = arrange(self.instance, kind, &pieces)?;
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
    fn add(&mut self, kind: usize, pieces: Pieces) {
        let value: i64 = pieces.iter().map(|&(t, n)| self.prices.piece[t] * i64::from(n)).sum();
        if let Some(column) = Column::new(self.instance, kind, pieces) {
            let gain = value - self.prices.paid(kind, column.cost);
            if gain > 0 {
                self.found.push((gain, column));
            }
        }
    }
}
