//! Rails on sticks with known answers. All expected figures are computed from
//! the rails and joints, and the numbers of sticks were confirmed by a general
//! mixed-integer solver.

mod support;

use longpoint::measure::{Length, Worth};
use longpoint::plan::{CutStick, Plan};
use longpoint::shop::{Kind, Match, Shop};
use support::{ask, frame, inches, moulding, plan, saw, shop, stick, used};

/// A shop with a double saw of 1/8 in kerf, a joint of .17678 in, and so many
/// sticks of one profile on the rack.
fn rack(width: &str, length: &str, count: usize, trim: &str) -> Shop {
    let mut shop = shop();
    let cutter = saw(&mut shop);
    cutter.kerf = inches("1/8");
    cutter.first_trim = inches(trim);
    cutter.last_trim = inches(trim);
    moulding(&mut shop, "P", inches(width), inches("1/4"), inches(length));
    for index in 0..count {
        stick(&mut shop, &format!("S{index}"), "P", inches(length));
    }
    shop
}

/// A length to the thousandth of an inch.
fn thousandths(length: Length) -> i64 {
    (length.nm() * 10 + 127_000) / 254_000
}

fn total(plan: &Plan) -> Length {
    plan.today.iter().map(used).sum()
}

/// Everything is cut today, provably best, from so many sticks.
fn all_today(shop: &Shop, sticks: usize) -> Plan {
    let plan = plan(shop);
    assert!(plan.waiting.is_empty() && plan.held.is_empty());
    assert_eq!(plan.today.len(), sticks);
    assert!(plan.proof.iter().all(|proof| proof.proven));
    plan
}

/// L1: two rails of 24 do not come out of 48, for the joint between them.
#[test]
fn two_halves_of_a_stick_leave_nothing_for_the_joint() {
    let mut shop = rack("1", "48", 2, "0");
    frame(&mut shop, "1", "P", inches("22 1/2"), inches("22 1/2"));
    assert_eq!(plan(&shop).today, []);
    for index in 2..4 {
        stick(&mut shop, &format!("S{index}"), "P", inches("48"));
    }
    all_today(&shop, 4);
}

/// L2: 24 and 20 do, with 3.823 left before the final cut.
#[test]
fn a_rail_less_than_half_leaves_room_for_the_joint() {
    let mut shop = rack("1", "48", 2, "0");
    frame(&mut shop, "1", "P", inches("22 1/2"), inches("18 1/2"));
    for stick in &all_today(&shop, 2).today {
        assert_eq!(thousandths(stick.length - used(stick)), 3_823);
    }
}

/// L3: 16 x 20, W 2, r 1/4, A 1/8 from 96 with an inch of trim at each end.
#[test]
fn a_frame_from_one_stick_and_its_offcut() {
    let mut shop = rack("2", "96", 1, "1");
    shop.settings.allowance = inches("1/8");
    frame(&mut shop, "1", "P", inches("16"), inches("20"));
    let plan = all_today(&shop, 1);
    assert_eq!(thousandths(total(&plan)), 87_030);
    assert_eq!(thousandths(plan.today[0].left.length), 7_793);
    assert!(!plan.today[0].left.keep, "the shop keeps nothing under a foot");
}

/// L4: four rails of 24, W 2: 96.530 of a rebated profile.
#[test]
fn a_rebated_profile_cannot_be_nested() {
    let mut shop = rack("2", "96.6", 1, "0");
    frame(&mut shop, "1", "P", inches("20 1/2"), inches("20 1/2"));
    assert_eq!(thousandths(total(&all_today(&shop, 1))), 96_530);
    shop.rack[0].length = inches("96 1/2");
    assert_eq!(plan(&shop).today, []);
}

/// L4: 90.530 of flat stock, same both ways, cut head to tail.
#[test]
fn reversible_stock_is_cut_head_to_tail() {
    let mut shop = rack("2", "96.6", 1, "0");
    shop.mouldings.get_mut("P").unwrap().kind = Kind::Reversible;
    frame(&mut shop, "1", "P", inches("20 1/2"), inches("20 1/2"));
    assert_eq!(thousandths(total(&all_today(&shop, 1))), 90_530);
    shop.rack[0].length = inches("90 17/32");
    all_today(&shop, 1);
    shop.rack[0].length = inches("90 33/64");
    assert_eq!(plan(&shop).today, []);
}

