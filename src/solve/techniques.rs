//! Test: each technique alone against the table of states, on random problems.
//! A technique may leave a problem open, but its bound must be true.

use std::rc::Rc;

use super::bounds::{covering, whole_units};
use super::columns::generation::Reached;
use super::exact::by_demand;
use super::heuristics::{greedy, neighbourhood};
use super::instance::{Instance, can_hold};
use super::outcome::{Certificate, Limits};
use super::problem::{Credit, Item, Problem, Run, STRAIGHT, Stock, WHOLE};
use super::search::Search;
use super::tree::{fixing, gap, pair_branching, root, unit_branching};
use super::watchman::Watchman;
use crate::solve::outcome::Settled;

struct Numbers(u64);

impl Numbers {
    fn within(&mut self, low: i64, high: i64) -> i64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        let span = u64::try_from(high - low + 1).expect("low is not above high");
        low + i64::try_from(self.0 % span).expect("a span fits")
    }
}

/// Single stock, several lengths, offcuts with credit beside endless sticks,
/// stock that pays to be cut, or equal offcuts and sticks with any credit.
fn problem(numbers: &mut Numbers, flavour: usize) -> Problem {
    let stick = numbers.within(20, 60);
    let credit = match flavour {
        4 => any_credit(numbers, stick),
        _ => Credit {
            keep: stick / 5,
            full: stick,
            share: WHOLE / 2,
            knots: STRAIGHT,
            rate: 700,
            per: 3,
            scale: 2,
        },
    };
    let stock = |length: i64, supply, cost: i64, credited: bool| Stock {
        runs: vec![Run::clear(length)],
        cost,
        supply,
        credit: credited.then_some(credit),
        group: 0,
    };
    let stocks = match flavour {
        0 => vec![stock(stick, None, 1, false)],
        1 => (0..3)
            .map(|_| {
                let length = numbers.within(stick / 2, stick);
                let supply = u32::try_from(numbers.within(2, 5)).ok();
                stock(length, supply, length + numbers.within(0, 4), false)
            })
            .collect(),
        3 => {
            let lengths = (0..3).map(|_| numbers.within(stick / 2, stick)).collect::<Vec<_>>();
            lengths.into_iter().map(|length| stock(length, Some(5), 1, true)).collect()
        }
        4 => {
            let mut stocks = vec![stock(stick, Some(6), credit.at(stick) + 1, true)];
            stocks.extend((0..numbers.within(1, 3)).map(|_| {
                let length = numbers.within(stick / 3, stick);
                stock(length, Some(3), credit.at(length) + 1, true)
            }));
            stocks
        }
        _ => {
            let mut stocks = vec![stock(stick, None, credit.at(stick) + 1, true)];
            stocks.extend((0..numbers.within(0, 4)).map(|_| {
                let length = numbers.within(stick / 5, stick);
                stock(length, Some(1), credit.at(length) + 1, true)
            }));
            stocks
        }
    };
    let items = (0..numbers.within(3, 6)).map(|_| Item {
        parts: vec![numbers.within(stick / 7 + 1, stick / 2)],
        demand: u32::try_from(numbers.within(1, 3)).expect("a small number"),
        group: None,
    });
    Problem { stock: stocks, items: items.collect() }
}

/// A credit that jumps at any length, by any share.
fn any_credit(numbers: &mut Numbers, stick: i64) -> Credit {
    let keeps = [0, stick / 8, stick / 5, stick / 3, stick / 2, stick, stick + 1];
    let keep = keeps[usize::try_from(numbers.within(0, 6)).expect("an index")];
    let tenths = u32::try_from(numbers.within(0, 10)).expect("a tenth");
    let share = tenths.max(u32::from(numbers.within(0, 1) == 1) * 10) * (WHOLE / 10);
    Credit { keep, full: stick, share, knots: STRAIGHT, rate: 700, per: 3, scale: 2 }
}

fn truth(instance: &Instance) -> Option<i64> {
    let limits = NO_LIMITS;
    let mut steps = 0;
    let (wanted, supply) = (instance.demands(), instance.supplies());
    match by_demand::solve(
        instance,
        &wanted,
        &supply,
        i64::MAX,
        limits.work,
        &mut steps,
        Watchman::default(),
    ) {
        Settled::Yes(plan) => Some(plan.cost),
        Settled::No => None,
        Settled::Unknown => panic!("the problem should be small"),
    }
}

const NO_LIMITS: Limits = Limits { work: 1 << 40, deadline: None, stop: None, watch: None };

