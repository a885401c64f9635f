//! The solver on a thousand questions as a moulding puts them, whatever what is
//! left over is worth, against two exact answers that share nothing with it: a
//! table over every set of pieces, and a general integer program over every way
//! to cut a unit.
//!
//! `worth` goes from nothing to full and `keep` from nothing to more than a
//! stick; sticks are few or many, equal or not, new or old, with and without
//! flaws; pieces fill them exactly, or leave exactly what is kept or one less.
//! Whatever the limit of steps, no bound may exceed the least cost, no plan may
//! cost less, and what is said to be proven must be the least.
//! `LONGPOINT_MIPS` is how many questions there are instead of the thousand.

use crate::general::{Way, ways};
use crate::numbers::Numbers;
use crate::table::Size;
use longpoint::solve::{
    Credit, Item, Limits, MOST_KNOTS, Outcome, Problem, Run, STRAIGHT, Stock, WHOLE, check, least,
    solve,
};

/// How large questions are.
struct Extent {
    kinds: (i64, i64),
    demand: i64,
    /// Units of a stick that is not the longest, and of the longest.
    units: (i64, i64),
    /// Ways to cut a unit, and the size of the table, beyond which a question is
    /// passed over.
    ways: usize,
    table: Size,
}

const SMALL: Extent = Extent {
    kinds: (2, 8),
    demand: 4,
    units: (3, 9),
    ways: 400,
    table: Size { states: 6_000, steps: 8_000_000 },
};
const LARGE: Extent = Extent {
    kinds: (5, 9),
    demand: 6,
    units: (4, 12),
    ways: 2_000,
    table: Size { states: 150_000, steps: 300_000_000 },
};
/// Ways up to which the general program is asked too.
const FEW_WAYS: usize = 40;

/// Enough to settle nearly all of them.
const ENOUGH: u64 = 5_000_000;

/// A stick of this length, with room for one joint more than is clear in it.
fn runs(numbers: &mut Numbers, length: i64, trim: i64, joint: i64, flawed: bool) -> Vec<Run> {
    let clear = length - trim;
    if !flawed || clear < 8 * joint.max(1) {
        return vec![Run { room: clear + joint, tail: length, gap: clear, untouched: clear }];
    }
    let from = numbers.within(clear / 8, clear / 2);
    let to = from + numbers.within(joint, clear / 8);
    let run = |from: i64, to: i64| Run {
        room: to - from + joint,
        tail: length - from,
        gap: to - from,
        untouched: to - from,
    };
    vec![run(0, from), run(to, clear)]
}

/// What is left over, worth anything by any rule.
fn credit(numbers: &mut Numbers, stick: i64, scale: i64) -> Credit {
    let keeps = [0, 1, stick / 10, stick / 7, stick / 5, stick / 3, stick / 2];
    let rare = [stick - 1, stick, stick + 1, 2 * stick];
    let keep = if numbers.one_in(6) { numbers.one_of(&rare) } else { numbers.one_of(&keeps) };
    let share = match numbers.within(0, 13) {
        tenths @ 0..=10 => u32::try_from(tenths).expect("a tenth") * (WHOLE / 10),
        11 => 1,
        12 => WHOLE - 1,
        _ => WHOLE,
    };
    let (rate, per) = numbers.one_of(&[(1, 1), (1_150_000, stick), (7, 3), (999, stick), (1, 9)]);
    let knots = knots(numbers, (keep, share), stick);
    Credit { keep, full: stick, share, knots, rate, per, scale }
}

/// Half of the time none; else up to four between what is kept and the whole stick, the
/// share rising by any steps, or not at all.
pub fn knots(
    numbers: &mut Numbers,
    (keep, share): (i64, u32),
    full: i64,
) -> [(i64, u32); MOST_KNOTS] {
    let mut knots = STRAIGHT;
    if numbers.one_in(2) {
        return knots;
    }
    let (mut from, mut low) = (keep.max(0), share);
    for knot in &mut knots {
        if from + 1 >= full || numbers.one_in(4) {
            break;
        }
        from = numbers.within(from + 1, full - 1);
        low = match numbers.within(0, 3) {
            0 => low,
            1 => WHOLE,
            _ => u32::try_from(numbers.within(low.into(), WHOLE.into())).expect("a share"),
        };
        *knot = (from, low);
    }
    knots
}

