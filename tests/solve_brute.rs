//! Every answer of the solver on thousands of tiny problems of every kind,
//! against trying each way of placing each part. Nothing here is shared with
//! the solver but the question and the answer.

#[path = "support/numbers.rs"]
mod numbers;

use longpoint::solve::{
    Credit, Item, Limits, Outcome, Problem, Run, Solution, Stock, WHOLE, solve,
};

use numbers::Numbers;

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
}

const FLAVOURS: [Flavour; 9] = {
    let plain = Flavour {
        stocks: 1,
        supply: false,
        credit: false,
        runs: 1,
        parts: 1,
        groups: false,
        pieces: 7,
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
        },
    ]
};

fn problem(numbers: &mut Numbers, flavour: Flavour) -> Problem {
    let stick = numbers.within(12, 60);
    let scale = if numbers.one_in(3) { 1 } else { numbers.within(1, 9) };
    // Costs and credit belong together: a stick is worth what it is worth whole.
    let credit = Credit {
        keep: numbers.within(1, stick / 2),
        full: numbers.within(stick / 2, stick + 5),
        share: u32::try_from(numbers.within(0, i64::from(WHOLE))).unwrap(),
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
        let longest = if parts > 1 { stick / 2 } else { stick };
        let parts = (0..parts).map(|_| numbers.within(1 + stick / 10, longest)).collect();
        let demand = numbers.within(1, left.min(3));
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

/// The documented value of a remainder, computed in one fraction.
fn worth(credit: &Credit, length: i64) -> i64 {
    if length <= 0 || length < credit.keep {
        return 0;
    }
    let (length, keep, full) =
        (i128::from(length), i128::from(credit.keep), i128::from(credit.full));
    let (share, whole) = (i128::from(credit.share), i128::from(WHOLE));
    let (num, den) = if length >= full {
        (1, 1)
    } else {
        (share * (full - keep) + (whole - share) * (length - keep), whole * (full - keep))
    };
    let value = length * i128::from(credit.rate) * num / (den * i128::from(credit.per));
    i64::try_from(value * i128::from(credit.scale)).unwrap()
}

/// The documented net cost of a unit of which something was cut.
fn net(stock: &Stock, taken: &[i64]) -> i64 {
    let Some(credit) = &stock.credit else {
        return stock.cost;
    };
    let mut last = 0;
    for (r, &length) in taken.iter().enumerate() {
        if length > 0 {
            last = r;
        }
    }
    let mut left = worth(credit, stock.runs[last].tail - taken[last]);
    for (run, &length) in stock.runs.iter().zip(taken).take(last) {
        left += worth(credit, if length == 0 { run.untouched } else { run.gap - length });
    }
    stock.cost - left
}

/// Every way of placing the parts, one after another.
struct Brute<'a> {
    problem: &'a Problem,
    /// Each piece by its item.
    pieces: Vec<usize>,
    /// Stock and lengths taken of each unit in use.
    units: Vec<(usize, Vec<i64>)>,
    best: Option<i64>,
}

impl Brute<'_> {
    fn piece(&mut self, p: usize) {
        if p == self.pieces.len() {
            let cost =
                self.units.iter().map(|(s, taken)| net(&self.problem.stock[*s], taken)).sum();
            self.best = Some(self.best.map_or(cost, |best: i64| best.min(cost)));
            return;
        }
        for unit in 0..self.units.len() {
            self.part(p, 0, unit);
        }
        for (s, stock) in self.problem.stock.iter().enumerate() {
            let used = self.units.iter().filter(|(other, _)| *other == s).count();
            if stock.supply.is_none_or(|supply| used < supply as usize) {
                self.units.push((s, vec![0; stock.runs.len()]));
                self.part(p, 0, self.units.len() - 1);
                self.units.pop();
            }
        }
    }

    fn part(&mut self, p: usize, part: usize, unit: usize) {
        let item = &self.problem.items[self.pieces[p]];
        let stock = &self.problem.stock[self.units[unit].0];
        if item.group.is_some_and(|g| g != stock.group) {
            return;
        }
        let Some(&length) = item.parts.get(part) else {
            return self.piece(p + 1);
        };
        for r in 0..stock.runs.len() {
            if self.units[unit].1[r] + length <= stock.runs[r].room {
                self.units[unit].1[r] += length;
                self.part(p, part + 1, unit);
                self.units[unit].1[r] -= length;
            }
        }
    }
}

fn brute(problem: &Problem) -> Option<i64> {
    let pieces = problem.items.iter().enumerate();
    let pieces = pieces.flat_map(|(i, item)| vec![i; item.demand as usize]).collect();
    let mut brute = Brute { problem, pieces, units: Vec::new(), best: None };
    brute.piece(0);
    brute.best
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

fn agree(flavour: Flavour, seed: u64, count: usize) {
    let mut numbers = Numbers(seed);
    let mut impossible = 0;
    for case in 0..count {
        let problem = problem(&mut numbers, flavour);
        match (brute(&problem), solve(&problem, &LIMITS)) {
            (Some(best), Outcome::Solved(solution)) => {
                check(&problem, &solution);
                assert_eq!(solution.cost, best, "case {case}: {problem:#?}");
                assert!(
                    solution.is_proven(),
                    "case {case}: bound {} of {best}: {problem:#?}",
                    solution.bound
                );
            }
            (None, Outcome::Impossible(_)) => impossible += 1,
            (truth, outcome) => panic!("case {case}: {truth:?} but {outcome:?} for {problem:#?}"),
        }
    }
    assert!(impossible < count, "some problem must have an answer");
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
    agree(FLAVOURS[2], 3, 3000);
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
