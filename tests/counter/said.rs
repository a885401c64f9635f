//! What is said at the counter, what another program reads, and the ticket that is kept.

use std::fs;
use std::path::Path;

use assert_cmd::Command;

const SETTINGS: &str = "name = \"Reed & Rail\"\nunit = \"mm\"\nmark = \"1\"\nallowance = \"0\"\n\
     currency = \"EUR\"\ndefault_cutter = \"c\"\n[offcuts]\nkeep = \"900\"\nworth = \"0\"\n\
     [price]\nmarkup = \"3\"\nlabour = \"20\"\nround = \"1\"\ntax = \"0.2\"\ntax_in = \"yes\"\n\
     [cutter.c]\nkerf = \"0\"\nnick = \"0\"\nfirst_trim = \"0\"\nlast_trim = \"0\"\ngrip = \"0\"\n\
     shortest = \"1\"\nstop = \"long\"\n";

const MOULDINGS: &str = "moulding,name,width,rabbet,stick,price,per,kind\n\
     BLK-20,Matt black,20,10,2000,6.00,m,\nBLK-32,Wide matt black,32,10,2000,9.00,m,\n\
     LIN-8,Linen fillet,8,3,2000,2.00,m,\nFLO-35,Black floater,10,,2000,5.00,m,floater\n";

const FRAMES: &str = "frame,layer,moulding,width,height,copies,due,promised,note\r\n\
     7,,BLK-20,400,400,,2026-11-27,,\"Imrie, a print\"\r\n";

pub fn shop() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    for (name, text) in [
        ("shop.toml", SETTINGS),
        ("mouldings.csv", MOULDINGS),
        ("frames.csv", FRAMES),
        ("rack.csv", "stick,moulding,length\nR1,BLK-20,2000\nR2,BLK-20,2000\nR3,FLO-35,2000\n"),
        ("suppliers.csv", "supplier,lead_days\nSED,5\n"),
        (
            "offers.csv",
            "supplier,moulding,form,lengths,price,per\nSED,LIN-8,length,2000,4.00,stick\nSED,BLK-20,length,2000,12.00,stick\n",
        ),
    ] {
        fs::write(dir.path().join(name), text).unwrap();
    }
    dir
}

