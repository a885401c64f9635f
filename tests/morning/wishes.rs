//! What is wished of a plan for one run: rushed frames, a few frames by
//! themselves, nothing bought.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use crate::support::{LIMITS, MORNING, frame, inches, moulding, shop, stick};
use assert_cmd::Command;
use jiff::civil::date;
use longpoint::morning::plan_as_wished;
use longpoint::plan::{Plan, Wishes};
use longpoint::shop::Shop;
use longpoint::verify::{Fault, verify};

/// Three frames alike, due one after the other, and one stick, enough for one.
fn one_stick() -> Shop {
    let mut shop = shop();
    moulding(&mut shop, "BLACK", inches("1"), inches("1/4"), inches("96"));
    stick(&mut shop, "S-1", "BLACK", inches("96"));
    for (id, day) in [("first", 4), ("second", 5), ("third", 6)] {
        frame(&mut shop, id, "BLACK", inches("20"), inches("20")).due = Some(date(2031, 3, day));
    }
    shop
}

fn set(ids: &[&str]) -> BTreeSet<String> {
    ids.iter().map(|id| (*id).to_owned()).collect()
}

fn planned(shop: &Shop, wishes: &Wishes) -> Plan {
    let plan = plan_as_wished(shop, MORNING, wishes, LIMITS).unwrap().into_inner();
    assert_eq!(verify(shop, &plan), Ok(()));
    plan
}

fn today(plan: &Plan) -> BTreeSet<String> {
    let rails = plan.today.iter().flat_map(|stick| &stick.rails);
    rails.map(|rail| rail.frame.clone()).collect()
}

fn waiting(plan: &Plan) -> Vec<&str> {
    plan.waiting.iter().map(|waiting| waiting.frame.as_str()).collect()
}

#[test]
fn a_rushed_frame_comes_first_whatever_its_date() {
    let shop = one_stick();
    let plan = planned(&shop, &Wishes::default());
    assert_eq!((today(&plan), waiting(&plan)), (set(&["first"]), vec!["second", "third"]));
    let plan = planned(&shop, &Wishes { rush: set(&["third"]), ..Wishes::default() });
    assert_eq!((today(&plan), waiting(&plan)), (set(&["third"]), vec!["first", "second"]));
    let plan = planned(&shop, &Wishes { rush: set(&["third", "second"]), ..Wishes::default() });
    assert_eq!((today(&plan), waiting(&plan)), (set(&["second"]), vec!["third", "first"]));
}

#[test]
fn frames_that_are_left_aside_are_in_no_part_of_the_plan() {
    let shop = one_stick();
    let wishes = Wishes { only: Some(set(&["second", "third"])), ..Wishes::default() };
    let plan = planned(&shop, &wishes);
    assert_eq!((today(&plan), waiting(&plan)), (set(&["second"]), vec!["third"]));
    assert_eq!(plan.order.lines[0].count, 1);
}

#[test]
fn from_the_rack_only_nothing_is_bought_and_what_lacks_waits() {
    let shop = one_stick();
    let plan = planned(&shop, &Wishes { rack_only: true, ..Wishes::default() });
    assert_eq!((today(&plan), waiting(&plan)), (set(&["first"]), vec!["second", "third"]));
    assert!(plan.order.lines.is_empty() && plan.order.sticks.is_empty());
}

/// The check finds out a plan that is not as it was wished.
#[test]
fn a_plan_against_the_wishes_does_not_stand() {
    let shop = one_stick();
    let mut plan = planned(&shop, &Wishes::default());
    let faults = |plan: &Plan| verify(&shop, plan).unwrap_err();
    plan.wishes.rush = set(&["third"]);
    let (frame, before) = ("first".to_owned(), "third".to_owned());
    let stick = "S-1".to_owned();
    let not_today = Fault::NotToday { frame: before.clone(), copy: 1, stick };
    assert_eq!(faults(&plan), [Fault::OutOfTurn { frame, copy: 1, before }, not_today]);
    plan.wishes = Wishes { rush: set(&["fourth"]), ..Wishes::default() };
    assert_eq!(faults(&plan), [Fault::NoSuchWish { frame: "fourth".to_owned() }]);
    plan.wishes = Wishes { rack_only: true, ..Wishes::default() };
    assert!(faults(&plan).contains(&Fault::Bought));
    plan.wishes = Wishes { only: Some(set(&["first", "second"])), ..Wishes::default() };
    let forgotten = Fault::NoSuchCopy { frame: "third".to_owned(), copy: 1 };
    assert!(faults(&plan).contains(&forgotten));
}

fn longpoint(args: &[&str]) -> (i32, String, String) {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join("demo");
    let output = Command::cargo_bin("longpoint")
        .unwrap()
        .args(["plan", demo.to_str().unwrap(), "--today", "2026-11-25"])
        .args(args)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

#[test]
fn unknown_frames_are_named_together_with_what_they_may_mean() {
    let (code, out, err) = longpoint(&["--rush", "4l11", "4134", "--only", "4101", "lamp"]);
    assert_eq!((code, out.as_str()), (2, ""));
    insta::assert_snapshot!(err, @r#"
    --rush: there is no frame "4l11" in frames.csv (did you mean 4111?)
    --only: there is no frame "lamp" in frames.csv (write a ticket number of the pile)
    "#);
    let (code, out, err) = longpoint(&["--rush", "4134", "--only", "4101"]);
    assert_eq!((code, out.as_str()), (2, ""));
    insta::assert_snapshot!(
        err,
        @"--rush: frame 4134 is left aside by --only (name it there too)"
    );
}

#[test]
fn the_sheets_say_what_was_wished() {
    let dir = tempfile::tempdir().unwrap();
    let bench = dir.path().join("bench");
    let args = ["--rush", "4134", "--only", "4111", "4134", "--rack-only", "--out"];
    let (code, out, _) = longpoint(&[args.as_slice(), &[bench.to_str().unwrap()]].concat());
    assert_eq!(code, 0);
    let head: Vec<&str> = out.lines().skip(2).take(6).collect();
    insta::assert_snapshot!(head.join("\n"), @r"
    First, whatever their dates: 4134.
    Planned by themselves: 4111, 4134. Left aside: 39 other frames.
    From the rack only: nothing is bought.
    1 frame today from 2 sticks (1 of them an offcut).
    Used up 27.71 USD, proven.
    4 rails to cut, 4 settings of the stop.
    ");
    let json = fs::read_to_string(bench.join("plan.json")).unwrap();
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let expected = serde_json::json!({
        "rush": ["4134"], "only": ["4111", "4134"], "rack_only": true
    });
    assert_eq!(json["wishes"], expected);
    let html = fs::read_to_string(bench.join("chop.html")).unwrap();
    assert!(html.contains("First, whatever their dates: 4134."));
}

/// A frame that only a supplier can chop waits like any other where nothing is
/// to be bought.
#[test]
fn without_buying_a_frame_that_is_only_chopped_waits() {
    let demo = longpoint::shop::read_folder(Path::new("data/demo")).unwrap();
    let wishes =
        Wishes { rack_only: true, only: Some(set(&["4120", "4101"])), ..Wishes::default() };
    let plan = plan_as_wished(&demo, date(2026, 11, 25), &wishes, LIMITS).unwrap().into_inner();
    assert_eq!(verify(&demo, &plan), Ok(()));
    assert_eq!((today(&plan), waiting(&plan)), (set(&["4101"]), vec!["4120"]));
}
