//! Whether the stated reason holds that a problem has no plan.

use std::collections::BTreeMap;

use super::SolverFault;
use crate::solve::{Item, Problem, Shortfall, Stock};

/// Re-derives the lengths that a shortfall rests on.
///
/// That a complete search found no arrangement cannot be re-checked without
/// another such search; only that it could be true is.
pub(super) fn check(problem: &Problem, shortfall: &Shortfall) -> Result<(), SolverFault> {
    match shortfall {
        Shortfall::TooLong(items) => {
            wanted(problem, items)?;
            items.iter().try_for_each(|&item| too_long(problem, item))
        }
        Shortfall::TooLittle { items, wanted: said, room } => {
            wanted(problem, items)?;
            too_little(problem, items, *said, *room)
        }
        Shortfall::TooFew { items, wanted: said, places } => {
            wanted(problem, items)?;
            too_few(problem, items, *said, *places)
        }
        Shortfall::NoArrangement(items) => {
            wanted(problem, items)?;
            if items.iter().all(|&item| is_limitless(problem, item)) {
                return Err(SolverFault::Limitless);
            }
            Ok(())
        }
    }
}

/// Every item named exists and is wanted, and at least one is named.
fn wanted(problem: &Problem, items: &[usize]) -> Result<(), SolverFault> {
    if items.is_empty() {
        return Err(SolverFault::NoReason);
    }
    for &item in items {
        let known = problem.items.get(item);
        if known.is_none_or(|known| known.demand == 0) {
            return Err(SolverFault::NotWanted { item });
        }
    }
    Ok(())
}

fn too_long(problem: &Problem, item: usize) -> Result<(), SolverFault> {
    for (stock, kind) in sources(problem, item) {
        if fits_stock(&problem.items[item], kind) {
            return Err(SolverFault::Fits { item, stock });
        }
    }
    Ok(())
}

/// Whether one copy of the item fits one unit of the stock.
fn fits_stock(item: &Item, stock: &Stock) -> bool {
    if let ([part], [run]) = (&item.parts[..], &stock.runs[..]) {
        return *part <= run.room;
    }
    let mut parts = item.parts.clone();
    parts.sort_unstable();
    let mut rooms: Vec<i64> = stock.runs.iter().map(|run| run.room).collect();
    fits(&parts, &mut rooms)
}

/// Whether the parts (in rising order) fit the runs: tries every run for the
/// longest part, then goes on with the rest. Exponential in the number of
/// parts, of which an item has a handful.
fn fits(parts: &[i64], rooms: &mut [i64]) -> bool {
    let Some((&longest, rest)) = parts.split_last() else {
        return true;
    };
    for run in 0..rooms.len() {
        let tried = rooms[..run].contains(&rooms[run]);
        if tried || rooms[run] < longest {
            continue;
        }
        rooms[run] -= longest;
        let found = fits(rest, rooms);
        rooms[run] += longest;
        if found {
            return true;
        }
    }
    false
}

/// The stock that an item may come from, with its index.
fn sources(problem: &Problem, item: usize) -> impl Iterator<Item = (usize, &Stock)> {
    let group = problem.items[item].group;
    let stock = problem.stock.iter().enumerate();
    stock.filter(move |(_, kind)| {
        kind.supply != Some(0) && group.is_none_or(|wanted| wanted == kind.group)
    })
}

fn too_little(problem: &Problem, items: &[usize], said: i64, room: i64) -> Result<(), SolverFault> {
    let length = |item: &Item| -> i128 {
        let parts: i128 = item.parts.iter().map(|&part| i128::from(part)).sum();
        parts * i128::from(item.demand)
    };
    let found: i128 = items.iter().map(|&item| length(&problem.items[item])).sum();
    if found != i128::from(said) {
        return Err(SolverFault::Wanted { said, found });
    }
    let shelves = shelves(problem).into_iter();
    let mut steps = MOST_STEPS;
    let give: i128 = shelves.map(|shelf| most_from(problem, items, shelf, &mut steps)).sum();
    let most = give.max(i128::from(room));
    if most >= found {
        return Err(SolverFault::Enough { wanted: found, found: most });
    }
    Ok(())
}

fn shelves(problem: &Problem) -> Vec<(usize, Option<i128>)> {
    let mut shelves: BTreeMap<(u32, Vec<i64>), (usize, Option<i128>)> = BTreeMap::new();
    for (index, stock) in problem.stock.iter().enumerate() {
        let rooms = stock.runs.iter().map(|run| run.room).collect();
        let supply = stock.supply.map(i128::from);
        shelves
            .entry((stock.group, rooms))
            .and_modify(|(_, total)| *total = total.zip(supply).map(|(a, b)| a + b))
            .or_insert((index, supply));
    }
    shelves.into_values().collect()
}

