//! Every answer of the solver on thousands of tiny problems of every kind,
//! against trying each way of placing each part. Nothing here is shared with
//! the solver but the question and the answer.

use longpoint::solve::{
    Certificate, Credit, Item, Limits, Outcome, Problem, Run, Shortfall, Solution, Stock, WHOLE,
    bound_by_prices, explain, solve,
};

use crate::exhaust::{brute, net, worth};
use crate::numbers::Numbers;
use crate::worth::knots;

/// What makes a problem special.
#[derive(Clone, Copy)]
struct Flavour {
    stocks: i64,
    supply: bool,
    credit: bool,
    runs: i64,
    parts: i64,
    groups: bool,
    pieces: i64,
    copies: i64,
    /// The longest piece goes this often into the longest stick, or nearly.
    longest: i64,
}

const FLAVOURS: [Flavour; 11] = {
    let plain = Flavour {
        stocks: 1,
        supply: false,
        credit: false,
        runs: 1,
        parts: 1,
        groups: false,
        pieces: 7,
        copies: 3,
        longest: 1,
    };
    [
        plain,
        Flavour { stocks: 3, ..plain },
        Flavour { stocks: 4, supply: true, ..plain },
        Flavour { stocks: 3, credit: true, pieces: 6, ..plain },
        Flavour { stocks: 4, supply: true, credit: true, pieces: 6, ..plain },
        Flavour { stocks: 3, supply: true, credit: true, runs: 3, pieces: 5, ..plain },
        Flavour { stocks: 3, supply: true, credit: true, parts: 3, pieces: 4, ..plain },
        Flavour { stocks: 4, supply: true, credit: true, groups: true, pieces: 6, ..plain },
        Flavour {
            stocks: 3,
            supply: true,
            credit: true,
            runs: 3,
            parts: 3,
            groups: true,
            pieces: 4,
            ..plain
        },
        Flavour { stocks: 2, supply: true, credit: true, pieces: 9, copies: 1, ..plain },
        Flavour { credit: true, supply: true, runs: 2, pieces: 9, copies: 1, longest: 3, ..plain },
    ]
};

fn problem(numbers: &mut Numbers, flavour: Flavour) -> Problem {
    let stick = numbers.within(12, 60);
    let scale = if numbers.one_in(3) { 1 } else { numbers.within(1, 9) };
    // Costs and credit belong together: a stick is worth what it is worth whole.
    let (keep, full) = (numbers.within(1, stick / 2), numbers.within(stick / 2, stick + 5));
    let share = u32::try_from(numbers.within(0, i64::from(WHOLE))).unwrap();
    let credit = Credit {
        keep,
        full,
        share,
        knots: knots(numbers, (keep, share), full),
        rate: numbers.within(1, 40),
        per: numbers.within(1, 12),
        scale,
    };
    let stocks = numbers.within(1, flavour.stocks);
    let stock = (0..stocks).map(|_| a_stock(numbers, flavour, stick, credit)).collect();
    let pieces = numbers.within(1, flavour.pieces);
    let mut items: Vec<Item> = Vec::new();
    let mut left = pieces;
    while left > 0 {
        let parts = numbers.within(1, flavour.parts);
        let longest = if parts > 1 { stick / 2 } else { stick / flavour.longest };
        let parts = (0..parts).map(|_| numbers.within(1 + stick / 10, longest)).collect();
        let demand = numbers.within(1, left.min(flavour.copies));
        left -= demand;
        let group = (flavour.groups && numbers.one_in(2))
            .then(|| u32::try_from(numbers.within(0, 2)).unwrap());
        items.push(Item { parts, demand: u32::try_from(demand).unwrap(), group });
    }
    Problem { stock, items }
}

fn a_stock(numbers: &mut Numbers, flavour: Flavour, stick: i64, credit: Credit) -> Stock {
    let runs = numbers.within(1, flavour.runs);
    let mut runs: Vec<Run> = (0..runs)
        .map(|_| {
            let room = if runs == 1 {
                numbers.within(stick / 3, stick + 4)
            } else {
                numbers.within(1, stick * 2 / 3)
            };
            let gap = room + numbers.within(-2, 2);
            let untouched = gap + numbers.within(0, 2);
            Run { room, tail: room + numbers.within(-2, 3), gap, untouched }
        })
        .collect();
    for r in (0..runs.len() - 1).rev() {
        runs[r].tail = runs[r].gap + runs[r + 1].tail + numbers.within(0, 3);
    }
    let credit = (flavour.credit && !numbers.one_in(4)).then_some(credit);
    let cost = match credit {
        Some(credit) if !numbers.one_in(4) => {
            worth(&credit, runs[0].tail) + credit.scale * numbers.within(0, 20)
        }
        Some(credit) => credit.scale * numbers.within(0, 200),
        None => numbers.within(1, 100),
    };
    let supply = (flavour.supply && !numbers.one_in(4))
        .then(|| u32::try_from(numbers.within(0, 3)).unwrap());
    let group = if flavour.groups { u32::try_from(numbers.within(0, 2)).unwrap() } else { 0 };
    Stock { runs, cost, supply, credit, group }
}

