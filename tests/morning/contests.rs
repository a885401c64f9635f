//! Who is cut when there is not enough, against trying every set of frames.
//!
//! Whether a set can be cut, and what it uses up, is asked of the planner too,
//! with a shop that has those frames only: then nothing competes. So this tests
//! the choice and nothing else; `tests/brute` tests the packing.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use jiff::civil::{Date, date};
use longpoint::measure::{Length, Worth};
use longpoint::morning::plan;
use longpoint::plan::{Part, Plan};
use longpoint::shop::Shop;
use longpoint::verify::verify;

use crate::shops::Dice;
use crate::support::{LIMITS, MORNING, frame, layer, moulding, stick};

/// How many shops are tried.
const SHOPS: u64 = 60;

/// Frames of one shop.
const FRAMES: i64 = 8;

/// A scarce rack of four mouldings, half of the frames of two layers.
fn scarce(seed: u64) -> Shop {
    let mut dice = Dice::new(seed);
    let inches = |count| Length::from_64ths(count * 64);
    let mut shop = crate::support::shop();
    for id in ["A", "B", "C", "D"] {
        moulding(&mut shop, id, inches(1), Length::from_64ths(16), inches(60));
        for number in 0..dice.roll(1, 3) {
            let length = inches(dice.roll(30, 75));
            stick(&mut shop, &format!("{id}{number}"), id, length);
        }
    }
    for number in 0..FRAMES {
        let id = ["A", "B", "C", "D"][dice.place(4)];
        let sizes = [8, 10, 12, 14];
        let (width, height) = (sizes[dice.place(4)], sizes[dice.place(4)]);
        let new = frame(&mut shop, &number.to_string(), id, inches(width), inches(height));
        new.due = [None, Some(date(2031, 3, 4)), Some(date(2031, 3, 5))][dice.place(3)];
        if dice.chance(50) {
            new.layers.push(layer(["A", "B", "C", "D"][dice.place(4)]));
        }
    }
    shop
}

/// How a morning is judged: frames of each date, then what they use up.
type Merit = (Vec<usize>, Reverse<Worth>, Reverse<u32>);

fn merit(shop: &Shop, plan: &Plan) -> Merit {
    let missing = plan.waiting.iter().map(|waiting| waiting.frame.as_str());
    let missing: BTreeSet<&str> =
        missing.chain(plan.held.iter().map(|held| held.frame.as_str())).collect();
    let due: BTreeSet<(bool, Option<Date>)> =
        shop.frames.iter().map(|frame| (frame.due.is_none(), frame.due)).collect();
    let cut = |due: Option<Date>| {
        let of = shop.frames.iter().filter(|frame| frame.due == due);
        of.filter(|frame| !missing.contains(frame.id.as_str())).count()
    };
    let today = || plan.proof.iter().filter(|proof| proof.part == Part::Today);
    (
        due.into_iter().map(|(_, due)| cut(due)).collect(),
        Reverse(today().map(|proof| proof.used_up).sum()),
        Reverse(today().map(|proof| proof.sticks).sum()),
    )
}

/// The best of all sets of frames.
fn best(shop: &Shop) -> Merit {
    let merit_of = |set: u32| {
        let mut some = shop.clone();
        let mut place = 0..;
        some.frames.retain(|_| set >> place.next().unwrap() & 1 == 1);
        let plan = plan(&some, MORNING, LIMITS).unwrap().into_inner();
        let fits = plan.waiting.is_empty() && plan.held.is_empty();
        assert!(plan.proof.iter().all(|proof| proof.proven), "{set:b} is not proven");
        let (_, used_up, sticks) = merit(&some, &plan);
        let cut = |due: Option<Date>| {
            let of = shop.frames.iter().enumerate().filter(|(_, frame)| frame.due == due);
            of.filter(|(place, _)| set >> place & 1 == 1).count()
        };
        let due: BTreeSet<(bool, Option<Date>)> =
            shop.frames.iter().map(|frame| (frame.due.is_none(), frame.due)).collect();
        fits.then(|| (due.into_iter().map(|(_, due)| cut(due)).collect(), used_up, sticks))
    };
    (0..1 << FRAMES).filter_map(merit_of).max().expect("nothing at all can be cut")
}

#[test]
fn no_other_frames_would_serve_the_dates_better_or_use_up_less() {
    let (mut waiting, mut proven) = (0, 0);
    let shops = crate::ring::part(SHOPS);
    for seed in 0..shops {
        let shop = scarce(seed);
        let plan = plan(&shop, MORNING, LIMITS).unwrap().into_inner();
        verify(&shop, &plan).unwrap_or_else(|faults| panic!("shop {seed}: {faults:#?}"));
        let (found, best) = (merit(&shop, &plan), best(&shop));
        assert_eq!(found.0, best.0, "shop {seed}: frames of each date");
        if plan.proof.iter().filter(|proof| proof.part == Part::Today).all(|proof| proof.proven) {
            assert_eq!(found, best, "shop {seed}: what they use up");
            proven += 1;
        }
        waiting += plan.waiting.len() as u64;
    }
    assert!(waiting > shops * 2, "{waiting} frames wait: too easy");
    assert!(proven * 10 >= shops * 9, "only {proven} of {shops} are proven");
}
