//! What hangs on a supplier's answer, or on the time of the day, and how that is said.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use longpoint::measure::Length;
use longpoint::morning::plan;
use longpoint::plan::HoldReason;
use longpoint::shop::read_folder;
use longpoint::solve::Limits;
use longpoint::verify::{Fault, verify};

use super::said::{quote, shop};

pub const OFFERS: &str = "supplier,moulding,form,lengths,price,per\n";

/// The shop with an empty rack, these suppliers and these offers.
pub fn buying(suppliers: &str, offers: &str) -> tempfile::TempDir {
    let dir = shop();
    let write = |name: &str, text: &str| fs::write(dir.path().join(name), text).unwrap();
    write("rack.csv", "stick,moulding,length\n");
    write("frames.csv", "frame,moulding,width,height,due,promised,match\n");
    write("suppliers.csv", suppliers);
    write("offers.csv", &format!("{OFFERS}{offers}"));
    dir
}

pub fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What a plan prints, in one line; with `out` it writes its files.
pub fn planned(dir: &Path, args: &[&str]) -> String {
    let mut command = Command::cargo_bin("longpoint").unwrap();
    let output = command.arg("plan").arg(dir).args(["--today", "2026-11-25"]).args(args).output();
    words(&String::from_utf8(output.unwrap().stdout).unwrap())
}

const SIZE: [&str; 4] = ["--moulding", "BLK-20", "--size", "400x300"];

const REFUSING: &str = "supplier,minimum,below_minimum,lead_days\nSED,60.00,refused,5\n";

/// A stick of 12.00 from who takes nothing below 60.00 was promised like any other.
#[test]
fn a_day_that_hangs_on_an_order_that_is_refused_is_perhaps() {
    let dir = buying(REFUSING, "SED,BLK-20,length,2000,12.00,stick\n");
    let ask = |more: &[&str]| quote(dir.path(), &[&SIZE[..], more].concat());
    let due = ["--due", "2026-12-03"];
    let (code, said, _) = ask(&due);
    let first = "Perhaps, Thursday 3 December, if SED takes an order below its minimum: ask them \
                 first; 58.00 EUR.";
    assert_eq!((code, words(said.split_once("\n\n").unwrap().0)), (3, first.to_owned()));
    let (code, said, _) = ask(&[]);
    let open = "Tuesday 1 December, if SED takes an order below its minimum: ask them first; \
                58.00 EUR.";
    assert_eq!((code, words(said.split_once("\n\n").unwrap().0)), (3, open.to_owned()));
    let (code, json, _) = ask(&[&due[..], &["--json"]].concat());
    let answer: serde_json::Value = serde_json::from_str(&json).unwrap();
    let answer = &answer["quotes"][0];
    assert_eq!((code, &answer["ask_first"]), (3, &serde_json::json!(["SED"])));
    assert_eq!((&answer["can_be_promised"], &answer["say"]), (&false.into(), &first.into()));
    assert_eq!(answer.get("ask_lengths"), None);
    let (code, said, _) = ask(&[&due[..], &["--moulding", "BLK-32"]].concat());
    let side = "perhaps, Thursday 3 December, if SED takes an order below its minimum: ask them";
    assert!(code == 3 && words(&said).contains(side), "{said}");
    // The customer reads neither the supplier's name nor a day.
    let page = dir.path().join("quote.html");
    assert_eq!(ask(&[&due[..], &["--out", page.to_str().unwrap()]].concat()).0, 3);
    let page = fs::read_to_string(page).unwrap();
    assert!(page.contains("ask us") && !page.contains("SED") && !page.contains("3 December"));
    // No ticket, unless somebody says that they take it.
    let file = dir.path().join("frames.csv");
    let before = fs::read_to_string(&file).unwrap();
    let ticket = [&due[..], &["--ticket", "8"]].concat();
    let (code, said, _) = ask(&ticket);
    let why = "Ticket 8 is not written: SED would have to be asked first (--even-so writes it all \
               the same).";
    assert!(code == 3 && words(&said).ends_with(why), "{said}");
    assert_eq!(fs::read_to_string(&file).unwrap(), before);
    assert_eq!(ask(&[&ticket[..], &["--even-so"]].concat()).0, 0);
    assert_eq!(
        fs::read_to_string(&file).unwrap(),
        format!("{before}8,BLK-20,400,300,2026-12-03,yes,\n")
    );
    // What the plan says of it first was said twice, with two points.
    let said = planned(dir.path(), &[]);
    let doubt = "! PROMISED for Thursday 3 December 2026, and in doubt: 8: its moulding comes only \
                 if SED takes an order below its minimum. Ask them before anything else. No frame";
    assert!(said.contains(doubt), "{said}");
}