/// Recomputes everything that a solution claims.
fn check(problem: &Problem, solution: &Solution) {
    let mut cut: Vec<Vec<u32>> =
        problem.items.iter().map(|item| vec![0; item.parts.len()]).collect();
    let mut used = vec![0; problem.stock.len()];
    let mut cost = 0;
    for pattern in &solution.patterns {
        let stock = &problem.stock[pattern.stock];
        assert!(pattern.times > 0);
        used[pattern.stock] += pattern.times;
        assert_eq!(pattern.runs.len(), stock.runs.len());
        let mut of_item = vec![Vec::new(); problem.items.len()];
        let mut taken = Vec::new();
        for (run, pieces) in stock.runs.iter().zip(&pattern.runs) {
            let mut sum = 0;
            for piece in pieces {
                let item = &problem.items[piece.item];
                assert!(item.group.is_none_or(|g| g == stock.group));
                sum += item.parts[piece.part] * i64::from(piece.count);
                of_item[piece.item].resize(item.parts.len(), 0);
                of_item[piece.item][piece.part] += piece.count;
                cut[piece.item][piece.part] += piece.count * pattern.times;
            }
            assert!(sum <= run.room);
            taken.push(sum);
        }
        assert!(taken.iter().any(|&length| length > 0), "a unit of which nothing is cut");
        for parts in of_item {
            assert!(
                parts.windows(2).all(|pair| pair[0] == pair[1]),
                "parts of an item in two units"
            );
        }
        cost += net(stock, &taken) * i64::from(pattern.times);
    }
    for (item, parts) in problem.items.iter().zip(&cut) {
        assert!(parts.iter().all(|&count| count == item.demand));
    }
    for (stock, used) in problem.stock.iter().zip(used) {
        assert!(stock.supply.is_none_or(|supply| used <= supply));
    }
    assert_eq!(cost, solution.cost);
    assert!(solution.bound <= solution.cost);
}

const LIMITS: Limits = Limits { work: 100_000_000, deadline: None, stop: None, watch: None };

/// What came of the problems of one flavour.
#[derive(Default)]
struct Tally {
    impossible: usize,
    certified: usize,
    unproven: usize,
}

fn agree(flavour: Flavour, seed: u64, count: usize) -> Tally {
    let mut numbers = Numbers(seed);
    let mut tally = Tally::default();
    for case in 0..count {
        let problem = problem(&mut numbers, flavour);
        let best = brute(&problem);
        match (best, solve(&problem, &LIMITS)) {
            (Some(best), Outcome::Solved(solution)) => {
                check(&problem, &solution);
                assert_eq!(solution.cost, best, "case {case}: {problem:#?}");
                assert!(
                    solution.is_proven(),
                    "case {case}: bound {} of {best}: {problem:#?}",
                    solution.bound
                );
                if let Some(certificate) = &solution.certificate {
                    holds(&problem, certificate, best);
                    tally.certified += 1;
                }
            }
            (None, Outcome::Impossible(shortfall)) => {
                reasons(&problem, shortfall);
                tally.impossible += 1;
            }
            (truth, outcome) => panic!("case {case}: {truth:?} but {outcome:?} for {problem:#?}"),
        }
        let work = u64::from(numbers.count(0, 3000));
        tally.unproven += usize::from(!hurried(&problem, best, work));
    }
    assert!(tally.impossible < count, "some problem must have an answer");
    tally
}

/// With little work a plan may be missed, but whatever is said is true. Whether
/// the problem was settled.
fn hurried(problem: &Problem, best: Option<i64>, work: u64) -> bool {
    match (best, solve(problem, &Limits { work, ..LIMITS })) {
        (Some(best), Outcome::Solved(solution)) => {
            check(problem, &solution);
            let (bound, cost) = (solution.bound, solution.cost);
            assert!(bound <= best && best <= cost, "{bound} {best} {cost}: {problem:#?}");
            solution.is_proven()
        }
        (None, Outcome::Impossible(_)) => true,
        (_, Outcome::Interrupted { bound, .. }) => {
            assert!(best.is_none_or(|best| bound <= best), "{bound} {best:?}: {problem:#?}");
            false
        }
        (truth, outcome) => panic!("{truth:?} but {outcome:?} for {problem:#?}"),
    }
}

