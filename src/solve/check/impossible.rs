//! Whether the stated reason holds that a problem has no plan.

use super::Fault;
use crate::solve::{Item, Problem, Run, Shortfall, Stock};

/// Re-derives the lengths that a shortfall rests on.
///
/// That a complete search found no arrangement cannot be re-checked without
/// another such search; only that it could be true is.
pub(super) fn check(problem: &Problem, shortfall: &Shortfall) -> Result<(), Fault> {
    match shortfall {
        Shortfall::TooLong(items) => {
            wanted(problem, items)?;
            items.iter().try_for_each(|&item| too_long(problem, item))
        }
        Shortfall::TooLittle { items, wanted: said, room } => {
            wanted(problem, items)?;
            too_little(problem, items, *said, *room)
        }
        Shortfall::NoArrangement(items) => {
            wanted(problem, items)?;
            items.iter().try_for_each(|&item| limited(problem, item))
        }
    }
}

/// Every item named exists and is wanted, and at least one is named.
fn wanted(problem: &Problem, items: &[usize]) -> Result<(), Fault> {
    if items.is_empty() {
        return Err(Fault::NoReason);
    }
    for &item in items {
        let known = problem.items.get(item);
        if known.is_none_or(|known| known.demand == 0) {
            return Err(Fault::NotWanted { item });
        }
    }
    Ok(())
}

fn too_long(problem: &Problem, item: usize) -> Result<(), Fault> {
    let mut parts = problem.items[item].parts.clone();
    parts.sort_unstable();
    for (stock, kind) in sources(problem, item) {
        let mut rooms: Vec<i64> = kind.runs.iter().map(|run| run.room).collect();
        if fits(&parts, &mut rooms) {
            return Err(Fault::Fits { item, stock });
        }
    }
    Ok(())
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

fn too_little(problem: &Problem, items: &[usize], said: i64, room: i64) -> Result<(), Fault> {
    let length = |item: &Item| -> i128 {
        let parts: i128 = item.parts.iter().map(|&part| i128::from(part)).sum();
        parts * i128::from(item.demand)
    };
    let found: i128 = items.iter().map(|&item| length(&problem.items[item])).sum();
    if found != i128::from(said) {
        return Err(Fault::Wanted { said, found });
    }
    let stock = 0..problem.stock.len();
    let give: i128 = stock.map(|stock| most_from(problem, items, stock)).sum();
    let most = give.max(i128::from(room));
    if most >= found {
        return Err(Fault::Enough { wanted: found, found: most });
    }
    Ok(())
}

/// An upper limit on the length that all units of a stock can give to `items`.
///
/// A unit that is used holds at least one copy of an item, so no more units
/// count than there are copies; and what is taken from a run is a multiple of
/// the greatest common divisor of the parts.
fn most_from(problem: &Problem, items: &[usize], stock: usize) -> i128 {
    let served: Vec<&Item> = items
        .iter()
        .filter(|&&item| sources(problem, item).any(|(index, _)| index == stock))
        .map(|&item| &problem.items[item])
        .collect();
    let copies: i128 = served.iter().map(|item| i128::from(item.demand)).sum();
    let parts = served.iter().flat_map(|item| item.parts.iter().copied());
    let step = i128::from(parts.fold(0, common_divisor));
    let units = problem.stock[stock].supply.map_or(copies, i128::from);
    let reach = |run: &Run| i128::from(run.room.max(0)) / step.max(1) * step;
    units.min(copies) * problem.stock[stock].runs.iter().map(reach).sum::<i128>()
}

fn common_divisor(mut a: i64, mut b: i64) -> i64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.abs()
}

/// No item can lack an arrangement that could have a stick for each copy.
fn limited(problem: &Problem, item: usize) -> Result<(), Fault> {
    let mut parts = problem.items[item].parts.clone();
    parts.sort_unstable();
    for (stock, kind) in sources(problem, item) {
        let mut rooms: Vec<i64> = kind.runs.iter().map(|run| run.room).collect();
        if kind.supply.is_none() && fits(&parts, &mut rooms) {
            return Err(Fault::Limitless { item, stock });
        }
    }
    Ok(())
}
