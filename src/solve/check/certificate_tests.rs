//! Prices prove what can be worked out by hand, and nothing more.

use super::*;
use crate::solve::{Credit, Item, Run, STRAIGHT, WHOLE};

fn stock(room: i64, cost: i64, supply: Option<u32>) -> Stock {
    let run = Run::clear(room);
    Stock { runs: vec![run], cost, supply, credit: None, group: 0 }
}

fn items(lengths: &[(i64, u32)]) -> Vec<Item> {
    let item = |&(length, demand): &(i64, u32)| Item { parts: vec![length], demand, group: None };
    lengths.iter().map(item).collect()
}

#[test]
fn prices_by_length_prove_the_material_bound() {
    // Seven 30s from 100: three fill 90, so 7 x 30 are worth 210/90.
    let problem = Problem { stock: vec![stock(100, 1, None)], items: items(&[(30, 7)]) };
    // Whatever the scale, prices are brought to where a stick is worth one.
    assert_eq!(bound_by_prices(&problem, &[30], 90), Ok(3));
    assert_eq!(bound_by_prices(&problem, &[30], 7), Ok(3));
    assert_eq!(bound_by_prices(&problem, &[30], 1000), Ok(3));
}

#[test]
fn patterns_are_no_longer_than_the_demand() {
    // The classic instance without the round-up property: by length the items
    // fill 1.962 sticks of 132. No pattern within the demand fills a stick:
    // 33 + 33 + 5 x 12 = 126 is the most, and 259/126 is above 2.
    let problem =
        Problem { stock: vec![stock(132, 1, None)], items: items(&[(44, 2), (33, 3), (12, 6)]) };
    assert_eq!(bound_by_prices(&problem, &[44, 33, 12], 132), Ok(3));
    // A limit that does not matter keeps the prices from being raised.
    let mut limited = problem;
    limited.stock[0].supply = Some(9);
    assert_eq!(bound_by_prices(&limited, &[44, 33, 12], 132), Ok(2));
}

#[test]
fn the_best_prices_prove_the_bound_of_the_linear_program() {
    // Chvatal, Linear Programming (1983), chapter 13: 452.25 sticks. Two 45s,
    // two 36s and a 14, or a 36, two 31s and no more fill a stick; prices of a
    // half for 45 and 36 and a quarter for 31 add up to 97/2 + 610/2 + 395/4 =
    // 452.25, and no stick of 100 holds more than one's worth.
    let problem = Problem {
        stock: vec![stock(100, 1, None)],
        items: items(&[(45, 97), (36, 610), (31, 395), (14, 211)]),
    };
    assert_eq!(bound_by_prices(&problem, &[2, 2, 1, 0], 4), Ok(453));
    // A 14 for a quarter as well: seven of them are worth 7/4, and 505 over 7/4
    // is 288.57.
    assert_eq!(bound_by_prices(&problem, &[2, 2, 1, 1], 4), Ok(289));
}

#[test]
fn demand_limits_what_a_pattern_is_worth() {
    // One 50 and nine 30s from 100: 30 + 30 + 30, or 50 + 30. With a price of
    // 1/3 for 30 and 2/3 for 50 the sum is 11/3; two 50s would break that, but
    // there is one.
    let problem = Problem { stock: vec![stock(100, 1, None)], items: items(&[(50, 1), (30, 9)]) };
    assert_eq!(bound_by_prices(&problem, &[2, 1], 3), Ok(4));
}

#[test]
fn limited_stock_may_be_worth_more_than_it_costs() {
    // Nine 30s; a stick of 90 costs 60, but there is one, and a stick of 60
    // costs 60 as well. At 30 a piece the sum is 270, less a gain of 30: 240 is
    // the cost of 90 + 60 + 60 + 60, and costs are multiples of 60.
    let problem = Problem {
        stock: vec![stock(60, 60, None), stock(90, 60, Some(1))],
        items: items(&[(30, 9)]),
    };
    assert_eq!(bound_by_prices(&problem, &[30], 1), Ok(240));
    assert_eq!(bound_by_prices(&problem, &[29], 1), Ok(240));
    // At 20 a piece: 180 without any gain.
    assert_eq!(bound_by_prices(&problem, &[20], 1), Ok(180));
}

