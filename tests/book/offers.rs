//! A supplier's change of price or stock: entered once, planned around, exported.

use std::collections::BTreeMap;

use assert_cmd::Command;
use jiff::civil::date;
use longpoint::book::{Book, OfferChange, StockChange, WhichOffers};
use longpoint::measure::Worth;
use longpoint::morning::plan_as_wished;
use longpoint::plan::Wishes;
use longpoint::shop::Offer;

use super::shops::{Files, SETTINGS, TODAY, begin, limits, read, stamp, wrong};

const LIST: &str = "Hazel Mouldings,,\nArt no,Trade,Remark\nH-1,$2.00,\nH-2,3.00,soft\nZ-9,POA,\n";

/// Ash is had from HAZEL by their list and from ELM, dearer.
fn files() -> Files {
    let settings = SETTINGS.to_owned()
        + "[import.HAZEL]\nfile = \"hazel.csv\"\ncode = \"Art no\"\nprice = \"Trade\"\n\
           note = \"Remark\"\nper = \"= ft\"\nlengths = \"= 108\"\n";
    let texts = [
        ("shop.toml", settings.as_str()),
        ("mouldings.csv", "moulding,width,rabbet,stick\nASH,3/4,1/4,108\nH-2,1,1/4,108\n"),
        ("frames.csv", "frame,moulding,width,height\n1,ASH,16,20\n2,H-2,16,20\n"),
        ("rack.csv", "stick,moulding,length\n"),
        ("suppliers.csv", "supplier,lead_days\nHAZEL,3\nELM,3\n"),
        (
            "offers.csv",
            "# hand-written\nsupplier,moulding,form,lengths,price,per,code\n\
             HAZEL,ASH,,,,,H-1\n ELM ,ASH,length,108,2.50,ft,\n",
        ),
        ("hazel.csv", LIST),
    ];
    let file = |(name, text): (&str, &str)| (name.to_owned(), text.as_bytes().to_vec());
    texts.into_iter().map(file).collect()
}

fn which(supplier: &str, moulding: &str) -> WhichOffers {
    WhichOffers {
        supplier: supplier.to_owned(),
        moulding: moulding.to_owned(),
        ..WhichOffers::default()
    }
}

fn priced(price: &str, steps: Option<&str>) -> OfferChange {
    let (price, steps) = (Some(price.to_owned()), steps.map(str::to_owned));
    OfferChange { price, steps, stock: None }
}

/// From whom each moulding would be ordered today.
fn from(book: &Book) -> BTreeMap<String, String> {
    let shop = book.snapshot().unwrap().shop;
    let plan = plan_as_wished(&shop, TODAY, &Wishes::default(), limits()).unwrap();
    let lines = plan.order.lines.iter();
    lines.map(|line| (line.moulding.clone(), line.supplier.clone())).collect()
}

fn offers(book: &Book) -> String {
    let files = book.export().unwrap();
    files.into_iter().find(|(name, _)| name == "offers.csv").unwrap().1
}

#[test]
fn what_is_out_is_had_elsewhere_until_it_is_back() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    assert_eq!(from(&book)["ASH"], "HAZEL");
    let mut stock = |stock: StockChange| {
        let change = OfferChange { stock: Some(stock), ..OfferChange::default() };
        book.change_offers(&which("HAZEL", "ASH"), &change, &stamp()).unwrap();
        (from(&book)["ASH"].clone(), offers(&book))
    };
    let (by, text) = stock(StockChange::Out);
    assert_eq!(by, "ELM");
    assert_eq!(
        text,
        "# hand-written\nsupplier,moulding,form,lengths,price,per,code,out_until\n\
         HAZEL,ASH,,,,,H-1,no\n ELM ,ASH,length,108,2.50,ft,\n"
    );
    let tomorrow = date(2026, 3, 10);
    assert_eq!(stock(StockChange::OutUntil(tomorrow)).0, "ELM");
    assert_eq!(stock(StockChange::OutUntil(TODAY)).0, "HAZEL");
    assert_eq!(stock(StockChange::Back).0, "HAZEL");
}

