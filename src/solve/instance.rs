//! The problem as the search sees it: equal items and equal stock merged,
//! lengths in their largest common unit.
//!
//! # Why runs that no part fits are left out
//!
//! A flaw near the end leaves a run too short for any rail. Bounds that only know
//! lengths would take that run and what is left of the other for one long remainder,
//! which is worth more than the two: on made-up rooms that was nearly all that was
//! left between bound and plan. Without the short run the stick has one run, and all
//! is exact.

use std::collections::BTreeMap;
use std::ops::Range;
use std::rc::Rc;

use super::problem::{Credit, Item, Problem, Run, Stock};
use super::subset_row::SubsetRow;

/// Equal items, taken together.
#[derive(Debug, Clone)]
pub(crate) struct Type {
    /// The lengths of the parts in units, longest first. One entry where no
    /// stock has several runs, since there the parts only add up.
    pub parts: Vec<i64>,
    /// The sum of the parts.
    pub length: i64,
    pub demand: u32,
    pub group: Option<u32>,
    /// Where the demand comes from.
    pub sources: Vec<ItemSource>,
    /// The types of the whole problem that the type is put together from, and
    /// how many of each.
    pub made_of: Vec<(usize, u32)>,
    /// Types that may not be in one pattern with this one; itself, if there may
    /// not be two.
    pub apart: Vec<usize>,
}

/// One item of the problem within a type.
#[derive(Debug, Clone)]
pub(crate) struct ItemSource {
    pub item: usize,
    pub demand: u32,
    /// The part of the item behind each part of the type, longest first.
    pub order: Vec<usize>,
}

/// Equal stock, taken together.
#[derive(Debug, Clone)]
pub(crate) struct StockKind {
    /// The runs in use. Room in units; what is left as in the problem.
    pub runs: Vec<Run>,
    /// How many runs of the problem's stock come before them, and how many
    /// there are in all.
    pub first_run: usize,
    pub all_runs: usize,
    /// The room of all runs, in units.
    pub room: i64,
    /// The problem's length that a unit stands for.
    pub unit: i64,
    /// What is left at most when nothing is taken, in the problem's lengths.
    tail: i64,
    /// What a unit costs, less the credit for runs before those in use.
    pub cost: i64,
    pub credit: Option<Credit>,
    pub group: u32,
    /// Never more than the pieces that could come from it.
    pub supply: u32,
    /// Whether the supply can ever run out.
    pub limited: bool,
    /// Stock of the problem and the units of each.
    pub stocks: Vec<(usize, u32)>,
    /// The stretches of length that units of a better plan can be cut for,
    /// where that is known: others count as cut for the next longer one.
    pub lengths: Option<Rc<[(i64, i64)]>>,
}

/// The merged problem.
#[derive(Debug, Clone)]
pub(crate) struct Instance {
    pub types: Vec<Type>,
    pub kinds: Vec<StockKind>,
    /// What patterns may do together only so often, for a tighter linear program.
    pub cuts: Vec<SubsetRow>,
}

impl StockKind {
    /// Whether the kind is cut from one clear run.
    pub fn is_plain(&self) -> bool {
        self.runs.len() == 1
    }

    /// The net cost with `taken` units cut away: exact in a single run, a lower
    /// bound over several, because a remainder is worth at least its halves.
    pub fn cost_at(&self, taken: i64) -> i64 {
        let Some(credit) = &self.credit else {
            return self.cost;
        };
        let taken = match &self.lengths {
            None => taken,
            Some(lengths) => {
                let next = lengths.partition_point(|&(_, last)| last < taken);
                match lengths.get(next) {
                    Some(&(first, _)) => first.max(taken),
                    None => return self.cost.saturating_mul(2),
                }
            }
        };
        self.cost - credit.at(self.tail - taken * self.unit)
    }

    /// The lengths taken, between `least` and the room, where the cost's shape
    /// changes. Between two neighbours the credit is convex.
    pub fn corners(&self, least: i64) -> Vec<i64> {
        let mut corners = vec![least, self.room];
        if let Some(credit) = &self.credit {
            for level in credit.levels() {
                let last = (self.tail - level).div_euclid(self.unit);
                corners.extend([last, last + 1]);
            }
        }
        corners.retain(|&t| least <= t && t <= self.room);
        corners.sort_unstable();
        corners.dedup();
        corners
    }

    /// Whether items of this group may come from the kind.
    pub fn serves(&self, group: Option<u32>) -> bool {
        group.is_none_or(|g| g == self.group)
    }

