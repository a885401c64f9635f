//! What a held frame is said to lack is what it lacks.

use crate::support::{ask, frame, inches, layer, moulding, plan, shop, stick};
use jiff::civil::date;
use longpoint::measure::Mitre;
use longpoint::plan::{HoldReason, WaitReason};
use longpoint::shop::{Kind, Match};

/// Two frames share a liner that is not on the rack at all, and only one long
/// stick can give either its outer moulding in one piece. The liner can be
/// bought; it is the long stick that the second frame is held for.
#[test]
fn a_frame_is_held_for_the_stick_that_is_taken_and_not_for_what_can_be_bought() {
    let mut shop = shop();
    moulding(&mut shop, "LINER", inches("1"), inches("1/4"), inches("96"));
    moulding(&mut shop, "OUTER", inches("1"), inches("1/4"), inches("48"));
    stick(&mut shop, "LONG", "OUTER", inches("90"));
    for (id, day) in [("first", 4), ("second", 5)] {
        let job = frame(&mut shop, id, "OUTER", inches("15"), inches("18"));
        ask(job, Match::Wrap);
        job.layers.insert(0, layer("LINER"));
        job.due = Some(date(2031, 3, day));
    }
    let plan = plan(&shop);
    assert_eq!(plan.waiting.len(), 1);
    let liner = vec!["LINER".to_owned()];
    assert_eq!(plan.waiting[0].reason, WaitReason::Moulding(liner));
    assert_eq!(plan.held.len(), 1);
    let outer = vec!["OUTER".to_owned()];
    assert_eq!(plan.held[0].reason, HoldReason::StickTaken { mouldings: outer });
}

/// Three sticks of unknown lots can give nobody a lot, and the delivery that can
/// comes after them in every list: with four frames to share out over four lots
/// there were too many ways to list, and none of the first used the delivery.
#[test]
fn frames_that_must_be_of_one_lot_wait_for_a_delivery_behind_lots_that_cannot_give_them() {
    let mut shop = shop();
    moulding(&mut shop, "M", inches("1"), inches("1/4"), inches("20"));
    for id in ["S-1", "S-2", "S-3"] {
        stick(&mut shop, id, "M", inches("20"));
    }
    let stack = frame(&mut shop, "stack", "M", inches("8"), inches("11"));
    ask(stack, Match::Lot);
    (stack.copies, stack.due) = (2, Some(date(2031, 3, 4)));
    let mut outer = layer("M");
    (outer.match_, outer.match_floor) = (Match::Lot, Match::Lot);
    stack.layers.push(outer);
    let single = frame(&mut shop, "single", "M", inches("10"), inches("8"));
    ask(single, Match::Lot);
    single.copies = 2;
    let plan = plan(&shop);
    assert_eq!((plan.today.len(), plan.held.len(), plan.waiting.len()), (0, 0, 4));
}

/// A triangle fits a new stick only head to tail. It was held while squares were
/// cut from the same moulding; now each has a stick of its own.
#[test]
fn a_frame_that_fits_only_head_to_tail_has_a_stick_of_its_own_beside_other_mitres() {
    let mut shop = shop();
    moulding(&mut shop, "FLAT", inches("2"), inches("1/4"), inches("33")).kind = Kind::Reversible;
    let square = frame(&mut shop, "square", "FLAT", inches("5"), inches("5"));
    square.due = Some(date(2031, 3, 4));
    let triangle = frame(&mut shop, "triangle", "FLAT", inches("4"), inches("4"));
    ask(triangle, Match::Stick);
    (triangle.mitre, triangle.due) = (Mitre::new(3).unwrap(), Some(date(2031, 3, 5)));
    let plan = plan(&shop);
    assert_eq!((plan.held.len(), plan.waiting.len()), (0, 2));
    assert_eq!(plan.order.sticks.len(), 2);
}

/// A chopper stands at 45 degrees: it makes the frame and not the build-out behind it, and a
/// frame is cut as a whole.
#[test]
fn a_build_out_is_not_planned_on_a_chopper() {
    let mut shop = shop();
    crate::support::saw(&mut shop).mitres = vec![(45_000, 45_000)];
    moulding(&mut shop, "M", inches("1"), inches("1/4"), inches("96"));
    moulding(&mut shop, "B", inches("3/4"), inches("0"), inches("96")).kind = Kind::BuildOut;
    stick(&mut shop, "S-1", "M", inches("96"));
    stick(&mut shop, "S-2", "B", inches("96"));
    frame(&mut shop, "deep", "M", inches("8"), inches("8")).layers.push(layer("B"));
    let held = plan(&shop);
    let [deep] = held.held.as_slice() else { panic!("{:?}", held.held) };
    let cutter = crate::support::saw(&mut shop).name.clone();
    assert_eq!(deep.reason, HoldReason::NoMitre { layer: 2, mitre: Mitre::BUTT, cutter });
    crate::support::saw(&mut shop).mitres.push((0, 0));
    let cut = plan(&shop);
    assert!(cut.held.is_empty());
    let of = |stick: &str| cut.today.iter().find(|cut| cut.stick == stick).unwrap();
    // Computed: 8 in, 1/8 allowance, 2 x 3/4 behind the rabbet; strips as wide as that.
    let long = |stick: &str| of(stick).rails.iter().map(|rail| rail.long_point).collect::<Vec<_>>();
    assert_eq!(long("S-1"), vec![inches("9 5/8"); 4]);
    let mut strips = long("S-2");
    strips.sort();
    assert_eq!(strips, ["8 1/8", "8 1/8", "9 5/8", "9 5/8"].map(inches));
}

/// A saw that cuts 45 degrees and nothing else makes no hexagon: it is held with the
/// reason, or chopped by who can.
#[test]
fn a_hexagon_is_not_planned_on_a_double_saw() {
    let mut shop = shop();
    crate::support::saw(&mut shop).mitres = vec![(45_000, 45_000)];
    moulding(&mut shop, "M", inches("1"), inches("1/4"), inches("96"));
    stick(&mut shop, "S-1", "M", inches("96"));
    frame(&mut shop, "square", "M", inches("8"), inches("8"));
    frame(&mut shop, "hexagon", "M", inches("9"), inches("9")).mitre = Mitre::new(6).unwrap();
    let held = plan(&shop);
    assert!(held.today.iter().flat_map(|stick| &stick.rails).all(|rail| rail.frame == "square"));
    let [hexagon] = held.held.as_slice() else { panic!("{:?}", held.held) };
    let cutter = crate::support::saw(&mut shop).name.clone();
    let reason = HoldReason::NoMitre { layer: 1, mitre: Mitre::new(6).unwrap(), cutter };
    assert_eq!((hexagon.frame.as_str(), &hexagon.reason), ("hexagon", &reason));
    crate::support::saw(&mut shop).mitres.push((29_000, 31_000));
    assert!(plan(&shop).held.is_empty());
}