#[test]
fn an_offer_of_a_list_gets_a_row_that_takes_its_place() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let change = priced("3.25", None);
    let now = book.change_offers(&which("HAZEL", "H-2"), &change, &stamp()).unwrap();
    assert_eq!(now.len(), 1);
    let (was, now) = &now[0];
    assert_eq!((was.price, now.price, now.note.as_str()), (Worth(300_000), Worth(325_000), "soft"));
    assert!(offers(&book).ends_with("\nHAZEL,H-2,,,3.25,,H-2\n"), "{}", offers(&book));
    let all = book.shop().unwrap().offers;
    let of_it: Vec<_> = all.iter().filter(|offer| offer.moulding == "H-2").collect();
    assert_eq!(of_it.len(), 1);
    // What was exported is read as the book reads it.
    let exported: Files =
        book.export().unwrap().into_iter().map(|(name, text)| (name, text.into_bytes())).collect();
    assert_eq!(read(&exported).offers, all);
    let _ = book.undo(None, &stamp()).unwrap();
    assert_eq!(book.shop().unwrap().offers, read(&files()).offers);
}

#[test]
fn what_cannot_be_meant_is_refused_and_changes_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let before = offers(&book);
    let price = |text: &str| priced(text, None);
    let mut refused = |of: WhichOffers, change: &OfferChange| {
        wrong(book.change_offers(&of, change, &stamp()).unwrap_err())
    };
    assert!(refused(which("ASPEN", "ASH"), &price("1")).contains("no supplier \"ASPEN\""));
    assert!(refused(which("ELM", "OAK"), &price("1")).contains("no moulding \"OAK\""));
    assert!(refused(which("ELM", "H-2"), &price("1")).contains("ELM does not offer H-2"));
    let by_box = WhichOffers { form: Some("box".to_owned()), ..which("ELM", "ASH") };
    assert!(refused(by_box, &price("1")).contains("ELM does not offer ASH by the box"));
    let free = refused(which("ELM", "ASH"), &price("2,50"));
    assert!(free.contains("offers.csv, row 4, price: \"2,50\""), "{free}");
    assert_eq!(offers(&book), before);
}

#[test]
fn a_new_list_is_taken_over_with_the_other_files() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let mut later = files();
    later.insert("hazel.csv".to_owned(), LIST.replace("$2.00", "2.75").into_bytes());
    book.refresh((&read(&later), &later), &stamp()).unwrap();
    assert_eq!(book.shop().unwrap().offers[0].price, Worth(275_000));
    assert_eq!(from(&book)["ASH"], "ELM");
    let exported = book.export().unwrap();
    let (_, list) = exported.iter().find(|(name, _)| name == "hazel.csv").unwrap();
    assert_eq!(list.as_bytes(), later["hazel.csv"]);
}

