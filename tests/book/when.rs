//! When to order, and how much the shop uses: from what was really cut.

use longpoint::book::Book;
use longpoint::measure::Length;

use super::command::said;
use super::shops::{Files, begin, files, read, stamp, take};
use super::supplied::buying;

/// Oak comes in eight days, in time for the 18th with a day at the bench only if it is
/// ordered on the 9th; ash in three, and is wanted by the end of the month.
fn two_suppliers() -> Files {
    let frames = "frame,moulding,width,height,due\n1,ASH,8,10,2026-03-31\n2,OAK,8,10,2026-03-18\n";
    buying(frames, "stick,moulding,length\n")
}

#[test]
fn what_can_wait_is_left_in_the_basket_and_worked_out_anew() {
    let dir = tempfile::tempdir().unwrap();
    drop(begin(dir.path(), &two_suppliers()));
    let order =
        |more: &str| said(dir.path(), &format!("order shop.book --at 2026-03-09T09:00 {more}"));
    let (words, code) = order("--due-today");
    assert_eq!(code, Some(0), "{words}");
    assert!(words.contains("from Tern Timber (TERN), arrives 2026-03-17"), "{words}");
    assert!(!words.contains("x ASH"), "{words}");
    let left = "Left in the basket, to be worked out anew by the next plan: CORM: Can wait until \
                Fri 2026-03-27 (arrives 2026-03-30): nothing is made late by that.";
    assert!(words.contains(left), "{words}");
    let (words, _) = said(dir.path(), "plan shop.book --today 2026-03-09");
    assert!(words.contains("1 stick of ASH") && !words.contains("stick of OAK"), "{words}");
    // Nothing is due, and nothing happens.
    let (words, code) = order("--due-today");
    assert!(words.contains("Nothing has to be ordered today."), "{words}");
    assert_eq!(code, Some(0));
    for (named, wrong) in [
        ("TERN", "--supplier: nothing is to be ordered from TERN"),
        ("TURN", "--supplier: \"TURN\" is not in suppliers.csv (known are CORM, TERN)"),
    ] {
        let (words, code) = order(&format!("--supplier {named}"));
        assert!(words.contains(wrong), "{words}");
        assert_eq!(code, Some(2));
    }
    let (words, _) = order("--supplier CORM");
    assert!(words.contains("1 x ASH"), "{words}");
    let book = Book::open(&dir.path().join("shop.book")).unwrap();
    assert_eq!(book.open_lines().unwrap().len(), 2);
    let (words, code) = order("");
    assert!(words.contains("nothing to order beside what is on order already"), "{words}");
    assert_eq!(code, Some(2));
}

/// A month in which so much was cut; what the file says stands.
#[test]
fn a_book_knows_what_is_used_in_a_month() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = files();
    let said = "moulding,width,rabbet,stick,price,per,monthly\nASH,1,1/4,108,2.10,ft,\n\
                OAK,1 1/2,1/4,120,4.20,ft,0.25\n";
    files.insert("mouldings.csv".to_owned(), said.as_bytes().to_vec());
    assert_eq!(read(&files).mouldings["ASH"].monthly, None);
    let mut book = begin(dir.path(), &files);
    assert_eq!(book.snapshot().unwrap().shop.mouldings["ASH"].monthly, None);
    take(&mut book);
    book.cut_all(None, &stamp()).unwrap();
    book.finish(None, ("bay 9", false), &stamp()).unwrap();
    let figures = book.figures().unwrap();
    let used = |id: &str| -> Length {
        let of = figures.mouldings.iter().find(|(moulding, _)| moulding == id);
        of.expect("it was cut").1.used()
    };
    let mouldings = book.snapshot().unwrap().shop.mouldings;
    // All on one day, so in one month: so many thousandths of its usual stick.
    let right = used("ASH").nm() * 1000 / mouldings["ASH"].stick.nm();
    assert!(right > 500, "{right}");
    assert_eq!(mouldings["ASH"].monthly.map(i64::from), Some(right));
    assert_eq!(mouldings["OAK"].monthly, Some(250));
}
