//! What a list of prices proves, worked out again in whole numbers.
//!
//! Price every item. A unit of stock is worth at most what the best pattern
//! cut from it is worth, so a plan that meets every demand costs at least what
//! the items are worth less what patterns can be worth over their cost. Where
//! supply is without limit no pattern may be worth more than it costs; the
//! prices are shrunk until none is (Farley 1990, "A note on bounding a class
//! of linear programming problems, including cutting stock problems",
//! Operations Research 38). The best pattern is found exactly, by a list of
//! the lengths that can be taken, each with the most that it is worth.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use super::SolverFault;
use super::worth::worth;
use crate::solve::{Certificate, Item, Problem, Run, Stock};

/// Lengths that are listed at most, some 100 MB, and looked at in all lists.
const MOST_TAKEN: usize = 1 << 22;
/// Steps at most of working out again what prices prove.
pub const MOST_STEPS: usize = 1 << 28;

/// The least cost that a plan can have, as far as `prices` prove it: one for
/// each item, where `scale` stands for one unit of cost.
///
/// Exact for stock of one run that parts fit. Of several only the sum of their
/// rooms is used, and their remainders are taken for one, which is worth no less; the
/// bound holds, but may be weaker than the best that the prices prove.
///
/// Takes time and memory in proportion to the lengths that can be taken from
/// one unit, which are at most its room and at most the number of its patterns.
///
/// # Errors
///
/// [`SolverFault::Prices`] if the prices are not one for each item, or one of them is
/// negative, or the scale is not above zero. [`SolverFault::TooBig`] if a sum
/// overflows 128 bits, [`SolverFault::TooMany`] if the lengths are more than are listed.
pub fn bound_by_prices(problem: &Problem, prices: &[i64], scale: i64) -> Result<i128, SolverFault> {
    bound_within(problem, prices, scale, MOST_STEPS)
}

/// Holds the bound of a certificate against what its prices prove: true if they do, false
/// if that takes more than so many steps, or stock has several runs, of which less is
/// worked out than prices prove.
///
/// # Errors
/// As [`bound_by_prices`]; [`SolverFault::NotProven`] if they prove less.
pub fn check_certificate(
    problem: &Problem,
    certificate: &Certificate,
    steps: usize,
) -> Result<bool, SolverFault> {
    if problem.stock.iter().any(|stock| stock.runs.len() > 1) {
        return Ok(false);
    }
    let price = |item| certificate.items.get(&item).copied().unwrap_or(0);
    let prices: Vec<i64> = (0..problem.items.len()).map(price).collect();
    let said = certificate.bound(problem);
    match bound_within(problem, &prices, certificate.scale, steps) {
        Err(SolverFault::TooMany) => Ok(false),
        Ok(found) if found < i128::from(said) => Err(SolverFault::NotProven { said, found }),
        other => other.map(|_| true),
    }
}

/// As [`bound_by_prices`], in no more than so many steps.
fn bound_within(
    problem: &Problem,
    prices: &[i64],
    scale: i64,
    steps: usize,
) -> Result<i128, SolverFault> {
    let fitting = prices.len() == problem.items.len();
    if !fitting || scale <= 0 || prices.iter().any(|&price| price < 0) {
        return Err(SolverFault::Prices);
    }
    let mut offers = Vec::new();
    let mut lists: BTreeMap<u32, Vec<(i64, i128)>> = BTreeMap::new();
    for stock in problem.stock.iter().filter(|stock| stock.supply != Some(0)) {
        let list = match lists.entry(stock.group) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(free) => {
                free.insert(worth_by_length(problem, prices, stock.group, steps)?)
            }
        };
        offers.push((stock, patterns(problem, stock, list, scale)?));
    }
    let worth: i128 = problem
        .items
        .iter()
        .zip(prices)
        .map(|(item, &price)| i128::from(item.demand) * i128::from(price))
        .sum();
    // Shrunk by bottom / top, no pattern of endless stock is worth its cost.
    let (top, bottom) = shrink(&offers);
    let times = |a: i128, b: i128| a.checked_mul(b).ok_or(SolverFault::TooBig);
    let mut least = times(worth, bottom)?;
    for (stock, patterns) in &offers {
        let mut gain = 0;
        for &(worth, cost) in patterns {
            gain = gain.max(times(worth, bottom)? - times(cost, top)?);
        }
        least -= times(gain, units(problem, stock))?;
    }
    let bound = ceil_div(least, times(i128::from(scale), top)?);
    Ok(whole_cost(problem, bound))
}