/// Prices for more stood as they were beside a new price, dearer or cheaper than it by then.
/// They are asked about; what they are by now, or that there are none, is written down.
#[test]
fn a_new_price_leaves_no_old_ones_for_more() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = files();
    let rows = "supplier,moulding,form,lengths,price,per,steps,code\n\
                ELM,ASH,length,108,2.50,ft,2.30 from 50; 2.10 from 100,\n";
    files.insert("offers.csv".to_owned(), rows.as_bytes().to_vec());
    let settings =
        String::from_utf8(files["shop.toml"].clone()).unwrap() + "steps = \"= 2.80 from 40\"\n";
    files.insert("shop.toml".to_owned(), settings.into_bytes());
    let mut book = begin(dir.path(), &files);
    let asked = book.change_offers(&which("ELM", "ASH"), &priced("2.20", None), &stamp());
    let asked = wrong(asked.unwrap_err());
    let words = "ELM has other prices for more of ASH: 2.30 from 50; 2.10 from 100 (say what they \
                 are by now with --steps, or that there are none with --steps none)";
    assert_eq!(asked, words);
    assert_eq!(offers(&book), rows);
    // The price that it has anyway changes nothing beside it.
    book.change_offers(&which("ELM", "ASH"), &priced("2.50", None), &stamp()).unwrap();
    let steps = |of: &[(Offer, Offer)]| -> Vec<(u32, Worth)> {
        of[0].1.steps.iter().map(|step| (step.from, step.price)).collect()
    };
    let change = priced("2.20", Some("2.00 from 50"));
    let now = book.change_offers(&which("ELM", "ASH"), &change, &stamp()).unwrap();
    assert_eq!(steps(&now), [(50, Worth(200_000))]);
    let now = book.change_offers(&which("ELM", "ASH"), &priced("2.40", Some("None")), &stamp());
    assert_eq!(steps(&now.unwrap()), []);
    assert!(offers(&book).ends_with("ELM,ASH,length,108,2.40,ft,,\n"), "{}", offers(&book));
    // Those of a price list belong to its price.
    let asked = book.change_offers(&which("HAZEL", "H-2"), &priced("2.90", None), &stamp());
    let asked = wrong(asked.unwrap_err());
    assert!(asked.contains("HAZEL has other prices for more of H-2: 2.80 from 40"), "{asked}");
    let now = book.change_offers(&which("HAZEL", "H-2"), &priced("2.90", Some("none")), &stamp());
    assert_eq!(steps(&now.unwrap()), []);
}

/// The price that was stands beside the price that is, with what becomes of it by its dates.
#[test]
fn a_new_price_is_said_beside_the_old_one() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = files();
    let rows = "supplier,moulding,form,lengths,price,per,steps,until\n\
                ELM,ASH,length,108,2.50,ft,2.30 from 50,\nELM,H-2,length,108,3.00,ft,,2026-03-20\n\
                HAZEL,H-2,length,108,3.20,ft,,2026-03-01\n";
    files.insert("offers.csv".to_owned(), rows.as_bytes().to_vec());
    drop(begin(dir.path(), &files));
    let say = |args: &str| {
        let mut command = Command::cargo_bin("longpoint").unwrap();
        command.current_dir(dir.path()).args(["offer", "shop.book", "--at", "2026-03-09T10:00:00"]);
        let output = command.args(args.split(' ')).output().unwrap();
        let text = |bytes| String::from_utf8(bytes).unwrap();
        (output.status.code().unwrap(), text(output.stdout) + &text(output.stderr))
    };
    let ash = "--supplier ELM --moulding ASH";
    let (code, said) = say(&format!("{ash} --price 2.20"));
    assert!(code == 2 && said.contains("other prices for more of ASH: 2.30 from 50"), "{said}");
    let mut all = Vec::new();
    for args in [
        format!("{ash} --price 2.205 --steps none"),
        format!("{ash} --price 2.60 --out-until 2026-04-01"),
        format!("{ash} --out-until 2026-03-01"),
        "--supplier ELM --moulding H-2 --price 3.10 --out-until 2026-04-01".to_owned(),
        "--supplier HAZEL --moulding H-2 --price 3.40".to_owned(),
    ] {
        let (code, said) = say(&args);
        all.push(format!("{code} {said}"));
    }
    insta::assert_snapshot!(all.concat(), @r"
    0 offers.csv, row 2: ASH of ELM by the length, 2.205 USD a foot (2.50 before); no
    other price for more (2.30 from 50 before); to be had.
    0 offers.csv, row 2: ASH of ELM by the length, 2.60 USD a foot (2.205 before); not
    to be had before 2026-04-01.
    0 offers.csv, row 2: ASH of ELM by the length, 2.60 USD a foot; to be had (it was
    out until 2026-03-01).
    0 offers.csv, row 3: H-2 of ELM by the length, 3.10 USD a foot (3.00 before); not
    to be had before 2026-04-01, and it holds until 2026-03-20 only: nothing is
    bought by it.
    0 offers.csv, row 4: H-2 of HAZEL by the length, 3.40 USD a foot (3.20 before); it
    held until 2026-03-01 and is not bought by any more.
    ");
}