/// The exit code, standard output, and standard error.
pub fn quote(dir: &Path, args: &[&str]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("longpoint").unwrap();
    let asked = command.arg("quote").arg(dir).args(["--today", "2026-11-25"]).args(args);
    let output = asked.output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

/// 400 x 300 is 1400 round, and eight widths of 20 are 160: 1.56 m of 6.00 are 9.36,
/// times three 28.08, with labour 48.08, with tax 57.70 (57.696), rounded up 58.00.
/// What can be said aloud: all before the first empty line, in one.
fn first(said: &str) -> String {
    said.lines().take_while(|line| !line.is_empty()).collect::<Vec<_>>().join(" ")
}

#[test]
fn the_first_line_can_be_said_aloud() {
    let dir = shop();
    for name in ["BLK-20", "blk20", "Matt Black"] {
        let (code, said, _) = quote(dir.path(), &["--moulding", name, "--size", "400x300"]);
        assert_eq!(said.lines().next(), Some("Thursday 26 November; 58.00 EUR."), "{name}");
        assert_eq!(code, 0);
    }
    let due = |day| ["--moulding", "BLK-20", "--size", "400x300", "--due", day];
    let (code, said, _) = quote(dir.path(), &due("2026-11-28"));
    assert_eq!((code, said.lines().next()), (0, Some("Yes, Saturday 28 November; 58.00 EUR.")));
    let (code, said, _) = quote(dir.path(), &due("2026-11-25"));
    let no = "No, not today; Thursday 26 November at the earliest, since it takes until then to join \
              and fit; 58.00 EUR.";
    assert_eq!((code, first(&said)), (3, no.to_owned()));
}

/// A stack, a floater and a hexagon are quoted like any frame, several side by side.
#[test]
fn every_kind_of_frame_is_quoted() {
    let dir = shop();
    let ask = |args: &[&str]| quote(dir.path(), args);
    let (code, said, _) = ask(&[
        "--moulding",
        "linen + blk-20",
        "--moulding",
        "BLK-20",
        "--moulding",
        "BLK-32",
        "--size",
        "400x300",
        "--due",
        "2026-12-02",
    ]);
    assert_eq!(code, 0);
    insta::assert_snapshot!(said, @r"
    1 frame, 400 x 300 mm, wanted Wednesday 2 December:

    LIN-8 + BLK-20  70.00  yes, Wednesday 2 December
      Linen fillet inside Matt black
    BLK-20          58.00  yes, Wednesday 2 December
      Matt black
    BLK-32          78.00  no day: it is not known when its moulding comes
      Wide matt black
    ");
    // Round its gap 1440, and eight walls of 10 are 80: 1.52 m of 5.00 are 7.60, times three
    // 22.80, with labour 42.80, with tax 51.36, rounded up 52.00.
    let (code, said, _) = ask(&["--moulding", "floater", "--size", "400x300", "--gap", "5"]);
    assert_eq!((code, said.lines().next()), (0, Some("Thursday 26 November; 52.00 EUR.")));
    let (code, _, wrong) = ask(&["--moulding", "floater", "--size", "400x300"]);
    assert_eq!(code, 2);
    assert!(wrong.starts_with("--gap: FLO-35 is a floater (say how wide the gap is"), "{wrong}");
    let (code, said, _) = ask(&["--moulding", "blk20", "--sides", "6", "--size", "300"]);
    assert_eq!(code, 0);
    assert!(said.contains("1 frame of 6 sides, 300 mm across: BLK-20"), "{said}");
}

#[test]
fn a_name_that_could_be_several_names_them() {
    let dir = shop();
    let (code, said, wrong) = quote(dir.path(), &["--moulding", "black", "--size", "400x300x2"]);
    assert_eq!((code, said.as_str()), (2, ""));
    insta::assert_snapshot!(wrong, @r#"
    --moulding: "black" could be any of 3 (write one of these codes: BLK-20, BLK-32, FLO-35)
    --size: "300x2" is not a length (write 12.5, 12 1/2 or 317.5 mm)
    "#);
}

/// What other programs read says the same.
#[test]
fn the_answer_for_other_programs() {
    let dir = shop();
    let args = ["--moulding", "BLK-20", "--size", "400x300", "--due", "2026-11-28", "--json"];
    let (_, said, _) = quote(dir.path(), &args);
    let answer: serde_json::Value = serde_json::from_str(&said).unwrap();
    let quote = &answer["quotes"][0];
    assert_eq!(quote["say"], "Yes, Saturday 28 November; 58.00 EUR.");
    assert_eq!((&quote["ready"], &quote["can_be_promised"]), (&"2026-11-26".into(), &true.into()));
    let price = &quote["price"];
    assert_eq!((&price["each"], &price["tax"]), (&"58.00".into(), &"9.67".into()));
    assert_eq!(price["mouldings"][0]["price"], "28.08");
}

/// The page for the customer has the price and the day, and nothing of what is inside.
#[test]
fn the_page_for_the_customer_keeps_to_the_customer() {
    let dir = shop();
    let page = dir.path().join("quote.html");
    let args = ["--moulding", "BLK-20", "--size", "400x300", "--out", page.to_str().unwrap()];
    assert_eq!(quote(dir.path(), &args).0, 0);
    let page = fs::read_to_string(page).unwrap();
    for there in ["Reed &amp; Rail", "Matt black", "58.00 EUR", "Thursday 26 November"] {
        assert!(page.contains(there), "{there}");
    }
    for inside in ["at the margin", "9.36", "Imrie", "SED", "R1"] {
        assert!(!page.contains(inside), "{inside}");
    }
}

/// A ticket is a row in the file as it is, with its line ends, and its day is promised;
/// the morning's plan then keeps it, or says first of all that it does not.
#[test]
fn a_quote_is_kept_as_a_ticket() {
    let dir = shop();
    let path = dir.path().join("frames.csv");
    let ticket = |number: &str, moulding: &str, more: &[&str]| {
        let args = ["--moulding", moulding, "--size", "400x300", "--ticket", number];
        quote(dir.path(), &[&args[..], more].concat())
    };
    let (code, said, _) = ticket("8", "BLK-20", &["--note", "Quill, \"the\" map"]);
    assert_eq!(code, 0);
    assert!(said.ends_with("frames.csv, promised for 2026-11-26.\n"), "{said}");
    let row = "8,,BLK-20,400,300,,2026-11-26,yes,\"Quill, \"\"the\"\" map\"\r\n";
    assert_eq!(fs::read_to_string(&path).unwrap(), format!("{FRAMES}{row}"));
    let before = fs::read_to_string(&path).unwrap();
    let (code, _, wrong) = ticket("8", "BLK-20", &[]);
    assert_eq!(code, 2);
    assert!(wrong.contains("there is a ticket \"8\" already"), "{wrong}");
    // What cannot be promised is no ticket, and what the file has no column for is said.
    assert_eq!(ticket("9", "BLK-20", &["--due", "2026-11-25"]).0, 3);
    let (code, _, wrong) = ticket("9", "FLO-35", &["--gap", "5"]);
    assert_eq!(code, 2);
    assert!(wrong.contains("it has no column for gap (add it to the header row: "), "{wrong}");
    assert_eq!(fs::read_to_string(&path).unwrap(), before);
    assert_eq!(ticket("9", "lin8 + blk20", &[]).0, 0);
    let rows = fs::read_to_string(&path).unwrap();
    assert!(rows.ends_with("9,1,LIN-8,400,300,,2026-12-01,yes,\r\n9,2,BLK-20,,,,,,\r\n"), "{rows}");
}

#[test]
fn a_plan_that_breaks_a_promise_says_so_first_of_all() {
    let dir = shop();
    let frames = FRAMES.to_owned() + "8,,LIN-8,400,400,,2026-11-28,yes,\r\n";
    fs::write(dir.path().join("frames.csv"), frames).unwrap();
    let mut command = Command::cargo_bin("longpoint").unwrap();
    let plan = command.arg("plan").arg(dir.path()).args(["--today", "2026-11-25"]);
    let said = String::from_utf8(plan.output().unwrap().stdout).unwrap();
    let third = said.lines().nth(2).unwrap();
    let words = "! PROMISED for Saturday 28 November 2026, and not kept: 8: its moulding comes";
    assert_eq!(third, words, "{said}");
}

/// A slip of the file's name loses neither a table nor a book; a page gives way to a page.
#[test]
fn a_page_takes_the_place_of_nothing_but_a_page() {
    let dir = shop();
    let quoted = |file: &str| {
        let page = dir.path().join(file);
        let args = ["--moulding", "BLK-20", "--size", "400x300", "--out", page.to_str().unwrap()];
        quote(dir.path(), &args)
    };
    let (code, said, wrong) = quoted("frames.csv");
    assert_eq!((code, said.as_str()), (2, ""));
    assert!(wrong.ends_with("frames.csv is there already and is no page (name another file)\n"));
    assert_eq!(fs::read_to_string(dir.path().join("frames.csv")).unwrap(), FRAMES);
    assert_eq!(quoted("new.html").0, 0);
    assert_eq!(quoted("new.html").0, 0);
}

/// One stick for two frames: whoever is asked for sooner takes it, and what that costs the
/// other is said in the same breath, whatever day was asked for. On a day on which the
/// shop is closed nobody fetches anything.
#[test]
fn what_a_day_costs_others_is_said_with_it() {
    let dir = shop();
    let rack = "stick,moulding,length\nR1,BLK-20,2000\n";
    fs::write(dir.path().join("rack.csv"), rack).unwrap();
    let ask = |promised: &str, due: &str| {
        let frames = format!(
            "frame,moulding,width,height,due,promised\n7,BLK-20,400,400,2026-11-28,{promised}\n"
        );
        fs::write(dir.path().join("frames.csv"), frames).unwrap();
        let args = ["--moulding", "BLK-20", "--size", "400x300", "--due", due];
        let (code, said, _) = quote(dir.path(), &args);
        (code, said.split_once("\n\n").unwrap().0.replace('\n', " "))
    };
    let said = |code, said: &str| (code, said.to_owned());
    let yes = "Yes, Friday 27 November, but 7 will be late; 58.00 EUR.";
    assert_eq!(ask("", "2026-11-27"), said(3, yes));
    // After the other's day nothing is left, and before it there is a day all the same.
    let sooner = "Yes, Thursday 26 November, but 7 will be late; 58.00 EUR.";
    assert_eq!(ask("", "2026-11-29"), said(3, sooner));
    let only = "Only so, Friday 27 November, if the promise for 7 is broken; 58.00 EUR.";
    assert_eq!(ask("yes", "2026-11-27"), said(3, only));
    // Too soon for either: the first day that hurts nobody. A stick is here on the 30th.
    let kind = "No, not Tuesday 24 November; Tuesday 1 December if nobody is to be late for it; \
                58.00 EUR.";
    assert_eq!(ask("yes", "2026-11-24"), said(3, kind));
    let offers = fs::read_to_string(dir.path().join("offers.csv")).unwrap();
    fs::write(dir.path().join("offers.csv"), offers.replace("SED,BLK-20", "SED,BLK-32")).unwrap();
    let (code, no) = ask("yes", "2026-11-24");
    assert_eq!(code, 3);
    assert!(no.contains("at the earliest, if the promise for 7 is broken; 58.00 EUR."), "{no}");
    fs::write(dir.path().join("offers.csv"), offers).unwrap();
    let toml = SETTINGS.replace("[cutter.c]", "[days]\nopen = \"Mon .. Sat\"\n[cutter.c]");
    fs::write(dir.path().join("shop.toml"), toml).unwrap();
    let closed = "Yes, Saturday 5 December (closed on Sunday 6 December); 58.00 EUR.";
    assert_eq!(ask("", "2026-12-06"), said(0, closed));
    fs::write(dir.path().join("rack.csv"), "stick,moulding,length\n").unwrap();
    let no = "No, not Sunday 29 November (closed then); Tuesday 1 December at the earliest, since \
              its moulding comes Monday 30 November; 58.00 EUR.";
    assert_eq!(ask("", "2026-11-29"), said(3, no));
}

/// The price was made of 6.00 a metre, nobody sells it for less than 7.50 by now, and nothing
/// was said of it. What a program reads as list cost is what the price is made of.
#[test]
fn a_moulding_that_is_dearer_by_now_is_said_beside_the_price() {
    let dir = shop();
    let ask = |more: &[&str]| {
        let args = ["--moulding", "BLK-20", "--size", "400x300"];
        quote(dir.path(), &[&args[..], more].concat()).1
    };
    assert!(!ask(&[]).contains("Dearer now"), "{}", ask(&[]));
    let offers = "supplier,moulding,form,lengths,price,per,until\n\
                  SED,BLK-20,length,2000,12.00,stick,2026-11-20\n\
                  SED,BLK-20,length,2500,20.00,stick,\nSED,BLK-20,length,2400,18.00,stick,\n";
    fs::write(dir.path().join("offers.csv"), offers).unwrap();
    let said = ask(&[]).split_whitespace().collect::<Vec<_>>().join(" ");
    let words = "Dearer now: BLK-20 costs 7.50 EUR a metre at the least to buy (SED), and is priced by \
                 6.00 EUR (is that still its price in mouldings.csv?)";
    assert!(said.contains(words), "{said}");
    let toml = SETTINGS.replace("[price]", "[price]\nwaste = \"0.1\"");
    fs::write(dir.path().join("shop.toml"), toml).unwrap();
    let answer: serde_json::Value = serde_json::from_str(&ask(&["--json"])).unwrap();
    let quote = &answer["quotes"][0];
    assert_eq!(quote["dearer_to_buy"][0]["least"], "7.50");
    // 1.56 m and a tenth, 1.716 m of 6.00, is 10.296 (computed); all mouldings together to the
    // cent.
    assert_eq!(quote["price"]["mouldings"][0]["list"], "10.296");
    assert_eq!(quote["list"], "10.30");
}

/// A ticket that makes another late is written only where that is said to be meant.
#[test]
fn a_ticket_that_makes_others_late_is_asked_for_in_so_many_words() {
    let dir = shop();
    fs::write(dir.path().join("rack.csv"), "stick,moulding,length\nR1,BLK-20,2000\n").unwrap();
    let frames = "frame,moulding,width,height,due,promised\n7,BLK-20,400,400,2026-11-28,\n";
    let file = dir.path().join("frames.csv");
    fs::write(&file, frames).unwrap();
    let args = ["--moulding", "BLK-20", "--size", "400x300", "--due", "Friday", "--ticket", "8"];
    let (code, said, _) = quote(dir.path(), &args);
    let words = "Ticket 8 is not written: it makes 7 late (--even-so writes it all the same).\n";
    assert!(code == 3 && said.ends_with(words), "{said}");
    assert_eq!(fs::read_to_string(&file).unwrap(), frames);
    let (_, json, _) = quote(dir.path(), &[&args[..6], &["--json"]].concat());
    let answer: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(answer["quotes"][0]["makes_late"], serde_json::json!(["7"]));
    assert_eq!(quote(dir.path(), &[&args[..], &["--even-so"]].concat()).0, 0);
    let row = "8,BLK-20,400,300,2026-11-27,yes\n";
    assert_eq!(fs::read_to_string(&file).unwrap(), format!("{frames}{row}"));
}

/// A name with a slip in it is asked about by its code.
#[test]
fn a_name_that_is_nearly_one_is_asked_about() {
    let dir = shop();
    let (code, _, wrong) = quote(dir.path(), &["--moulding", "matt blak", "--size", "400x300"]);
    assert_eq!(code, 2);
    assert!(wrong.contains("(did you mean BLK-20, Matt black?)"), "{wrong}");
}

/// What is out of stock until the 7th, five days on its way and a day at the bench is
/// ready on the 13th; that is a promise which the plan keeps, and says what it waits for.
#[test]
fn a_day_is_promised_beyond_the_day_on_which_it_is_in_stock_again() {
    let dir = shop();
    fs::write(dir.path().join("rack.csv"), "stick,moulding,length\n").unwrap();
    let offers = "supplier,moulding,form,lengths,price,per,from,out_until\n";
    let file = dir.path().join("offers.csv");
    let ask = |dates: &str, due: &str| {
        fs::write(&file, format!("{offers}SED,BLK-20,length,2000,12.00,stick,{dates}\n")).unwrap();
        let args = ["--moulding", "BLK-20", "--size", "400x300", "--due", due, "--ticket", "8"];
        quote(dir.path(), &args)
    };
    let (code, said, _) = ask(",2026-12-07", "2026-12-10");
    let no = "No, not Thursday 10 December; Sunday 13 December at the earliest, since its moulding \
              comes Saturday 12 December; 58.00 EUR.";
    assert_eq!((code, first(&said)), (3, no.to_owned()));
    let (code, said, _) = ask(",no", "2026-12-20");
    assert_eq!((code, said.lines().next()), (3, Some("No: it cannot be made as asked.")));
    let (code, said, _) = ask("2026-12-07,", "2026-12-13");
    assert_eq!((code, said.lines().next()), (0, Some("Yes, Sunday 13 December; 58.00 EUR.")));
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    let comes = "its moulding comes Saturday 12 December if it is ordered from SED on Monday 7 \
                 December, when it can be had again";
    assert!(said.contains(comes), "{said}");
    let mut command = Command::cargo_bin("longpoint").unwrap();
    let plan = command.arg("plan").arg(dir.path()).args(["--today", "2026-11-25"]);
    let said = String::from_utf8(plan.output().unwrap().stdout).unwrap();
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("it cannot be ordered before 2026-12-07"), "{said}");
    assert!(!said.contains("PROMISED"), "{said}");
}
