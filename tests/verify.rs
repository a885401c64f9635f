//! A good plan, spoiled in each way that a plan can be wrong: every one is
//! caught, and called by its right name.

mod support;

use jiff::civil::date;
use longpoint::measure::{Length, Mitre, Money, Worth};
use longpoint::plan::{
    CutStick, Held, HoldReason, Matching, OffcutUse, Part, PlacedRail, Plan, Proof, WaitReason,
    Waiting, Warning,
};
use longpoint::rails::Side;
use longpoint::shop::{Kind, Match, Shop};
use longpoint::verify::{Fault, verify};

use support::{ask, flaw, frame, inches, layer, moulding, plan, saw, shop, stick};

/// A shop whose plan has something of everything.
fn busy() -> Shop {
    let mut shop = shop();
    let cutter = saw(&mut shop);
    cutter.kerf = inches("1/8");
    cutter.first_trim = inches("1");
    cutter.last_trim = inches("1");
    cutter.shortest = inches("4");
    for id in ["OAK", "ASH", "ELM", "PINE", "FILLET", "GUM", "KNOT"] {
        moulding(&mut shop, id, inches("1 1/4"), inches("1/4"), inches("96"));
    }
    shop.mouldings.get_mut("OAK").unwrap().depth = Some(inches("3/8"));
    shop.mouldings.get_mut("ELM").unwrap().stick = inches("48");
    shop.mouldings.get_mut("PINE").unwrap().kind = Kind::Reversible;
    let o1 = stick(&mut shop, "O1", "OAK", inches("96"));
    o1.lot = "L1".to_owned();
    o1.place = "bay 1".to_owned();
    let o2 = stick(&mut shop, "O2", "OAK", inches("96"));
    o2.lot = "L1".to_owned();
    o2.flaws = vec![flaw(inches("40"), inches("42"))];
    stick(&mut shop, "O3", "OAK", inches("60")).lot = "L2".to_owned();
    stick(&mut shop, "O4", "OAK", inches("96")).lot = "L1".to_owned();
    stick(&mut shop, "E1", "ELM", inches("96"));
    stick(&mut shop, "P1", "PINE", inches("96"));
    stick(&mut shop, "F1", "FILLET", inches("96"));
    stick(&mut shop, "G1", "GUM", inches("96"));
    let k1 = stick(&mut shop, "K1", "KNOT", inches("150"));
    k1.flaws = vec![flaw(inches("20"), inches("21"))];
    frames(&mut shop);
    shop
}

fn frames(shop: &mut Shop) {
    let plain = frame(shop, "plain", "OAK", inches("8"), inches("10"));
    plain.copies = 2;
    plain.due = Some(date(2031, 3, 1));
    let wrap = frame(shop, "wrap", "OAK", inches("11"), inches("14"));
    ask(wrap, Match::Wrap);
    wrap.thickness = Some(inches("1/2"));
    ask(frame(shop, "lot", "OAK", inches("8"), inches("10")), Match::Lot);
    ask(frame(shop, "halves", "OAK", inches("6"), inches("8")), Match::Halves);
    ask(frame(shop, "one", "GUM", inches("8"), inches("9")), Match::Stick);
    frame(shop, "waits", "ASH", inches("16"), inches("20"));
    let relaxed = frame(shop, "relaxed", "ASH", inches("30"), inches("40"));
    relaxed.layers[0].match_ = Match::Wrap;
    for (id, day) in [("first", 4), ("second", 5)] {
        let elm = frame(shop, id, "ELM", inches("12"), inches("16"));
        ask(elm, Match::Wrap);
        elm.due = Some(date(2031, 3, day));
    }
    frame(shop, "turned", "PINE", inches("12"), inches("12"));
    ask(frame(shop, "knotty", "KNOT", inches("28"), inches("28")), Match::Wrap);
    frame(shop, "stack", "FILLET", inches("4"), inches("5")).layers.push(layer("GUM"));
    frame(shop, "short", "OAK", inches("1"), inches("1"));
    frame(shop, "shut", "OAK", inches("1/4"), inches("10"));
    frame(shop, "long", "OAK", inches("10"), inches("100"));
    ask(frame(shop, "broad", "OAK", inches("30"), inches("40")), Match::Wrap);
}

