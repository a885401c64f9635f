//! Every sheet and file, from a morning made by hand and kept as it should look.

mod fixture;
mod harm;
mod orders;

use fixture::{inches, plan, shop};
use longpoint::chop::{Caution, Cut, Schedule, schedule};
use longpoint::measure::Length;
use longpoint::plan::{Plan, Warning};
use longpoint::report;
use longpoint::report::order_table::Reference;
use longpoint::shop::Shop;

fn morning() -> (Shop, Plan, Schedule) {
    let shop = shop();
    let plan = plan(&shop);
    let schedule = schedule(&plan, &shop);
    (shop, plan, schedule)
}

#[test]
fn the_plan_in_words_stands_as_it_should() {
    let (shop, plan, schedule) = morning();
    insta::assert_snapshot!("plan_text", report::text::plan(&plan, &shop, &schedule));
}

/// What is left out of boards and glass stands among what to look at, not behind the last stick.
#[test]
fn what_is_said_of_boards_is_looked_at_first() {
    let (shop, mut plan, schedule) = morning();
    let notes = ["TISSUE is left out.".to_owned()];
    for warned in [true, false] {
        if !warned {
            plan.warnings.clear();
        }
        let text = report::text::plan_with(&plan, &shop, &schedule, (&notes, false));
        let place = |words: &str| text.find(words).unwrap_or_else(|| panic!("{words}: {text}"));
        assert!(place("LOOK AT FIRST") < place("! TISSUE is left out."), "{text}");
        assert!(place("! TISSUE is left out.") < place("CUT ON"), "{text}");
    }
}

#[test]
fn the_plan_for_programs_stands_as_it_should() {
    let (shop, plan, schedule) = morning();
    insta::assert_snapshot!("plan_json", report::json::plan(&plan, &shop, &schedule));
}

#[test]
fn the_cuts_and_the_order_for_a_spreadsheet_stand_as_they_should() {
    let (shop, plan, schedule) = morning();
    insta::assert_snapshot!("chop_csv", report::csv::chop(&schedule, &shop));
    insta::assert_snapshot!("order_csv", report::csv::order(Reference::default(), &plan, &shop));
}

#[test]
fn the_sheets_to_print_stand_as_they_should() {
    let (shop, plan, schedule) = morning();
    insta::assert_snapshot!("chop_html", report::html::chop(&plan, &shop, &schedule));
    insta::assert_snapshot!("labels_html", report::labels::labels(&plan, &shop));
}

/// A stick that goes on on the next page has its head there again: what is done once, such
/// as trimming its marked end, was asked again in it.
#[test]
fn what_is_done_once_is_not_asked_again_on_the_next_page() {
    let (shop, plan, schedule) = morning();
    let sheet = report::html::chop(&plan, &shop, &schedule);
    let heads: Vec<&str> = sheet.split("<div class=\"head\">").skip(1).collect();
    assert_eq!(heads.len(), plan.today.len());
    for stick in heads {
        let (head, body) = stick.split_once("<div class=\"body\">").unwrap();
        assert!(head.contains("class=\"id\"") && !head.contains("class=\"box\""), "{head}");
        assert_eq!(body.matches("off the marked end").count(), 1);
    }
}

#[test]
fn the_rails_to_cut_by_stand_as_they_should() {
    let shop = shop();
    insta::assert_snapshot!("rails_text", report::rails_text::rails(&shop));
    insta::assert_snapshot!("rails_json", report::rails_json::rails(&shop));
}

/// The shape that other programs rely on, key by key.
#[test]
fn the_plan_for_programs_keeps_its_promise() {
    let (shop, plan, schedule) = morning();
    let text = report::json::plan(&plan, &shop, &schedule);
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    let has = |value: &serde_json::Value, keys: &[&str]| {
        for key in keys {
            assert!(value.get(key).is_some(), "{key} is missing in {value}");
        }
    };
    has(&json, &["shop", "today", "order", "held", "proof"]);
    has(&json["today"], &["date", "sticks"]);
    has(&json["order"], &["lines", "sticks"]);
    let line = &json["order"]["lines"][0];
    has(line, &["supplier", "form", "moulding", "length", "count", "cost"]);
    has(&json["held"][0], &["frame", "copy", "reason"]);
    has(&json["proof"][0], &["moulding", "part", "status", "used_up", "bound"]);
    let stick = &json["order"]["sticks"][0];
    has(stick, &["stick", "moulding", "length", "lot", "place", "rails", "left"]);
    has(&stick["left"], &["length", "keep", "label"]);
    has(&stick["rails"][0], &["frame", "copy", "layer", "side", "from", "to", "mitre"]);
    has(&stick["rails"][0], &["long_point", "rabbet", "sight"]);

    // 120 in and 23 5/8 in, computed; money and proof as in the fixture.
    assert_eq!(json["today"]["sticks"][0]["length"], 3048);
    assert_eq!(json["today"]["sticks"][0]["rails"][0]["long_point"], 600.075);
    assert_eq!(line["cost"], "72.75");
    assert_eq!(json["order"]["lines"][1]["cost"], serde_json::Value::Null);
    assert_eq!(json["proof"][0]["used_up"], "102.34567");
    assert_eq!(json["proof"][1]["unit"], "mm");
    assert_eq!(json["proof"][1]["used_up"], "2489.2");
    assert_eq!(json["proof"][3]["status"], "feasible");
    assert_eq!(json["proof"][3]["bound"], "24.00");
}