/// Lengths that go together badly or exactly.
fn lengths(numbers: &mut Numbers, sticks: &[i64], keep: i64, kinds: i64) -> Vec<i64> {
    let longest = *sticks.iter().max().expect("a stick");
    let mut lengths: Vec<i64> = Vec::new();
    for _ in 0..kinds {
        let drawn = numbers.within(longest / 8 + 1, longest * 3 / 5);
        let known = lengths.last().copied().unwrap_or(drawn);
        let stick = numbers.one_of(sticks);
        let fitting = match numbers.within(0, 9) {
            0 => stick - known,
            1 => stick - known - keep,
            2 => stick - known - keep + 1,
            3 => stick - 2 * known,
            4 => stick - 2 * known - keep + 1,
            5 => known + numbers.within(-1, 1),
            6 => stick / 3,
            _ => drawn,
        };
        let usable = (longest / 9..=longest).contains(&fitting);
        lengths.push(if usable { fitting.max(1) } else { drawn });
    }
    lengths
}

/// A question as `cutting` puts it: sticks cost what they are worth and one more.
fn question(numbers: &mut Numbers, extent: &Extent) -> Problem {
    let unit = numbers.one_of(&[1, 1, 10, 1_000_003]);
    let stick = numbers.within(30, 130);
    let kinds = numbers.within(extent.kinds.0, extent.kinds.1);
    let demands: Vec<u32> = (0..kinds).map(|_| numbers.count(1, extent.demand)).collect();
    let scale = i64::from(demands.iter().sum::<u32>()) + 1;
    let credit = credit(numbers, stick * unit, scale);
    let (trim, joint) = numbers.one_of(&[(0, 0), (0, 1), (2, 1), (3, 0)]);
    let offcuts = numbers.one_of(&[0, 1, 2, 3, 5]);
    let mut sticks: Vec<i64> =
        (0..offcuts).map(|_| numbers.within(stick / 4, stick)).chain([stick]).collect();
    if offcuts > 1 && numbers.one_in(3) {
        sticks[0] = sticks[1];
    }
    let flawed = numbers.one_in(6);
    let stock = sticks.iter().enumerate().map(|(index, &length)| {
        let is_last = index + 1 == sticks.len();
        let few = numbers.count(1, extent.units.0);
        let supply = match numbers.within(0, 3) {
            _ if !is_last => Some(few),
            0 => None,
            1 => Some(few),
            _ => Some(numbers.count(3, extent.units.1)),
        };
        let cut = flawed && numbers.one_in(2);
        let runs = runs(numbers, length * unit, trim * unit, joint * unit, cut);
        let paid = match supply {
            None => Credit { keep: 0, full: 0, ..credit }.at(length * unit),
            Some(_) => credit.at(length * unit),
        };
        Stock { runs, cost: paid + 1, supply, credit: Some(credit), group: 0 }
    });
    let stock: Vec<Stock> = stock.collect();
    let lengths = lengths(numbers, &sticks, credit.keep / unit, kinds);
    let items = lengths.iter().zip(&demands).map(|(&length, &demand)| Item {
        parts: vec![length * unit],
        demand,
        group: None,
    });
    Problem { stock, items: items.collect() }
}

/// What is said within so many steps is true; whether it settles the question.
fn is_true(problem: &Problem, truth: Option<i64>, work: u64) -> bool {
    let outcome = solve(problem, &Limits { work, deadline: None, stop: None, watch: None });
    assert_eq!(check(problem, &outcome), Ok(()), "within {work}: {problem:#?}");
    match (&outcome, truth) {
        (Outcome::Solved(solution), Some(truth)) => {
            let (bound, cost) = (solution.bound, solution.cost);
            let holds = bound <= truth && truth <= cost;
            assert!(holds, "within {work}: {bound} <= {truth} <= {cost}: {problem:#?}");
            solution.is_proven()
        }
        (Outcome::Impossible(_), None) => true,
        (Outcome::Interrupted { bound, .. }, _) => {
            let holds = truth.is_none_or(|truth| *bound <= truth);
            assert!(holds, "within {work}: {bound} <= {truth:?}: {problem:#?}");
            false
        }
        (outcome, truth) => panic!("within {work}: {outcome:?}, {truth:?}: {problem:#?}"),
    }
}

/// What came of some questions.
#[derive(Debug, Default)]
struct Tally {
    asked: usize,
    settled: usize,
    /// Asked of the general program too, and how many of those it answered.
    modelled: usize,
    answered: usize,
}