/// The first stick of a moulding, wherever it is.
fn of<'p>(plan: &'p mut Plan, id: &str) -> &'p mut CutStick {
    let all = plan.today.iter_mut().chain(&mut plan.order.sticks);
    all.into_iter().find(|stick| stick.moulding == id).unwrap()
}

/// The first rail of a frame.
fn rail<'p>(plan: &'p mut Plan, frame: &str) -> &'p mut PlacedRail {
    let all = plan.today.iter_mut().chain(&mut plan.order.sticks);
    all.into_iter().flat_map(|s| &mut s.rails).find(|rail| rail.frame == frame).unwrap()
}

fn held<'p>(plan: &'p mut Plan, frame: &str) -> &'p mut Held {
    plan.held.iter_mut().find(|held| held.frame == frame).unwrap()
}

fn hold(plan: &mut Plan, frame: &str, reason: HoldReason) {
    plan.held.push(Held { frame: frame.to_owned(), copy: 1, reason });
}

/// Takes every rail of a frame off the plan, wherever it is.
fn drop_rails(plan: &mut Plan, frame: &str) {
    for stick in plan.today.iter_mut().chain(&mut plan.order.sticks) {
        stick.rails.retain(|rail| rail.frame != frame);
    }
}

const EIGHTH: Length = Length::from_64ths(8);

/// Spoils a good plan and says whether a fault of the right kind is found.
#[track_caller]
fn caught(spoil: impl FnOnce(&mut Plan), right: impl Fn(&Fault) -> bool) {
    let shop = busy();
    let mut plan = plan(&shop);
    spoil(&mut plan);
    let faults = verify(&shop, &plan).expect_err("the plan is spoiled");
    assert!(faults.iter().any(right), "{faults:#?}");
    assert!(faults.iter().all(|fault| !fault.to_string().is_empty()));
}