/// With what else the shop lacks the order comes to their minimum: that is no perhaps.
#[test]
fn an_order_that_is_large_enough_with_all_else_is_not_refused() {
    let offers = "SED,BLK-20,length,2000,12.00,stick\nSED,BLK-32,length,2000,48.00,stick\n";
    let dir = buying(REFUSING, offers);
    let ask = || quote(dir.path(), &[&SIZE[..], &["--due", "2026-12-03"]].concat());
    assert_eq!(ask().0, 3);
    let other = "frame,moulding,width,height,due,promised,match\n7,BLK-32,400,300,2026-12-09,,\n";
    fs::write(dir.path().join("frames.csv"), other).unwrap();
    let (code, said, _) = ask();
    assert_eq!((code, said.lines().next()), (0, Some("Yes, Thursday 3 December; 58.00 EUR.")));
}

/// What shares its moulding would be bought elsewhere; but somebody has to be asked for another
/// frame anyway, and then this one's moulding is cheaper from them.
#[test]
fn an_order_that_is_refused_for_another_frame_is_asked_about_too() {
    let offers = "SED,BLK-20,length,2000,12.00,stick\nKIN,BLK-20,length,2000,13.00,stick\n\
                  SED,BLK-32,length,2000,20.00,stick\n";
    let dir = buying(&format!("{REFUSING}KIN,,,5\n"), offers);
    let ask = || quote(dir.path(), &[&SIZE[..], &["--due", "2026-12-03"]].concat());
    let (code, said, _) = ask();
    assert_eq!((code, said.lines().next()), (0, Some("Yes, Thursday 3 December; 58.00 EUR.")));
    let other = "frame,moulding,width,height,due,promised,match\n7,BLK-32,400,300,2026-12-09,,\n";
    fs::write(dir.path().join("frames.csv"), other).unwrap();
    let (code, said, _) = ask();
    let perhaps = "Perhaps, Thursday 3 December, if SED takes an order below its minimum";
    assert!(code == 3 && words(&said).starts_with(perhaps), "{said}");
}

/// The letters of such an order ask whether it is taken, and ask for no money up to the
/// minimum.
#[test]
fn the_letters_of_an_order_that_is_refused_ask_whether_it_is_taken() {
    let dir = buying(REFUSING, "SED,BLK-20,length,2000,12.00,stick\n");
    let frames = "frame,moulding,width,height,due\n8,BLK-20,400,300,2026-12-03\n";
    fs::write(dir.path().join("frames.csv"), frames).unwrap();
    let out = dir.path().join("out");
    let said = planned(dir.path(), &["--out", out.to_str().unwrap()]);
    assert!(said.contains("! Refused as it stands, below the minimum of 60.00 EUR"), "{said}");
    let read = |name: &str| words(&fs::read_to_string(out.join(name)).unwrap());
    let asked = "This is below your minimum of 60.00 EUR: please say whether you take it.";
    for name in ["order-SED.txt", "order.html"] {
        let letter = read(name);
        assert!(letter.contains(asked), "{name}: {letter}");
        assert!(letter.contains("12.00") && !letter.contains("made up"), "{name}: {letter}");
    }
    let table = read("order.csv");
    assert!(!table.contains("60.00") && !table.contains("48.00"), "{table}");
}

/// Only sticks of random lengths might do: that was "No: it cannot be made as asked". A frame
/// of 1200 by 300 takes rails of 1220 and 320 from a machine that loses nothing; 3.16 m of 6.00,
/// times three, with labour of 20 and a fifth of tax are 92.26, said as 93.00 (computed).
#[test]
fn what_random_lengths_might_give_is_asked_about() {
    let offers = "SED,BLK-20,length,1000 .. 2400,6.00,m\nOAK,BLK-20,length,950 .. 1200,1.00,m\n";
    let dir = buying("supplier,lead_days\nSED,5\nOAK,1\n", offers);
    let large = ["--moulding", "BLK-20", "--size", "1200x300", "--due", "2026-12-03"];
    let (code, said, _) = quote(dir.path(), &large);
    let first = words(said.split_once("\n\n").unwrap().0);
    let perhaps = "Perhaps, Thursday 3 December, if SED sends BLK-20 in lengths of at least 1220 \
                   mm: ask them first; 93.00 EUR.";
    assert_eq!((code, first), (3, perhaps.to_owned()));
    let (_, json, _) = quote(dir.path(), &[&large[..], &["--json"]].concat());
    let answer: serde_json::Value = serde_json::from_str(&json).unwrap();
    let lengths = &answer["quotes"][0]["ask_lengths"];
    let asked = serde_json::json!([{"moulding": "BLK-20", "least": 1220, "suppliers": ["SED"]}]);
    assert_eq!(lengths, &asked);
    // What is surely long enough is a plain yes, and too long for either is a plain no.
    let sized = |size: &str| {
        let args = ["--moulding", "BLK-20", "--size", size, "--due", "2026-12-03"];
        let (code, said, _) = quote(dir.path(), &args);
        (code, said.lines().next().unwrap().to_owned())
    };
    assert_eq!(sized("880x300").0, 0);
    assert_eq!(sized("2400x300"), (3, "No: it cannot be made as asked.".to_owned()));
    // The ticket is written if somebody has asked; the plan says what to ask.
    let even_so = [&large[..], &["--ticket", "8", "--even-so"]].concat();
    assert_eq!(quote(dir.path(), &even_so).0, 0);
    let said = planned(dir.path(), &[]);
    let ask = "BLK-20 comes in random lengths, and none is sure to be long enough. Ask SED for \
               lengths of at least 1220 mm, and write under lengths in offers.csv what they are \
               sure to send.";
    assert!(said.contains(ask), "{said}");
    let doubt = "! PROMISED for Thursday 3 December 2026, and in doubt: 8: its moulding comes only \
                 if SED sends long enough sticks of BLK-20. Ask them before anything else.";
    assert!(said.contains(doubt), "{said}");
    let sure = "SED,BLK-20,length,1220 .. 2400,6.00,m\n";
    fs::write(dir.path().join("offers.csv"), format!("{OFFERS}{sure}")).unwrap();
    let said = planned(dir.path(), &[]);
    assert!(!said.contains("random lengths, and none"), "{said}");
    assert!(said.contains("3 sticks of BLK-20, random lengths 1220"), "{said}");
}

