//! What must hold between the plans of related mornings, whatever they are.
//!
//! None of these needs to know the best plan: a morning with more to cut from, or
//! with less asked of it, is no worse, and names decide nothing.

#[allow(dead_code, reason = "nothing is wished here")]
use std::cmp::Reverse;
use std::collections::BTreeSet;

use jiff::civil::{Date, date};
use longpoint::measure::Worth;
use longpoint::morning::plan_as_wished;
use longpoint::plan::{CutStick, Part, Plan, Wishes};
use longpoint::shop::{Frame, Match, Shop, Stick};
use longpoint::verify::verify;

use crate::numbers::Numbers;
use crate::support::{LIMITS, MORNING};

/// How many mornings each property is tried on.
const MORNINGS: u64 = 250;

/// A random tiny shop of which every frame insists on its match. (With a floor
/// below it, one more stick can make the stronger match possible, which is then
/// asked for and may leave less for others: that is what a floor means.)
fn shop(seed: u64) -> Shop {
    let mut shop = crate::brute::shops::shop(seed ^ 0xABCD_0000);
    let layers = shop.frames.iter_mut().flat_map(|frame| &mut frame.layers);
    layers.for_each(|layer| layer.match_floor = layer.match_);
    shop
}

fn today(shop: &Shop) -> Plan {
    let wishes = Wishes { rack_only: true, ..Wishes::default() };
    let plan = plan_as_wished(shop, MORNING, &wishes, LIMITS).unwrap().into_inner();
    verify(shop, &plan).unwrap_or_else(|faults| panic!("{faults:#?}\n{shop:#?}"));
    plan
}

fn is_proven(plan: &Plan) -> bool {
    plan.proof.iter().all(|proof| proof.proven)
}

type Due = (bool, Option<Date>);

fn due(frame: &Frame) -> Due {
    (frame.due.is_none(), frame.due)
}

/// The dates of a shop, earliest first, undated last.
fn dates(shop: &Shop) -> BTreeSet<Due> {
    shop.frames.iter().map(due).collect()
}

fn is_cut(plan: &Plan, frame: &str, copy: u32) -> bool {
    let mut rails = plan.today.iter().flat_map(|stick| &stick.rails);
    rails.any(|rail| (rail.frame.as_str(), rail.copy) == (frame, copy))
}

/// Copies cut of each date.
fn served(shop: &Shop, plan: &Plan) -> Vec<usize> {
    let of = |wanted: Due| {
        let frames = shop.frames.iter().filter(move |frame| due(frame) == wanted);
        let copies = frames.flat_map(|frame| (1..=frame.copies).map(move |copy| (frame, copy)));
        copies.filter(|(frame, copy)| is_cut(plan, &frame.id, *copy)).count()
    };
    dates(shop).into_iter().map(of).collect()
}

/// How a morning is judged; greater is better.
type Merit = (Vec<usize>, Reverse<Worth>, Reverse<u32>);

fn merit(shop: &Shop, plan: &Plan) -> Merit {
    let proofs = || plan.proof.iter().filter(|proof| proof.part == Part::Today);
    (
        served(shop, plan),
        Reverse(proofs().map(|proof| proof.used_up).sum()),
        Reverse(proofs().map(|proof| proof.sticks).sum()),
    )
}

/// Changes many mornings and shows each, before and after, where both are
/// proven; fails if these are few.
fn changed(
    change: impl Fn(&mut Shop, &mut Numbers) -> bool,
    holds: impl Fn(&Shop, &Plan, &Shop, &Plan) -> bool,
) {
    let mut compared = 0;
    for seed in 0..MORNINGS {
        let before = shop(seed);
        let mut after = before.clone();
        if !change(&mut after, &mut Numbers(seed)) {
            continue;
        }
        let (first, second) = (today(&before), today(&after));
        if is_proven(&first) && is_proven(&second) {
            compared += 1;
            assert!(
                holds(&before, &first, &after, &second),
                "shop {seed}: {after:#?}\n{second:#?}"
            );
        }
    }
    assert!(compared * 3 > MORNINGS, "only {compared} of {MORNINGS} were compared");
}

#[test]
fn another_stick_never_makes_a_morning_worse() {
    let one_more = |shop: &mut Shop, numbers: &mut Numbers| {
        let like = numbers.within(0, shop.rack.len() as i64 - 1);
        let like = shop.rack[usize::try_from(like).unwrap()].clone();
        shop.rack.push(Stick { id: "one more".to_owned(), ..like });
        true
    };
    changed(one_more, |before, first, after, second| merit(after, second) >= merit(before, first));
}

