//! A good choice by plain exchange: one way for another, then two at a time,
//! until nothing is better; from every set of suppliers, if they are few.

use rayon::prelude::*;

use super::question::{Found, Question, Way};

/// With more suppliers than this not every set of them is a beginning.
const MOST_SUPPLIERS: usize = 8;

/// Rounds of exchange from one beginning.
const MOST_ROUNDS: usize = 60;

/// The best choice found; `None` if none was found within the budget.
pub(super) fn search(question: &Question) -> Option<Found> {
    let count = question.suppliers.len().min(MOST_SUPPLIERS);
    let mut seen = std::collections::BTreeSet::new();
    let begin =
        |set: usize| beginning(question, |supplier| supplier >= count || set >> supplier & 1 == 1);
    let begins = (0..1_usize << count).rev().filter_map(begin);
    let begins: Vec<Vec<usize>> = begins.filter(|chosen| seen.insert(chosen.clone())).collect();
    let found: Vec<Option<Found>> =
        begins.into_par_iter().map(|chosen| descend(question, chosen)).collect();
    // Of equals the first, however many threads there are.
    found.into_iter().flatten().min_by_key(|found| found.cost)
}

/// For each lot its cheapest way from these suppliers; the one that spends least
/// on spare sticks, where the budget is short.
fn beginning(question: &Question, may: impl Fn(usize) -> bool) -> Option<Vec<usize>> {
    let within = |way: &Way| way.goods.iter().all(|goods| may(goods.supplier));
    let pick = |key: &dyn Fn(&Way) -> (i64, i64)| -> Option<Vec<usize>> {
        let best = |lot: &Vec<Way>| {
            let ways = lot.iter().enumerate().filter(|(_, way)| within(way));
            ways.min_by_key(|(place, way)| (key(way), *place)).map(|(place, _)| place)
        };
        question.lots.iter().map(best).collect()
    };
    let cheapest = pick(&|way| (way.cost(), way.spare))?;
    if question.cost(&cheapest).is_some() {
        return Some(cheapest);
    }
    pick(&|way| (way.spare, way.cost())).filter(|chosen| question.cost(chosen).is_some())
}

/// Exchanges single ways while that helps, then pairs.
fn descend(question: &Question, mut chosen: Vec<usize>) -> Option<Found> {
    let mut cost = question.cost(&chosen)?;
    for _ in 0..MOST_ROUNDS {
        if !one_by_one(question, &mut chosen, &mut cost)
            && !two_by_two(question, &mut chosen, &mut cost)
        {
            break;
        }
    }
    Some(Found { chosen, cost })
}

fn one_by_one(question: &Question, chosen: &mut [usize], cost: &mut i64) -> bool {
    let mut better = false;
    for lot in 0..chosen.len() {
        let mut kept = chosen[lot];
        for way in 0..question.lots[lot].len() {
            chosen[lot] = way;
            if let Some(other) = question.cost(chosen).filter(|other| *other < *cost) {
                (*cost, kept, better) = (other, way, true);
            }
        }
        chosen[lot] = kept;
    }
    better
}

/// Pairs of lots, where there are not too many pairs of ways.
fn two_by_two(question: &Question, chosen: &mut [usize], cost: &mut i64) -> bool {
    const MOST_PAIRS: usize = 20_000;
    let ways: usize = question.lots.iter().map(Vec::len).sum();
    if ways * ways / 2 > MOST_PAIRS {
        return false;
    }
    for one in 0..chosen.len() {
        for other in one + 1..chosen.len() {
            let kept = (chosen[one], chosen[other]);
            for a in 0..question.lots[one].len() {
                for b in 0..question.lots[other].len() {
                    (chosen[one], chosen[other]) = (a, b);
                    if let Some(found) = question.cost(chosen).filter(|found| *found < *cost) {
                        *cost = found;
                        return true;
                    }
                }
            }
            (chosen[one], chosen[other]) = kept;
        }
    }
    false
}
