//! A plan's one budget: whatever the steps and the time, every frame has its
//! place, the plan stands, and what was not settled is said.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

use crate::shops::crowd::crowd;
use crate::shops::room::{Room, room};
use crate::shops::{Size, shop};
use jiff::civil::{Date, date};
use longpoint::morning::{WORK, plan_as_wished};
use longpoint::plan::{Part, Plan, Proof, Wishes};
use longpoint::shop::{Shop, read_folder};
use longpoint::solve::Limits;
use longpoint::verify::verify;

const TODAY: Date = date(2026, 11, 25);

/// A shop in a folder beside this file.
fn folder(name: &str) -> Shop {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/morning/budget").join(name);
    read_folder(&folder).unwrap()
}

fn steps(work: u64) -> Limits<'static> {
    Limits { work, deadline: None, stop: None, watch: None }
}

/// A plan of the rack alone that stands, with a place for every frame.
fn planned(shop: &Shop, limits: Limits) -> Plan {
    let wishes = Wishes { rack_only: true, ..Wishes::default() };
    let plan = plan_as_wished(shop, TODAY, &wishes, limits).unwrap().into_inner();
    verify(shop, &plan).unwrap();
    plan
}

/// Whether it is said of a moulding that not every choice was compared.
fn is_doubtful(proof: &Proof) -> bool {
    proof.part == Part::Today && !proof.proven && proof.bound.0 == 0
}

/// How many frames of each turn are cut today, the most urgent first.
fn served(shop: &Shop, plan: &Plan) -> BTreeMap<(bool, Option<Date>), usize> {
    let mut served = BTreeMap::new();
    for frame in &shop.frames {
        let waits = plan.waiting.iter().filter(|waiting| waiting.frame == frame.id).count();
        let held = plan.held.iter().filter(|held| held.frame == frame.id).count();
        *served.entry((frame.due.is_none(), frame.due)).or_default() +=
            frame.left() as usize - waits - held;
    }
    served
}

/// Frames of stacks, editions and lots, most of which have no room: it ran for
/// more than half a minute, one packing after the other.
#[test]
fn a_crowd_is_planned_within_the_budget() {
    let shop = folder("crowd");
    let plan = planned(&shop, steps(WORK / 20));
    assert!(!plan.today.is_empty());
    assert!(!plan.waiting.is_empty());
}

/// Thirteen tickets, and all the sticks that can be bought.
#[test]
fn an_order_without_offers_is_planned_within_the_budget() {
    let shop = folder("endless_sticks");
    let plan =
        plan_as_wished(&shop, TODAY, &Wishes::default(), steps(WORK / 20)).unwrap().into_inner();
    verify(&shop, &plan).unwrap();
}

/// One frame, and a supplier who takes no order as small as the shop may spend on
/// what it does not need: prices on the budget rose for ever.
#[test]
fn a_refused_order_beyond_the_budget_comes_to_an_end() {
    let shop = folder("refused_order");
    let plan =
        plan_as_wished(&shop, TODAY, &Wishes::default(), steps(WORK / 20)).unwrap().into_inner();
    verify(&shop, &plan).unwrap();
    assert_eq!((plan.waiting.len(), plan.held.len()), (1, 0));
    assert_eq!(plan.order.lines.len(), 1);
}

/// Where few steps serve the dates worse than many do, it is said.
#[test]
fn a_later_frame_takes_nothing_from_an_earlier_one_in_silence() {
    let mut worse = 0;
    for seed in 0..6 {
        let shop = shop(seed, Size { frames: 40, mouldings: 3, sticks: 25 });
        let thorough = planned(&shop, steps(WORK));
        if thorough.proof.iter().any(is_doubtful) {
            continue;
        }
        for work in [50, 1_000, 20_000] {
            let plan = planned(&shop, steps(work));
            if served(&shop, &plan) != served(&shop, &thorough) {
                assert!(plan.proof.iter().any(is_doubtful), "seed {seed}, {work} steps");
                worse += 1;
            }
        }
    }
    assert!(worse > 0, "too easy");
}

/// What was chosen is packed, although there is no time left to find it again.
#[test]
fn a_plan_that_is_cut_off_at_once_stands() {
    let shops = [
        folder("crowd"),
        shop(12, Size { frames: 60, mouldings: 8, sticks: 60 }),
        room(11, Room { frames: 60, mouldings: 6 }),
    ];
    let stopped = AtomicBool::new(true);
    for shop in &shops {
        let late = Limits { deadline: Some(Instant::now()), ..steps(WORK) };
        let plan = planned(shop, late);
        assert!(plan.today.is_empty() || plan.proof.iter().any(|proof| !proof.proven));
        planned(shop, Limits { stop: Some(&stopped), ..steps(WORK) });
    }
}

/// One contest of a great many tickets that stacks and dates tie together.
#[test]
fn a_contest_of_hundreds_of_tickets_is_planned_within_the_budget() {
    let shop = crowd(3, 400);
    let plan = planned(&shop, steps(WORK / 10));
    let cut = served(&shop, &plan).values().sum::<usize>();
    assert!(cut > 100, "{cut} frames are cut");
    assert!(!plan.waiting.is_empty());
}
