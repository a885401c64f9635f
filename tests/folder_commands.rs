//! The commands that write and check a shop folder, driven as a user would.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use insta::assert_snapshot;

fn longpoint(args: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("longpoint").unwrap().args(args).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

fn at(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// The build's own reader of `.git`: on a branch that is loose or packed, on none, in a
/// further working tree, and where there is none.
#[path = "../build/commit.rs"]
mod commit;

#[test]
fn a_build_knows_its_commit_where_git_says_it() {
    let dir = tempfile::tempdir().unwrap();
    let git = dir.path().join("main/.git");
    let write = |path: &Path, text: &str| {
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    };
    let (one, two, three) = ("1".repeat(40), "2".repeat(40), "3".repeat(40));
    let said = |git: &Path| commit::commit(git).map(|(commit, _)| commit);
    assert_eq!(said(&git), None);
    write(&git.join("HEAD"), "ref: refs/heads/main\n");
    assert_eq!(said(&git), None, "a branch without a commit");
    write(
        &git.join("packed-refs"),
        &format!("# pack-refs\n{two} refs/heads/main-2\n{one} refs/heads/main\n"),
    );
    assert_eq!(said(&git), Some(one.clone()));
    write(&git.join("refs/heads/main"), &format!("{two}\n"));
    assert_eq!(said(&git), Some(two), "the loose one is the newer");
    let looked_at = commit::commit(&git).unwrap().1;
    assert!(looked_at.contains(&git.join("refs/heads/main")), "{looked_at:?}");
    let own = git.join("worktrees/bench");
    write(&own.join("HEAD"), "ref: refs/heads/bench\n");
    write(&own.join("commondir"), "../..\n");
    write(&git.join("refs/heads/bench"), &format!("{three}\n"));
    let file = dir.path().join("bench/.git");
    write(&file, &format!("gitdir: {}\n", own.display()));
    assert_eq!(said(&file), Some(three));
    write(&own.join("HEAD"), &format!("{one}\n"));
    assert_eq!(said(&file), Some(one), "on no branch");
    write(&own.join("HEAD"), "ref: refs/heads/.invalid\n");
    assert_eq!(said(&file), None, "kept in another way");
}

#[test]
fn the_version_says_of_which_commit_it_is_or_that_it_is_unknown() {
    let (code, out, _) = longpoint(&["--version"]);
    let plain = format!("longpoint {} (", env!("CARGO_PKG_VERSION"));
    let said = out.strip_prefix(&plain).and_then(|rest| rest.strip_suffix(")\n"));
    let known = commit::commit(&Path::new(env!("CARGO_MANIFEST_DIR")).join(".git"));
    assert_eq!(code, 0);
    match (said, known) {
        (Some(said), None) => assert_eq!(said, "of an unknown commit"),
        (Some(said), Some(_)) => {
            let commit = said.split(' ').next().unwrap_or_default();
            assert!(commit.len() == 12 && commit.chars().all(|c| c.is_ascii_hexdigit()), "{out}");
        }
        (None, _) => panic!("{out}"),
    }
}

#[test]
fn demo_writes_the_folders_of_the_repository_and_check_reads_them() {
    for (option, name, files) in [(None, "demo", 10), (Some("--metric"), "metric", 8)] {
        let dir = tempfile::tempdir().unwrap();
        let shop = dir.path().join("new").join("shop");
        let args: Vec<&str> = ["demo", at(&shop)].into_iter().chain(option).collect();
        let (code, out, err) = longpoint(&args);
        assert_eq!((code, err.as_str()), (0, ""));
        assert!(out.starts_with(&format!("Wrote {files} files to ")), "{out}");
        let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join(name);
        let mut count = 0;
        for entry in fs::read_dir(data).unwrap() {
            let path = entry.unwrap().path();
            let written = fs::read(shop.join(path.file_name().unwrap())).unwrap();
            assert_eq!(written, fs::read(path).unwrap());
            count += 1;
        }
        assert_eq!(fs::read_dir(&shop).unwrap().count(), count);
        assert_eq!(longpoint(&["check", at(&shop)]).0, 0);
    }
}

#[test]
fn demo_overwrites_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let mine = dir.path().join("rack.csv");
    fs::write(&mine, "mine").unwrap();
    let (code, out, err) = longpoint(&["demo", at(dir.path())]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(err.contains(" has rack.csv already, and nothing is overwritten"), "{err}");
    assert_eq!(fs::read_to_string(mine).unwrap(), "mine");
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1, "nothing else was written");
}

#[test]
fn a_folder_that_cannot_be_made_is_a_failure_and_leaves_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("file");
    fs::write(&file, "").unwrap();
    let (code, out, err) = longpoint(&["demo", at(&file.join("shop"))]);
    assert_eq!((code, out.as_str()), (1, ""));
    assert!(err.starts_with("longpoint: cannot "), "{err}");
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
}

