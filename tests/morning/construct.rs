//! Whole sticks chopped at random without any waste, packed back again.
//!
//! By construction nothing better than no waste exists, so the best plan is
//! known however many sticks there are.

use crate::support::{frame, inches, moulding, plan, shop, stick};
use longpoint::measure::{Length, Worth};
use longpoint::shop::Shop;
use longpoint::solve::{Item, Limits, Outcome, Problem, Run, Stock, solve};

/// Numbers that are the same on every machine.
struct Numbers(u64);

impl Numbers {
    fn within(&mut self, low: i64, high: i64) -> i64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        low + ((self.0 >> 33) % u64::try_from(high - low + 1).unwrap()) as i64
    }
}

/// A stick of `length` chopped into pieces of `least` to `most`.
fn chop(numbers: &mut Numbers, length: i64, least: i64, most: i64) -> Vec<i64> {
    let mut pieces = Vec::new();
    let mut rest = length;
    while rest > most {
        let piece = numbers.within(least, most.min(rest - least));
        pieces.push(piece);
        rest -= piece;
    }
    pieces.push(rest);
    pieces
}

/// As integers: no fewer sticks than were chopped will do, and as many do.
#[test]
fn chopped_sticks_come_back_from_the_solver() {
    let numbers = &mut Numbers(7);
    let mut proven = 0;
    let mut tried = 0;
    for sticks in 1..=10 {
        for _ in 0..10 {
            let pieces = (0..sticks).flat_map(|_| chop(numbers, 960, 110, 420));
            let items = pieces.map(|piece| Item { parts: vec![piece], demand: 1, group: None });
            let run = Run::clear(960);
            let stock = Stock { runs: vec![run], cost: 1, supply: None, credit: None, group: 0 };
            let problem = Problem { stock: vec![stock], items: items.collect() };
            let limits = Limits { work: 500_000, deadline: None, stop: None, watch: None };
            let Outcome::Solved(solution) = solve(&problem, &limits) else { panic!("{sticks}") };
            assert!(solution.bound <= sticks && sticks <= solution.cost, "{sticks}");
            assert_eq!(solution.is_proven(), solution.bound == solution.cost);
            proven += u32::from(solution.is_proven());
            tried += 1;
        }
    }
    assert!(proven * 10 >= tried * 8, "only {proven} of {tried} came back without waste");
}

/// A shop whose frames were made by chopping `pairs` pairs of equal sticks into
/// equal rails, with as many sticks on the rack and two to spare.
fn chopped(numbers: &mut Numbers, pairs: i64) -> Shop {
    let mut shop = shop();
    moulding(&mut shop, "P", inches("1"), inches("1/4"), inches("96"));
    let mut lengths = Vec::new();
    while lengths.is_empty() || lengths.len() % 2 == 1 {
        lengths = (0..pairs).flat_map(|_| chop(numbers, 96 * 4, 60, 180)).collect();
    }
    for (index, rails) in lengths.chunks(2).enumerate() {
        let size = |rail: i64| Length::from_64ths(rail * 16) - inches("1 1/2");
        frame(&mut shop, &format!("{index}"), "P", size(rails[0]), size(rails[1]));
    }
    for index in 0..2 * pairs + 2 {
        stick(&mut shop, &format!("S{index}"), "P", inches("96"));
    }
    shop
}

/// As frames: everything is cut today and what is used up is never less than
/// the rails themselves; proven plans use up just that.
#[test]
fn chopped_frames_come_back_from_the_planner() {
    let numbers = &mut Numbers(11);
    let (mut proven, mut tried) = (0, 0);
    for pairs in 1..=5 {
        for _ in 0..6 {
            let shop = chopped(numbers, pairs);
            let plan = plan(&shop);
            assert!(plan.waiting.is_empty() && plan.held.is_empty());
            let [proof] = &plan.proof[..] else { panic!("one moulding, one part") };
            // 8 ft at 2.50 a foot for each stick that was chopped.
            let rails = Worth(2 * pairs * 8 * 250_000);
            assert!(proof.bound <= rails && rails <= proof.used_up, "{proof:?}");
            if proof.proven {
                assert_eq!((proof.used_up, i64::from(proof.sticks)), (rails, 2 * pairs));
            }
            proven += u32::from(proof.proven);
            tried += 1;
        }
    }
    assert!(proven * 10 >= tried * 8, "only {proven} of {tried} came back without waste");
}