/// Runs one technique after the root on many problems; how many it proved.
fn run(flavour: usize, technique: &dyn Fn(&mut Search, &root::Root) -> bool) -> usize {
    let mut numbers = Numbers(0x5eed + flavour as u64);
    let mut proven = 0;
    for case in 0..400 {
        let problem = problem(&mut numbers, flavour);
        let instance = Instance::new(&problem);
        let truth = truth(&instance);
        let limits = NO_LIMITS;
        let mut search = Search::new(instance, &limits);
        greedy::longest_first(&mut search);
        let root = root::solve(&mut search);
        if root.reached == Reached::Infeasible {
            assert_eq!(truth, None, "case {case}: {problem:?}");
            proven += 1;
            continue;
        }
        let settled = technique(&mut search, &root);
        let best = search.best.as_ref().map(|best| best.cost);
        if settled {
            assert_eq!(best, truth, "case {case}: {problem:?}");
        }
        if let Some(truth) = truth {
            assert!(search.bound <= truth, "case {case}: {problem:?}");
            assert!(best.is_none_or(|best| best >= truth), "case {case}");
            if let Some(certificate) = &search.certificate {
                holds(&problem, &search.instance, certificate);
                assert!(certificate.bound(&problem) <= truth, "case {case}");
            }
        }
        proven += usize::from(settled || search.is_proven());
    }
    proven
}

/// Tries every pattern against the prices.
fn holds(problem: &Problem, instance: &Rc<Instance>, certificate: &Certificate) {
    fn patterns(problem: &Problem, item: usize, room: i64) -> Vec<(i64, Vec<u32>)> {
        let Some(next) = problem.items.get(item) else {
            return vec![(0, Vec::new())];
        };
        let length = next.length();
        let counts = (0..=next.demand).take_while(|&n| i64::from(n) * length <= room);
        let with = |n: u32| {
            let taken = i64::from(n) * length;
            let rest = patterns(problem, item + 1, room - taken).into_iter();
            rest.map(move |(sum, mut counts)| {
                counts.push(n);
                (sum + taken, counts)
            })
        };
        counts.flat_map(with).collect()
    }
    for kind in &instance.kinds {
        let (stock, _) = kind.stocks[0];
        let charge = i128::from(certificate.stock[&stock]);
        let stock = &problem.stock[stock];
        for (taken, counts) in patterns(problem, 0, stock.room()) {
            let worth = counts
                .iter()
                .rev()
                .enumerate()
                .map(|(item, &n)| i128::from(certificate.items[&item]) * i128::from(n));
            let cost = i128::from(certificate.scale) * i128::from(stock.net_cost(&[taken]));
            assert!(taken == 0 || worth.sum::<i128>() <= cost + charge);
        }
    }
}

#[test]
fn choosing_from_a_list_agrees() {
    for flavour in [0, 1, 2, 4] {
        let proven = run(flavour, &|search, root| gap::close(search, root) || search.is_proven());
        assert!(proven >= 398, "{proven} settled of flavour {flavour}");
    }
}

#[test]
fn room_for_everything_costs_no_more_than_the_best_plan() {
    let proven = run(1, &|search, _| {
        search.bound = 0;
        covering::raise(search);
        search.is_proven()
    });
    assert!(proven > 150, "{proven} proven");
}

#[test]
fn whole_units_cost_no_more_than_the_best_plan() {
    for (flavour, least) in [(0, 300), (1, 150), (2, 150), (3, 0), (4, 100)] {
        let proven = run(flavour, &|search, root| {
            search.bound = i64::MIN;
            let prices = root.proven_prices(search);
            whole_units::bound(search, &prices);
            search.is_proven()
        });
        assert!(proven >= least, "{proven} proven of flavour {flavour}");
    }
}

#[test]
fn mending_agrees() {
    for (flavour, least) in [(1, 280), (2, 200), (4, 200)] {
        let proven = run(flavour, &|search, root| {
            let prices = root.proven_prices(search);
            let mut improver = neighbourhood::NeighbourhoodSearch::new(search);
            improver.improve(search, None, 20_000);
            improver.improve(search, Some(&prices), 20_000);
            whole_units::bound(search, &prices);
            fixing::close_in(search, root, &prices, 16);
            search.is_proven()
        });
        assert!(proven >= least, "{proven} proven of flavour {flavour}");
    }
}

#[test]
fn branching_on_units_agrees() {
    let proven = run(1, &|search, root| {
        let mut improver = neighbourhood::NeighbourhoodSearch::new(search);
        if let Some(mut tree) = unit_branching::UnitTree::new(search, root) {
            tree.grow(search, &mut improver, u64::MAX);
        }
        search.is_proven()
    });
    assert!(proven > 395, "{proven} proven");
}

#[test]
fn branching_on_pairs_agrees() {
    for (flavour, least) in [(0, 395), (2, 200), (4, 100)] {
        let proven = run(flavour, &|search, root| {
            pair_branching::branch(search, root, u64::MAX);
            search.is_proven()
        });
        assert!(proven >= least, "{proven} proven of flavour {flavour}");
    }
}

#[test]
fn layouts_are_cheap_to_ask_for() {
    let run = Run::clear(5);
    assert!(can_hold(&[run, run], &[4, 3]));
    assert!(!can_hold(&[run, run], &[4, 3, 3]));
}