#[test]
fn an_empty_morning_says_so_and_breaks_nothing() {
    let (mut shop, mut plan, _) = morning();
    shop.frames.clear();
    plan.today.clear();
    plan.order = Default::default();
    plan.waiting.clear();
    plan.held.clear();
    plan.proof.clear();
    plan.matching.clear();
    plan.offcuts.clear();
    plan.warnings.clear();
    let schedule = schedule(&plan, &shop);
    assert!(schedule.benches.is_empty());
    let text = report::text::plan(&plan, &shop, &schedule);
    assert!(text.contains("No frame can be cut today."));
    assert_eq!(text.lines().count(), 3);
    assert!(report::html::chop(&plan, &shop, &schedule).contains("Nothing to cut today."));
    assert_eq!(report::csv::order(Reference::default(), &plan, &shop).lines().count(), 1);
    assert!(!report::labels::labels(&plan, &shop).contains("class=\"label\""));
}

#[test]
fn the_stop_is_moved_only_where_the_reading_changes() {
    let (_, _, schedule) = morning();
    for bench in &schedule.benches {
        let cuts: Vec<_> = bench.sticks.iter().flat_map(|stick| &stick.cuts).collect();
        assert!(cuts[0].move_stop);
        for pair in cuts.windows(2) {
            assert_eq!(pair[1].move_stop, pair[0].stop != pair[1].stop);
        }
        let set = |cut: &&&Cut| cut.move_stop || cut.set_mitre;
        assert_eq!(usize::try_from(bench.settings), Ok(cuts.iter().filter(set).count()));
        // Each different reading is set once at least.
        let mut different: Vec<_> = cuts.iter().map(|cut| cut.stop).collect();
        different.sort_unstable();
        different.dedup();
        assert!(bench.settings as usize >= different.len());
    }
    let numbers: Vec<_> = schedule.sticks().map(|stick| stick.number).collect();
    assert_eq!(numbers, [1, 2, 3, 4, 5, 6]);
}

#[test]
fn what_lies_before_a_flaw_comes_off_before_the_rail_beyond_it() {
    let (_, _, schedule) = morning();
    let flawed = schedule.sticks().find(|stick| stick.stick == "R-102").unwrap();
    let skip = flawed.cuts[1].skip.as_ref().unwrap();
    assert_eq!(skip.to, inches("41 1/2"));
    assert_eq!(skip.kept.len(), 1);
    assert_eq!(skip.kept[0].label, "R-102-2");
    let others = schedule.sticks().flat_map(|stick| &stick.cuts);
    assert_eq!(others.filter(|cut| cut.skip.is_some()).count(), 1);
}

/// The offcut begins at 70 1/4 in, its flaw at 80 1/4 in (computed).
#[test]
fn an_offcuts_label_tells_its_flaws_from_the_end_just_cut() {
    let (shop, plan, schedule) = morning();
    let labels = report::labels::labels(&plan, &shop);
    assert_eq!(labels.matches("flaw 10 to 11 from this end").count(), 1);
    let text = report::text::plan(&plan, &shop, &schedule);
    assert!(text.contains("R-104-1: ASH-20 41 3/4 in, lot A9, from R-104, flaw 10 to 11\n"));
}

#[test]
fn the_chop_sheet_warns_only_of_what_is_cut_today() {
    let (shop, mut plan, _) = morning();
    plan.warnings.truncate(1);
    let sheet = |plan: &Plan| report::html::chop(plan, &shop, &schedule(plan, &shop));
    assert!(sheet(&plan).contains("1041: the package is"));
    plan.warnings = vec![Warning::Late { frame: "1046".to_owned(), due: fixture::TODAY }];
    assert!(!sheet(&plan).contains("Look at first"));
}

