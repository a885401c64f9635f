//! Cutting-stock problems with published or well-known answers.

use std::sync::atomic::AtomicBool;
use std::time::Instant;

use longpoint::solve::{
    Item, Limits, Outcome, Problem, Run, Solution, Stock, bound_by_prices, check, solve,
};

use crate::known_values::{KNOWN, Known};
use crate::numbers::Numbers;

const LIMITS: Limits = Limits { work: 200_000_000, deadline: None, stop: None, watch: None };

fn problem(stock: &[(i64, i64, Option<u32>)], pieces: &[(i64, u32)]) -> Problem {
    let stock = stock.iter().map(|&(length, cost, supply)| Stock {
        runs: vec![Run::clear(length)],
        cost,
        supply,
        credit: None,
        group: 0,
    });
    let item = |&(length, demand)| Item { parts: vec![length], demand, group: None };
    Problem { stock: stock.collect(), items: pieces.iter().map(item).collect() }
}

/// The proven plan, checked.
fn best(name: &str, problem: &Problem) -> Solution {
    let outcome = solve(problem, &LIMITS);
    assert_eq!(check(problem, &outcome), Ok(()), "{name}");
    match outcome {
        Outcome::Solved(solution) if solution.is_proven() => solution,
        outcome => panic!("{name}: not proven: {outcome:?}"),
    }
}

#[test]
fn the_least_cost_is_found_and_proven() {
    for Known { name, stock, pieces, cost, sticks, .. } in KNOWN {
        let solution = best(name, &problem(stock, pieces));
        assert_eq!((solution.cost, solution.sticks()), (cost, sticks), "{name}");
    }
}

/// Where the linear program was solved, its prices prove at least the stated
/// bound rounded up. They may prove more, as for K12, since no pattern of ours
/// holds more pieces than are wanted.
#[test]
fn prices_prove_the_stated_bound() {
    let mut looked = 0;
    for Known { name, stock, pieces, linear, cost, .. } in KNOWN {
        let problem = problem(stock, pieces);
        let solution = best(name, &problem);
        let (Some(linear), Some(certificate)) = (linear, &solution.certificate) else { continue };
        let prices: Vec<i64> = (0..pieces.len()).map(|item| certificate.items[&item]).collect();
        let proven = bound_by_prices(&problem, &prices, certificate.scale).unwrap();
        let rounded = i128::from((linear + 999) / 1000);
        assert!(proven <= i128::from(cost), "{name}");
        assert!(proven >= rounded, "{name}: {proven} against {rounded}");
        assert_eq!(i128::from(certificate.bound(&problem)), proven, "{name}");
        looked += 1;
    }
    assert!(looked >= 3, "only {looked} were not settled before the linear program");
}

/// The stated numbers of a rule of thumb show that the rows were copied right,
/// and that the traps are traps.
#[test]
fn longest_first_takes_as_many_as_is_stated() {
    for Known { name, stock, pieces, longest_first, sticks, .. } in KNOWN {
        let Some(stated) = longest_first else { continue };
        let mut pieces: Vec<i64> = pieces
            .iter()
            .flat_map(|&(length, demand)| std::iter::repeat_n(length, demand as usize))
            .collect();
        pieces.sort_unstable_by(|a, b| b.cmp(a));
        let mut left: Vec<i64> = Vec::new();
        for piece in pieces {
            match left.iter_mut().find(|left| **left >= piece) {
                Some(left) => *left -= piece,
                None => left.push(stock[0].0 - piece),
            }
        }
        assert_eq!(left.len(), stated, "{name}");
        assert!(sticks <= stated as u64, "{name}");
    }
}

// Falkenauer (1996), "A hybrid grouping genetic algorithm for bin packing",
// Journal of Heuristics 2: triplets that fill 1000 exactly, so that the best is
// a third of the pieces. Generated here by that recipe.
fn triplets(numbers: &mut Numbers) -> Vec<(i64, u32)> {
    let mut lengths = Vec::new();
    for _ in 0..20 {
        let first = numbers.within(380, 490);
        let second = numbers.within(250, (1000 - first) / 2);
        lengths.extend([(first, 1), (second, 1), (1000 - first - second, 1)]);
    }
    lengths
}

#[test]
fn triplets_fill_every_stick() {
    let mut numbers = Numbers(0x7ea5);
    for _ in 0..5 {
        let problem = problem(&[(1000, 1, None)], &triplets(&mut numbers));
        assert_eq!(best("triplets", &problem).cost, 20);
    }
}

/// Twenty sticks of 1000 and no more: longest first fails, and a search that is
/// stopped before it begins has no plan. It knows the bound by length even so.
#[test]
fn a_search_stopped_at_once_has_a_bound() {
    let problem = problem(&[(1000, 7, Some(20))], &triplets(&mut Numbers(0x7ea5)));
    let stopped = AtomicBool::new(true);
    let past = Instant::now();
    for limits in [
        Limits { work: 0, ..LIMITS },
        Limits { stop: Some(&stopped), ..LIMITS },
        Limits { deadline: Some(past), ..LIMITS },
    ] {
        let Outcome::Interrupted { bound, .. } = solve(&problem, &limits) else {
            panic!("a plan without search");
        };
        assert_eq!(bound, 140);
    }
}