/// The one stick on the rack that is long enough goes to a frame that comes first: that was
/// "it cannot be made as asked" too, though a longer one might come. Where it can only be
/// ordered from a day on, that is the day.
#[test]
fn random_lengths_are_asked_about_where_the_long_stick_goes_to_another() {
    let dir = buying("supplier,lead_days\nSED,5\n", "SED,BLK-20,length,1000 .. 2400,6.00,m\n");
    let write = |name: &str, text: &str| fs::write(dir.path().join(name), text).unwrap();
    write("rack.csv", "stick,moulding,length\nR1,BLK-20,1700\n");
    write(
        "frames.csv",
        "frame,moulding,width,height,due,promised,match\n7,BLK-20,400,300,2026-11-26,yes,stick\n",
    );
    let args =
        ["--moulding", "BLK-20", "--size", "400x300", "--match", "stick", "--due", "2026-12-20"];
    let (code, said, _) = quote(dir.path(), &args);
    let first = words(said.split_once("\n\n").unwrap().0);
    let perhaps = "Perhaps, Sunday 20 December, if SED sends BLK-20 in lengths of at least 1480 \
                   mm: ask them first; 58.00 EUR.";
    assert_eq!((code, first), (3, perhaps.to_owned()));
    write(
        "offers.csv",
        "supplier,moulding,form,lengths,price,per,from\n\
         SED,BLK-20,length,1000 .. 2400,6.00,m,2026-12-07\n",
    );
    let (code, said, _) = quote(dir.path(), &args);
    let first = words(said.split_once("\n\n").unwrap().0);
    assert_eq!((code, first), (3, perhaps.to_owned()));
    assert!(words(&said).contains("on Monday 7 December, when it can be had again"), "{said}");
}

/// Four rails of one stick take 1480; of two such suppliers both are named, and what is said
/// is checked.
#[test]
fn what_is_asked_of_random_lengths_is_checked() {
    let offers = "SED,BLK-20,length,1000 .. 2400,6.00,m\nOAK,BLK-20,box,950 .. 1480,1.00,m\n";
    let header = OFFERS.trim_end().to_owned() + ",box\n";
    let dir = buying("supplier,lead_days\nSED,5\nOAK,1\n", "");
    let offers = offers.replace("6.00,m\n", "6.00,m,\n").replace("1.00,m\n", "1.00,m,4\n");
    fs::write(dir.path().join("offers.csv"), header + &offers).unwrap();
    let frames = "frame,moulding,width,height,due,match\n8,BLK-20,400,300,2026-12-03,stick\n";
    fs::write(dir.path().join("frames.csv"), frames).unwrap();
    let shop = read_folder(dir.path()).unwrap();
    let limits = Limits { work: 20_000, deadline: None, stop: None, watch: None };
    let today = jiff::civil::date(2026, 11, 25);
    let right = plan(&shop, today, limits).unwrap().into_inner();
    let reason = HoldReason::RandomLengths {
        layer: 1,
        moulding: "BLK-20".to_owned(),
        least: Length::from_mm(1480),
        suppliers: vec!["OAK".to_owned(), "SED".to_owned()],
    };
    assert_eq!(right.held[0].reason, reason);
    for harm in [0, 1, 2] {
        let mut plan = right.clone();
        let HoldReason::RandomLengths { layer: _, moulding, least, suppliers } =
            &mut plan.held[0].reason
        else {
            panic!("it is held so");
        };
        match harm {
            0 => *least = Length::from_mm(1479),
            1 => suppliers.truncate(1),
            _ => "BLK-32".clone_into(moulding),
        }
        let faults = verify(&shop, &plan).expect_err("the harm is seen");
        assert!(faults.iter().any(|f| matches!(f, Fault::FalseHold { .. })), "{faults:?}");
    }
    let mut shop = shop;
    let sure = longpoint::shop::Lengths::Between(Length::from_mm(1480), Length::from_mm(2400));
    shop.offers[0].lengths = sure;
    let faults = verify(&shop, &right).expect_err("it could be made");
    assert!(faults.iter().any(|f| matches!(f, Fault::FalseHold { .. })), "{faults:?}");
}