/// The worth of patterns of one unit and their net cost, both in `scale`.
fn patterns(
    problem: &Problem,
    stock: &Stock,
    list: &[(i64, i128)],
    scale: i64,
) -> Result<Vec<(i128, i128)>, SolverFault> {
    // Runs that no part fits are nothing to patterns, but that those before any
    // other stay whole.
    let serves = |item: &&Item| item.demand > 0 && item.group.is_none_or(|g| g == stock.group);
    let parts = problem.items.iter().filter(serves).flat_map(|item| &item.parts);
    let least = parts.copied().min().unwrap_or(0);
    let idle = stock.runs.iter().take_while(|run| run.room < least).count();
    let (idle, runs) = stock.runs.split_at(idle);
    let credit = stock.credit.as_ref();
    let value = |left: i128| credit.map_or(Ok(0), |credit| worth(credit, left));
    let mut given = 0;
    for run in idle {
        given += value(i128::from(run.untouched))?;
    }
    let end = runs.iter().rposition(|run| run.room >= least).map_or(0, |last| last + 1);
    let runs = &runs[..end];
    let room: i64 = runs.iter().map(|run| run.room.max(0)).sum();
    // A run may have room for more than is left of it, since a last part need
    // not leave anything: what is left is then nothing, not less. Of several runs it
    // is not known which of them is cut so far.
    let longest = match runs {
        [run] => i128::from(run.tail),
        _ => longest(runs),
    };
    let reached = list.iter().filter(|&&(taken, _)| taken <= room);
    reached
        .map(|&(taken, worth)| {
            let back = given + value((longest - i128::from(taken)).max(0))?;
            let net = i128::from(stock.cost) - back;
            let cost = net.checked_mul(i128::from(scale)).ok_or(SolverFault::TooBig)?;
            Ok((worth, cost))
        })
        .collect()
}

/// What is left at the most of several runs of which nothing is cut.
fn longest(runs: &[Run]) -> i128 {
    let mut before = 0;
    let mut longest = 0;
    for run in runs {
        longest = longest.max(before + i128::from(run.tail.max(run.room)));
        before += i128::from(run.gap.max(run.untouched).max(run.room).max(0));
    }
    longest
}

/// For each length that items of a group, or of none, can take from the longest
/// stock of the group, the most that they are worth; only lengths that are
/// worth more than any shorter one.
fn worth_by_length(
    problem: &Problem,
    prices: &[i64],
    group: u32,
    most: usize,
) -> Result<Vec<(i64, i128)>, SolverFault> {
    let stock = problem.stock.iter().filter(|stock| stock.group == group);
    let rooms = stock.map(|stock| stock.runs.iter().map(|run| run.room.max(0)).sum());
    let room: i64 = rooms.max().unwrap_or(0);
    let mut list = vec![(0, 0)];
    let mut steps = 0;
    for (item, &price) in problem.items.iter().zip(prices) {
        let length: i64 = item.parts.iter().sum();
        let serves = item.group.is_none_or(|wanted| wanted == group);
        if !serves || price == 0 || length <= 0 || length > room {
            continue;
        }
        let mut left = i64::from(item.demand).min(room / length);
        // Bundles of 1, 2, 4... and the rest make every number of copies.
        let mut bundle = 1;
        while left > 0 {
            let copies = bundle.min(left);
            let value = i128::from(price) * i128::from(copies);
            list = merged(&list, length * copies, value, room);
            steps += list.len();
            if list.len() > MOST_TAKEN || steps > most {
                return Err(SolverFault::TooMany);
            }
            left -= copies;
            bundle *= 2;
        }
    }
    // What takes nothing is no pattern; where cutting pays, one of the shortest
    // item is, however little that is worth.
    list.remove(0);
    let serves = |item: &&Item| item.group.is_none_or(|wanted| wanted == group);
    let wanted = problem.items.iter().filter(|item| item.demand > 0).filter(serves);
    let lengths = wanted.map(|item| item.parts.iter().sum::<i64>());
    if let Some(shortest) = lengths.min().filter(|&shortest| shortest <= room) {
        if list.first().is_none_or(|&(taken, _)| taken > shortest) {
            list.insert(0, (shortest, 0));
        }
    }
    Ok(list)
}