/// The items that some unit of a shelf can serve.
fn served<'a>(problem: &'a Problem, items: &[usize], stock: usize) -> Vec<&'a Item> {
    let kind = &problem.stock[stock];
    let items = items.iter().map(|&item| &problem.items[item]);
    let serves = |item: &&Item| item.group.is_none_or(|wanted| wanted == kind.group);
    items.filter(serves).filter(|item| fits_stock(item, kind)).collect()
}

/// An upper limit on the length that all units of a shelf can give to `items`.
///
/// A unit that is used holds at least one copy of an item, so no more units
/// count than there are copies of items that fit.
fn most_from(
    problem: &Problem,
    items: &[usize],
    (stock, supply): (usize, Option<i128>),
    steps: &mut usize,
) -> i128 {
    let served = served(problem, items, stock);
    let copies: i128 = served.iter().map(|item| i128::from(item.demand)).sum();
    let mut parts: BTreeMap<i64, u64> = BTreeMap::new();
    for item in served {
        for &part in &item.parts {
            *parts.entry(part).or_default() += u64::from(item.demand);
        }
    }
    let kind = &problem.stock[stock];
    let units = supply.map_or(copies, |supply| supply.min(copies));
    let runs = kind.runs.iter();
    units * runs.map(|run| i128::from(reach(run.room, &parts, steps))).sum::<i128>()
}

fn too_few(problem: &Problem, items: &[usize], said: u64, places: u64) -> Result<(), SolverFault> {
    let copies = items.iter().map(|&item| i128::from(problem.items[item].demand));
    let found: i128 = copies.sum();
    if found != i128::from(said) {
        return Err(SolverFault::Copies { said, found });
    }
    let shelves = shelves(problem).into_iter();
    let most: i128 = shelves.map(|shelf| most_copies(problem, items, shelf)).sum();
    let most = most.max(i128::from(places));
    if most >= found {
        return Err(SolverFault::Enough { wanted: found, found: most });
    }
    Ok(())
}

/// An upper limit on the copies of `items` that all units of a shelf can give:
/// each takes at least the shortest of their lengths of a unit, and of some run
/// at least the shortest of their longest parts. Runs that no part fits count
/// for nothing.
fn most_copies(problem: &Problem, items: &[usize], (stock, supply): (usize, Option<i128>)) -> i128 {
    let kind = &problem.stock[stock];
    let served = served(problem, items, stock);
    let shortest = served.iter().map(|item| item.parts.iter().sum::<i64>()).min();
    let part = served.iter().filter_map(|item| item.parts.iter().copied().max()).min();
    let Some((shortest, part)) = shortest.zip(part) else {
        return 0;
    };
    let least = served.iter().flat_map(|item| &item.parts).copied().min().unwrap_or(0);
    let fitting = || kind.runs.iter().filter(|run| run.room >= least);
    let rooms = || fitting().map(|run| i128::from(run.room.max(0)));
    let by_length = rooms().sum::<i128>() / i128::from(shortest);
    let by_part: i128 = rooms().map(|room| room / i128::from(part)).sum();
    let copies: i128 = served.iter().map(|item| i128::from(item.demand)).sum();
    let units = supply.map_or(copies, |supply| supply.min(copies));
    (units * by_length.min(by_part)).min(copies)
}

/// The most cells that a table of sums may have, and that may be looked at in
/// all tables together.
const MOST_SUMS: usize = 1 << 20;
const MOST_STEPS: usize = 1 << 27;

/// The greatest sum of parts (by length, with their numbers) that a room holds,
/// or an upper limit on it where the table of sums would be too large.
fn reach(room: i64, parts: &BTreeMap<i64, u64>, steps: &mut usize) -> i64 {
    let step = parts.keys().copied().fold(0, common_divisor).max(1);
    let room = room.max(0) / step;
    let size = usize::try_from(room).unwrap_or(usize::MAX);
    let all = size.saturating_mul(parts.len());
    if size >= MOST_SUMS || all > *steps {
        return room * step;
    }
    *steps -= all;
    let mut sums = vec![false; size + 1];
    sums[0] = true;
    for (&part, &number) in parts {
        let part = usize::try_from(part / step).unwrap_or(usize::MAX);
        // How many of this part a sum newly reached has used.
        let mut used = vec![0; size + 1];
        for sum in part..=size {
            let before = sum - part;
            if !sums[sum] && sums[before] && used[before] < number {
                sums[sum] = true;
                used[sum] = used[before] + 1;
            }
        }
    }
    let most = sums.iter().rposition(|&reached| reached).unwrap_or(0);
    i64::try_from(most).unwrap_or(room) * step
}

fn common_divisor(mut a: i64, mut b: i64) -> i64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.abs()
}

/// Whether every copy of the item could have a stick to itself.
fn is_limitless(problem: &Problem, item: usize) -> bool {
    let known = &problem.items[item];
    sources(problem, item).any(|(_, kind)| kind.supply.is_none() && fits_stock(known, kind))
}
