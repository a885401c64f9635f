//! Pricing: the patterns that gain most over their cost at given prices.
//!
//! One table of values serves all stock lengths and their credit (Gilmore and
//! Gomory 1961, 1963); a search through the table ([`Enumeration`]) brings many
//! different patterns at a time. All values are integers, so the greatest gain
//! of each kind is a proof.

use super::bundles::PricedType;
use super::enumeration::Enumeration;
use super::rolling::Rolling;
use super::subproblems::Subproblem;
use super::table::{Grain, ValueTable};
use crate::solve::cells::Cells;
use crate::solve::cutting_plan::Column;
use crate::solve::instance::Instance;
use crate::solve::layout::Contents;
use crate::solve::prices::Prices;

/// A type in this many columns of one search is no longer followed.
const OFTEN: u32 = 6;
/// A column is kept while each of its types is in fewer kept columns.
const KEPT: u32 = 3;
/// Patterns over several runs that are tried to find the best exactly.
const RUN_STEPS: u64 = 4_000;

/// The answer of pricing.
pub(crate) struct Priced {
    /// No pattern of the kind is worth more than its net cost and this,
    /// charges left aside.
    pub gain: Vec<i64>,
    /// Patterns that gain something over net cost and charge, best first.
    pub columns: Vec<(i64, Column)>,
    /// How exact the gains are.
    pub grain: Grain,
    pub work: u64,
}

/// How far pricing goes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Extent {
    /// Steps of the search for more columns than the best.
    pub steps: u64,
    /// The most of a unit that may be left.
    pub waste: Option<i64>,
    pub grain: Grain,
}

impl Extent {
    /// The best alone.
    pub fn best(grain: Grain) -> Extent {
        Extent { steps: 0, waste: None, grain }
    }
}

/// Patterns at the prices, made of no more than `wanted`, from kinds with some
/// `supply`.
pub(crate) fn price(
    instance: &Instance,
    classes: &[Subproblem],
    prices: &Prices,
    wanted: &[u32],
    supply: &[u32],
    extent: Extent,
    cells: &mut Cells,
) -> Priced {
    let Extent { steps, waste, grain } = extent;
    let gain = vec![0; instance.kinds.len()];
    let mut answer = Priced { gain, columns: Vec::new(), grain: Grain::Exact, work: 0 };
    for class in classes {
        let kinds: Vec<usize> =
            (0..class.kinds.len()).filter(|&c| supply[class.kinds[c]] > 0).collect();
        if kinds.is_empty() {
            continue;
        }
        // Pieces without worth fill what may not be wasted.
        let least = if waste.is_some() { 0 } else { 1 };
        let choices = choices(instance, class, prices, wanted, least);
        let table = ValueTable::new(&choices, class.room(), waste, grain, cells);
        answer.work += table.work;
        let mut enumeration =
            Enumeration::new(instance, class, prices, &choices, &table, &kinds, 0, steps);
        enumeration.watchman = cells.watchman;
        enumeration.often = OFTEN;
        enumeration.shortest = waste.map_or(0, |waste| class.room() - waste);
        let coarse = table.grain < Grain::Exact && grain == Grain::Exact;
        let rolling = coarse.then(|| Rolling::new(&choices, class.room(), waste, cells)).flatten();
        answer.work += rolling.as_ref().map_or(0, |rolling| rolling.work);
        answer.grain = answer.grain.min(if rolling.is_some() { grain } else { table.grain });
        bests(instance, class, prices, wanted, &mut enumeration, rolling.as_ref(), &mut answer);
        if !enumeration.found.is_empty() {
            enumeration.left = steps;
            enumeration.search(0, 0, 0);
        }
        answer.work += steps - enumeration.left;
        let found = std::mem::take(&mut enumeration.found);
        table.give_back(cells);
        answer.columns.extend(diverse(found, wanted.len()));
    }
    answer.columns.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
    answer.columns.dedup_by(|a, b| a.1 == b.1);
    answer
}

/// The types worth at least so much, longest first.
pub(crate) fn choices(
    instance: &Instance,
    class: &Subproblem,
    prices: &Prices,
    wanted: &[u32],
    least: i64,
) -> Vec<PricedType> {
    let room = class.room();
    let types = class.types.iter().copied();
    let mut choices: Vec<PricedType> = types
        .filter(|&t| wanted[t] > 0 && prices.piece[t] >= least && instance.types[t].length <= room)
        .map(|t| PricedType {
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
    class: &Subproblem,
    prices: &Prices,
    wanted: &[u32],
    enumeration: &mut Enumeration,
    rolling: Option<&Rolling>,
    answer: &mut Priced,
) {
    let front = rolling.map_or_else(|| enumeration.table.front(), Rolling::front);
    let open = class.types.iter().filter(|&&t| wanted[t] > 0);
    let Some(shortest) = open.copied().min_by_key(|&t| instance.types[t].length) else {
        return;
    };
    let least = instance.types[shortest].length;
    for &c in enumeration.kinds {
        let k = class.kinds[c];
        let kind = &instance.kinds[k];
        let cost = |length: i64| {
            if prices.costs { prices.scale.saturating_mul(kind.cost_at(length)) } else { 0 }
        };
        // A pattern of pieces without worth costs at least this.
        let idle = -cost(least.min(kind.room));
        let end = front.partition_point(|&(length, _)| length <= kind.room);
        let best = best_entry(&front[..end], &cost, kind.credit.is_none());
        answer.work += 1;
        if idle > prices.charge[k] {
            enumeration.add(k, vec![(shortest, 1)]);
        }
        answer.gain[k] = idle;
        let Some((gain, room)) = best else { continue };
        answer.gain[k] = gain.max(idle);
        if gain <= prices.charge[k] {
            continue;
        }
        let traced = match rolling {
            _ if !kind.is_plain() => None,
            Some(rolling) => Some(rolling.trace(enumeration.choices, room)),
            None => enumeration
                .table
                .attained
                .then(|| enumeration.table.trace(enumeration.choices, room)),
        };
        let traced = traced.map(|counts| pieces(enumeration.choices, &counts));
        let is_best =
            |pieces: &Contents| instance.agree(pieces) && prices.cut_paid(instance, pieces) == 0;
        if let Some(pieces) = traced.filter(is_best) {
            enumeration.add(k, pieces);
        } else {
            answer.gain[k] =
                search_one(enumeration, c).map_or(answer.gain[k], |gain| gain.max(idle));
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
fn search_one(enumeration: &mut Enumeration, c: usize) -> Option<i64> {
    let kinds = [c];
    let mut one = Enumeration::new(
        enumeration.instance,
        enumeration.class,
        enumeration.prices,
        enumeration.choices,
        enumeration.table,
        &kinds,
        0,
        RUN_STEPS,
    );
    one.watchman = enumeration.watchman;
    one.best_only = true;
    one.shortest = enumeration.shortest;
    one.search(0, 0, 0);
    let complete = one.left > 0 && !one.doubt;
    let charge = enumeration.prices.charge[enumeration.class.kinds[c]];
    let gain = one.floor + charge;
    enumeration.found.append(&mut one.found);
    complete.then_some(gain)
}

pub(crate) fn pieces(choices: &[PricedType], counts: &[u32]) -> Contents {
    let counted = choices.iter().zip(counts).filter(|&(_, &count)| count > 0);
    let mut pieces: Contents = counted.map(|(choice, &count)| (choice.of_type, count)).collect();
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