/// What is found to be false, and how to spoil it.
type Spoil<T> = (&'static str, fn(&mut T));

/// What the shop above is made for does happen in its plan.
#[test]
fn a_good_plan_has_no_fault() {
    let plan = plan(&busy());
    let held: Vec<(&str, &HoldReason)> =
        plan.held.iter().map(|held| (held.frame.as_str(), &held.reason)).collect();
    assert!(matches!(
        held[..],
        [
            ("second", HoldReason::StickTaken { .. }),
            ("short", HoldReason::TooShort { .. }),
            ("shut", HoldReason::NoOpening { .. }),
            ("long", HoldReason::TooLong { .. }),
            ("broad", HoldReason::MatchTooLong { .. }),
        ]
    ));
    let waiting: Vec<&str> = plan.waiting.iter().map(|w| w.frame.as_str()).collect();
    assert_eq!(waiting, ["waits", "relaxed"]);
    assert_eq!(plan.warnings.len(), 3);
    assert!(plan.today.iter().flat_map(|stick| &stick.rails).any(|rail| rail.turned));
    assert!(plan.proof.iter().all(|proof| proof.proven));
}

#[test]
fn another_shop() {
    caught(|plan| plan.shop.push('s'), |f| matches!(f, Fault::OtherShop { .. }));
}

#[test]
fn a_forgotten_copy() {
    caught(
        |plan| drop_rails(plan, "one"),
        |f| matches!(f, Fault::Forgotten { frame, copy: 1 } if frame == "one"),
    );
    caught(|plan| plan.held.clear(), |f| matches!(f, Fault::Forgotten { .. }));
}

#[test]
fn a_copy_in_two_places() {
    let reason = HoldReason::StickTaken { mouldings: vec!["OAK".to_owned()] };
    caught(
        |plan| hold(plan, "plain", reason),
        |f| matches!(f, Fault::Repeated { frame, copy: 1, places: 2 } if frame == "plain"),
    );
    caught(
        |plan| plan.waiting.push(plan.waiting[0].clone()),
        |f| matches!(f, Fault::Repeated { frame, .. } if frame == "waits"),
    );
}

#[test]
fn a_copy_that_nobody_asked_for() {
    caught(
        |plan| rail(plan, "plain").copy = 3,
        |f| matches!(f, Fault::NoSuchCopy { frame, copy: 3 } if frame == "plain"),
    );
    caught(
        |plan| rail(plan, "plain").frame = "4711".to_owned(),
        |f| matches!(f, Fault::NoSuchCopy { frame, .. } if frame == "4711"),
    );
}

#[test]
fn half_a_frame() {
    caught(
        |plan| drop(of(plan, "OAK").rails.pop()),
        |f| matches!(f, Fault::NotWhole { found: 0, .. }),
    );
}

#[test]
fn a_rail_cut_twice() {
    let twice = |plan: &mut Plan| {
        let stick = of(plan, "OAK");
        let mut again = stick.rails.last().unwrap().clone();
        again.from = again.to + EIGHTH * 2;
        again.to = again.from + again.long_point;
        stick.rails.push(again);
    };
    caught(twice, |f| matches!(f, Fault::NotWhole { found: 2, .. }));
}

#[test]
fn a_rail_of_no_side() {
    caught(
        |plan| rail(plan, "plain").side = Side::Nth(1),
        |f| matches!(f, Fault::NoSuchRail { layer: 1, side: Side::Nth(1), .. }),
    );
    caught(
        |plan| rail(plan, "plain").layer = 0,
        |f| matches!(f, Fault::NoSuchRail { layer: 0, .. }),
    );
}

#[test]
fn waiting_in_vain() {
    let wait = |plan: &mut Plan| {
        drop_rails(plan, "one");
        plan.waiting.push(Waiting {
            frame: "one".to_owned(),
            copy: 1,
            due: None,
            reason: WaitReason::Moulding(vec!["GUM".to_owned()]),
        });
    };
    caught(wait, |f| matches!(f, Fault::WaitsInVain { frame, .. } if frame == "one"));
    caught(
        |plan| drop(plan.waiting.pop()),
        |f| matches!(f, Fault::WaitsInVain { frame, .. } if frame == "relaxed"),
    );
}

#[test]
fn a_stick_that_is_not_there() {
    caught(
        |plan| of(plan, "OAK").stick = "O9".to_owned(),
        |f| matches!(f, Fault::NoSuchStick { stick } if stick == "O9"),
    );
}

#[test]
fn a_stick_taken_twice_even_once_today_and_once_on_order() {
    caught(
        |plan| plan.today.push(plan.today[0].clone()),
        |f| matches!(f, Fault::StickTwice { .. }),
    );
    caught(
        |plan| plan.order.sticks.push(plan.today[0].clone()),
        |f| matches!(f, Fault::StickTwice { .. }),
    );
}

#[test]
fn a_stick_that_is_not_as_the_rack_has_it() {
    let spoil: [Spoil<CutStick>; 6] = [
        ("moulding", |stick| stick.moulding = "GUM".to_owned()),
        ("length", |stick| stick.length += EIGHTH),
        ("lot", |stick| stick.lot = "L7".to_owned()),
        ("place", |stick| stick.place = "attic".to_owned()),
        ("flaws", |stick| stick.flaws.push(flaw(inches("95 1/2"), inches("95 3/4")))),
        ("first trim", |stick| stick.first_trim = Length::ZERO),
    ];
    for (word, spoil) in spoil {
        caught(
            |plan| spoil(of(plan, "OAK")),
            |f| matches!(f, Fault::FalseStick { what, .. } if *what == word),
        );
    }
    caught(
        |plan| of(plan, "OAK").moulding = "BOG OAK".to_owned(),
        |f| matches!(f, Fault::FalseStick { what: "moulding", .. }),
    );
    caught(
        |plan| of(plan, "ASH").length = inches("108"),
        |f| matches!(f, Fault::FalseStick { what: "length", .. }),
    );
}

#[test]
fn a_flaw_that_is_passed_over() {
    caught(
        |plan| of(plan, "KNOT").flaws.clear(),
        |f| matches!(f, Fault::FalseStick { what: "flaws", .. }),
    );
}

#[test]
fn a_new_stick_cut_today_or_under_another_name() {
    caught(
        |plan| {
            let new = plan.order.sticks.pop().unwrap();
            plan.today.push(new);
        },
        |f| matches!(f, Fault::NotYetBought { .. }),
    );
    caught(
        |plan| of(plan, "ASH").stick = "O1".to_owned(),
        |f| matches!(f, Fault::NameTaken { .. }),
    );
}

#[test]
fn a_stick_that_nothing_is_cut_from() {
    caught(|plan| of(plan, "ELM").rails.clear(), |f| matches!(f, Fault::Idle { .. }));
}

#[test]
fn a_rail_measured_wrongly() {
    let spoil: [Spoil<PlacedRail>; 4] = [
        ("long point", |rail| rail.long_point += EIGHTH),
        ("length on the stick", |rail| rail.to -= EIGHTH),
        ("rabbet", |rail| rail.rabbet -= EIGHTH),
        ("sight", |rail| rail.sight = rail.rabbet),
    ];
    for (word, spoil) in spoil {
        caught(
            |plan| spoil(rail(plan, "stack")),
            |f| matches!(f, Fault::FalseRail { what, .. } if *what == word),
        );
    }
    caught(
        |plan| rail(plan, "plain").mitre = Mitre::new(6).unwrap(),
        |f| matches!(f, Fault::FalseMitre { .. }),
    );
}

#[test]
fn a_rail_of_the_wrong_moulding() {
    caught(
        |plan| {
            let rail = of(plan, "ELM").rails.pop().unwrap();
            of(plan, "OAK").rails.push(rail);
        },
        |f| matches!(f, Fault::FalseMoulding { .. }),
    );
}

#[test]
fn a_rail_too_short_to_hold() {
    let shop = busy();
    let plan = plan(&shop);
    let mut strict = shop;
    saw(&mut strict).shortest = inches("9");
    let faults = verify(&strict, &plan).unwrap_err();
    assert!(faults.iter().any(|f| matches!(f, Fault::TooShort { .. })));
}

/// Moves the rails of a stick along it.
fn shift(stick: &mut CutStick, from: usize, by: Length) {
    for rail in &mut stick.rails[from..] {
        rail.from += by;
        rail.to += by;
    }
}

#[test]
fn a_rail_in_a_trim_or_a_flaw() {
    caught(|plan| shift(of(plan, "GUM"), 0, -EIGHTH), |f| matches!(f, Fault::NotClear { .. }));
    caught(|plan| shift(of(plan, "GUM"), 0, inches("90")), |f| matches!(f, Fault::NotClear { .. }));
    caught(
        |plan| {
            let rail = rail(plan, "knotty");
            rail.from = inches("20 1/2");
            rail.to = rail.from + rail.long_point;
        },
        |f| matches!(f, Fault::NotClear { .. }),
    );
}

#[test]
fn rails_without_their_joint() {
    caught(
        |plan| shift(of(plan, "GUM"), 1, Length::from_nm(-1)),
        |f| matches!(f, Fault::TooClose { by, .. } if by.nm() == 1),
    );
    caught(
        |plan| shift(of(plan, "PINE"), 1, Length::from_nm(-1)),
        |f| matches!(f, Fault::TooClose { by, .. } if by.nm() == 1),
    );
    caught(|plan| of(plan, "GUM").rails.swap(0, 1), |f| matches!(f, Fault::TooClose { .. }));
}

#[test]
fn a_rebated_stick_turned_over() {
    caught(|plan| rail(plan, "plain").turned = true, |f| matches!(f, Fault::Turned { .. }));
}

#[test]
fn a_wrap_cut_head_to_tail() {
    let mut shop = busy();
    let turned = plan(&shop);
    ask(shop.frames.iter_mut().find(|f| f.id == "turned").unwrap(), Match::Wrap);
    let faults = verify(&shop, &turned).unwrap_err();
    assert!(faults.iter().any(|f| matches!(f, Fault::Turned { .. })));
}

#[test]
fn a_remnant_that_is_not_what_remains() {
    let spoil: [Spoil<CutStick>; 5] = [
        ("beginning", |stick| stick.left.from -= EIGHTH),
        ("length", |stick| stick.left.length += EIGHTH),
        ("verdict", |stick| stick.left.keep = !stick.left.keep),
        ("label", |stick| {
            stick.left.keep = false;
            stick.left.length = Length::ZERO;
            stick.left.label = "P1.7".to_owned();
            stick.rails.last_mut().unwrap().to = stick.length;
        }),
        ("worth", |stick| stick.left.worth += Worth(1)),
    ];
    for (word, spoil) in spoil {
        caught(
            |plan| spoil(of(plan, "PINE")),
            |f| matches!(f, Fault::FalseLeft { what, .. } if *what == word),
        );
    }
}

#[test]
fn a_piece_before_a_flaw_made_up_or_left_out() {
    caught(
        |plan| {
            let stick = of(plan, "PINE");
            stick.between.push(stick.left.clone());
        },
        |f| matches!(f, Fault::FalseBetween { found: 1, right: 0, .. }),
    );
    caught(
        |plan| of(plan, "KNOT").between.clear(),
        |f| matches!(f, Fault::FalseBetween { found: 0, right: 1, .. }),
    );
    caught(
        |plan| of(plan, "KNOT").between[0].length += EIGHTH,
        |f| matches!(f, Fault::FalseLeft { what: "length", .. }),
    );
}

#[test]
fn a_label_that_is_taken_or_missing() {
    for label in ["O1", ""] {
        caught(
            |plan| of(plan, "PINE").left.label = label.to_owned(),
            |f| matches!(f, Fault::FalseLabel { .. }),
        );
    }
    caught(
        |plan| {
            let label = of(plan, "GUM").left.label.clone();
            of(plan, "PINE").left.label = label;
        },
        |f| matches!(f, Fault::FalseLabel { .. }),
    );
}

#[test]
fn rails_less_alike_than_asked() {
    caught(
        |plan| {
            let one = plan.today.iter_mut().find(|stick| stick.stick == "E1").unwrap();
            one.rails.swap(1, 2);
        },
        |f| matches!(f, Fault::NotMatched { match_: Match::Wrap, .. }),
    );
}

/// Moves a frame's first rail to a stick of its own.
fn elsewhere(plan: &mut Plan, frame: &str) {
    let rail = rail(plan, frame).clone();
    for stick in &mut plan.today {
        stick.rails.retain(|other| *other != rail);
    }
    let mut other = of(plan, "OAK").clone();
    other.stick = "O3".to_owned();
    other.lot = "L2".to_owned();
    other.rails = vec![rail];
    plan.today.push(other);
}

#[test]
fn rails_of_two_lots_or_sticks() {
    for (frame, match_) in [("lot", Match::Lot), ("halves", Match::Halves), ("one", Match::Stick)] {
        caught(
            |plan| elsewhere(plan, frame),
            |f| matches!(f, Fault::NotMatched { match_: m, .. } if *m == match_),
        );
    }
}

/// A stick without a lot is not known to be like any other.
#[test]
fn unknown_lots_are_not_alike() {
    let mut shop = shop();
    moulding(&mut shop, "OAK", inches("1"), inches("1/4"), inches("8"));
    for id in ["A", "B"] {
        stick(&mut shop, id, "OAK", inches("24")).lot = "L1".to_owned();
    }
    ask(frame(&mut shop, "1", "OAK", inches("10"), inches("10")), Match::Lot);
    let mut plan = plan(&shop);
    assert_eq!(plan.today.len(), 2);
    for (rack, cut) in shop.rack.iter_mut().zip(&mut plan.today) {
        rack.lot = String::new();
        cut.lot = String::new();
    }
    let faults = verify(&shop, &plan).unwrap_err();
    assert!(faults.iter().any(|f| matches!(f, Fault::NotMatched { match_: Match::Lot, .. })));
}

#[test]
fn a_match_relaxed_without_need() {
    let spoil: [fn(&mut Warning); 3] = [
        |w| {
            if let Warning::Relaxed { given, .. } = w {
                *given = Match::Any
            }
        },
        |w| {
            if let Warning::Relaxed { asked, .. } = w {
                *asked = Match::Stick
            }
        },
        |w| {
            if let Warning::Relaxed { frame, .. } = w {
                *frame = "wrap".to_owned()
            }
        },
    ];
    for spoil in spoil {
        caught(
            |plan| plan.warnings.iter_mut().for_each(spoil),
            |f| matches!(f, Fault::FalseRelaxed { .. }),
        );
    }
    caught(
        |plan| plan.warnings.retain(|w| !matches!(w, Warning::Relaxed { .. })),
        |f| matches!(f, Fault::NotMatched { match_: Match::Wrap, .. }),
    );
}

#[test]
fn a_false_worth() {
    caught(|plan| of(plan, "OAK").worth += Worth(1), |f| matches!(f, Fault::FalseWorth { .. }));
    caught(|plan| of(plan, "ASH").worth = Worth(0), |f| matches!(f, Fault::FalseWorth { .. }));
}

#[test]
fn a_false_proof() {
    let spoil: [Spoil<Proof>; 5] = [
        ("worth used up", |proof| proof.used_up = proof.used_up - Worth(1)),
        ("number of sticks", |proof| proof.sticks -= 1),
        ("bound", |proof| proof.bound = proof.used_up + Worth(1)),
        ("claim to be proven", |proof| proof.bound = Worth(0)),
        ("unit", |proof| proof.priced = false),
    ];
    for (word, spoil) in spoil {
        caught(
            |plan| spoil(&mut plan.proof[0]),
            |f| matches!(f, Fault::FalseProof { what, .. } if *what == word),
        );
    }
}

#[test]
fn a_bound_that_the_settings_go_below() {
    caught(|plan| plan.least_settings += 100, |f| matches!(f, Fault::SettingsBound { .. }));
}

#[test]
fn a_proof_too_few_or_too_many() {
    caught(|plan| drop(plan.proof.pop()), |f| matches!(f, Fault::FalseProofs { found: 0, .. }));
    caught(
        |plan| plan.proof.push(plan.proof[0].clone()),
        |f| matches!(f, Fault::FalseProofs { found: 2, .. }),
    );
    caught(
        |plan| plan.proof[0].part = Part::Order,
        |f| matches!(f, Fault::FalseProofs { found: 1, part: Part::Order, .. }),
    );
}

#[test]
fn a_false_account_of_matching() {
    let spoil: [Spoil<Matching>; 3] = [
        ("account of the sticks", |matching| matching.sticks += 1),
        ("claim to be proven", |matching| {
            matching.proven = true;
            matching.used_up_free = matching.used_up + Worth(1);
        }),
        ("unit", |matching| matching.priced = false),
    ];
    for (word, spoil) in spoil {
        caught(
            |plan| spoil(&mut plan.matching[0]),
            |f| matches!(f, Fault::FalseMatching { what, .. } if *what == word),
        );
    }
}

#[test]
fn a_false_word_on_the_offcuts() {
    let spoil: [Spoil<OffcutUse>; 4] = [
        ("list", |use_| use_.idle.push("O1".to_owned())),
        ("list", |use_| use_.moulding = "ASH".to_owned()),
        ("saving", |use_| use_.saved = Worth(-1)),
        ("unit", |use_| use_.priced = false),
    ];
    for (word, spoil) in spoil {
        caught(
            |plan| spoil(&mut plan.offcuts[0]),
            |f| matches!(f, Fault::FalseOffcuts { what, .. } if *what == word),
        );
    }
    caught(
        |plan| plan.offcuts.clear(),
        |f| matches!(f, Fault::FalseOffcuts { what, .. } if *what == "list"),
    );
}

#[test]
fn an_order_for_other_than_the_new_sticks() {
    caught(|plan| plan.order.lines.clear(), |f| matches!(f, Fault::FalseCount { found: 0, .. }));
    caught(|plan| plan.order.lines[0].count += 1, |f| matches!(f, Fault::FalseCount { .. }));
    caught(
        |plan| plan.order.lines[0].length = inches("95"),
        |f| matches!(f, Fault::FalseCount { right: 0, .. }),
    );
    for cost in [None, Some(Money(1))] {
        caught(|plan| plan.order.lines[0].cost = cost, |f| matches!(f, Fault::FalseCost { .. }));
    }
}

#[test]
fn a_frame_held_for_what_is_not_so() {
    let spoil: [Spoil<HoldReason>; 8] = [
        ("short", |r| {
            if let HoldReason::TooShort { long_point, .. } = r {
                *long_point += EIGHTH
            }
        }),
        ("short", |r| {
            if let HoldReason::TooShort { shortest, .. } = r {
                *shortest += EIGHTH
            }
        }),
        ("shut", |r| {
            if let HoldReason::NoOpening { side, .. } = r {
                *side = Side::Left
            }
        }),
        ("long", |r| {
            if let HoldReason::TooLong { longest, .. } = r {
                *longest -= EIGHTH
            }
        }),
        ("long", |r| {
            if let HoldReason::TooLong { side, .. } = r {
                *side = Side::Top
            }
        }),
        ("broad", |r| {
            if let HoldReason::MatchTooLong { needed, .. } = r {
                *needed -= EIGHTH
            }
        }),
        ("broad", |r| {
            if let HoldReason::MatchTooLong { match_, .. } = r {
                *match_ = Match::Any
            }
        }),
        ("second", |r| {
            if let HoldReason::StickTaken { mouldings } = r {
                mouldings.clear()
            }
        }),
    ];
    for (ticket, spoil) in spoil {
        caught(
            |plan| spoil(&mut held(plan, ticket).reason),
            |f| matches!(f, Fault::FalseHold { frame, .. } if frame == ticket),
        );
    }
}

/// A frame that any new stick could make is not held because a stick is taken.
#[test]
fn a_frame_held_that_only_has_to_wait() {
    let reason = HoldReason::StickTaken { mouldings: vec!["ASH".to_owned()] };
    caught(
        |plan| {
            drop_rails(plan, "waits");
            plan.waiting.retain(|waiting| waiting.frame != "waits");
            hold(plan, "waits", reason);
        },
        |f| matches!(f, Fault::FalseHold { frame, .. } if frame == "waits"),
    );
}

#[test]
fn a_frame_that_waits_for_what_is_not_its_own() {
    caught(
        |plan| plan.waiting[0].due = Some(date(2031, 1, 1)),
        |f| matches!(f, Fault::FalseWait { what: "date", .. }),
    );
    for mouldings in [vec![], vec!["OAK".to_owned()]] {
        caught(
            |plan| plan.waiting[0].reason = WaitReason::Moulding(mouldings),
            |f| matches!(f, Fault::FalseWait { what: "moulding", .. }),
        );
    }
}

#[test]
fn a_warning_left_out_or_made_up() {
    caught(
        |plan| plan.warnings.retain(|w| !matches!(w, Warning::Late { .. })),
        |f| matches!(f, Fault::FalseWarning { .. }),
    );
    caught(
        |plan| plan.warnings.retain(|w| !matches!(w, Warning::TooThick { .. })),
        |f| matches!(f, Fault::FalseWarning { .. }),
    );
    let due = date(2031, 1, 1);
    caught(
        |plan| plan.warnings.push(Warning::Late { frame: "waits".to_owned(), due }),
        |f| matches!(f, Fault::FalseWarning { .. }),
    );
}