/// The list with and without one more bundle.
fn merged(list: &[(i64, i128)], length: i64, value: i128, room: i64) -> Vec<(i64, i128)> {
    let with = list.iter().map(|&(taken, worth)| (taken + length, worth + value));
    let mut with = with.take_while(|&(taken, _)| taken <= room).peekable();
    let mut without = list.iter().copied().peekable();
    let mut all: Vec<(i64, i128)> = Vec::with_capacity(list.len());
    loop {
        let next = match (with.peek(), without.peek()) {
            (Some(a), Some(b)) if a < b => with.next(),
            (Some(_), None) => with.next(),
            _ => without.next(),
        };
        let Some((taken, worth)) = next else {
            return all;
        };
        if all.last().is_some_and(|&(_, most)| worth <= most) {
            continue;
        }
        // Of one length, what is worth more comes last.
        if all.last().is_some_and(|&(last, _)| last == taken) {
            all.pop();
        }
        all.push((taken, worth));
    }
}

/// The fraction `(top, bottom)` by which prices are divided so that no pattern of
/// endless stock is worth more than its cost. Where all stock is endless that is
/// the best fraction; beside limited stock prices are not raised. It is 1 where
/// a cost is not above zero: there the number of copies has to do for a limit.
fn shrink(offers: &[(&Stock, Vec<(i128, i128)>)]) -> (i128, i128) {
    let endless = offers.iter().filter(|(stock, _)| stock.supply.is_none());
    let least = i128::from(endless.clone().count() < offers.len());
    let (mut top, mut bottom) = (least, 1);
    for &(worth, cost) in endless.flat_map(|(_, patterns)| patterns) {
        if cost <= 0 {
            return (1, 1);
        }
        let more = worth.checked_mul(bottom).zip(cost.checked_mul(top));
        if more.is_none_or(|(worth, cost)| worth > cost) {
            (top, bottom) = (worth, cost);
        }
    }
    if top == 0 {
        return (1, 1);
    }
    let common = common_divisor(top, bottom);
    (top / common, bottom / common)
}

/// No more units count than there are copies of items that they could hold.
fn units(problem: &Problem, stock: &Stock) -> i128 {
    let served = problem.items.iter();
    let served = served.filter(|item| item.group.is_none_or(|group| group == stock.group));
    let copies: i128 = served.map(|item| i128::from(item.demand)).sum();
    stock.supply.map_or(copies, |supply| copies.min(supply.into()))
}

/// Without credit every plan costs a multiple of the costs' common divisor.
fn whole_cost(problem: &Problem, bound: i128) -> i128 {
    if problem.stock.iter().any(|stock| stock.credit.is_some()) {
        return bound;
    }
    let costs = problem.stock.iter().map(|stock| i128::from(stock.cost));
    let step = costs.fold(0, common_divisor).max(1);
    ceil_div(bound, step) * step
}

fn ceil_div(a: i128, b: i128) -> i128 {
    -(-a).div_euclid(b)
}

fn common_divisor(mut a: i128, mut b: i128) -> i128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.abs()
}

#[cfg(test)]
#[path = "certificate_tests.rs"]
mod tests;
