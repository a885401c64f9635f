//! What the book says and prints: in the shop's unit, as its files were written, and
//! nothing that rounds to nothing.

use std::path::Path;

use assert_cmd::Command;
use longpoint::book::{Book, Wanted, pages};
use longpoint::shop::Flaw;

use super::shops::{begin, files, inches, stamp, take};
use longpoint::measure::Length;

/// What a command says, whether or not it succeeds.
fn said(dir: &Path, args: &[&str]) -> String {
    let mut command = Command::cargo_bin("longpoint").unwrap();
    let output = command.current_dir(dir).args(args).output().unwrap();
    let all = [output.stdout, output.stderr].map(|bytes| String::from_utf8(bytes).unwrap());
    all.concat()
}

/// `check` of a folder said that a file has semicolons and decimal commas, `check` of the
/// book begun from it did not.
#[test]
fn check_of_a_book_says_how_its_files_are_written() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = files();
    let frames = "frame;moulding;width;height\n1;ASH;8,5;10,25\n";
    files.insert("frames.csv".to_owned(), frames.as_bytes().to_vec());
    drop(begin(dir.path(), &files));
    let check = said(dir.path(), &["check", "shop.book"]);
    let how = "frames.csv is read as it is written: with semicolons between its cells and \
               decimal commas.";
    assert!(check.contains(how), "{check}");
    assert!(!check.contains("mouldings.csv is read"), "{check}");
}

/// An inch shop was told of millimetres: how much is left of a stick with a flaw beyond
/// its end, and in the sums of the audit.
#[test]
fn an_inch_shop_sees_no_millimetres() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let flaw = said(dir.path(), &["flaw", "shop.book", "s-6", "60 .. 70"]);
    take(&mut book);
    book.cut_all(None, &stamp()).unwrap();
    drop(book);
    assert!(flaw.contains("of stick S-6, of which") && flaw.contains(" in is left"), "{flaw}");
    let audit = said(dir.path(), &["audit", "shop.book"]);
    let sums: Vec<&str> = audit.lines().filter(|line| line.starts_with("  ")).collect();
    assert_eq!(sums.len(), 7, "{audit}");
    assert!(sums.iter().all(|line| line.ends_with(" in")), "{audit}");
    // Six sticks of 108, 96, 52 5/16, 120, 96 and 61.237 in.
    assert!(sums[0].ends_with(" 533.549500 in") && sums[2].ends_with(" 0 in"), "{audit}");
}

/// `order --out` writes what was ordered, a page for each supplier; what is on order is
/// written no second time.
#[test]
fn an_order_is_printed_as_it_is_placed() {
    let dir = tempfile::tempdir().unwrap();
    said(dir.path(), &["demo", "shop"]);
    said(dir.path(), &["open", "shop.book", "--from", "shop", "--at", "2026-11-25T07:00"]);
    let order = ["order", "shop.book", "--at", "2026-11-25T08:00", "--out"];
    let placed = said(dir.path(), &[&order[..], &["first"]].concat());
    let lines = placed.lines().filter(|line| line.starts_with("  line ")).count();
    assert!(lines > 2, "{placed}");
    let page = |of: &str| std::fs::read_to_string(dir.path().join(of)).unwrap();
    let (sheet, html) = (page("first/order.csv"), page("first/order.html"));
    assert_eq!(sheet.lines().count(), 1 + lines, "{sheet}\n{placed}");
    for line in sheet.lines().skip(1) {
        let moulding = line.split(',').find(|cell| placed.contains(&format!(" x {cell} by")));
        assert!(moulding.is_some_and(|moulding| html.contains(moulding)), "{line}");
    }
    let again = said(dir.path(), &[&order[..], &["second"]].concat());
    assert!(again.contains("nothing to order"), "{again}");
    assert!(!dir.path().join("second").exists(), "nothing was ordered");
}

/// A flaw that was cut away to within less than a mark was printed as "flaw 0 to 0".
#[test]
fn the_label_of_a_clear_offcut_has_no_flaw() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let zone = |to| Flaw { from: Length::ZERO, to };
    book.flaw("S-1", &[zone(Length::from_nm(40_000))], &stamp()).unwrap();
    book.flaw("S-2", &[zone(inches("3/4"))], &stamp()).unwrap();
    let label = |book: &Book, name: &str| {
        let mut rack = book.rack(&Wanted::default()).unwrap();
        rack.retain(|on| on.stick.id == name);
        pages::labels(&book.shop().unwrap(), &rack, true)
    };
    assert!(!label(&book, "S-1").contains("from this end"), "less than a mark");
    let flawed = label(&book, "S-2");
    let flaws: Vec<&str> = flawed.lines().filter(|line| line.contains("from this end")).collect();
    assert!(!flaws.is_empty() && !flawed.contains("flaw 0 to 0 "), "{flaws:?}");
    assert!(
        said(dir.path(), &["labels", "shop.book", "s-2", "--out", "l.html"]).contains("1 label")
    );
}

/// A length in another unit was received without a word; an urgent ticket that found
/// nothing free beside the plan at the bench was told nothing of that.
#[test]
fn what_is_odd_is_said_with_a_way_on() {
    let dir = tempfile::tempdir().unwrap();
    drop(begin(dir.path(), &files()));
    let came = ["receive", "shop.book", "--moulding", "ASH", "--length", "4", "--length", "96"];
    let came = said(dir.path(), &came);
    assert_eq!(came.matches("shorter than any offcut").count(), 1, "{came}");
    let take = ["take", "shop.book", "--at", "2026-03-09T08:00"];
    said(dir.path(), &take);
    let again = said(dir.path(), &[&take[..], &["--only", "7"]].concat());
    assert!(again.contains("finish that with --rest-back"), "{again}");
}
