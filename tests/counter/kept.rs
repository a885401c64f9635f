//! Promises against the calendar and the hands of the shop as a plan finds them, and a ticket
//! that is quoted once more.

use std::fs;
use std::path::Path;

use super::asked::{buying, planned, words};
use super::said::{quote, shop};

fn write(dir: &Path, name: &str, text: &str) {
    fs::write(dir.join(name), text).unwrap();
}

/// The shop with these days, and these tickets of a moulding of which there is enough.
fn promised(days: &str, frames: &str) -> tempfile::TempDir {
    let dir = shop();
    let settings = fs::read_to_string(dir.path().join("shop.toml")).unwrap();
    write(dir.path(), "shop.toml", &format!("{settings}[days]\n{days}\n"));
    let rack: String = (1..=6).map(|stick| format!("R{stick},BLK-20,2000\n")).collect();
    write(dir.path(), "rack.csv", &format!("stick,moulding,length\n{rack}"));
    let head = "frame,moulding,width,height,copies,due,promised\n";
    write(dir.path(), "frames.csv", &format!("{head}{frames}"));
    dir
}

/// A frame a day: of three that are due on Thursday one is made today and one then, first those
/// that were promised. The third was cut today like the others, and nobody was told.
#[test]
fn a_promise_beyond_the_hands_of_the_shop_is_said_first() {
    let frames = "7,BLK-20,400,400,,2026-11-26,\n8,BLK-20,400,400,2,2026-11-26,yes\n\
                  9,BLK-20,300,300,,2026-11-27,yes\n";
    let dir = promised("frames_a_day = 1", frames);
    let said = planned(dir.path(), &[]);
    // Two of 8 take today and Thursday, 7 Friday, and 9 is a day late.
    let first = "! PROMISED for Friday 27 November 2026, and not kept: 9: more frames are due by \
                 then than the shop makes in a day (frames_a_day), and its turn is 2026-11-28.";
    assert!(said.contains(first) && !said.contains("not kept: 8"), "{said}");
    let (before, _) = said.split_once(first).unwrap();
    assert!(!before.contains("frames today"), "{said}");
    let json = planned(dir.path(), &["--json"]);
    assert!(json.contains(r#""why": "hands""#), "{json}");
    // With two a day all are kept, and so they are said to be.
    let dir = promised("frames_a_day = 2", frames);
    assert!(!planned(dir.path(), &[]).contains("PROMISED"));
}

/// What a quote has just promised a plan does not call broken.
#[test]
fn what_is_promised_with_as_many_hands_is_kept_by_the_plan() {
    let frames = "7,BLK-20,400,400,,2026-11-26,\n8,BLK-20,400,400,,2026-11-26,yes\n";
    let dir = promised("frames_a_day = 1", frames);
    let ask = ["--moulding", "BLK-20", "--size", "300x300", "--ticket", "9"];
    let (code, said, _) = quote(dir.path(), &ask);
    assert!(code == 0 && said.starts_with("Friday 27 November"), "{said}");
    let said = planned(dir.path(), &[]);
    assert!(!said.contains("PROMISED"), "{said}");
}

/// Six frames of which the moulding comes on Monday, at two a day, were promised for Tuesday,
/// since from today on there are days enough.
#[test]
fn hands_make_nothing_before_its_moulding_is_there() {
    let dir = buying("supplier,lead_days\nSED,5\n", "SED,BLK-20,length,2000,12.00,stick\n");
    let settings = fs::read_to_string(dir.path().join("shop.toml")).unwrap();
    write(dir.path(), "shop.toml", &format!("{settings}[days]\nframes_a_day = 2\n"));
    let ask = |copies: &str| {
        let ask = ["--moulding", "BLK-20", "--size", "400x300", "--copies", copies];
        quote(dir.path(), &ask).1
    };
    assert!(ask("6").starts_with("Wednesday 2 December"), "{}", ask("6"));
    let comes = "its moulding comes Monday 30 November if it is ordered from SED";
    assert!(words(&ask("6")).contains(comes), "{}", ask("6"));
    assert!(ask("4").starts_with("Tuesday 1 December"), "{}", ask("4"));
}

/// What has its moulding is made while what is due before it has none; one pair of hands is
/// enough for both.
#[test]
fn hands_wait_for_nobody_whose_moulding_is_not_there() {
    let dir = buying("supplier,lead_days\nSED,5\n", "SED,BLK-20,length,2000,12.00,stick\n");
    let settings = fs::read_to_string(dir.path().join("shop.toml")).unwrap();
    write(dir.path(), "shop.toml", &format!("{settings}[days]\nframes_a_day = 1\n"));
    write(dir.path(), "rack.csv", "stick,moulding,length\nR1,BLK-20,2000\n");
    let head = "frame,moulding,width,height,copies,due,promised\n";
    let frames = "7,BLK-20,900,900,,2026-11-25,yes\n8,BLK-20,400,400,,2026-11-25,yes\n";
    write(dir.path(), "frames.csv", &format!("{head}{frames}"));
    let said = planned(dir.path(), &[]);
    assert!(said.contains("not kept: 7: its moulding comes 2026-11-30"), "{said}");
    assert!(!said.contains("not kept: 8"), "{said}");
    // Of three whose moulding comes on Monday the last is made on Wednesday.
    write(dir.path(), "rack.csv", "stick,moulding,length\n");
    write(dir.path(), "frames.csv", &format!("{head}7,BLK-20,400,400,2,2026-12-01,yes\n"));
    let ask = ["--moulding", "BLK-20", "--size", "400x400", "--ticket", "9"];
    let (code, said, _) = quote(dir.path(), &ask);
    assert!(code == 0 && said.starts_with("Wednesday 2 December"), "{said}");
    let said = planned(dir.path(), &[]);
    assert!(!said.contains("PROMISED"), "{said}");
}

/// Six copies at two a day take the 1st, the 2nd and the 3rd: their moulding is wanted on the
/// 1st, though it would be time enough for the bench on the 2nd.
#[test]
fn an_order_waits_no_longer_than_there_are_hands() {
    let dir = buying("supplier,lead_days\nSED,2\n", "SED,BLK-20,length,2000,12.00,stick\n");
    let settings = fs::read_to_string(dir.path().join("shop.toml")).unwrap();
    let head = "frame,moulding,width,height,copies,due,promised\n";
    write(dir.path(), "frames.csv", &format!("{head}7,BLK-20,400,400,6,2026-12-03,yes\n"));
    let waits = |each: &str| {
        write(dir.path(), "shop.toml", &format!("{settings}[days]\n{each}\n"));
        words(&planned(dir.path(), &[]))
    };
    let said = waits("bench_days = 1");
    assert!(said.contains("Can wait until Mon 2026-11-30 (arrives 2026-12-02)"), "{said}");
    let said = waits("frames_a_day = 2");
    assert!(said.contains("Can wait until Sun 2026-11-29 (arrives 2026-12-01)"), "{said}");
    // Enough for all on one day.
    let said = waits("frames_a_day = 6");
    assert!(said.contains("Can wait until Mon 2026-11-30 (arrives 2026-12-02)"), "{said}");
}

/// The shop was closed after the day was promised.
#[test]
fn a_promised_day_on_which_the_shop_is_closed_by_now_is_said_first() {
    let frames = "8,BLK-20,400,400,,2026-11-27,yes\n9,BLK-20,400,400,,2026-11-27,\n";
    let open = promised("open = \"Mon .. Fri\"", frames);
    assert!(!planned(open.path(), &[]).contains("PROMISED"));
    let dir = promised("open = \"Mon .. Fri\"\nclosed = \"2026-11-27\"", frames);
    let said = planned(dir.path(), &[]);
    let first = "! PROMISED for Friday 27 November 2026, and not kept: 8: the shop is closed on \
                 that day. Call the customer";
    assert!(said.contains(first), "{said}");
    assert!(planned(dir.path(), &["--json"]).contains(r#""why": "closed""#));
}

/// There is moulding for one frame. The job of the ticket that has it was quoted as if it were
/// a second one, which came too late for its own day.
#[test]
fn a_job_is_not_quoted_against_its_own_ticket() {
    let dir = buying("supplier,lead_days\nSED,5\n", "SED,BLK-20,length,2000,12.00,stick\n");
    write(dir.path(), "rack.csv", "stick,moulding,length\nR1,BLK-20,2000\n");
    write(
        dir.path(),
        "frames.csv",
        "frame,moulding,width,height,due\n7,BLK-20,400,400,2026-11-27\n",
    );
    write(dir.path(), "jobs.csv", "frame,art,art_width,art_height,show\n7,panel,400,400,edge\n");
    let due = ["--due", "2026-11-27"];
    let of_job = ["--job", "7", "--moulding", "BLK-20"];
    let (code, said, _) = quote(dir.path(), &[&of_job[..], &due].concat());
    assert!(code == 0 && said.starts_with("Yes, Friday 27 November"), "{said}");
    assert!(!words(&said).contains("Bought:"), "{said}");
    // Another frame of that size does compete with it.
    let another = ["--size", "400x400", "--moulding", "BLK-20"];
    let (code, said, _) = quote(dir.path(), &[&another[..], &due].concat());
    assert!(code == 3, "{said}");
}
