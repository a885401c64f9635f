//! The cards of a day: whatever is printed or shown after the morning is as complete
//! as the morning's sheet.

use std::path::Path;

use assert_cmd::Command;

fn run(dir: &Path, args: &[&str]) -> String {
    let timed = ["open", "take", "cut", "spoil", "replan"];
    let mut command = Command::cargo_bin("longpoint").unwrap();
    command.current_dir(dir).args(args);
    if timed.contains(&args[0]) {
        command.args(["--at", "2026-11-25T08:00"]);
    }
    let output = command.output().unwrap();
    assert!(output.status.success(), "{args:?}: {output:?}");
    String::from_utf8(output.stdout).unwrap()
}

/// The machines' part of a page.
fn cards(page: &str) -> Vec<String> {
    let from = page.find("CUT ON THE").expect("something is to be cut");
    let lines = page[from..].lines().take_while(|line| !line.starts_with("BACK ON"));
    lines.filter(|line| !line.trim().is_empty()).map(str::to_owned).collect()
}

/// `bench` and `replan` said no mitre, no CLAMP, no trim, no cut-out and nothing of
/// what is kept before a flaw.
#[test]
fn the_bench_shows_what_the_sheet_shows() {
    for shop in [&["demo", "shop"][..], &["demo", "shop", "--metric"]] {
        let dir = tempfile::tempdir().unwrap();
        run(dir.path(), shop);
        run(dir.path(), &["open", "shop.book", "--from", "shop"]);
        let sheet = run(dir.path(), &["take", "shop.book", "--out", "morning"]);
        let shown = run(dir.path(), &["bench", "shop.book", "--out", "now"]);
        assert_eq!(cards(&sheet), cards(&shown));
        for word in ["trim", "KEEP", "stop reads the"] {
            assert!(shown.contains(word), "{word}");
        }
        let page = |of: &str| std::fs::read_to_string(dir.path().join(of)).unwrap();
        let (morning, now) = (page("morning/chop.html"), page("now/chop.html"));
        let sticks = |page: &str| -> Vec<String> {
            page.split("<article").skip(1).map(str::to_owned).collect()
        };
        assert_eq!(sticks(&morning).len(), sticks(&now).len());
        for (one, other) in sticks(&morning).iter().zip(&sticks(&now)) {
            assert_eq!(one, other);
        }
        assert!(morning.contains("Chop sheet, plan 1") && now.contains("Chop sheet, plan 1"));
    }
}

/// A build-out is cut square: the saw is set to nothing and back, in the book as on the
/// sheet, and a strip that is spoiled is cut again.
#[test]
fn a_build_out_goes_through_the_day() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = super::shops::files();
    let mouldings = "moulding,width,rabbet,stick,kind,height\nASH,1,1/4,108,,\n\
                     STRIP,3/4,,96,build-out,3/8\n";
    files.insert("mouldings.csv".to_owned(), mouldings.as_bytes().to_vec());
    let frames = "frame,layer,moulding,width,height\n1,,ASH,8,10\n1,2,STRIP,,\n2,,ASH,9,9\n";
    files.insert("frames.csv".to_owned(), frames.as_bytes().to_vec());
    let rack = "stick,moulding,length\nS-1,ASH,108\nS-2,STRIP,96\n";
    files.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    drop(super::shops::begin(dir.path(), &files));
    let sheet = run(dir.path(), &["take", "shop.book", "--out", "morning"]);
    assert_eq!(cards(&sheet), cards(&run(dir.path(), &["bench", "shop.book"])));
    // Computed: 10 and 8 in with 1/8 between the rabbets; the strip is as wide as the back.
    for word in ["SET MITRE 0°", "10 1/8", "9 5/8", "at 11 1/4  mitre 0°"] {
        assert!(sheet.contains(word), "{word}\n{sheet}");
    }
    run(dir.path(), &["cut", "shop.book", "S-2", "--to", "1"]);
    run(dir.path(), &["spoil", "shop.book", "S-2", "2"]);
    let new = run(dir.path(), &["replan", "shop.book"]);
    assert!(new.contains("mitre 0°") && new.contains("STRIP"), "{new}");
    run(dir.path(), &["cut", "shop.book", "--all"]);
    run(dir.path(), &["finish", "shop.book"]);
    let rack = run(dir.path(), &["rack", "shop.book"]);
    assert!(rack.contains("STRIP"), "what is left of the strip is on the rack: {rack}");
    // The rail that is seen is spoiled, and its good strip is not.
    let side = ["spoil", "shop.book", "--frame", "1", "--side", "left"];
    let seen = run(dir.path(), &side);
    assert!(seen.contains(" is spoiled and owed") && !seen.contains("layer 2"), "{seen}");
    let strip = run(dir.path(), &[&side[..], &["--layer", "2"]].concat());
    assert!(strip.contains(" is spoiled and owed") && strip.contains("layer 2"), "{strip}");
    run(dir.path(), &["audit", "shop.book"]);
}

/// A squared stick with a hexagon, a flaw with a piece kept before it, a short rail:
/// everything that a card can say, before and after a rail was spoiled.
#[test]
fn a_new_card_says_what_the_old_one_said() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = super::shops::files();
    let frames = "frame,moulding,width,height,sides,match\n1,ASH,9,,6,any\n2,ASH,8,10,,any\n";
    files.insert("frames.csv".to_owned(), frames.as_bytes().to_vec());
    let rack = "stick,moulding,length,flaws\nS-1,ASH,108,10 .. 11\n";
    files.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    drop(super::shops::begin(dir.path(), &files));
    let sheet = run(dir.path(), &["take", "shop.book"]);
    for word in ["mitre", "cut out 1 to", "KEEP", "trim 1"] {
        assert!(sheet.contains(word), "{word}\n{sheet}");
    }
    run(dir.path(), &["cut", "shop.book", "S-1", "--to", "1"]);
    run(dir.path(), &["spoil", "shop.book", "S-1", "2"]);
    let new = run(dir.path(), &["replan", "shop.book", "--out", "new"]);
    for word in ["mitre", "trim", "SET", "scrap"] {
        assert!(new.contains(word), "{word}\n{new}");
    }
    let page = std::fs::read_to_string(dir.path().join("new/chop.html")).unwrap();
    assert!(page.contains("New cards, plan 1"), "{page}");
    assert!(page.contains("Throw away the cards of S-1; all others hold."), "{page}");
}
