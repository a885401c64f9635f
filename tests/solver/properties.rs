//! What must hold between the answers to related problems, whatever they are:
//! more to choose from is never worse, and how a question is put changes
//! nothing.

use std::sync::atomic::AtomicBool;
use std::time::{Duration, Instant};

use longpoint::solve::{
    Credit, Item, Limits, Outcome, Problem, Run, STRAIGHT, Shortfall, Solution, Stock, WHOLE,
    check, solve,
};
use proptest::prelude::*;
use proptest::sample::Index;

const LIMITS: Limits = Limits { work: 100_000_000, deadline: None, stop: None, watch: None };

/// The proven plan, or `None` where there is none: all of these problems are
/// small enough to be settled.
fn settled(problem: &Problem) -> Option<Solution> {
    let outcome = solve(problem, &LIMITS);
    assert_eq!(check(problem, &outcome), Ok(()), "{problem:#?}");
    match outcome {
        Outcome::Solved(solution) if solution.is_proven() => Some(solution),
        Outcome::Impossible(_) => None,
        outcome => panic!("not settled: {outcome:?}: {problem:#?}"),
    }
}

fn cost(problem: &Problem) -> Option<i64> {
    settled(problem).map(|solution| solution.cost)
}

/// Whether the first is no worse than the second; no plan at all is worst.
fn no_worse(cost: Option<i64>, than: Option<i64>) -> bool {
    than.is_none_or(|than| cost.is_some_and(|cost| cost <= than))
}

/// A stick of one run, or of two beside a flaw.
fn runs() -> impl Strategy<Value = Vec<Run>> {
    let whole = (20..80_i64).prop_map(|length| vec![Run::clear(length)]);
    let flawed = (15..40_i64, 15..40_i64, 0..5_i64, 0..4_i64).prop_map(|(a, b, flaw, more)| {
        let first = Run { room: a, tail: a + flaw + b, gap: a, untouched: a + more };
        vec![first, Run::clear(b)]
    });
    prop_oneof![3 => whole, 1 => flawed]
}

fn stock() -> impl Strategy<Value = Stock> {
    let supply = prop_oneof![1 => Just(None), 3 => (0..4_u32).prop_map(Some)];
    (runs(), 1..100_i64, supply, 0..2_u32).prop_map(|(runs, cost, supply, group)| Stock {
        runs,
        cost,
        supply,
        credit: None,
        group,
    })
}

fn credit() -> impl Strategy<Value = Credit> {
    (1..30_i64, 30..90_i64, 0..=WHOLE, 1..40_i64, 1..12_i64, 1..4_i64).prop_map(
        |(keep, full, share, rate, per, scale)| Credit {
            keep,
            full,
            share,
            knots: STRAIGHT,
            rate,
            per,
            scale,
        },
    )
}

fn item() -> impl Strategy<Value = Item> {
    let parts = prop_oneof![
        4 => (3..60_i64).prop_map(|length| vec![length]),
        1 => (3..25_i64, 3..25_i64).prop_map(|(a, b)| vec![a, b]),
    ];
    let group = prop_oneof![3 => Just(None), 1 => (0..2_u32).prop_map(Some)];
    (parts, 1..4_u32, group).prop_map(|(parts, demand, group)| Item { parts, demand, group })
}

fn problem() -> impl Strategy<Value = Problem> {
    let stock = prop::collection::vec(stock(), 1..5);
    // Some that are solved outright, some that need the linear program.
    let items =
        prop_oneof![prop::collection::vec(item(), 1..6), prop::collection::vec(item(), 8..12)];
    (stock, items, prop::option::of(credit())).prop_map(|(stock, items, credit)| {
        let problem = Problem { stock, items };
        credited(&priced(&problem, credit), credit)
    })
}

/// In problems of many items no stick pays by being cut at all: each costs at
/// least what it is worth whole, as on a rack.
fn priced(problem: &Problem, credit: Option<Credit>) -> Problem {
    const FEW: usize = 5;
    let mut priced = problem.clone();
    if let Some(credit) = credit.filter(|_| problem.items.len() > FEW) {
        let long = |stock: &Stock| stock.runs.iter().map(|run| run.tail.max(run.untouched)).sum();
        priced.stock.iter_mut().for_each(|stock| stock.cost += credit.at(long(stock)));
    }
    priced
}

fn credited(problem: &Problem, credit: Option<Credit>) -> Problem {
    let mut credited = problem.clone();
    credited.stock.iter_mut().for_each(|stock| stock.credit = credit);
    credited
}