/// Three frames of the sizes given, W as given, all with the same match.
fn three(width: &str, sizes: [(&str, &str); 3], length: &str, match_: Match) -> Shop {
    let mut shop = rack(width, length, 4, "1");
    shop.settings.allowance = inches("1/8");
    for (index, (w, h)) in sizes.into_iter().enumerate() {
        ask(frame(&mut shop, &index.to_string(), "P", inches(w), inches(h)), match_);
    }
    shop
}

const DIFFERENT: [(&str, &str); 3] = [("8", "10"), ("11", "14"), ("16", "20")];
const ALIKE: [(&str, &str); 3] = [("12", "16"); 3];

fn lengths_used(plan: &Plan) -> Vec<i64> {
    let mut lengths: Vec<i64> =
        plan.today.iter().map(|stick: &CutStick| thousandths(used(stick))).collect();
    lengths.sort_unstable();
    lengths
}

/// L5: 183 1/2 of rail and ten joints, 93.332 and 91.936 of 94 used one way.
#[test]
fn three_frames_from_two_sticks_of_96_or_each_from_its_own() {
    let free = all_today(&three("1 1/4", DIFFERENT, "96", Match::Any), 2);
    assert_eq!(thousandths(total(&free)), 93_332 + 91_936);
    let each = all_today(&three("1 1/4", DIFFERENT, "96", Match::Stick), 3);
    assert_eq!(lengths_used(&each), [45_030, 59_030, 81_030]);
}

/// L6: the same from 108.
#[test]
fn three_frames_from_two_sticks_of_108_either_way() {
    all_today(&three("1 1/4", DIFFERENT, "108", Match::Any), 2);
    all_today(&three("1 1/4", DIFFERENT, "108", Match::Stick), 2);
}

/// L7: 104.634 and 96.634 of 106 used one way; longest first takes three sticks.
#[test]
fn three_alike_frames_from_two_sticks_of_108() {
    let free = all_today(&three("1 1/2", ALIKE, "108", Match::Any), 2);
    assert_eq!(thousandths(total(&free)), 104_634 + 96_634);
    all_today(&three("1 1/2", ALIKE, "108", Match::Stick), 3);
}

/// L8: the same from 120.
#[test]
fn three_alike_frames_from_two_sticks_of_120() {
    all_today(&three("1 1/2", ALIKE, "120", Match::Any), 2);
    all_today(&three("1 1/2", ALIKE, "120", Match::Stick), 3);
}

/// Head to tail, the first rail of a run overlaps with none before it. A run
/// before a flaw that nothing is cut from stays whole: 40 in go back, not 38.
#[test]
fn an_idle_run_of_reversible_stock_goes_back_whole() {
    let mut shop = rack("2", "150", 1, "0");
    shop.mouldings.get_mut("P").unwrap().kind = Kind::Reversible;
    shop.rack[0].flaws = vec![support::flaw(inches("40"), inches("41"))];
    ask(frame(&mut shop, "1", "P", inches("20 1/2"), inches("20 1/2")), Match::Wrap);
    let plan = all_today(&shop, 1);
    let [between] = &plan.today[0].between[..] else { panic!("one piece") };
    assert_eq!(between.length, inches("40"));
    // 150 in at 2.50 a foot, less what goes back: both are shorter than the
    // usual stick, so worth between half and all of their price.
    let back = between.worth + plan.today[0].left.worth;
    assert_eq!(plan.proof[0].used_up, plan.today[0].worth - back);
}

/// Four rails of 24 head to tail, of which the first in each run overlaps with
/// none before it, from 60 and 69 in either side of a flaw. Three need 68.354 in
/// and so two or three lie beyond the flaw.
#[test]
fn reversible_stock_with_a_flaw_is_proven_too() {
    let mut shop = rack("2", "130", 1, "0");
    shop.mouldings.get_mut("P").unwrap().kind = Kind::Reversible;
    shop.rack[0].flaws = vec![support::flaw(inches("60"), inches("61"))];
    frame(&mut shop, "1", "P", inches("20 1/2"), inches("20 1/2"));
    let plan = all_today(&shop, 1);
    let [between] = &plan.today[0].between[..] else { panic!("one piece") };
    // One rail and its cut before the flaw, where the longest piece remains.
    assert_eq!(thousandths(between.length), 60_000 - 24_177);
    assert_eq!(plan.today[0].left.worth, Worth(0));
    assert_eq!(plan.proof[0].used_up, plan.today[0].worth - between.worth);
}