#[test]
fn check_sums_up_a_good_folder() {
    let data = concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo");
    let (code, out, err) = longpoint(&["check", data]);
    assert_eq!((code, err.as_str()), (0, ""));
    assert_snapshot!(out, @r#"
    Osprey & Wick, Picture Framers: lengths in inches, bench mark 1/32 in, prices in USD
         2 cutters
        14 mouldings, 1 without a price
        41 frames, 4 of them stacks, 64 with all copies, due 2026-11-25 to 2026-12-04, 3 undated
        40 sticks, 2 with flaws
         9 labels of boards and glass, 5 of them remnants
         3 suppliers
        23 offers: 13 by length, 3 by the box, 7 by the chop
    "#);
}

#[test]
fn check_names_every_fault_and_says_how_many() {
    let dir = tempfile::tempdir().unwrap();
    longpoint(&["demo", at(dir.path())]);
    let frames = dir.path().join("frames.csv");
    let text = fs::read_to_string(&frames).unwrap();
    fs::write(&frames, text.replace("BLK-20,11,14", "BLACK-20,11,1x4")).unwrap();
    fs::remove_file(dir.path().join("rack.csv")).unwrap();
    let (code, out, err) = longpoint(&["check", at(dir.path())]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert_snapshot!(err.replace(at(dir.path()), "DIR"), @r#"
    frames.csv, row 4, moulding: "BLACK-20" is not in mouldings.csv (did you mean BLK-20?)
    frames.csv, row 4, height: "1x4" is not a length (write 12.5, 12 1/2 or 317.5 mm)
    rack.csv: is missing (write it; "longpoint demo DIR" writes an example of each file)
    3 faults to mend in DIR
    "#);
}

/// Boards and glazing of the jobs on the pile are planned from the sheets that stand there;
/// what has none is said.
#[test]
fn sheets_of_all_jobs_are_planned() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo");
    let (code, out, err) = longpoint(&["sheets", at(&demo), "--jobs", "--today", "2026-11-25"]);
    assert_eq!((code, err.as_str()), (0, ""));
    assert!(out.starts_with("Not in sheets.csv, and left out: "), "{out}");
    assert!(
        out.contains("4101 glazing") && out.contains("4102 mount") == out.contains("MOUNT-4  ")
    );
    let glass = longpoint(&["sheets", at(&demo), "--jobs", "--material", "GLASS-2"]).1;
    assert!(glass.contains("4101 glazing") && !glass.contains("4101 mat"), "{glass}");
}

#[test]
fn an_unknown_command_is_wrong_input() {
    assert_eq!(longpoint(&["chekc"]).0, 2);
    assert_eq!(longpoint(&["check"]).0, 2);
}

/// A slip of the pen that is possible all the same: said, and nothing is refused.
#[test]
fn check_points_at_what_is_possible_but_unlikely() {
    let dir = tempfile::tempdir().unwrap();
    longpoint(&["demo", at(dir.path())]);
    let slip = |file: &str, was: &str, is: &str| {
        let path = dir.path().join(file);
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains(was), "{file}: {was}");
        fs::write(&path, text.replacen(was, is, 1)).unwrap();
    };
    slip("shop.toml", "shortest = \"5\"", "shortest = \"2\"");
    slip("rack.csv", "108,K4,bay 1,", "108,K4,Bay1,");
    slip("frames.csv", "4101,,BLK-20,11,14,,,2026-11-25", "4101,,BLK-20,11,14,,,2025-11-25");
    slip("mouldings.csv", "Natural ash,3/4,", "Natural ash,12,");
    slip("mouldings.csv", "2.60,ft", "260,ft");
    slip("materials.csv", "0.30,piece,10 lb", "0.30,piece,");
    let (code, out, err) = longpoint(&["check", at(dir.path())]);
    assert_eq!((code, err.as_str()), (0, ""));
    let pointed: Vec<&str> = out.lines().filter(|line| line.starts_with("Look at")).collect();
    assert_snapshot!(pointed.join("\n"), @r#"
    Look at mouldings.csv: the face of ASH-20 is 12 in wide (is that its unit?)
    Look at shop.toml: bench chopper is said to hold rails of 2 in safely (is that in its manual? hands keep at least 100 mm, 4 in, away)
    Look at frames.csv, row 4: 4101 is due 2025-11-25, long before the others (is that its year?)
    Look at rack.csv: Bay1, bay 1 look like one place (write it one way)
    Look at mouldings.csv: the price of BLK-32 is far from the others' (is it for that unit?)
    Look at offers.csv, row 6: the price of BLK-32 is far below its price in mouldings.csv (is that so?)
    Look at offers.csv, row 7: the price of BLK-32 is far below its price in mouldings.csv (is that so?)
    Look at materials.csv: HOOK-10 has no load, so it is never chosen (what does its packet print?)
    "#);
}

/// The day is that of the shop's own time zone, with or without a database of zones on
/// the computer, and never another zone's without a word.
#[test]
fn the_day_is_the_one_on_the_shops_wall() {
    let dir = tempfile::tempdir().unwrap();
    let shop = dir.path().join("shop");
    longpoint(&["demo", at(&shop)]);
    let open = |zone: &str| {
        let mut command = Command::cargo_bin("longpoint").unwrap();
        command.env("TZ", zone).env("TZDIR", dir.path().join("none"));
        let book = dir.path().join(zone.replace('/', "-"));
        let output = command.args(["open", at(&book), "--from", at(&shop)]).output().unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        (output.status.code(), said)
    };
    assert_eq!(open("Pacific/Kiritimati"), (Some(0), String::new()));
    let (code, said) = open("Nowhere/Nothing");
    assert_eq!(code, Some(1), "{said}");
    assert!(said.contains("does not say in which time zone"), "{said}");
    let mut told = Command::cargo_bin("longpoint").unwrap();
    told.env("TZ", "Nowhere/Nothing").args(["rack", "none.book", "--today", "2026-11-25"]);
    assert!(!String::from_utf8(told.output().unwrap().stderr).unwrap().contains("time zone"));
}

/// A price list beside the demo shop: what `check` and `lists` say of it.
#[test]
fn a_price_list_is_counted_and_compared() {
    let dir = tempfile::tempdir().unwrap();
    let shop = dir.path().join("shop");
    assert_eq!(longpoint(&["demo", at(&shop)]).0, 0);
    let section = "\n[import.\"BRIN\"]\nfile = \"brin.csv\"\ncode = \"Art\"\nprice = \"Trade\"\n\
                   per = \"= m\"\nlengths = \"= 97; 109\"\n";
    let toml = fs::read_to_string(shop.join("shop.toml")).unwrap() + section;
    fs::write(shop.join("shop.toml"), toml).unwrap();
    let aside: String = (0..2_932).map(|row| format!("Z-{row},POA\n")).collect();
    let list = |black: &str| format!("Art,Trade\nBLK-20,{black}\nNAV-25,4.00\n{aside},\n");
    fs::write(shop.join("brin.csv"), list("6.10")).unwrap();
    let (code, out, err) = longpoint(&["check", at(&shop)]);
    assert_eq!((code, err.as_str()), (0, ""));
    assert!(
        out.contains("BRIN's list: 2,934 rows in brin.csv, 2 rows of mouldings in mouldings.csv\n")
    );
    assert!(out.contains(
        "BRIN's list: 2,932 rows of mouldings that are not in mouldings.csv are kept aside\n"
    ));
    let (_, lists, _) = longpoint(&["lists", at(&shop)]);
    assert_eq!(lists.lines().count(), 2, "{lists}");
    let old = dir.path().join("old.csv");
    fs::write(&old, list("5.90")).unwrap();
    let (code, out, err) = longpoint(&["lists", at(&shop), "--old", at(&old)]);
    assert_eq!((code, err.as_str()), (0, ""));
    assert_snapshot!(out, @r"
    BRIN's list against old.csv, for mouldings that the shop has:
    Dearer:
      BLK-20, 97; 109, m: 6.10, was 5.90, 3.4 % more
    As before: 1.
    ");
    let (code, _, err) = longpoint(&["lists", at(&shop), "--old", at(&shop.join("none.csv"))]);
    assert_eq!(code, 2);
    assert!(err.contains("none.csv cannot be read"), "{err}");
    fs::write(&old, "a,b\n").unwrap();
    let (code, _, err) = longpoint(&["lists", at(&shop), "--old", at(&old)]);
    assert_eq!(code, 2);
    assert!(err.contains("import.BRIN.code: \"Art\" is no column of old.csv"), "{err}");
}

/// One source for `--help`, the shell and the manual: every command stands in all of them.
#[test]
fn the_shell_and_the_manual_know_every_command() {
    let (code, help, _) = longpoint(&["--help"]);
    assert_eq!(code, 0);
    let commands: Vec<&str> = help
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.strip_prefix("  ")?.split(' ').next())
        .filter(|name| !name.is_empty() && *name != "help")
        .collect();
    assert!(commands.len() > 30, "{commands:?}");
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let (code, script, _) = longpoint(&["completions", shell]);
        assert_eq!(code, 0);
        for command in &commands {
            assert!(script.contains(command), "{shell} does not know {command}");
        }
    }
    assert_eq!(longpoint(&["completions", "dos"]).0, 2);
    let dir = tempfile::tempdir().unwrap();
    let (code, out, _) = longpoint(&["man", "--out", at(dir.path())]);
    assert_eq!(code, 0);
    assert!(out.starts_with(&format!("Wrote {} pages of the manual", commands.len() + 1)), "{out}");
    for command in &commands {
        let page = fs::read_to_string(dir.path().join(format!("longpoint-{command}.1"))).unwrap();
        assert!(page.contains(".SH SYNOPSIS"), "{page}");
    }
    let first = fs::read_to_string(dir.path().join("longpoint.1")).unwrap();
    assert_eq!(longpoint(&["man"]).1, first);
}

/// What a calendar reads: a day of its own for each frame that is due (RFC 5545, from
/// memory).
#[test]
fn due_dates_go_into_a_calendar() {
    let dir = tempfile::tempdir().unwrap();
    assert_eq!(longpoint(&["demo", "--metric", at(&dir.path().join("shop"))]).0, 0);
    let shop = dir.path().join("shop");
    let header = "frame,moulding,width,height,copies,due,promised,note\n";
    let rows = "7,BK20,400,300,2,2026-12-01,,\"Vos, a map; \u{fc}ber dem Tisch\"\n\
                8,BK20,400,300,,2026-12-03,yes,\n9,BK20,400,300,,,,\n";
    fs::write(shop.join("frames.csv"), format!("{header}{rows}")).unwrap();
    fs::remove_file(shop.join("jobs.csv")).unwrap();
    let (code, out, err) = longpoint(&["calendar", at(&shop), "--today", "2026-11-25"]);
    assert_eq!((code, err.as_str()), (0, ""));
    assert_snapshot!(out.replace('\r', ""), @r"
    BEGIN:VCALENDAR
    VERSION:2.0
    PRODID:-//Longpoint//Due dates//EN
    BEGIN:VEVENT
    UID:7@Atelier-20-Kastanje.longpoint
    DTSTAMP:20261125T000000Z
    DTSTART;VALUE=DATE:20261201
    TRANSP:TRANSPARENT
    SUMMARY:7 due: 2 frames\, 400 x 300 mm\, BK20
    DESCRIPTION:Vos\, a map\; über dem Tisch
    END:VEVENT
    BEGIN:VEVENT
    UID:8@Atelier-20-Kastanje.longpoint
    DTSTAMP:20261125T000000Z
    DTSTART;VALUE=DATE:20261203
    TRANSP:TRANSPARENT
    SUMMARY:8 promised: 1 frame\, 400 x 300 mm\, BK20
    END:VEVENT
    END:VCALENDAR
    ");
    assert!(out.lines().count() == out.matches("\r\n").count(), "every line ends as it should");
}

/// The week of the demo shop, on the screen and on its page, and what is refused.
#[test]
fn boards_and_glass_of_the_demo() {
    let dir = tempfile::tempdir().unwrap();
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo");
    let pieces = format!("{demo}/pieces.csv");
    let out = dir.path().join("sheets");
    let args = ["sheets", demo, "--pieces", &pieces, "--today", "2026-11-25", "--out", at(&out)];
    let (code, said, err) = longpoint(&args);
    assert_eq!((code, err.as_str()), (0, ""));
    assert_eq!(longpoint(&args).1, said, "the same each time");
    assert!(!said.contains("by its job"), "the demo's list is what its jobs are: {said}");
    for words in ["GLASS-2", "KEEP ", "proven least", "Gloves that resist cuts"] {
        assert!(said.contains(words), "{words} in {said}");
    }
    let readme = include_str!("../README.md").split("### Boards and glass").nth(1).unwrap();
    let excerpt = readme.split("```text\n").nth(1).unwrap().split("```").next().unwrap();
    assert!(said.contains(excerpt), "the README says {excerpt} and the command {said}");
    let page = fs::read_to_string(out.join("sheets.html")).unwrap();
    assert!(page.contains("<svg") && page.contains("Labels for the remnants"));
    let table = fs::read_to_string(out.join("sheet-cuts.csv")).unwrap();
    assert!(table.contains("number,material,sheet,from,place"), "{table}");
    let (code, said, err) = longpoint(&["sheets", demo, "--pieces", &pieces, "--json"]);
    let json: serde_json::Value = serde_json::from_str(&said).unwrap();
    assert_eq!((code, err.as_str(), json["materials"][0]["material"].is_string()), (0, "", true));
    // What is left out is said all the same, beside what other programs read.
    let (code, said, err) = longpoint(&["sheets", demo, "--jobs", "--json"]);
    assert!(serde_json::from_str::<serde_json::Value>(&said).is_ok() && code == 0);
    assert!(err.starts_with("Not in sheets.csv, and left out: "), "{err}");
    let stock: serde_json::Value =
        serde_json::from_str(&longpoint(&["sheets", demo, "--json"]).1).unwrap();
    assert!(stock["sheets"].as_array().unwrap().len() > 3);
    // One piece now, from the tightest remnant, by the habit.
    let one = ["sheets", demo, "--material", "GLASS-2", "--size", "16x20", "--ticket", "4160"];
    let (code, said, err) = longpoint(&one);
    assert_eq!((code, err.as_str()), (0, ""));
    assert!(said.contains("GR-14  remnant 17 x 21") && said.contains("4160 ("), "{said}");
    // A list that is not what a job is.
    let list = dir.path().join("list.csv");
    fs::write(&list, "ticket,material,what,width,height\n4101,GLASS-2,glass,16,20\n").unwrap();
    let (code, said, _) = longpoint(&["sheets", demo, "--pieces", at(&list)]);
    assert_eq!(code, 0);
    assert!(
        said.starts_with("! 4101 glazing: 16 x 20 in of GLASS-2 in the list, 11 x 14 in"),
        "{said}"
    );
    let (code, said, _) = longpoint(&["sheets", demo, "--most", "8x10", "--material", "GLASS-2"]);
    assert_eq!(code, 0);
    assert_snapshot!(said, @r#"
    21 of 8 x 10 from GLASS-2 36 x 48 in: no way of cutting edge to edge gives more.
    16 of 8 x 10 from GLASS-2 32 x 40 in: no way of cutting edge to edge gives more.
    "#);
    let refused = |args: &[&str]| {
        let (code, out, err) = longpoint(&[&["sheets", demo], args].concat());
        assert_eq!((code, out.as_str()), (2, ""));
        err.replace(demo, "DEMO")
    };
    assert_snapshot!(refused(&["--material", "GLAS-2"]), @r#"--material: "GLAS-2" is not in sheets.csv (did you mean GLASS-2?)"#);
    assert_snapshot!(refused(&["--most", "8"]), @r#"--most: "8" is not a size (write width x height, such as 16x20)"#);
    assert_snapshot!(refused(&["--most", "1.01x1.03"]), @"--most: 1.01x1.03 is too small against G-3648 to try every cut (ask for a larger size)");
    assert_snapshot!(refused(&["--pieces", &pieces, "--cut"]), @r#"--cut: DEMO is a folder, which keeps no count (begin a book with "longpoint open shop.book --from DEMO")"#);
    assert_snapshot!(refused(&["--pieces", "nowhere.csv"]), @"nowhere.csv: cannot be read: No such file or directory (os error 2) (name a CSV file of pieces)");
}

/// The same in a book: cut once, and again where it broke.
#[test]
fn boards_and_glass_of_a_book() {
    let dir = tempfile::tempdir().unwrap();
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo");
    let pieces = format!("{demo}/pieces.csv");
    let book = dir.path().join("shop.book");
    let book = at(&book);
    let did = |args: &[&str]| {
        let (code, out, err) = longpoint(args);
        assert_eq!((code, err.as_str()), (0, ""), "{args:?}: {out}");
        out
    };
    let when = ["--at", "2026-11-25T08:00"];
    let step = |args: &[&str]| did(&[args, &when].concat());
    assert!(step(&["open", book, "--from", demo]).contains("rack.csv and sheets.csv are"));
    let look = did(&["sheets", book, "--pieces", &pieces, "--today", "2026-11-25"]);
    assert!(look.contains("KEEP ") && !look.contains("label it"), "{look}");
    let cut = step(&["sheets", book, "--pieces", &pieces, "--cut"]);
    assert!(cut.contains("label it B1"), "{cut}");
    let again = did(&["sheets", book, "--pieces", &pieces, "--today", "2026-11-25"]);
    assert!(again.contains("Nothing is to be cut."), "{again}");
    assert_snapshot!(step(&["spoil", book, "--frame", "4127", "--piece", "glass"]), @r#"
    4127 glass: 10 x 13 1/2 in of GLASS-2 is spoiled; it is cut again as long as the
    list of pieces has it.
    "#);
    // One word for a piece, whatever a list calls it: nothing is cut twice.
    let wanted = did(&["sheets", book, "--pieces", &pieces, "--today", "2026-11-25"]);
    assert!(wanted.contains("\n1 piece from 0 whole sheets"), "{wanted}");
    let other = dir.path().join("other.csv");
    let list = fs::read_to_string(&pieces).unwrap().replace("GLASS-2,glazing", "GLASS-2,glass");
    fs::write(&other, list).unwrap();
    assert_eq!(did(&["sheets", book, "--pieces", at(&other), "--today", "2026-11-25"]), wanted);
    assert_snapshot!(step(&["receive", book, "--material", "GLASS-2", "--size", "36x48", "--count", "2"]), @"G-3648: GLASS-2, 36 x 48 in, at glass rack; 6 whole sheets there now.");
    assert_snapshot!(step(&["receive", book, "--material", "GLASS-2", "--size", "5x7", "--remnant", "--place", "box"]), @r#"
    B5: GLASS-2, 5 x 7 in, at box; a remnant. Label it.
    That is smaller than any remnant that is kept here (is that its unit? "longpoint
    undo" takes it back).
    "#);
    assert_snapshot!(step(&["correct", book, "g-3648", "--count", "5", "--place", "glass rack"]), @r#"
    G-3648: GLASS-2, 36 x 48 in, at glass rack, 5 there.
    In the book before: G-3648: GLASS-2, 36 x 48 in, at glass rack, 6 there. Written
    off: 1 whole sheet.
    "#);
    assert_snapshot!(step(&["scrap", book, "MR-3"]), @"MR-3: MAT-WHITE, 16 x 32 in, at drawer 2; written off.");
    assert_snapshot!(step(&["scrap", book, "G-3648"]), @r#"
    G-3648: GLASS-2, 36 x 48 in, at glass rack; one written off, 4 whole sheets
    there now.
    "#);
    step(&["undo", book]);
    assert_snapshot!(did(&["count", book, "box"]), @r#"
    box: 1 in the book
      [ ] B5       GLASS-2    5 x 7 in
    "#);
    assert_snapshot!(step(&["count", book, "glass rack", "G-3648=4"]), @r#"
    glass rack: 0 as in the book, 1 different.
      G-3648: 4, 5 in the book
    Not named, and left as they are: B2.
    Book corrected: 1 number changed.
    "#);
    let labels = dir.path().join("labels.html");
    assert!(did(&["labels", book, "--out", at(&labels)]).starts_with("Wrote "));
    assert_snapshot!(did(&["figures", book]), @r#"
    Sheets              yield       pieces        waste       broken        there
    FOAM-5             97.5 %   13.0 sq ft    0.3 sq ft    0.0 sq ft   53.3 sq ft
    GLASS-2            66.8 %   28.2 sq ft   13.1 sq ft    0.9 sq ft   50.9 sq ft
    MAT-WHITE          55.9 %    5.8 sq ft    4.6 sq ft    0.0 sq ft   67.6 sq ft
    "#);
    assert_snapshot!(did(&["figures", book, "--sheets", "--csv"]), @r#"
    material,yield_per_cent,pieces,broken,waste,written_off,came,counted,there,pieces_mm2,broken_mm2,waste_mm2,written_off_mm2,came_mm2,counted_mm2,there_mm2
    FOAM-5,97.5,13.0 sq ft,0.0 sq ft,0.3 sq ft,0.0 sq ft,66.7 sq ft,0.0 sq ft,53.3 sq ft,1207740,0,30968,0,6193536,0,4954829
    GLASS-2,66.8,28.2 sq ft,0.9 sq ft,1.1 sq ft,12.0 sq ft,105.1 sq ft,'-12.0 sq ft,50.9 sq ft,2620882,87097,98468,1114836,9765787,'-1114836,4729668
    MAT-WHITE,55.9,5.8 sq ft,0.0 sq ft,1.1 sq ft,3.6 sq ft,78.0 sq ft,0.0 sq ft,67.6 sq ft,542660,0,97742,330322,7246437,0,6275713
    "#);
    let page = dir.path().join("figures.html");
    did(&["figures", book, "--html", at(&page)]);
    assert!(fs::read_to_string(&page).unwrap().contains("Yield of boards and glass"));
    let audit = did(&["audit", book]);
    assert!(
        audit.contains("GLASS-2: came in") && audit.contains(", missing 12.0 sq ft;"),
        "{audit}"
    );
    assert!(step(&["undo", book]).starts_with("Undone: count"));
}

/// Glue holds a job up: who joins it is told from when on it may be fitted, loaded, given
/// out. A ticket without a job says no more.
#[test]
fn what_is_joined_says_when_it_may_be_loaded() {
    let dir = tempfile::tempdir().unwrap();
    let metric = concat!(env!("CARGO_MANIFEST_DIR"), "/data/metric");
    let book = dir.path().join("shop.book");
    let book = at(&book);
    let step = |args: &[&str]| {
        let (code, out, err) = longpoint(&[args, &["--at", "2026-11-25T10:00"]].concat());
        assert_eq!((code, err.as_str()), (0, ""), "{args:?}: {out}");
        out
    };
    step(&["open", book, "--from", metric]);
    step(&["take", book, "--only", "101", "--only", "103"]);
    step(&["cut", book, "--all"]);
    assert_snapshot!(step(&["joined", book, "101"]), @r"
    101 is joined. Clamps come off from 10:30 to 11:00, and what is light may be
    fitted then; nothing else loads it, and it is not hung or given out, before
    2026-11-26 10:00.
    ");
    assert_snapshot!(step(&["joined", book, "103"]), @"103 is joined.");
}

/// What goes into a frame before its clamps are off is warned of; of what is not known to be
/// light, as long as its glue may not be loaded.
#[test]
fn what_is_fitted_too_early_is_warned_of() {
    let metric = concat!(env!("CARGO_MANIFEST_DIR"), "/data/metric");
    let fitted = |heavy: bool, time: &str| {
        let dir = tempfile::tempdir().unwrap();
        let folder = dir.path().join("shop");
        fs::create_dir(&folder).unwrap();
        for entry in fs::read_dir(metric).unwrap() {
            let entry = entry.unwrap();
            let text = fs::read_to_string(entry.path()).unwrap();
            // Hardware that makes every job too heavy to be light.
            let weighed = text.replace("hardware = \"", "hardware = \"9");
            let text = if heavy { weighed } else { text };
            fs::write(folder.join(entry.file_name()), text).unwrap();
        }
        let book = dir.path().join("shop.book");
        let book = at(&book);
        let step = |args: &[&str], time: &str| {
            let (code, out, err) = longpoint(&[args, &["--at", time]].concat());
            assert_eq!((code, err.as_str()), (0, ""), "{args:?}: {out}");
            out.split_whitespace().collect::<Vec<_>>().join(" ")
        };
        step(&["open", book, "--from", at(&folder)], "2026-11-25T10:00");
        step(&["take", book, "--only", "101"], "2026-11-25T10:00");
        step(&["cut", book, "--all"], "2026-11-25T10:00");
        step(&["joined", book, "101"], "2026-11-25T10:00");
        step(&["fitted", book, "101"], time)
    };
    let early = "101 is fitted. MIND: it was joined at 2026-11-25 10:00, and nothing is put into it \
                 before";
    let light = fitted(false, "2026-11-25T10:59");
    assert!(light.starts_with(&format!("{early} 2026-11-25 11:00, when its clamps")), "{light}");
    assert_eq!(fitted(false, "2026-11-25T11:00"), "101 is fitted.");
    let heavy = fitted(true, "2026-11-26T09:59");
    assert!(heavy.starts_with(&format!("{early} 2026-11-26 10:00, when its glue")), "{heavy}");
    assert_eq!(fitted(true, "2026-11-26T10:00"), "101 is fitted.");
}

/// Where nobody wrote down that a job was joined, its glue is not known to have set; nor is it
/// once a rail was made anew since. A ticket without a job says no more.
#[test]
fn what_was_never_joined_is_said_when_it_is_fitted() {
    let dir = tempfile::tempdir().unwrap();
    let metric = concat!(env!("CARGO_MANIFEST_DIR"), "/data/metric");
    let book = dir.path().join("shop.book");
    let book = at(&book);
    let step = |args: &[&str], time: &str| {
        let (code, out, err) = longpoint(&[args, &["--at", time]].concat());
        assert_eq!((code, err.as_str()), (0, ""), "{args:?}: {out}");
        out
    };
    let first = "2026-11-25T10:00";
    step(&["open", book, "--from", metric], first);
    step(&["take", book, "--only", "101", "--only", "103"], first);
    step(&["cut", book, "--all"], first);
    assert_eq!(step(&["fitted", book, "103"], first), "103 is fitted.\n");
    let said = step(&["fitted", book, "101"], first);
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    let mind = "101 is fitted. MIND: nobody wrote down when it was joined, so its glue is not known to \
                have set: clamps stay on for 30 to 60 minutes, and nothing but what is light loads it \
                for 24 hours.";
    assert!(said.starts_with(mind), "{said}");
    // As it says: taken back, it is joined, and fitted when its glue has set.
    step(&["undo", book], first);
    step(&["joined", book, "101"], first);
    assert_eq!(step(&["fitted", book, "101"], "2026-11-27T10:00"), "101 is fitted.\n");
}

/// What lacks of boards and glass is said of a plan, though nobody is known to sell it; what
/// is not counted at all, too; and nothing of either where the shop counts no boards.
#[test]
fn boards_that_lack_are_said_of_a_plan() {
    let dir = tempfile::tempdir().unwrap();
    for entry in fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo")).unwrap() {
        let entry = entry.unwrap();
        fs::copy(entry.path(), dir.path().join(entry.file_name())).unwrap();
    }
    let sheets = dir.path().join("sheets.csv");
    let plan = || {
        let (code, out, err) = longpoint(&["plan", at(dir.path()), "--today", "2026-11-25"]);
        assert_eq!((code, err.as_str()), (0, ""), "{out}");
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let text = fs::read_to_string(&sheets).unwrap();
    let said = plan();
    assert!(!said.contains("of FOAM-5, 40 x 60 in, for"), "{said}");
    assert!(said.contains("Not in sheets.csv, and left out: HARD-2, LAM-4,"), "{said}");
    fs::write(&sheets, text.replace("40,60,4,shelf", "40,60,0,shelf")).unwrap();
    let said = plan();
    assert!(said.contains("of FOAM-5, 40 x 60 in, for 41"), "{said}");
    assert!(said.contains("materials.csv names no supplier of it"), "{said}");
    fs::remove_file(&sheets).unwrap();
    let said = plan();
    assert!(!said.contains("sheets.csv") && !said.contains("FOAM-5"), "{said}");
}

/// What was cut of boards and glass for a ticket that asks for others, or for nothing any
/// more, is named; and nothing falls out of a window that is cut already.
#[test]
fn what_was_cut_for_another_window_or_for_nobody_is_named() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("shop");
    fs::create_dir(&folder).unwrap();
    for entry in fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo")).unwrap() {
        let entry = entry.unwrap();
        fs::copy(entry.path(), folder.join(entry.file_name())).unwrap();
    }
    let path = dir.path().join("shop.book");
    let book = at(&path);
    let step = |args: &[&str]| {
        let (code, out, err) = longpoint(&[args, &["--at", "2026-11-25T10:00"]].concat());
        assert_eq!((code, err.as_str()), (0, ""), "{args:?}: {out}");
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    step(&["open", book, "--from", at(&folder)]);
    let before = step(&["sheets", book, "--jobs"]);
    assert!(before.contains("is kept with --cut --drop-outs: "), "{before}");
    step(&["sheets", book, "--jobs", "--cut", "--drop-outs"]);
    let after = step(&["sheets", book, "--jobs"]);
    assert!(after.contains("Cut already, and left out: "), "{after}");
    assert!(!after.contains("4126 mat 9") && !after.contains("4126 mat 10"), "{after}");
    let jobs = fs::read_to_string(folder.join("jobs.csv")).unwrap();
    let other = jobs.replace("4126,paper,11,14,,,,,,1/8,", "4126,paper,11,14,,,,,,1/2,");
    fs::write(folder.join("jobs.csv"), other).unwrap();
    let changed = step(&["refresh", book, "--from", at(&folder)]);
    let window = "is cut already with the old opening, 10 3/4 x 13 3/4 in, and 10 x 13 in is wanted \
                  now (longpoint spoil";
    assert!(changed.contains("4126: its mat of MAT-WHITE, 16 x 20 in, "), "{changed}");
    assert!(changed.contains(window), "{changed}");
    let cancelled = step(&["cancel", book, "4126"]);
    let said = "Cut for 4126 already, of boards and glass: ";
    assert!(cancelled.contains(said), "{cancelled}");
    assert!(cancelled.contains("backing of FOAM-5, 16 x 20 in"), "{cancelled}");
    assert!(cancelled.contains("--remnant"), "{cancelled}");
}
