//! A supplier's change of price or stock: entered once, planned around, exported.

use std::collections::BTreeMap;

use jiff::civil::date;
use longpoint::book::{Book, OfferChange, StockChange, WhichOffers};
use longpoint::measure::Worth;
use longpoint::morning::plan_as_wished;
use longpoint::plan::Wishes;

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
        let change = OfferChange { price: None, stock: Some(stock) };
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
    let change = OfferChange { price: Some("3.25".to_owned()), stock: None };
    let now = book.change_offers(&which("HAZEL", "H-2"), &change, &stamp()).unwrap();
    assert_eq!(now.len(), 1);
    assert_eq!((now[0].price, now[0].note.as_str()), (Worth(325_000), "soft"));
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
    let price = |text: &str| OfferChange { price: Some(text.to_owned()), stock: None };
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