/// The prices hold for every pattern of every stock, and prove no more than is
/// true.
fn holds(problem: &Problem, certificate: &Certificate, best: i64) {
    let price = |item: usize| certificate.items.get(&item).copied().unwrap_or(0);
    for (index, stock) in problem.stock.iter().enumerate() {
        let charge = certificate.stock.get(&index);
        let mut try_each = |taken: &[i64], worth: i128| {
            if worth == 0 || stock.supply == Some(0) {
                return;
            }
            let charge = i128::from(*charge.expect("stock that holds something has a charge"));
            let cost = i128::from(net(stock, taken)) * i128::from(certificate.scale);
            assert!(worth <= cost + charge, "{worth} > {cost} + {charge}: {problem:#?}");
        };
        let mut taken = vec![0; stock.runs.len()];
        patterns(problem, stock, &price, 0, &mut taken, 0, &mut try_each);
    }
    let bound = certificate.bound(problem);
    assert!(bound <= best, "{bound} > {best}: {problem:#?}");
    let prices: Vec<i64> = (0..problem.items.len()).map(price).collect();
    let proven = bound_by_prices(problem, &prices, certificate.scale).unwrap();
    assert!(proven <= i128::from(best), "{proven} > {best}: {problem:#?}");
    if problem.stock.iter().all(|stock| stock.runs.len() == 1) {
        assert!(proven >= i128::from(bound), "{proven} < {bound}: {problem:#?}");
    }
}

/// Every way to cut items of one part, from `item` on, from one unit: the
/// lengths taken from its runs and what the items are worth.
fn patterns(
    problem: &Problem,
    stock: &Stock,
    price: &dyn Fn(usize) -> i64,
    item: usize,
    taken: &mut Vec<i64>,
    worth: i128,
    try_each: &mut dyn FnMut(&[i64], i128),
) {
    let Some(wanted) = problem.items.get(item) else {
        try_each(taken, worth);
        return;
    };
    fn copies(
        stock: &Stock,
        length: i64,
        left: u32,
        first: usize,
        taken: &mut Vec<i64>,
        cut: u32,
        each: &mut dyn FnMut(&mut Vec<i64>, u32),
    ) {
        each(taken, cut);
        for r in first..taken.len() {
            if left > 0 && taken[r] + length <= stock.runs[r].room {
                taken[r] += length;
                copies(stock, length, left - 1, r, taken, cut + 1, each);
                taken[r] -= length;
            }
        }
    }
    assert_eq!(wanted.parts.len(), 1);
    let serves = wanted.group.is_none_or(|group| group == stock.group);
    let most = if serves { wanted.demand } else { 0 };
    copies(stock, wanted.parts[0], most, 0, taken, 0, &mut |taken, cut| {
        let worth = worth + i128::from(price(item)) * i128::from(cut);
        patterns(problem, stock, price, item + 1, taken, worth, try_each);
    });
}

/// The items named are enough to make the problem impossible, also in the
/// shorter reason, of which none can be left out.
fn reasons(problem: &Problem, shortfall: Shortfall) {
    let only = |items: &[usize]| {
        let mut problem = problem.clone();
        for (index, item) in problem.items.iter_mut().enumerate() {
            item.demand *= u32::from(items.contains(&index));
        }
        problem
    };
    let shorter = explain(problem, shortfall.clone(), &LIMITS);
    for shortfall in [&shortfall, &shorter] {
        let outcome = Outcome::Impossible(shortfall.clone());
        assert_eq!(longpoint::solve::check(problem, &outcome), Ok(()), "{problem:#?}");
        assert_eq!(brute(&only(named(shortfall))), None, "{shortfall:?}: {problem:#?}");
    }
    if let Shortfall::NoArrangement(items) = shorter {
        for left_out in &items {
            let others: Vec<usize> = items.iter().copied().filter(|i| i != left_out).collect();
            assert!(brute(&only(&others)).is_some(), "{left_out} of {items:?}: {problem:#?}");
        }
    }
}

fn named(shortfall: &Shortfall) -> &[usize] {
    match shortfall {
        Shortfall::TooLong(items)
        | Shortfall::NoArrangement(items)
        | Shortfall::TooLittle { items, .. }
        | Shortfall::TooFew { items, .. } => items,
    }
}

#[test]
fn one_stock() {
    agree(FLAVOURS[0], 1, 3000);
}

#[test]
fn several_stocks() {
    agree(FLAVOURS[1], 2, 3000);
}

#[test]
fn limited_supply() {
    let tally = agree(FLAVOURS[2], 3, 3000);
    assert!(tally.impossible > 100, "only {} are impossible", tally.impossible);
}

#[test]
fn credit_for_what_is_left() {
    agree(FLAVOURS[3], 4, 3000);
}

#[test]
fn credit_and_limited_supply() {
    agree(FLAVOURS[4], 5, 3000);
}

#[test]
fn several_runs() {
    agree(FLAVOURS[5], 6, 3000);
}

#[test]
fn items_of_several_parts() {
    agree(FLAVOURS[6], 7, 3000);
}

#[test]
fn groups_of_stock() {
    agree(FLAVOURS[7], 8, 3000);
}

#[test]
fn everything_at_once() {
    agree(FLAVOURS[8], 9, 3000);
}

#[test]
fn many_lengths() {
    let tally = agree(FLAVOURS[9], 10, 500);
    assert!(tally.certified > 0, "no certificate");
}

#[test]
fn many_lengths_and_runs() {
    let tally = agree(FLAVOURS[10], 11, 100);
    assert!(tally.certified > 0, "no certificate");
}
