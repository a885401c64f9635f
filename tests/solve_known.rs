//! Cutting-stock problems with published or well-known answers.

use longpoint::solve::{Item, Limits, Outcome, Problem, Run, Solution, Stock, solve};

const LIMITS: Limits = Limits { work: 200_000_000, deadline: None, stop: None, watch: None };

fn stock(length: i64, cost: i64, supply: Option<u32>) -> Stock {
    let run = Run::clear(length);
    Stock { runs: vec![run], cost, supply, credit: None, group: 0 }
}

fn best(stock: Vec<Stock>, lengths: &[(i64, u32)]) -> Solution {
    let items =
        lengths.iter().map(|&(length, demand)| Item { parts: vec![length], demand, group: None });
    let problem = Problem { stock, items: items.collect() };
    match solve(&problem, &LIMITS) {
        Outcome::Solved(solution) if solution.is_proven() => solution,
        outcome => panic!("not proven: {outcome:?}"),
    }
}

fn sticks(length: i64, lengths: &[(i64, u32)]) -> i64 {
    best(vec![stock(length, 1, None)], lengths).cost
}

// Encyclopedia article "Cutting stock problem": 73 rolls.
#[test]
fn rolls_of_5600() {
    let lengths = [
        (1380, 22),
        (1520, 25),
        (1560, 12),
        (1710, 14),
        (1820, 18),
        (1880, 18),
        (1930, 20),
        (2000, 10),
        (2050, 12),
        (2100, 14),
        (2140, 16),
        (2150, 18),
        (2200, 20),
    ];
    assert_eq!(sticks(5600, &lengths), 73);
}

// Chvatal (1983), "Linear Programming", chapter 13: the bound is 452.25.
#[test]
fn rolls_of_100() {
    assert_eq!(sticks(100, &[(45, 97), (36, 610), (31, 395), (14, 211)]), 453);
}

// Fourer, Gay and Kernighan, "AMPL", the cutting example: the bound is 46.25.
#[test]
fn rolls_of_110() {
    let lengths = [(20, 48), (45, 35), (50, 24), (55, 10), (75, 8)];
    assert_eq!(sticks(110, &lengths), 47);
}

// Winston, "Operations Research" (from memory), and lecture notes.
#[test]
fn boards_of_17() {
    assert_eq!(sticks(17, &[(3, 25), (5, 20), (9, 15)]), 19);
}

// Textbook exercise: 25 bars are fewest.
#[test]
fn bars_of_19() {
    assert_eq!(sticks(19, &[(4, 50), (6, 20), (8, 15)]), 25);
}

// J. Kantor, CBE 40455 course notebook: two of 15 and three of 10, no waste.
#[test]
fn two_stock_lengths_without_waste() {
    let stock = vec![stock(15, 15, Some(3)), stock(10, 10, Some(3))];
    let solution = best(stock, &[(7, 3), (6, 2), (4, 6), (3, 1)]);
    assert_eq!((solution.cost, solution.sticks()), (60, 5));
}

// Published questions and answers, optima computed.
#[test]
fn answers_that_were_computed() {
    assert_eq!(sticks(12, &[(3, 60), (4, 49), (7, 12)]), 40);
    assert_eq!(sticks(2000, &[(255, 10), (750, 7), (550, 13)]), 9);
    let fifths = [(7216, 241), (7164, 241), (6894, 241), (4546, 241), (4413, 241)];
    assert_eq!(sticks(24_000, &fifths), 322);
    assert_eq!(sticks(25, &[(7, 700), (9, 1200), (10, 300)]), 775);
}

// The classic instance whose bound of 1.962 rounds up to 2 (from memory,
// verified): it takes 3.
#[test]
fn rounding_up_is_not_enough() {
    assert_eq!(sticks(132, &[(44, 2), (33, 3), (12, 6)]), 3);
}

// First-fit-decreasing anomaly (from memory, verified): 61 is no worse than 60.
#[test]
fn a_longer_stick_is_no_worse() {
    let lengths = [(44, 1), (24, 2), (22, 1), (21, 1), (17, 1), (8, 2), (6, 2)];
    assert_eq!(sticks(60, &lengths), 3);
    assert_eq!(sticks(61, &lengths), 3);
}

// Falkenauer (1996), "A hybrid grouping genetic algorithm for bin packing",
// Journal of Heuristics 2: triplets that fill 1000 exactly, so that the best is
// a third of the pieces. Generated here by that recipe.
#[test]
fn triplets_fill_every_stick() {
    let mut state = 0x7ea5_u64;
    let mut within = |low: i64, high: i64| {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + i64::try_from((state >> 33) % u64::try_from(high - low + 1).unwrap()).unwrap()
    };
    for _ in 0..5 {
        let mut lengths = Vec::new();
        for _ in 0..20 {
            let first = within(380, 490);
            let second = within(250, (1000 - first) / 2);
            lengths.extend([(first, 1), (second, 1), (1000 - first - second, 1)]);
        }
        assert_eq!(sticks(1000, &lengths), 20);
    }
}
