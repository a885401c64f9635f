//! Mornings of two hundred medium shops against a general integer program.
//!
//! Every way to cut one stick is written out, with what it uses up, and a
//! general solver (microlp, through good_lp) chooses the frames, the lots and the
//! ways: most frames of each date in turn, then the least used up, then the
//! fewest sticks. Nothing is shared with the planner but the shop, its rails and
//! the plan. The general solver's numbers are rounded and its choice is added up
//! again in integers before it is believed.

#[path = "../morning/brute/bench.rs"]
#[allow(dead_code, reason = "the model lists ways and does not add them up")]
mod bench;
#[path = "../support/numbers.rs"]
mod numbers;
#[path = "../support/mod.rs"]
mod support;

mod program;
mod shops;

use std::collections::BTreeSet;

use longpoint::measure::Worth;
use longpoint::morning::plan_as_wished;
use longpoint::plan::{Part, Plan, Wishes};
use longpoint::shop::Shop;
use longpoint::verify::verify;

use program::{Best, best, dates};

/// How many shops each of the tests compares.
const SHOPS: u64 = 100;

#[test]
fn the_first_mornings_are_as_good_as_the_general_solver_finds() {
    try_all(0, &shops::shop);
}

#[test]
fn the_second_mornings_are_as_good_as_the_general_solver_finds() {
    try_all(1, &shops::shop);
}

#[test]
fn mornings_with_build_outs_are_as_good_as_the_general_solver_finds() {
    try_all(0, &shops::built);
}

/// Every other shop from the first, as many as the general solver can take on.
fn try_all(first: u64, of: &dyn Fn(u64) -> Shop) {
    let (mut tried, mut proven, mut contested) = (0, 0, 0);
    for seed in (0..).map(|place| place * 2 + first) {
        let shop = of(seed);
        let Some(best) = best(&shop) else { continue };
        let wishes = Wishes { rack_only: true, ..Wishes::default() };
        let plan =
            plan_as_wished(&shop, support::MORNING, &wishes, support::LIMITS).unwrap().into_inner();
        verify(&shop, &plan).unwrap_or_else(|faults| panic!("shop {seed}: {faults:#?}"));
        compare(seed, &shop, &plan, &best);
        proven += u64::from(plan.proof.iter().all(|proof| proof.proven));
        contested += u64::from(!plan.waiting.is_empty());
        tried += 1;
        if tried == SHOPS {
            break;
        }
    }
    assert!(proven * 100 >= SHOPS * 98, "only {proven} of {SHOPS} mornings are proven");
    assert!(contested * 2 >= SHOPS, "frames wait in {contested} of {SHOPS} only: too easy");
}

/// A proven morning is the best; another is no better, and its bound holds.
fn compare(seed: u64, shop: &Shop, plan: &Plan, best: &Best) {
    let waiting: BTreeSet<(&str, u32)> =
        plan.waiting.iter().map(|waiting| (waiting.frame.as_str(), waiting.copy)).collect();
    let served: Vec<u32> = dates(shop)
        .into_iter()
        .map(|due| {
            let of = shop.frames.iter().filter(|frame| frame.due == due);
            let copies = of.flat_map(|frame| (1..=frame.copies).map(|copy| (&*frame.id, copy)));
            u32::try_from(copies.filter(|copy| !waiting.contains(copy)).count()).unwrap()
        })
        .collect();
    let today = || plan.proof.iter().filter(|proof| proof.part == Part::Today);
    let used_up = today().map(|proof| proof.used_up).sum::<Worth>().0;
    let bound = today().map(|proof| proof.bound).sum::<Worth>().0;
    let sticks: u32 = today().map(|proof| proof.sticks).sum();
    let found = (&served, used_up, sticks);
    let right = (&best.served, best.used_up, best.sticks);
    if today().all(|proof| proof.proven) {
        assert_eq!(found, right, "shop {seed} is proven");
    } else if served == best.served {
        let holds = bound <= best.used_up && (best.used_up, best.sticks) <= (used_up, sticks);
        assert!(holds, "shop {seed}: found {found:?} (bound {bound}), best {right:?}");
    } else {
        assert!(served < best.served, "shop {seed}: found {found:?}, best {right:?}");
    }
}
