//! The solver against a general integer program on problems of up to 100 pieces.
//!
//! Every way to cut one unit is written out, with what it costs, and a general
//! solver (microlp, through good_lp) chooses how often to use each. Nothing is
//! shared with the solver but the question, the answer and the price of a unit
//! as [`Stock::net_cost`] defines it. The general solver's numbers are rounded
//! and its plan is added up again in integers before it is believed.

use longpoint::solve::{
    Certificate, Credit, Item, Limits, Outcome, Problem, Run, STRAIGHT, Solution, Stock, WHOLE,
    bound_by_prices, check, solve,
};

use crate::general::{Way, least_cost, ways};
use crate::numbers::Numbers;
use crate::worth::knots;

/// How many problems of a kind were proven, and how many of those by prices
/// that were checked, of how many.
#[derive(Debug, PartialEq)]
struct Tally {
    proven: usize,
    certified: usize,
    of: usize,
}

/// Solves `number` problems both ways; every answer has to agree.
fn compare(number: usize, seed: u64, draw: fn(&mut Numbers) -> Problem) -> Tally {
    /// More ways than this are too many for the general solver's patience.
    const MOST_WAYS: usize = 150;
    let mut numbers = Numbers(seed);
    let mut tally = Tally { proven: 0, certified: 0, of: 0 };
    while tally.of < number {
        let problem = draw(&mut numbers);
        let Some(ways) = ways(&problem, MOST_WAYS) else {
            continue;
        };
        let least = least_cost(&problem, &ways).expect("the general solver works");
        tally.of += 1;
        let (proven, certified) = agree(&problem, &ways, least);
        tally.proven += usize::from(proven);
        tally.certified += usize::from(certified);
    }
    tally
}

/// Whether the solver settles the problem, and whether it gives prices; what it
/// says has to be right.
fn agree(problem: &Problem, ways: &[Way], least: Option<i64>) -> (bool, bool) {
    let limits = Limits { work: 50_000_000, deadline: None, stop: None, watch: None };
    let outcome = solve(problem, &limits);
    assert_eq!(check(problem, &outcome), Ok(()), "{problem:#?}\n{outcome:?}");
    match (&outcome, least) {
        (Outcome::Solved(solution), Some(least)) => {
            let Solution { cost, bound, .. } = *solution;
            assert!(bound <= least && least <= cost, "{bound} {least} {cost} {problem:#?}");
            let certificate = solution.certificate.as_ref();
            certificate.inspect(|prices| hold(problem, ways, prices, least));
            (solution.is_proven(), certificate.is_some())
        }
        (Outcome::Impossible(_), None) => (true, false),
        (Outcome::Interrupted { bound, .. }, least) => {
            assert!(least.is_none_or(|least| *bound <= least), "{least:?} {problem:#?}");
            (false, false)
        }
        (_, least) => panic!("{outcome:?} where the least is {least:?}: {problem:#?}"),
    }
}

/// Prices hold for every way, and prove no more than is true; worked out again
/// from the items' prices alone, they prove as much where runs are single.
fn hold(problem: &Problem, ways: &[Way], certificate: &Certificate, least: i64) {
    let prices: Vec<i64> = (0..problem.items.len())
        .map(|item| certificate.items.get(&item).copied().unwrap_or(0))
        .collect();
    for way in ways.iter().filter(|way| problem.stock[way.stock].supply != Some(0)) {
        let worth = |(&count, &price): (&u32, &i64)| i128::from(count) * i128::from(price);
        let worth: i128 = way.counts.iter().zip(&prices).map(worth).sum();
        let charge = certificate.stock[&way.stock];
        let most = i128::from(certificate.scale) * i128::from(way.cost) + i128::from(charge);
        assert!(worth <= most, "{worth} > {most}: {problem:#?}");
    }
    let bound = certificate.bound(problem);
    let proven = bound_by_prices(problem, &prices, certificate.scale).unwrap();
    assert!(bound <= least && proven <= i128::from(least), "{bound} {proven} {least}");
    if problem.stock.iter().all(|stock| stock.runs.len() == 1) {
        assert!(i128::from(bound) <= proven, "{bound} > {proven}: {problem:#?}");
    }
}

fn clear(length: i64) -> Vec<Run> {
    let run = Run::clear(length);
    vec![run]
}

fn stock(length: i64, cost: i64, supply: Option<u32>) -> Stock {
    Stock { runs: clear(length), cost, supply, credit: None, group: 0 }
}