    /// The exact net cost of the lengths taken from each run, in units.
    pub fn net_cost(&self, taken: &[i64]) -> i64 {
        let Some(credit) = &self.credit else {
            return self.cost;
        };
        let last = taken.iter().rposition(|&t| t > 0).unwrap_or(0);
        let taken = |r: usize| taken[r] * self.unit;
        let before: i64 = (0..last).map(|r| credit.at(self.runs[r].left_before(taken(r)))).sum();
        self.cost - before - credit.at(self.runs[last].tail - taken(last))
    }
}

impl Instance {
    /// Merges what is equal, drops what is useless and divides every length by
    /// the greatest common divisor of the pieces.
    pub fn new(problem: &Problem) -> Instance {
        let unit = problem
            .items
            .iter()
            .filter(|item| item.demand > 0)
            .flat_map(|item| item.parts.iter().copied())
            .fold(0, gcd)
            .max(1);
        let plain = problem.stock.iter().all(|stock| in_use(problem, stock).len() == 1);
        let mut types = merge_items(problem, unit, plain);
        for (t, of_type) in types.iter_mut().enumerate() {
            of_type.made_of = vec![(t, 1)];
        }
        let kinds = merge_stock(problem, unit, &types);
        Instance { types, kinds, cuts: Vec::new() }
    }

    /// Whether one piece of the type can come from the kind.
    pub fn fits(&self, kind: usize, of_type: usize) -> bool {
        let (kind, of_type) = (&self.kinds[kind], &self.types[of_type]);
        kind.serves(of_type.group) && holds(kind, &of_type.parts)
    }

    /// The length of so many pieces of each type.
    pub fn length_of(&self, wanted: &[u32]) -> i64 {
        let lengths = self.types.iter().zip(wanted);
        lengths.map(|(t, &count)| t.length * i64::from(count)).sum()
    }

    /// Whether the pieces may be together in a pattern.
    pub fn agree(&self, pieces: &[(usize, u32)]) -> bool {
        pieces.iter().enumerate().all(|(i, &(t, count))| {
            let apart = &self.types[t].apart;
            apart.is_empty()
                || !(count > 1 && apart.contains(&t))
                    && pieces[..i].iter().all(|(other, _)| !apart.contains(other))
        })
    }

    /// Whether any types may not be together.
    pub fn is_split(&self) -> bool {
        self.types.iter().any(|t| !t.apart.is_empty())
    }

    /// Pieces in the types of the whole problem.
    pub fn taken_apart(&self, pieces: &[(usize, u32)]) -> Vec<(usize, u32)> {
        let mut counts: BTreeMap<usize, u32> = BTreeMap::new();
        for &(t, count) in pieces {
            for &(whole, each) in &self.types[t].made_of {
                *counts.entry(whole).or_default() += each * count;
            }
        }
        counts.into_iter().filter(|&(_, count)| count > 0).collect()
    }

    /// How many of each type are wanted.
    pub fn demands(&self) -> Vec<u32> {
        self.types.iter().map(|t| t.demand).collect()
    }

    /// How many units of each kind there are.
    pub fn supplies(&self) -> Vec<u32> {
        self.kinds.iter().map(|k| k.supply).collect()
    }
}

pub(crate) fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a.abs() } else { gcd(b, a % b) }
}

fn holds(kind: &StockKind, parts: &[i64]) -> bool {
    if kind.is_plain() {
        return parts.iter().sum::<i64>() <= kind.room;
    }
    can_hold(&kind.runs, parts)
}

/// Whether the parts fit the runs at all.
pub(crate) fn can_hold(runs: &[Run], parts: &[i64]) -> bool {
    fn place(room: &mut [i64], parts: &[i64], first: usize) -> bool {
        let Some((&part, rest)) = parts.split_first() else {
            return true;
        };
        for r in first..room.len() {
            if part <= room[r] {
                room[r] -= part;
                let next = if rest.first() == Some(&part) { r } else { 0 };
                let placed = place(room, rest, next);
                room[r] += part;
                if placed {
                    return true;
                }
            }
        }
        false
    }
    let mut room: Vec<i64> = runs.iter().map(|run| run.room).collect();
    let mut sorted = parts.to_vec();
    sorted.sort_unstable_by(|a, b| b.cmp(a));
    place(&mut room, &sorted, 0)
}