#[test]
fn a_weaker_match_never_makes_a_morning_worse() {
    let weaker = |shop: &mut Shop, numbers: &mut Numbers| {
        // Not one step at a time: rails of one stick need not pair up to halves.
        let match_ = numbers.one_of(&[Match::Lot, Match::Any]);
        let mut layers = shop.frames.iter_mut().flat_map(|frame| &mut frame.layers);
        let Some(layer) = layers.find(|layer| layer.match_ > match_) else { return false };
        (layer.match_, layer.match_floor) = (match_, match_);
        true
    };
    changed(weaker, |before, first, after, second| merit(after, second) >= merit(before, first));
}

#[test]
fn the_order_of_the_rows_changes_nothing_that_counts() {
    let turned_round = |shop: &mut Shop, _: &mut Numbers| {
        shop.frames.reverse();
        shop.rack.reverse();
        true
    };
    changed(turned_round, |before, first, after, second| {
        merit(after, second) == merit(before, first)
    });
}

/// A rail's frame by its place on the pile, its copy and layer, and where it is
/// cut on the stick.
type Cut = (usize, u32, usize, i64);

/// Where each rail is cut: on which stick, by its place in the rack, and how.
fn cuts(shop: &Shop, plan: &Plan) -> Vec<(usize, Vec<Cut>)> {
    let frame = |id: &String| shop.frames.iter().position(|frame| frame.id == *id).unwrap();
    let rails = |stick: &CutStick| {
        let rails = stick.rails.iter();
        rails.map(|rail| (frame(&rail.frame), rail.copy, rail.layer, rail.from.nm())).collect()
    };
    let place = |stick: &CutStick| shop.rack.iter().position(|other| other.id == stick.stick);
    plan.today.iter().map(|stick| (place(stick).unwrap(), rails(stick))).collect()
}

#[test]
fn other_names_change_nothing_but_the_names() {
    for seed in 0..MORNINGS {
        let before = shop(seed);
        let mut after = before.clone();
        let count = after.frames.len();
        for (place, frame) in after.frames.iter_mut().enumerate() {
            frame.id = format!("ticket {}", count - place);
        }
        let count = after.rack.len();
        for (place, stick) in after.rack.iter_mut().enumerate() {
            stick.id = format!("{} of them", count - place);
            if !stick.lot.is_empty() {
                stick.lot = if stick.lot == "A" { "Z".to_owned() } else { "Y".to_owned() };
            }
        }
        let (first, second) = (today(&before), today(&after));
        assert_eq!(cuts(&before, &first), cuts(&after, &second), "shop {seed}");
    }
}

#[test]
fn a_frame_never_loses_to_one_like_it_that_is_due_later() {
    let mut waiting = 0;
    for seed in 0..MORNINGS {
        let mut shop = shop(seed);
        let twins: Vec<Frame> = shop
            .frames
            .iter()
            .filter(|frame| frame.due.is_some())
            .map(|frame| {
                let (id, due) = (format!("twin of {}", frame.id), Some(date(2031, 3, 20)));
                Frame { id, due, ..frame.clone() }
            })
            .collect();
        // Before the others on the pile: its date alone puts it behind.
        shop.frames.splice(0..0, twins);
        let plan = today(&shop);
        if !is_proven(&plan) {
            continue;
        }
        for frame in &shop.frames {
            let twin = format!("twin of {}", frame.id);
            let waits = (1..=frame.copies).any(|copy| !is_cut(&plan, &frame.id, copy));
            waiting += u32::from(waits && shop.frames.iter().any(|other| other.id == twin));
            let loses = waits && (1..=frame.copies).any(|copy| is_cut(&plan, &twin, copy));
            assert!(!loses, "shop {seed}: {} loses to its twin", frame.id);
        }
    }
    assert!(waiting > 50, "only {waiting} frames wait: too easy");
}

#[test]
fn frames_that_are_due_later_take_nothing_from_earlier_ones() {
    let without_the_last = |shop: &mut Shop, _: &mut Numbers| {
        let last = *dates(shop).last().unwrap();
        shop.frames.retain(|frame| due(frame) != last);
        !shop.frames.is_empty()
    };
    changed(without_the_last, |before, first, after, second| {
        let mut earlier = served(before, first);
        earlier.pop();
        earlier == served(after, second)
    });
}
