//! Re-checks an answer from the question alone, with none of the solver's code.
//!
//! A checker is worth what it does not share with what it checks. Nothing here
//! calls the solver or the arithmetic of [`Stock`](super::Stock) and
//! [`Credit`](super::Credit): lengths, counts and costs are added up again, in
//! 128 bits, from the plain data.

mod certificate;
mod impossible;
mod worth;

use std::collections::BTreeMap;

use super::{Outcome, Pattern, Problem, Solution};

pub use certificate::{MOST_STEPS, bound_by_prices, check_certificate};

/// What is wrong with an answer; always a mistake of the solver's.
///
/// Patterns, runs, stock, items and parts are given by index, from 0.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs, reason = "each message says what its fields are")]
pub enum SolverFault {
    #[error("pattern {pattern} is cut from stock {stock}, which does not exist")]
    UnknownStock { pattern: usize, stock: usize },
    #[error("pattern {pattern} is used no times")]
    Unused { pattern: usize },
    #[error("pattern {pattern} takes nothing from its stock")]
    Empty { pattern: usize },
    #[error("pattern {pattern} has {found} runs where its stock has {runs}")]
    Runs { pattern: usize, found: usize, runs: usize },
    #[error("pattern {pattern} cuts part {part} of item {item}, which does not exist")]
    UnknownPart { pattern: usize, item: usize, part: usize },
    #[error("pattern {pattern} lists part {part} of item {item} with a count of 0")]
    NoCount { pattern: usize, item: usize, part: usize },
    #[error("pattern {pattern} cuts item {item} from stock of another group")]
    Group { pattern: usize, item: usize },
    #[error("pattern {pattern} takes {taken} from run {run}, which holds {room}")]
    Overfull { pattern: usize, run: usize, taken: i128, room: i64 },
    #[error("pattern {pattern} does not cut each part of item {item} equally often")]
    Split { pattern: usize, item: usize },
    #[error("item {item} is cut {cut} times where {wanted} are wanted")]
    Demand { item: usize, cut: u64, wanted: u32 },
    #[error("{taken} units are taken of stock {stock}, which has {supply}")]
    Supply { stock: usize, taken: u64, supply: u32 },
    #[error("the credit of stock {stock} is per {per} units of length")]
    Credit { stock: usize, per: i64 },
    #[error("the knots of a credit do not rise from keep to full")]
    Knots,
    #[error("the cost is said to be {said} and is {found}")]
    Cost { said: i64, found: i128 },
    #[error("the bound {bound} is above the cost {cost} of the plan beside it")]
    Bound { bound: i64, cost: i64 },
    #[error("the prices are said to prove {said} and prove {found}")]
    NotProven { said: i64, found: i128 },
    #[error("the prices are not one for each item, from 0 up, with a scale above 0")]
    Prices,
    #[error("a sum does not fit in 128 bits")]
    TooBig,
    #[error("the lengths that can be taken are too many to list")]
    TooMany,
    #[error("item {item}, said to be short of stock, does not exist or is not wanted")]
    NotWanted { item: usize },
    #[error("no item is named that cannot be placed")]
    NoReason,
    #[error("item {item} is said to fit no stock, but fits stock {stock}")]
    Fits { item: usize, stock: usize },
    #[error("the items said to be short of stock add up to {found}, not {said}")]
    Wanted { said: i64, found: i128 },
    #[error("the items said to be too many are {found}, not {said}")]
    Copies { said: u64, found: i128 },
    #[error("the stock said to be too little can give {found}, enough for {wanted}")]
    Enough { wanted: i128, found: i128 },
    #[error("the items said to have no arrangement could each have a stick to itself")]
    Limitless,
}

/// Finds the first fault of an answer, if it has one.
///
/// A plan is checked in full: what it cuts, from what, and what it costs. A
/// bound is only held against the cost. Of an impossible
/// problem the stated lengths are re-derived; the completeness of a search
/// cannot be.
///
/// # Errors
///
/// The first [`SolverFault`] found; patterns are looked at in their order.
pub fn check(problem: &Problem, outcome: &Outcome) -> Result<(), SolverFault> {
    match outcome {
        Outcome::Solved(solution) => check_solution(problem, solution),
        Outcome::Impossible(shortfall) => impossible::check(problem, shortfall),
        Outcome::Interrupted { .. } => Ok(()),
    }
}

