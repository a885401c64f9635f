//! What a quote left unsaid, or said so that nobody understood it.

use std::fs;
use std::path::Path;

use super::asked::{OFFERS, buying, planned, words};
use super::said::{quote, shop};

const SIZE: [&str; 4] = ["--moulding", "BLK-20", "--size", "400x300"];

fn write(dir: &Path, name: &str, text: &str) {
    fs::write(dir.join(name), text).unwrap();
}

/// "On Monday, when it can be had again before 12:00" was no sentence.
#[test]
fn the_cut_off_of_the_day_on_which_it_can_be_had_again_is_said_with_the_day() {
    let dir = buying("supplier,lead_days,cut_off\nSED,5,12:00\n", "");
    let offer = "SED,BLK-20,length,2000,12.00,stick,2026-12-07\n";
    write(dir.path(), "offers.csv", &format!("{},out_until\n{offer}", OFFERS.trim_end()));
    let (_, said, _) = quote(dir.path(), &[&SIZE[..], &["--due", "2026-12-20"]].concat());
    let comes = "if it is ordered from SED on Monday 7 December before 12:00, when it can be had \
                 again; ready";
    assert!(words(&said).contains(comes), "{said}");
    let offer = "SED,BLK-20,length,2000,12.00,stick\n";
    write(dir.path(), "offers.csv", &format!("{OFFERS}{offer}"));
    let (_, said, _) = quote(dir.path(), &[&SIZE[..], &["--due", "2026-12-20"]].concat());
    let comes = "if it is ordered from SED today before 12:00; ready Tuesday 1 December; for Sunday \
                 20 December it can be ordered until Monday 14 December";
    assert!(words(&said).contains(comes), "{said}");
}

/// Where nobody has it by the stick any more, nothing was said of what it costs now. 9.00 a
/// metre less a tenth are 8.10 (computed).
#[test]
fn a_moulding_that_can_only_be_had_chopped_is_dearer_by_now() {
    let head = "supplier,moulding,form,lengths,price,per,fee,until\n";
    let dir = buying("supplier,lead_days,discount\nSED,5,0.1\n", "");
    let chop = "SED,BLK-20,chop,100 .. 1500,9.00,m,2.50,\n";
    let gone = "SED,BLK-20,length,2000,12.00,stick,,2026-11-20\n";
    let ask = |offers: &str| {
        write(dir.path(), "offers.csv", &format!("{head}{offers}"));
        words(&quote(dir.path(), &SIZE).1)
    };
    let said = ask(&format!("{gone}{chop}"));
    let dearer = "Dearer now: BLK-20 costs 8.10 EUR a metre at the least to buy (SED, chopped, \
                  before what they charge for cutting), and is priced by 6.00 EUR";
    assert!(said.contains(dearer), "{said}");
    // By the stick it costs what it is priced by.
    let said = ask(&format!("{}{chop}", gone.replace("2026-11-20", "")));
    assert!(!said.contains("Dearer now"), "{said}");
}

/// What a quote says is bought is worked out for its mouldings alone, and the plan orders for
/// all that waits: in seven of 33 shops drawn at random it bought otherwise.
#[test]
fn what_is_bought_for_a_quote_is_about_so() {
    let dir = buying("supplier,lead_days\nSED,5\n", "SED,BLK-20,length,2000,12.00,stick\n");
    let (_, said, _) = quote(dir.path(), &SIZE);
    let bought = "Bought: about 1 stick of BLK-20, 2000 mm, from SED";
    assert!(words(&said).contains(bought), "{said}");
}

/// A shop in millimetres was told to write 16x20, and a gap of 1/4.
#[test]
fn a_hint_speaks_the_shops_own_unit() {
    let dir = shop();
    let wrong = |args: &[&str]| {
        let (code, _, wrong) = quote(dir.path(), args);
        assert_eq!(code, 2);
        wrong
    };
    let size = wrong(&["--moulding", "BLK-20", "--size", "large"]);
    assert!(size.contains("such as 400x500"), "{size}");
    let gap = wrong(&["--moulding", "FLO-35", "--size", "400x300"]);
    assert!(gap.contains("such as --gap 6)"), "{gap}");
    let across = wrong(&["--moulding", "BLK-20", "--sides", "6", "--size", "wide"]);
    assert!(across.contains("such as 300)"), "{across}");
    for (name, from, to) in [
        ("shop.toml", "\"mm\"", "\"in\""),
        ("shop.toml", "\"900\"", "\"8\""),
        ("mouldings.csv", ",2000,", ",120,"),
    ] {
        let text = fs::read_to_string(dir.path().join(name)).unwrap();
        write(dir.path(), name, &text.replace(from, to));
    }
    write(dir.path(), "rack.csv", "stick,moulding,length\n");
    write(dir.path(), "offers.csv", OFFERS);
    let size = wrong(&["--moulding", "BLK-20", "--size", "large"]);
    assert!(size.contains("such as 16x20"), "{size}");
}

/// One word of a name with a slip in it was no name at all.
#[test]
fn a_word_with_a_slip_in_it_is_asked_about() {
    let dir = shop();
    let wrong = |named: &str| quote(dir.path(), &["--moulding", named, "--size", "400x300"]).2;
    let said = wrong("blakc");
    assert!(said.contains("(did you mean black: BLK-20, BLK-32, FLO-35?)"), "{said}");
    let said = wrong("Wdie black");
    assert!(said.contains("(did you mean wide black: BLK-32?)"), "{said}");
    let said = wrong("linnen");
    assert!(said.contains("(did you mean linen: LIN-8?)"), "{said}");
    let said = wrong("zebrano");
    assert!(said.contains("(write its code as it stands there)"), "{said}");
}