fn merge_items(problem: &Problem, unit: i64, plain: bool) -> Vec<Type> {
    let mut merged: BTreeMap<(i64, Vec<i64>, Option<u32>), Vec<ItemSource>> = BTreeMap::new();
    for (item, wanted) in problem.items.iter().enumerate() {
        if wanted.demand == 0 {
            continue;
        }
        let mut order: Vec<usize> = (0..wanted.parts.len()).collect();
        order.sort_by_key(|&part| (-wanted.parts[part], part));
        let length = wanted.length() / unit;
        let parts = if plain {
            vec![length]
        } else {
            order.iter().map(|&part| wanted.parts[part] / unit).collect()
        };
        // Longest first: the key sorts by what is negated.
        let key = (-length, parts, wanted.group);
        merged.entry(key).or_default().push(ItemSource { item, demand: wanted.demand, order });
    }
    merged
        .into_iter()
        .map(|((length, parts, group), sources)| Type {
            parts,
            length: -length,
            demand: sources.iter().fold(0, |sum: u32, s| sum.saturating_add(s.demand)),
            group,
            sources,
            made_of: Vec::new(),
            apart: Vec::new(),
        })
        .collect()
}

fn merge_stock(problem: &Problem, unit: i64, types: &[Type]) -> Vec<StockKind> {
    let mut kinds: Vec<(&Stock, StockKind, u64, bool)> = Vec::new();
    for (index, stock) in problem.stock.iter().enumerate() {
        let pieces = types
            .iter()
            .filter(|t| t.group.is_none_or(|g| g == stock.group))
            .fold(0u64, |sum, t| sum + u64::from(t.demand));
        let supply = stock.supply.map_or(pieces, u64::from).min(pieces);
        if supply == 0 {
            continue;
        }
        let units = u32::try_from(supply).unwrap_or(u32::MAX);
        let limited = stock.supply.is_some_and(|s| u64::from(s) < pieces);
        let twin = kinds.iter_mut().find(|(other, ..)| {
            other.runs == stock.runs
                && other.cost == stock.cost
                && other.credit == stock.credit
                && other.group == stock.group
        });
        match twin {
            Some((_, kind, total, bounded)) => {
                kind.stocks.push((index, units));
                *total += supply;
                *bounded &= limited;
                kind.supply = u32::try_from((*total).min(pieces)).unwrap_or(u32::MAX);
                kind.limited = *bounded && *total < pieces;
            }
            None => {
                let runs = in_use(problem, stock);
                let kind = new_kind(stock, runs, unit, (index, units), limited);
                if types.iter().any(|t| kind.serves(t.group) && holds(&kind, &t.parts)) {
                    kinds.push((stock, kind, supply, limited));
                }
            }
        }
    }
    kinds.into_iter().map(|(_, kind, ..)| kind).collect()
}

/// The runs from the first to the last that any part fits; all of them if there
/// is none.
fn in_use(problem: &Problem, stock: &Stock) -> Range<usize> {
    // A single run is in use whatever fits it.
    if stock.runs.len() == 1 {
        return 0..1;
    }
    let serves = |item: &&Item| item.demand > 0 && item.group.is_none_or(|g| g == stock.group);
    let parts = problem.items.iter().filter(serves).flat_map(|item| &item.parts);
    let least = parts.copied().min().unwrap_or(0);
    let fits = |run: &Run| run.room >= least;
    match (stock.runs.iter().position(fits), stock.runs.iter().rposition(fits)) {
        (Some(first), Some(last)) => first..last + 1,
        _ => 0..stock.runs.len(),
    }
}

fn new_kind(
    stock: &Stock,
    in_use: Range<usize>,
    unit: i64,
    source: (usize, u32),
    limited: bool,
) -> StockKind {
    let (before, runs) = (&stock.runs[..in_use.start], &stock.runs[in_use.clone()]);
    // Runs before those in use are left as they are whenever the unit is cut.
    let credit = |run: &Run| stock.credit.map_or(0, |credit| credit.at(run.untouched));
    let rooms = runs.iter().map(|run| Run { room: run.room.max(0) / unit, ..*run });
    let rooms: Vec<Run> = rooms.collect();
    StockKind {
        room: rooms.iter().map(|run| run.room).sum(),
        tail: most_left(runs),
        runs: rooms,
        first_run: in_use.start,
        all_runs: stock.runs.len(),
        unit,
        cost: stock.cost - before.iter().map(credit).sum::<i64>(),
        credit: stock.credit,
        group: stock.group,
        supply: source.1,
        limited,
        stocks: vec![source],
        lengths: None,
    }
}

/// The length left of an untouched unit, or more: what is taken from it leaves
/// remainders that sum to no more than this less what was taken.
fn most_left(runs: &[Run]) -> i64 {
    if let [only] = runs {
        return only.tail;
    }
    let mut before = 0;
    let mut most = 0;
    for run in runs {
        most = most.max(before + run.tail.max(run.room));
        before += run.gap.max(run.untouched).max(run.room).max(0);
    }
    most
}