/// The exact answer, found twice where the ways are few; `None` if it takes
/// too long.
fn truth(problem: &Problem, extent: &Extent, tally: &mut Tally) -> Option<Option<i64>> {
    let ways: Vec<Way> = ways(problem, extent.ways)?;
    let truth = crate::table::least_cost(problem, &ways, &extent.table)?;
    if ways.len() <= FEW_WAYS {
        tally.modelled += 1;
        // Its numbers break down now and then, and it knows costs to some six
        // digits only; its plan was added up in integers.
        if let Ok(found) = crate::general::least_cost(problem, &ways) {
            tally.answered += 1;
            let near = |(found, truth): (i64, i64)| {
                found >= truth && (found - truth) <= truth.abs() / 1_000_000
            };
            let agree = found.zip(truth).map_or(found == truth, near);
            assert!(agree, "the models: {found:?}, {truth:?}: {problem:#?}");
        }
    }
    Some(truth)
}

/// Asks so many questions.
fn ask(number: usize, seed: u64, extent: &Extent) -> Tally {
    let mut numbers = Numbers(seed);
    let mut tally = Tally::default();
    while tally.asked < number {
        let problem = question(&mut numbers, extent);
        let Some(truth) = truth(&problem, extent, &mut tally) else { continue };
        tally.asked += 1;
        assert!(truth.is_none_or(|truth| least(&problem) <= truth), "{problem:#?}");
        tally.settled += usize::from(is_true(&problem, truth, ENOUGH));
        for _ in 0..2 {
            let hurry = 1i64 << numbers.within(0, 18);
            is_true(&problem, truth, numbers.within(0, hurry).unsigned_abs());
        }
    }
    tally
}

/// So many questions, or as many as the environment says for each of them.
fn times(number: usize) -> usize {
    let asked = std::env::var("LONGPOINT_MIPS").ok();
    let asked = asked.map(|asked| asked.parse::<usize>().expect("LONGPOINT_MIPS is a number"));
    asked.map_or(number, |asked| number * asked / 1_000)
}

#[test]
fn whatever_what_is_left_over_is_worth() {
    let tally = ask(times(1_000), 0x10_0e57, &SMALL);
    assert!(tally.settled * 100 >= tally.asked * 99, "{tally:?}");
    assert!(tally.answered * 100 >= tally.modelled * 99, "{tally:?}");
    assert!(tally.modelled * 10 >= tally.asked, "{tally:?}");
}

#[test]
fn larger_questions_whatever_what_is_left_over_is_worth() {
    let tally = ask(times(40), 0xbead, &LARGE);
    assert!(tally.settled * 100 >= tally.asked * 90, "{tally:?}");
}

/// Five offcuts, seven sticks and eight lengths, worth their length from 400 mm:
/// the order of the sticks decides which technique ends the search.
fn full_worth(order: &[usize]) -> Problem {
    let (mm, joint) = (1_000_000, 3_394_113);
    let (keep, full) = (400 * mm, 3000 * mm);
    let credit =
        Credit { keep, full, share: WHOLE, knots: STRAIGHT, rate: 1_150_000, per: full, scale: 33 };
    let sticks = [(689, 1), (2702, 1), (1469, 1), (2743, 1), (3000, 7)];
    let stock = order.iter().map(|&index| {
        let (length, units) = sticks[index];
        let clear = (length - 20) * mm;
        Stock {
            runs: vec![Run {
                room: clear + joint,
                tail: length * mm,
                gap: clear,
                untouched: clear,
            }],
            cost: credit.at(length * mm) + 1,
            supply: Some(units),
            credit: Some(credit),
            group: 0,
        }
    });
    let wanted = [(486, 2), (535, 4), (600, 6), (767, 4), (792, 4), (964, 2), (994, 6), (1053, 4)];
    let item = |(length, demand)| Item { parts: vec![length * mm + joint], demand, group: None };
    Problem { stock: stock.collect(), items: wanted.map(item).to_vec() }
}

// Computed by the table without its limits, in a minute: 96.79668 and ten sticks.
#[test]
fn units_of_a_kind_that_are_left_are_not_all_of_them() {
    for order in [[0, 1, 2, 3, 4], [0, 2, 1, 3, 4], [4, 3, 2, 1, 0]] {
        assert!(is_true(&full_worth(&order), Some(9_679_668 * 33 + 10), ENOUGH));
    }
}