/// Glass without a price was left out of what a job costs, and nobody was told.
#[test]
fn a_job_whose_glass_has_no_price_is_quoted_without_it() {
    let dir = tempfile::tempdir().unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo");
    for file in fs::read_dir(demo).unwrap() {
        let path = file.unwrap().path();
        fs::copy(&path, dir.path().join(path.file_name().unwrap())).unwrap();
    }
    let ask = |more: &[&str]| {
        let args = ["--job", "4101", "--moulding", "BLK-20"];
        quote(dir.path(), &[&args[..], more].concat()).1
    };
    assert!(!ask(&[]).contains("GLASS-2"), "{}", ask(&[]));
    let file = dir.path().join("materials.csv");
    let materials = fs::read_to_string(&file).unwrap();
    let bare = materials.replace("36x48,14.00,sheet", "36x48,,");
    assert_ne!(bare, materials);
    fs::write(&file, bare).unwrap();
    let said = words(&ask(&[]));
    assert!(said.contains(" USD and tax, without GLASS-2. "), "{said}");
    assert!(said.contains("Not in it: GLASS-2: no price in materials.csv"), "{said}");
    let side = ask(&["--moulding", "ASH-20"]);
    assert_eq!(side.matches("without GLASS-2, of no price").count(), 2, "{side}");
    let answer: serde_json::Value = serde_json::from_str(&ask(&["--json"])).unwrap();
    assert_eq!(answer["quotes"][0]["price"]["without"], serde_json::json!(["GLASS-2"]));
    let page = dir.path().join("quote.html");
    ask(&["--out", page.to_str().unwrap()]);
    let page = fs::read_to_string(page).unwrap();
    assert!(page.contains("without Clear glass 2 mm"), "{page}");
}

/// Of what is sold in no fewer than five, the arithmetic spoke of an order of one, which
/// nobody takes.
#[test]
fn the_arithmetic_orders_no_fewer_than_are_sold() {
    let dir = buying("supplier,minimum,lead_days\nSED,70.00,5\n", "");
    let head = format!("{},least_count\n", OFFERS.trim_end());
    let frames = "frame,moulding,width,height,due\n7,BLK-20,400,300,2026-12-10\n";
    write(dir.path(), "frames.csv", frames);
    let ask = |least: &str| {
        let offer = format!("SED,BLK-20,length,2000,12.00,stick,{least}\n");
        write(dir.path(), "offers.csv", &format!("{head}{offer}"));
        planned(dir.path(), &["--why"])
    };
    let said = ask("5");
    assert!(said.contains("5 sticks of BLK-20"), "{said}");
    assert!(!said.contains("without what is beyond need: goods 12.00"), "{said}");
}

/// Mouldings were offered beside the one that was asked for in which the frame cannot be made:
/// that nobody sells any more, or only in sticks that are too short for it.
#[test]
fn no_other_moulding_is_named_in_which_the_frame_cannot_be_made() {
    let head = "supplier,moulding,form,lengths,price,per,out_until,until\n";
    let dir = buying("supplier,lead_days\nSED,5\n", "");
    let mouldings = "moulding,name,width,rabbet,stick,price,per\n\
        BLK-20,Matt black,20,10,2000,6.00,m\nASH-19,Ash,19,10,2000,6.00,m\n\
        OAK-21,Oak,21,10,1000,6.00,m\nFIR-22,Fir,22,10,2000,6.00,m\n\
        ELM-23,Elm,23,10,2000,6.00,m\nYEW-24,Yew,24,10,2000,6.00,m\n";
    write(dir.path(), "mouldings.csv", mouldings);
    let offers = "SED,BLK-20,length,2000,12.00,stick,,\nSED,OAK-21,length,1000,6.00,stick,,\n\
        SED,FIR-22,length,2000,12.00,stick,,\nSED,ELM-23,length,2000,12.00,stick,,2026-11-20\n\
        SED,YEW-24,length,2000,12.00,stick,2026-12-07,\n";
    write(dir.path(), "offers.csv", &format!("{head}{offers}"));
    let ask = |moulding: &str| quote(dir.path(), &["--moulding", moulding, "--size", "1200x300"]).1;
    let near = || {
        let said = ask("BLK-20");
        let (_, near) = said.split_once("OTHER MOULDINGS").unwrap();
        let all = ["ASH-19", "OAK-21", "FIR-22", "ELM-23", "YEW-24"];
        let (named, left_out): (Vec<_>, Vec<_>) = all.into_iter().partition(|id| near.contains(id));
        // Just those of which a quote says no are left out.
        let is_no = |id: &&str| ask(id).starts_with("No: it cannot be made as asked.");
        assert!(left_out.iter().all(is_no) && !named.iter().any(is_no), "{said}");
        named
    };
    // What can be had again later can be made.
    assert_eq!(near(), ["ASH-19", "FIR-22", "YEW-24"]);
    // And what has long sticks on the rack.
    let rack = "stick,moulding,length\nR1,OAK-21,2000\nR2,OAK-21,2000\nR3,ELM-23,1000\n";
    write(dir.path(), "rack.csv", rack);
    assert_eq!(near(), ["ASH-19", "OAK-21", "FIR-22", "YEW-24"]);
}