/// Some lengths between `low` and `high`, each wanted up to `most` times.
fn items(numbers: &mut Numbers, kinds: i64, (low, high): (i64, i64), most: i64) -> Vec<Item> {
    (0..kinds)
        .map(|_| Item {
            parts: vec![numbers.within(low, high)],
            demand: numbers.count(1, most),
            group: None,
        })
        .collect()
}

/// One length without limit: fewest sticks.
fn one_length(numbers: &mut Numbers) -> Problem {
    let length = numbers.within(40, 300);
    let kinds = numbers.within(4, 9);
    Problem {
        stock: vec![stock(length, 1, None)],
        items: items(numbers, kinds, (length / 7, length * 3 / 4), 12),
    }
}

/// Several lengths at prices near their length, some of them few.
fn several_lengths(numbers: &mut Numbers) -> Problem {
    let stock = (0..numbers.within(2, 4))
        .map(|_| {
            let length = numbers.within(60, 200);
            let cost = length * numbers.within(80, 120) / 10;
            let supply = (!numbers.one_in(3)).then(|| numbers.count(1, 15));
            stock(length, cost, supply)
        })
        .collect();
    let kinds = numbers.within(3, 6);
    Problem { stock, items: items(numbers, kinds, (25, 110), 8) }
}

/// Few sticks of many lengths, of which the remainders are worth something.
fn remainders_with_worth(numbers: &mut Numbers) -> Problem {
    let (keep, share) = (numbers.within(10, 40), numbers.count(0, 10) * (WHOLE / 10));
    let credit = Credit {
        keep,
        full: 200,
        share,
        knots: knots(numbers, (keep, share), 200),
        rate: numbers.within(5, 9),
        per: 10,
        scale: 1,
    };
    let stock = (0..numbers.within(3, 6))
        .map(|_| {
            let length = numbers.within(60, 200);
            Stock {
                credit: Some(credit),
                ..stock(length, credit.at(length), Some(numbers.count(1, 8)))
            }
        })
        .collect();
    let kinds = numbers.within(3, 5);
    Problem { stock, items: items(numbers, kinds, (30, 110), 5) }
}

/// Lots, flawed sticks, and pairs of parts that stay together.
fn lots_and_flaws(numbers: &mut Numbers) -> Problem {
    let credit = numbers.one_in(2).then(|| Credit {
        keep: numbers.within(10, 40),
        full: 160,
        share: numbers.count(0, 10) * (WHOLE / 10),
        knots: STRAIGHT,
        rate: numbers.within(5, 9),
        per: 10,
        scale: 1,
    });
    let mut stock: Vec<Stock> = (0..numbers.within(2, 4))
        .map(|_| {
            let length = numbers.within(80, 160);
            Stock { credit, ..stock(length, length, Some(numbers.count(2, 6))) }
        })
        .collect();
    for stock in &mut stock {
        stock.group = numbers.count(0, 1);
        if numbers.one_in(2) {
            let tail = stock.runs[0].room;
            let flaw = numbers.within(tail / 4, tail * 3 / 4);
            stock.runs = vec![
                Run { tail, gap: flaw + 2, untouched: flaw + 4, ..Run::clear(flaw) },
                Run::clear(tail - flaw - 4),
            ];
        }
    }
    let kinds = numbers.within(2, 5);
    let mut items = items(numbers, kinds, (20, 70), 4);
    for item in &mut items {
        if numbers.one_in(3) {
            item.parts.push(numbers.within(20, 50));
        }
        item.group = numbers.one_in(2).then(|| numbers.count(0, 1));
    }
    Problem { stock, items }
}

/// All are proven, and at least so many have prices beside them.
fn all_agree(number: usize, seed: u64, draw: fn(&mut Numbers) -> Problem, certified: usize) {
    let tried = usize::try_from(crate::ring::part(number as u64)).unwrap();
    let tally = compare(tried, seed, draw);
    assert_eq!((tally.proven, tally.of), (tried, tried));
    assert!(tally.certified * number >= certified * tried, "{tally:?}");
}

#[test]
fn one_length_agrees() {
    all_agree(80, 1, one_length, 10);
}

#[test]
fn several_lengths_agree() {
    all_agree(80, 2, several_lengths, 10);
}

#[test]
fn remainders_with_worth_agree() {
    all_agree(70, 3, remainders_with_worth, 10);
}

#[test]
fn lots_and_flaws_agree() {
    all_agree(70, 4, lots_and_flaws, 10);
}
