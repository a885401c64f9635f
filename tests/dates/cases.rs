//! Shops in which a date was not kept though it could be, each by what broke.

use std::collections::BTreeSet;
use std::path::Path;

use jiff::civil::{Date, date};
use longpoint::morning::{WORK, plan_as_wished};
use longpoint::plan::{Plan, Warning, Wishes};
use longpoint::shop::{Match, Shop, read_folder};
use longpoint::solve::Limits;
use longpoint::verify::verify;

const TODAY: Date = date(2026, 11, 25);

fn folder(name: &str) -> Shop {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/dates/folders").join(name);
    read_folder(&path).unwrap_or_else(|faults| panic!("{faults}"))
}

/// Plans and has the plan re-checked.
fn planned(name: &str, rush: &[&str]) -> Plan {
    let shop = folder(name);
    let rush: BTreeSet<String> = rush.iter().map(|id| (*id).to_owned()).collect();
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    let plan = plan_as_wished(&shop, TODAY, &Wishes { rush, ..Wishes::default() }, limits)
        .unwrap()
        .into_inner();
    if let Err(faults) = verify(&shop, &plan) {
        let words: Vec<String> = faults.iter().map(ToString::to_string).collect();
        panic!("{}", words.join("\n"));
    }
    plan
}

fn arrives(plan: &Plan, frame: &str) -> Option<Date> {
    let mut awaited = plan.order.awaited.iter();
    awaited.find(|awaited| awaited.frame == frame).expect("it waits").arrives
}

fn cut_today(plan: &Plan) -> BTreeSet<&str> {
    let rails = plan.today.iter().flat_map(|stick| &stick.rails);
    rails.map(|rail| rail.frame.as_str()).collect()
}

// The liner of frame 1 is on the rack, its black comes in two days; frame 2 is due
// a month later and needs the same stick of liner.
#[test]
fn a_later_frame_is_not_cut_from_what_an_earlier_one_waits_with() {
    let plan = planned("later-frame-cut-first", &[]);
    assert!(cut_today(&plan).is_empty());
    assert_eq!(arrives(&plan, "1"), Some(date(2026, 11, 27)));
}

#[test]
fn the_order_gives_the_rack_to_the_frame_that_cannot_wait() {
    let plan = planned("later-frame-packed-first", &[]);
    assert_eq!(arrives(&plan, "1"), Some(date(2026, 11, 27)));
    assert_eq!(arrives(&plan, "2"), Some(date(2026, 12, 3)));
}

// The square by the fast supplier, the hexagon by the slow one, each head to tail.
#[test]
fn two_mitres_on_two_dates_are_each_cut_head_to_tail() {
    let plan = planned("two-mitres-two-dates", &[]);
    assert_eq!(arrives(&plan, "1"), Some(date(2026, 11, 27)));
    let turned = plan.order.sticks.iter().flat_map(|stick| &stick.rails).filter(|r| r.turned);
    assert!(turned.count() > 0);
}

#[test]
fn a_rushed_frame_is_rushed_in_the_order_too() {
    let plan = planned("rush-not-in-order", &["1"]);
    assert_eq!(arrives(&plan, "1"), Some(date(2026, 11, 27)));
    assert_eq!(arrives(&plan, "2"), Some(date(2026, 12, 3)));
    let plan = planned("rush-not-in-order", &[]);
    assert_eq!(arrives(&plan, "1"), Some(date(2026, 12, 3)));
}

// No machine of the shop holds its rails, so no stick at hand will do: the weaker
// match that a supplier's chop gives is right.
#[test]
fn a_match_is_weakened_where_only_a_chop_will_do() {
    let plan = planned("match-of-a-chop", &[]);
    let is_relaxed =
        |warning: &Warning| matches!(warning, Warning::Relaxed { given: Match::Lot, .. });
    assert!(plan.warnings.iter().any(is_relaxed));
    assert_eq!(plan.order.chops.len(), 1);
}

// Three squares take three sticks; the hexagon goes into what is left of one.
#[test]
fn a_hexagon_is_cut_from_the_room_that_squares_leave() {
    let plan = planned("room-not-found", &[]);
    assert_eq!(cut_today(&plan), BTreeSet::from(["1001", "1002"]));
    assert!(plan.proof.iter().all(|proof| proof.proven), "{:?}", plan.proof);
}

// Each stick is cut head to tail, one with squares and one with a hexagon.
#[test]
fn sticks_of_one_mitre_each_are_cut_head_to_tail() {
    let plan = planned("mitres-not-settled", &[]);
    assert_eq!(cut_today(&plan), BTreeSet::from(["EARLY", "LATE"]));
    assert!(plan.proof.iter().all(|proof| proof.proven), "{:?}", plan.proof);
}