/// As [`check`], of a plan.
///
/// # Errors
///
/// As there.
pub fn check_solution(problem: &Problem, solution: &Solution) -> Result<(), SolverFault> {
    let mut cut = vec![0_u64; problem.items.len()];
    let mut taken = vec![0_u64; problem.stock.len()];
    let mut cost = 0_i128;
    for (index, pattern) in solution.patterns.iter().enumerate() {
        let times = u64::from(pattern.times);
        let counts = check_pattern(problem, index, pattern)?;
        for (item, count) in counts {
            cut[item] = count
                .checked_mul(times)
                .and_then(|more| cut[item].checked_add(more))
                .ok_or(SolverFault::TooBig)?;
        }
        taken[pattern.stock] += times;
        let each = worth::net_cost(problem, pattern)?;
        cost = i128::from(times)
            .checked_mul(each)
            .and_then(|more| cost.checked_add(more))
            .ok_or(SolverFault::TooBig)?;
    }
    check_demand(problem, &cut)?;
    check_supply(problem, &taken)?;
    if cost != i128::from(solution.cost) {
        return Err(SolverFault::Cost { said: solution.cost, found: cost });
    }
    if solution.bound > solution.cost {
        return Err(SolverFault::Bound { bound: solution.bound, cost: solution.cost });
    }
    Ok(())
}

/// Checks one pattern by itself and returns how often it cuts each item.
fn check_pattern(
    problem: &Problem,
    index: usize,
    pattern: &Pattern,
) -> Result<BTreeMap<usize, u64>, SolverFault> {
    let stock = problem.stock.get(pattern.stock);
    let stock = stock.ok_or(SolverFault::UnknownStock { pattern: index, stock: pattern.stock })?;
    if pattern.times == 0 {
        return Err(SolverFault::Unused { pattern: index });
    }
    if pattern.runs.len() != stock.runs.len() {
        return Err(SolverFault::Runs {
            pattern: index,
            found: pattern.runs.len(),
            runs: stock.runs.len(),
        });
    }
    check_pieces(problem, index, pattern)?;
    for (number, run) in stock.runs.iter().enumerate() {
        let taken = worth::taken(problem, &pattern.runs[number])?;
        // A run may be too short for anything.
        if taken > 0 && taken > i128::from(run.room) {
            return Err(SolverFault::Overfull {
                pattern: index,
                run: number,
                taken,
                room: run.room,
            });
        }
    }
    count_items(problem, index, pattern)
}

/// Every piece exists, is counted, and may come from this stock.
fn check_pieces(problem: &Problem, index: usize, pattern: &Pattern) -> Result<(), SolverFault> {
    for piece in pattern.runs.iter().flatten() {
        let (item, part) = (piece.item, piece.part);
        let known = problem.items.get(item);
        let known = known.filter(|known| part < known.parts.len());
        let known = known.ok_or(SolverFault::UnknownPart { pattern: index, item, part })?;
        if piece.count == 0 {
            return Err(SolverFault::NoCount { pattern: index, item, part });
        }
        let group = problem.stock[pattern.stock].group;
        if known.group.is_some_and(|wanted| wanted != group) {
            return Err(SolverFault::Group { pattern: index, item });
        }
    }
    Ok(())
}

/// How often each item is whole in one unit: every part must be there as often.
fn count_items(
    problem: &Problem,
    index: usize,
    pattern: &Pattern,
) -> Result<BTreeMap<usize, u64>, SolverFault> {
    let mut parts: BTreeMap<usize, Vec<u64>> = BTreeMap::new();
    for piece in pattern.runs.iter().flatten() {
        let all = problem.items[piece.item].parts.len();
        let counts = parts.entry(piece.item).or_insert_with(|| vec![0; all]);
        counts[piece.part] += u64::from(piece.count);
    }
    if parts.is_empty() {
        return Err(SolverFault::Empty { pattern: index });
    }
    let mut items = BTreeMap::new();
    for (item, counts) in parts {
        if counts.iter().any(|&count| count != counts[0]) {
            return Err(SolverFault::Split { pattern: index, item });
        }
        items.insert(item, counts[0]);
    }
    Ok(items)
}

fn check_demand(problem: &Problem, cut: &[u64]) -> Result<(), SolverFault> {
    for (item, (wanted, &cut)) in problem.items.iter().zip(cut).enumerate() {
        if cut != u64::from(wanted.demand) {
            return Err(SolverFault::Demand { item, cut, wanted: wanted.demand });
        }
    }
    Ok(())
}

fn check_supply(problem: &Problem, taken: &[u64]) -> Result<(), SolverFault> {
    for (stock, (kind, &taken)) in problem.stock.iter().zip(taken).enumerate() {
        if let Some(supply) = kind.supply.filter(|&supply| taken > u64::from(supply)) {
            return Err(SolverFault::Supply { stock, taken, supply });
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests;
