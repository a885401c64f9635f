//! What `why`, `fits` and `quote` answer about the demo shop, as the README shows it, and
//! that what they say comes true.

mod support;

use std::path::Path;

use assert_cmd::Command;
use insta::assert_snapshot;
use longpoint::measure::Length;
use longpoint::plan::Wishes;
use longpoint::shop::{Frame, Match, Shop, read_folder};
use longpoint::why::{Standing, What, why};
use support::LIMITS;

fn demo() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join("demo")
}

fn longpoint(args: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("longpoint").unwrap().args(args).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

fn answers(command: &str, args: &[&str]) -> String {
    let demo = demo();
    let demo = demo.to_str().unwrap();
    let all: Vec<&str> = match command {
        "why" => [&["why", args[0], demo], &args[1..]].concat(),
        _ => [&[command, demo], args].concat(),
    };
    let (code, out, err) = longpoint(&[all.as_slice(), &["--today", "2026-11-25"]].concat());
    assert_eq!((code, err.as_str()), (0, ""));
    assert!(out.lines().all(|line| line.chars().count() <= 80), "{out}");
    out
}

/// What the README shows of a command, after the line that gives it.
fn shown(command: &str) -> String {
    let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let readme = std::fs::read_to_string(readme).unwrap();
    let (_, after) = readme.split_once(command).expect("the README gives the command");
    let (_, text) = after.split_once("```text\n").unwrap();
    text.split_once("```").unwrap().0.to_owned()
}

#[test]
fn the_readme_shows_what_is_answered() {
    let why = answers("why", &["4111"]);
    assert_eq!(shown("`longpoint why 4111 data/demo --today 2026-11-25`"), why);
    let size = answers("fits", &["--moulding", "BLK-32", "--size", "12x16"]);
    let given = "`longpoint fits data/demo --moulding BLK-32 --size 12x16 --today 2026-11-25`";
    assert_eq!(shown(given), size);
    let each = answers("fits", &["--moulding", "BLK-32"]);
    assert_eq!(shown("`longpoint fits data/demo --moulding BLK-32 --today 2026-11-25`"), each);
    let quote =
        answers("quote", &["--moulding", "matt black", "--size", "16x20", "--due", "2026-12-01"]);
    let given = "`longpoint quote data/demo --moulding \"matt black\" --size 16x20 --due 2026-12-01 --today 2026-11-25`";
    assert_eq!(shown(given), quote);
}

#[test]
fn the_readme_shows_the_order_and_why_it_has_more_than_is_needed() {
    let plan = answers("plan", &["--why"]);
    let order = shown("In the demo shop the best order uses all three suppliers");
    let lines: Vec<&str> = order.lines().filter(|line| !line.trim().is_empty()).collect();
    assert!(lines.len() > 15);
    for line in lines.into_iter().filter(|line| line.trim() != "...") {
        assert!(plan.lines().any(|said| said == line), "{line}");
    }
    assert!(order.contains("without what is beyond need: goods 77.10"));
}

#[test]
fn frames_that_wait_or_are_held_get_an_answer() {
    let mut all = String::new();
    for frame in ["4113", "4119", "4120", "4135", "4137"] {
        all += &answers("why", &[frame]);
        all += "\n";
    }
    assert_snapshot!("why_waits", all);
}

#[test]
fn a_frame_that_is_cut_says_whom_it_displaces() {
    assert_snapshot!("why_today", answers("why", &["4101"]) + "\n" + &answers("why", &["4118"]));
}

#[test]
fn what_cannot_be_cut_now_is_said_and_what_would_do() {
    let mut all = String::new();
    for args in [
        ["GLD-50", "--size", "30x40"],
        ["GLD-50", "--size", "18x24"],
        ["CHR-45", "--size", "20x60"],
        ["PLN-60", "--size", "5 x 7"],
        ["WAL-25", "--match", "wrap"],
    ] {
        all += &answers("fits", &[&["--moulding"], args.as_slice()].concat());
        all += "\n";
    }
    assert_snapshot!("fits", all);
}

#[test]
fn what_is_asked_wrongly_is_said_with_the_mend() {
    let demo = demo();
    let demo = demo.to_str().unwrap();
    let wrong = |args: &[&str]| {
        let (code, out, err) = longpoint(args);
        assert_eq!((code, out.as_str()), (2, ""));
        err
    };
    assert_snapshot!(
        wrong(&["why", "41O1", demo]),
        @r#"there is no frame "41O1" in frames.csv (did you mean 4101?)"#
    );
    assert_snapshot!(
        wrong(&["fits", demo, "--moulding", "BLK32"]),
        @r#"--moulding: there is no moulding "BLK32" in mouldings.csv (did you mean BLK-32?)"#
    );
    assert_snapshot!(
        wrong(&["fits", demo, "--moulding", "MPL-FLT"]),
        @"--gap: MPL-FLT is a floater (say how wide the gap is, such as --gap 1/4)"
    );
    assert_snapshot!(
        wrong(&["fits", demo, "--moulding", "BLK-20", "--gap", "1/4"]),
        @"--gap: BLK-20 is not a floater (leave --gap out)"
    );
    assert_snapshot!(
        wrong(&["fits", demo, "--moulding", "BLK-20", "--size", "12by16"]),
        @r#"--size: "12by16" is not a size (write width x height, such as 16x20)"#
    );
}

/// Each change that is said to have a frame cut is made by hand, and the frame
/// is cut.
#[test]
fn what_would_change_it_does() {
    let shop = read_folder(&demo()).unwrap();
    let date = jiff::civil::date(2026, 11, 25);
    let mut kinds = [0; 6];
    for frame in ["4111", "4113", "4119", "4120", "4135"] {
        let frame = shop.find_frame(frame).unwrap();
        let answer = why(&shop, date, frame, &LIMITS).unwrap();
        assert!(answer.standings.iter().any(|(_, s)| !matches!(s, Standing::Today { .. })));
        for change in answer.changes {
            let (shop, wishes, kind) = changed(&shop, frame, &change.what);
            kinds[kind] += 1;
            let plan = longpoint::morning::plan_as_wished(&shop, date, &wishes, LIMITS)
                .unwrap()
                .into_inner();
            let copies = (1..=frame.copies).filter(|copy| {
                let mut rails = plan.today.iter().flat_map(|stick| &stick.rails);
                rails.any(|rail| (&rail.frame, rail.copy) == (&frame.id, *copy))
            });
            assert_eq!(copies.count(), change.effect.today as usize, "{change:#?}");
        }
    }
    assert!(kinds.iter().all(|count| *count > 0), "{kinds:?}");
}

/// The whole shop with a change made, and which kind of change it is.
fn changed(shop: &Shop, frame: &Frame, what: &What) -> (Shop, Wishes, usize) {
    let (mut shop, mut wishes) = (shop.clone(), Wishes::default());
    let place = shop.frames.iter().position(|other| other.id == frame.id).unwrap();
    let kind = match what {
        What::Sticks(sticks) => {
            for (number, wanted) in sticks.iter().enumerate() {
                let (id, length) = (format!("extra {number}"), wanted.length);
                assert!(length > Length::ZERO);
                let stick = support::stick(&mut shop, &id, &wanted.moulding, length);
                stick.lot = wanted.lot.clone();
            }
            0
        }
        What::Match { layer, asked, instead } => {
            let layer = &mut shop.frames[place].layers[layer - 1];
            assert!(layer.match_ == *asked && instead < asked && *asked > Match::Any);
            (layer.match_, layer.match_floor) = (*instead, *instead);
            1
        }
        What::Rush => {
            wishes.rush.insert(frame.id.clone());
            2
        }
        What::Due(due) => {
            shop.frames[place].due = *due;
            3
        }
        What::Without(other) => {
            shop.frames.retain(|frame| frame.id != *other);
            4
        }
        What::Size { width, height } => {
            let frame = &mut shop.frames[place];
            assert!((*width, *height) > (frame.width, frame.height));
            (frame.width, frame.height) = (*width, *height);
            5
        }
    };
    (shop, wishes, kind)
}