/// "Before 12:00" means before: an order at 12:00 went out on the same day, by the quote, the
/// plan and the page alike.
#[test]
fn an_order_at_the_cut_off_is_too_late() {
    let suppliers = "supplier,lead_days,cut_off\nSED,5,12:00\n";
    let dir = buying(suppliers, "SED,BLK-20,length,2000,12.00,stick\n");
    let frames = "frame,moulding,width,height,due\n8,BLK-20,400,300,2026-12-01\n";
    fs::write(dir.path().join("frames.csv"), frames).unwrap();
    let at = |time: &str| {
        let (code, said, _) = quote(dir.path(), &[&SIZE[..], &["--time", time]].concat());
        (code, said.lines().next().unwrap().to_owned(), planned(dir.path(), &["--time", time]))
    };
    let (code, said, plan) = at("11:59");
    assert_eq!((code, said.as_str()), (0, "Tuesday 1 December; 58.00 EUR."));
    assert!(plan.contains("From SED (SED), arrives 2026-11-30:"), "{plan}");
    assert!(plan.contains("Order today before 12:00, because of 8"), "{plan}");
    for time in ["12:00", "12:01"] {
        let (code, said, plan) = at(time);
        assert_eq!((code, said.as_str()), (0, "Wednesday 2 December; 58.00 EUR."), "{time}");
        assert!(plan.contains("From SED (SED), arrives 2026-12-01:"), "{plan}");
        assert!(plan.contains("NOT IN TIME"), "{plan}");
    }
}

fn book(dir: &Path, line: &str) -> String {
    let mut command = Command::cargo_bin("longpoint").unwrap();
    let output = command.current_dir(dir).args(line.split_whitespace()).output().unwrap();
    let all = [output.stdout, output.stderr].map(|bytes| String::from_utf8(bytes).unwrap());
    words(&all.concat())
}

/// Once such an order was placed nothing said any more that nobody might send it: the plan and
/// every quote gave a plain yes. It is not placed before they were asked.
#[test]
fn an_order_that_is_refused_is_not_placed_before_they_are_asked() {
    let offers = "SED,BLK-20,length,2000,12.00,stick\nOAK,BLK-32,length,2000,18.00,stick\n";
    let suppliers = "supplier,minimum,below_minimum,lead_days\nSED,60.00,refused,5\nOAK,,,5\n";
    let dir = buying(suppliers, offers);
    let frames = "frame,moulding,width,height,due,promised,match\n\
                  8,BLK-20,400,300,2026-12-03,yes,\n9,BLK-32,400,300,2026-12-03,yes,\n";
    fs::write(dir.path().join("frames.csv"), frames).unwrap();
    book(dir.path(), "open shop.book --from . --at 2026-11-25T08:00");
    let order =
        |more: &str| book(dir.path(), &format!("order shop.book --at 2026-11-25T09:00 {more}"));
    let said = order("");
    assert!(said.starts_with("Order 1 of 2026-11-25 from OAK"), "{said}");
    assert!(!said.contains("BLK-20 by the length"), "{said}");
    let asked = "SED: ! Refused as it stands, below the minimum of 60.00 EUR: ask them first whether \
                 they take it, or add what you can use. Not ordered from SED: once they say that \
                 they take it, add --even-so.";
    assert!(said.contains(asked), "{said}");
    let plan = || book(dir.path(), "plan shop.book --today 2026-11-25");
    let doubt = "PROMISED for Thursday 3 December 2026, and in doubt: 8:";
    assert!(plan().contains(doubt), "{}", plan());
    let named = order("--supplier SED");
    assert!(named.starts_with("Nothing was ordered. SED: ! Refused"), "{named}");
    assert!(order("--due-today").contains("Nothing"), "nothing cannot wait");
    let placed = order("--even-so");
    assert!(placed.starts_with("Order 2 of 2026-11-25 from SED"), "{placed}");
    assert!(!plan().contains("in doubt"), "they were asked");
}