#[test]
fn what_is_left_is_credited() {
    // Two of 40 from sticks of 100 at 100, where what is left is worth its
    // length: together they cost 80, and that is all that 40 a piece proves.
    let mut problem = Problem { stock: vec![stock(100, 100, None)], items: items(&[(40, 2)]) };
    problem.stock[0].credit =
        Some(Credit { keep: 1, full: 1, share: WHOLE, knots: STRAIGHT, rate: 1, per: 1, scale: 1 });
    assert_eq!(bound_by_prices(&problem, &[40], 1), Ok(80));
    assert_eq!(bound_by_prices(&problem, &[50], 1), Ok(80));
}

#[test]
fn only_stock_of_the_group_counts() {
    // The 30s have to come from the dear stock, two to a stick.
    let mut problem =
        Problem { stock: vec![stock(60, 1, None), stock(60, 10, None)], items: items(&[(30, 8)]) };
    problem.stock[1].group = 5;
    assert_eq!(bound_by_prices(&problem, &[5], 1), Ok(4));
    problem.items[0].group = Some(5);
    assert_eq!(bound_by_prices(&problem, &[5], 1), Ok(40));
}

#[test]
fn prices_that_are_none_are_refused() {
    let problem = Problem { stock: vec![stock(60, 1, None)], items: items(&[(30, 8)]) };
    for (prices, scale) in [(&[][..], 1), (&[1, 1], 1), (&[-1], 1), (&[1], 0), (&[1], -1)] {
        let bound = bound_by_prices(&problem, prices, scale);
        assert_eq!(bound, Err(SolverFault::Prices));
    }
}

#[test]
fn a_run_with_more_room_than_is_left_of_it_leaves_nothing_rather_than_less() {
    // Run 0 has room for 12 of which 10 are left: cut 12 there and 2 beyond, and
    // 48 go back, so that the unit of 100 costs 52. No pattern costs less for its
    // worth of 54, and no plan costs less than 52.
    let credit =
        Credit { keep: 1, full: 1, share: WHOLE, knots: STRAIGHT, rate: 1, per: 1, scale: 1 };
    let first = Run { room: 12, tail: 60, gap: 10, untouched: 10 };
    let flawed = Stock {
        runs: vec![first, Run::clear(50)],
        cost: 100,
        supply: Some(1),
        credit: Some(credit),
        group: 0,
    };
    assert_eq!(flawed.net_cost(&[12, 2]), 52);
    let problem = Problem { stock: vec![flawed], items: items(&[(12, 1), (2, 1)]) };
    assert_eq!(bound_by_prices(&problem, &[52, 2], 1), Ok(52));
}

// Computed by hand: of a stick of 10 that costs 1, the 8 that are left of it are
// worth 8, so that cutting the one piece pays 7, whatever it is priced at.
#[test]
fn cutting_may_pay() {
    let credit =
        Credit { keep: 1, full: 1, share: WHOLE, knots: STRAIGHT, rate: 1, per: 1, scale: 1 };
    let stock = Stock { credit: Some(credit), ..stock(10, 1, None) };
    let problem = Problem { stock: vec![stock], items: items(&[(2, 1)]) };
    assert_eq!(bound_by_prices(&problem, &[0], 1), Ok(-7));
}

#[test]
fn a_certificate_that_says_more_than_its_prices_prove_is_seen() {
    use std::collections::BTreeMap;
    // Two pieces of 60 from sticks of 100 that cost 1: a stick each, and no price of a
    // piece above that of a stick proves anything.
    let stock =
        Stock { runs: vec![Run::clear(100)], cost: 1, supply: None, credit: None, group: 0 };
    let item = Item { parts: vec![60], demand: 2, group: None };
    let problem = Problem { stock: vec![stock], items: vec![item] };
    let of = |price| Certificate {
        scale: 1,
        items: BTreeMap::from([(0, price)]),
        stock: BTreeMap::from([(0, 0)]),
    };
    assert_eq!(check_certificate(&problem, &of(1), 1_000), Ok(true));
    let found = check_certificate(&problem, &of(2), 1_000);
    assert_eq!(found, Err(SolverFault::NotProven { said: 4, found: 2 }));
    assert_eq!(check_certificate(&problem, &of(2), 0), Ok(false), "it is left unchecked");
}