/// Every length times `k`, at the same worth.
fn scaled(problem: &Problem, k: i64) -> Problem {
    let mut scaled = problem.clone();
    for stock in &mut scaled.stock {
        for run in &mut stock.runs {
            run.room *= k;
            run.tail *= k;
            run.gap *= k;
            run.untouched *= k;
        }
        if let Some(credit) = &mut stock.credit {
            credit.keep *= k;
            credit.full *= k;
            credit.per *= k;
        }
    }
    for part in scaled.items.iter_mut().flat_map(|item| &mut item.parts) {
        *part *= k;
    }
    scaled
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(u32::try_from(crate::ring::part(400)).unwrap()))]

    #[test]
    fn more_stock_is_never_worse(problem in problem(), more in stock(), at in any::<Index>()) {
        let before = cost(&problem);
        let mut with = problem.clone();
        let credit = problem.stock[0].credit;
        let more = Problem { stock: vec![more], items: problem.items };
        let more = credited(&priced(&more, credit), credit).stock.remove(0);
        with.stock.insert(at.index(with.stock.len() + 1), more);
        prop_assert!(no_worse(cost(&with), before));
    }

    #[test]
    fn more_supply_is_never_worse(problem in problem(), which in any::<Index>(), more in 1..4_u32) {
        let before = cost(&problem);
        let mut with = problem.clone();
        let supply = &mut with.stock[which.index(problem.stock.len())].supply;
        *supply = supply.map(|units| units + more);
        let after = cost(&with);
        prop_assert!(no_worse(after, before));
        with.stock[which.index(problem.stock.len())].supply = None;
        prop_assert!(no_worse(cost(&with), after));
    }

    #[test]
    fn remainders_worth_more_are_never_worse(
        problem in problem(),
        credit in credit(),
        rate in 0..20_i64,
        share in 0..=WHOLE,
    ) {
        let more = Credit { rate: credit.rate + rate, ..credit };
        let most = Credit { share: share.max(credit.share), ..more };
        let problem = priced(&problem, Some(most));
        let with = |credit| cost(&credited(&problem, credit));
        prop_assert!(no_worse(with(Some(credit)), with(None)));
        prop_assert!(no_worse(with(Some(more)), with(Some(credit))));
        prop_assert!(no_worse(with(Some(most)), with(Some(more))));
    }

    /// Not the cost alone: every pattern, the bound, the prices and the steps.
    #[test]
    fn a_finer_unit_changes_nothing(problem in problem(), k in 2..100_000_i64) {
        let (plain, fine) = (solve(&problem, &LIMITS), solve(&scaled(&problem, k), &LIMITS));
        let same = match plain {
            Outcome::Impossible(Shortfall::TooLittle { items, wanted, room }) => {
                let (wanted, room) = (wanted * k, room * k);
                Outcome::Impossible(Shortfall::TooLittle { items, wanted, room })
            }
            outcome => outcome,
        };
        prop_assert_eq!(fine, same);
    }

    #[test]
    fn the_order_of_the_question_changes_nothing(
        (problem, stock, items) in problem().prop_flat_map(|problem| {
            let stock = Just((0..problem.stock.len()).collect::<Vec<_>>()).prop_shuffle();
            let items = Just((0..problem.items.len()).collect::<Vec<_>>()).prop_shuffle();
            (Just(problem), stock, items)
        }),
    ) {
        let other = Problem {
            stock: stock.iter().map(|&stock| problem.stock[stock].clone()).collect(),
            items: items.iter().map(|&item| problem.items[item].clone()).collect(),
        };
        let figures = |problem: &Problem| {
            settled(problem).map(|solution| (solution.cost, solution.bound))
        };
        prop_assert_eq!(figures(&other), figures(&problem));
    }

    /// An item of demand four is two of demand two, and four sticks on one line
    /// are two lines of two.
    #[test]
    fn equal_items_and_equal_stock_may_be_apart(
        problem in problem(),
        item in any::<Index>(),
        stock in any::<Index>(),
        some in any::<Index>(),
    ) {
        let mut apart = problem.clone();
        let whole = &mut apart.items[item.index(problem.items.len())];
        let mut twin = whole.clone();
        twin.demand = u32::try_from(some.index(whole.demand as usize)).unwrap();
        whole.demand -= twin.demand;
        apart.items.push(twin);
        let whole = &mut apart.stock[stock.index(problem.stock.len())];
        if let Some(supply) = whole.supply.filter(|&supply| supply > 0) {
            let units = u32::try_from(some.index(supply as usize)).unwrap();
            let twin = Stock { supply: Some(units), ..whole.clone() };
            whole.supply = Some(supply - units);
            apart.stock.push(twin);
        }
        let figures = |problem: &Problem| {
            settled(problem).map(|solution| (solution.cost, solution.bound, solution.sticks()))
        };
        prop_assert_eq!(figures(&apart), figures(&problem));
    }

    #[test]
    fn the_same_question_gets_the_same_answer(problem in problem()) {
        let first = solve(&problem, &LIMITS);
        let flag = AtomicBool::new(false);
        let told = std::cell::Cell::new(0_u32);
        let watch = |_| told.set(told.get() + 1);
        let hour = Instant::now().checked_add(Duration::from_secs(3600));
        for limits in [
            LIMITS,
            Limits { deadline: hour, ..LIMITS },
            Limits { deadline: hour, stop: Some(&flag), watch: Some(&watch), ..LIMITS },
        ] {
            prop_assert_eq!(&solve(&problem, &limits), &first);
        }
    }
}