/// A saw left at another mitre would spoil the next ordinary frame, also the first of the
/// morning: nobody knows how it was left.
#[test]
fn a_mitre_is_set_where_it_changes_and_set_back() {
    let (shop, mut plan, _) = morning();
    let sets = |plan: &Plan| {
        let schedule = schedule(plan, &shop);
        let cuts: Vec<_> = schedule.sticks().flat_map(|stick| stick.cuts.clone()).collect();
        let set = cuts.iter().filter(|cut| cut.set_mitre);
        set.map(|cut| cut.rail.mitre.degrees()).collect::<Vec<_>>()
    };
    assert_eq!(sets(&plan), ["45", "30", "45"]);
    plan.today.retain(|stick| stick.stick != "R-105");
    assert_eq!(sets(&plan), ["45", "45"], "once on each machine");
}

#[test]
fn short_rails_are_to_be_clamped_and_say_so() {
    let (mut shop, plan, usual) = morning();
    let clamped =
        |schedule: &Schedule| schedule.sticks().flat_map(|s| &s.cuts).filter(|c| c.clamp).count();
    assert_eq!(clamped(&usual), 0);
    // Rails of 8 15/32 in, from a machine that may cut nothing under 7 in.
    shop.cutters.get_mut("double saw").unwrap().shortest = inches("7");
    let schedule = schedule(&plan, &shop);
    assert_eq!(clamped(&schedule), 6);
    let caution = &schedule.benches[1].cautions[0];
    let Caution::ShortRails { count: 6, least, .. } = caution else {
        panic!("short rails come first, not {caution:?}")
    };
    assert_eq!(*least, inches("8 15/32"));
    let text = report::text::plan(&plan, &shop, &schedule);
    assert_eq!(text.matches(" CLAMP").count(), 7);
    let sheet = report::html::chop(&plan, &shop, &schedule);
    assert_eq!(sheet.matches("<span class=\"flag\">CLAMP</span>").count(), 6);
}

#[test]
fn every_machine_says_what_to_mind() {
    let (shop, _, schedule) = morning();
    let style = shop.settings.style();
    for (bench, blade) in schedule.benches.iter().zip(["knives", "blade"]) {
        let words: Vec<_> = bench.cautions.iter().map(|caution| caution.words(&style)).collect();
        let words = words.join("\n");
        // Distances as in IEC 62841-3-9, as quoted in public manuals.
        for must in [
            "guard",
            "100 mm (4 in)",
            "Clamp or hold",
            "one piece at a time",
            "cross",
            "manual",
            blade,
        ] {
            assert!(words.contains(must), "{must} is missing at the {}", bench.cutter);
        }
    }
}

/// In the drawing of a square-mitred rail the slant runs as far along the
/// stick as the face is wide; of a hexagon's, tan 30 of it (computed).
#[test]
fn mitres_are_drawn_true() {
    let (shop, plan, schedule) = morning();
    let sheet = report::html::chop(&plan, &shop, &schedule);
    let rails: Vec<Vec<(f64, f64)>> = sheet
        .split("<polygon class=\"rail\" points=\"")
        .skip(1)
        .map(|rest| points(rest.split('"').next().unwrap()))
        .collect();
    assert_eq!(rails.len(), 26);
    let cuts: Vec<_> = schedule.sticks().flat_map(|stick| &stick.cuts).collect();
    for (corners, cut) in rails.iter().zip(cuts) {
        let face = (corners[2].1 - corners[1].1).abs();
        let slant = corners[1].0 - corners[2].0;
        let tan = (std::f64::consts::PI / f64::from(cut.rail.mitre.sides())).tan();
        assert!((slant - face * tan).abs() < 0.03, "{corners:?}");
        assert_eq!(corners[0].1 > corners[2].1, cut.rail.turned);
        let drawn = (corners[1].0 - corners[0].0) / (corners[1].0 - corners[2].0);
        let true_to = cut.rail.long_point.as_mm()
            / ((cut.rail.long_point - cut.rail.sight).as_mm() / 2.0)
                .max(Length::from_nm(1).as_mm());
        assert!((drawn / true_to - 1.0).abs() < 0.02, "{drawn} {true_to}");
    }
}

fn points(text: &str) -> Vec<(f64, f64)> {
    let pair = |pair: &str| {
        let (x, y) = pair.split_once(',').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    };
    text.split(' ').map(pair).collect()
}
