//! What the book says and prints: in the shop's unit, as its files were written, and
//! nothing that rounds to nothing.

use std::path::Path;

use assert_cmd::Command;
use longpoint::book::{Book, RackQuery, pages};
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

/// Begins a book of the demo's shop.
fn open_demo(dir: &Path) {
    said(dir, &["demo", "shop"]);
    said(dir, &["open", "shop.book", "--from", "shop", "--at", "2026-11-25T07:00"]);
}

/// Words as they are said, wherever their lines end.
fn in_a_line(said: &str) -> String {
    said.split_whitespace().collect::<Vec<&str>>().join(" ")
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
    open_demo(dir.path());
    let order = ["order", "shop.book", "--at", "2026-11-25T08:00", "--out"];
    let plan = said(dir.path(), &["plan", "shop.book", "--today", "2026-11-25"]);
    let (to_pay, _) = plan.split_once("To pay ").unwrap().1.split_once(':').unwrap();
    let placed = said(dir.path(), &[&order[..], &["first"]].concat());
    assert!(placed.contains(&format!("\nTo pay {to_pay}.\n")), "{placed}\n{plan}");
    let bills = placed.lines().filter(|line| line.contains(": goods ")).count();
    assert_eq!(bills, placed.matches("arrives ").count(), "a bill for each supplier: {placed}");
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

/// Where the shop has no suppliers nobody bills anything: it is not said that nothing is to
/// pay.
#[test]
fn what_nobody_bills_is_not_added_up() {
    let dir = tempfile::tempdir().unwrap();
    said(dir.path(), &["demo", "shop", "--metric"]);
    for name in ["suppliers.csv", "offers.csv"] {
        std::fs::remove_file(dir.path().join("shop").join(name)).unwrap();
    }
    said(dir.path(), &["open", "shop.book", "--from", "shop", "--at", "2026-11-25T07:00"]);
    let placed = said(dir.path(), &["order", "shop.book", "--at", "2026-11-25T08:00"]);
    assert!(placed.contains("  line 1:") && !placed.contains("To pay"), "{placed}");
}

/// The order stood in the book before its pages were on the disk: where they could not be
/// written, nothing printed them again.
#[test]
fn an_order_whose_pages_cannot_be_written_is_not_placed() {
    let dir = tempfile::tempdir().unwrap();
    open_demo(dir.path());
    let order = ["order", "shop.book", "--at", "2026-11-25T08:00", "--out"];
    let open = || said(dir.path(), &["order", "shop.book", "--open"]);
    // A file where the folder would be, and a folder where a page would be.
    std::fs::write(dir.path().join("file"), "no folder").unwrap();
    std::fs::create_dir_all(dir.path().join("folder/order.html")).unwrap();
    for (out, why) in [("file", "as a folder"), ("folder", "is not a file")] {
        let refused = said(dir.path(), &[&order[..], &[out]].concat());
        assert!(refused.contains(why) && !refused.contains("stands in the book"), "{refused}");
        assert!(open().contains("Nothing is on order"), "{}", open());
    }
    let left = std::fs::read_dir(dir.path().join("folder")).unwrap().count();
    assert_eq!(left, 1, "no page lies beside");
    said(dir.path(), &[&order[..], &["sent"]].concat());
    assert!(open().contains("Order 1"), "{}", open());
    let print = ["order", "shop.book", "--print"];
    let printed = said(dir.path(), &[&print[..], &["1", "--out", "again"]].concat());
    assert_eq!(printed, "Wrote the pages of order 1 to again.\n");
    for page in ["order.csv", "order.html"] {
        let of = |folder: &str| std::fs::read(dir.path().join(folder).join(page)).unwrap();
        assert_eq!(of("sent"), of("again"), "{page}");
    }
    let none = said(dir.path(), &[&print[..], &["7", "--out", "none"]].concat());
    assert!(none.contains("no order 7"), "{none}");
    said(dir.path(), &["undo", "shop.book"]);
    let undone = said(dir.path(), &[&print[..], &["1", "--out", "none"]].concat());
    assert!(undone.contains("was undone"), "{undone}");
    assert!(!dir.path().join("none").exists(), "nothing is written");
}

/// The workbook of an order stands before the order does, as its pages do; once it stands
/// it is written again, with the pages or by itself.
#[test]
fn an_order_is_placed_only_once_its_workbook_can_be_written() {
    let dir = tempfile::tempdir().unwrap();
    open_demo(dir.path());
    let order = ["order", "shop.book", "--at", "2026-11-25T08:00", "--xlsx"];
    let open = || said(dir.path(), &["order", "shop.book", "--open"]);
    std::fs::create_dir(dir.path().join("folder.xlsx")).unwrap();
    let places = [
        ("none/order.xlsx", "cannot be written"),
        ("folder.xlsx", "is not a file"),
        ("shop/frames.csv", "is no workbook"),
    ];
    for (file, why) in places {
        let refused = said(dir.path(), &[&order[..], &[file, "--out", "sent"]].concat());
        assert!(refused.contains(why) && !refused.contains("stands in the book"), "{refused}");
        assert!(open().contains("Nothing is on order"), "{}", open());
        assert!(!dir.path().join("sent").exists(), "no page lies there");
    }
    said(dir.path(), &[&order[..], &["order.xlsx"]].concat());
    assert!(open().contains("Order 1"), "{}", open());
    let print = ["order", "shop.book", "--print", "1", "--at", "2026-11-25T09:00"];
    let nowhere = in_a_line(&said(dir.path(), &print));
    assert!(nowhere.contains("say where to, with --out DIR, --xlsx FILE or both"), "{nowhere}");
    let printed = said(dir.path(), &[&print[..], &["--xlsx", "again.xlsx"]].concat());
    assert_eq!(printed, "Wrote the pages of order 1 to again.xlsx.\n");
    let both =
        said(dir.path(), &[&print[..], &["--out", "again", "--xlsx", "third.xlsx"]].concat());
    assert_eq!(both, "Wrote the pages of order 1 to again and third.xlsx.\n");
    let read = |file: &str| std::fs::read(dir.path().join(file)).unwrap();
    assert!(read("order.xlsx") == read("again.xlsx") && read("again.xlsx") == read("third.xlsx"));
}

/// What is at the bench is due all the same, and what is cut until it is fitted or its day
/// is past; what is cancelled is not.
#[test]
fn the_calendar_of_a_book_has_what_is_in_work() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let events = |today: &str| -> Vec<String> {
        let all = said(dir.path(), &["calendar", "shop.book", "--today", today]);
        let each = all.lines().filter_map(|line| line.strip_prefix("SUMMARY:"));
        each.map(str::to_owned).collect()
    };
    let before = events("2026-03-09");
    assert_eq!(before.len(), 6, "each frame with a day: {before:#?}");
    take(&mut book);
    assert!(book.snapshot().unwrap().shop.frames.len() < 6, "some are at the bench");
    assert_eq!(events("2026-03-09"), before);
    book.cut_all(None, &stamp()).unwrap();
    book.make("2", Some(1), longpoint::book::Assembly::Fitted, &stamp()).unwrap();
    book.cancel("1", None, &stamp()).unwrap();
    let after = events("2026-03-09");
    let gone: Vec<&String> = before.iter().filter(|event| !after.contains(event)).collect();
    assert!(gone[0].starts_with("1 due: ") && gone[1].starts_with("2 due: "), "{gone:?}");
    assert_eq!((gone.len(), after.len()), (2, 4));
    book.finish(None, ("", false), &stamp()).unwrap();
    assert_eq!(events("2026-03-09"), after);
    let pile = book.snapshot().unwrap().shop.frames;
    let still = pile.iter().filter(|frame| frame.due.is_some()).count();
    assert_eq!(events("2026-04-09").len(), still, "what is cut has had its day");
}

/// A flaw that was found stands in the stick's history, in the shop's unit.
#[test]
fn a_flaw_stands_in_the_history_of_its_stick() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let told = || in_a_line(&said(dir.path(), &["stick", "shop.book", "S-2"]));
    assert!(told().contains("open flawed 30 .. 31"), "{}", told());
    let flaw = Flaw { from: inches("40 1/2"), to: inches("41") };
    book.flaw("S-2", &[flaw], &stamp()).unwrap();
    assert!(told().contains("flaw flawed 30 .. 31; 40 1/2 .. 41 by Ana"), "{}", told());
    let flaws = Some(Vec::new());
    let none = longpoint::book::Correction { flaws, ..longpoint::book::Correction::default() };
    book.correct("S-2", &none, &stamp()).unwrap();
    assert!(told().contains("correct flawed none by Ana"), "{}", told());
    take(&mut book);
    let before = told().matches("flawed").count();
    book.cut("S-2", None, &stamp()).unwrap();
    assert_eq!(told().matches("flawed").count(), before, "a cut finds no flaw");
}

/// A label's size is read in the shop's unit, and refused with what was read.
#[test]
fn a_label_that_is_too_large_says_in_which_unit_it_was_read() {
    let dir = tempfile::tempdir().unwrap();
    drop(begin(dir.path(), &files()));
    let labels = ["labels", "shop.book", "--all", "--out", "labels.html"];
    let refused = in_a_line(&said(dir.path(), &[&labels[..], &["--single=60x40"]].concat()));
    assert!(refused.contains("no label that can be read: 60 x 40 in"), "{refused}");
    assert!(refused.contains("write the unit, such as 60x40mm"), "{refused}");
    let written = said(dir.path(), &[&labels[..], &["--single=60x40mm"]].concat());
    assert!(written.contains("labels.html"), "{written}");
}

/// A second look with more search or less can be another than the first; pressed again, at
/// once or a week later, nothing is ordered for the same frames. Only what changes the
/// shop lets more be ordered.
#[test]
fn a_shop_in_which_nothing_changed_orders_once() {
    let dir = tempfile::tempdir().unwrap();
    open_demo(dir.path());
    let order = |at: &str, effort: &str| {
        let args = ["order", "shop.book", "--effort", effort, "--at", at];
        said(dir.path(), &args)
    };
    let first = order("2026-11-25T08:00", "brisk");
    assert!(first.contains("line 1:"), "{first}");
    for (at, effort) in [("2026-11-25T08:05", "steady"), ("2026-12-01T08:00", "brisk")] {
        let again = order(at, effort);
        assert!(again.contains("nothing to order beside what is on order"), "{at}: {again}");
    }
    let plan =
        said(dir.path(), &["plan", "shop.book", "--today", "2026-11-25", "--effort", "brisk"]);
    assert!(plan.contains("on order") && !plan.contains("Total of the order"), "{plan}");
    let drop = ["order", "shop.book", "--drop", "1", "--at", "2026-11-25T10:00"];
    said(dir.path(), &drop);
    let after = order("2026-11-25T10:05", "brisk");
    assert!(after.contains("line "), "{after}");
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
        let mut rack = book.rack(&RackQuery::default()).unwrap();
        rack.retain(|on| on.stick.id == name);
        pages::labels(&book.shop().unwrap(), (&rack, &[]), Some(pages::USUAL_LABEL))
    };
    assert!(!label(&book, "S-1").contains("from this end"), "less than a mark");
    let flawed = label(&book, "S-2");
    let flaws: Vec<&str> = flawed.lines().filter(|line| line.contains("from this end")).collect();
    assert!(!flaws.is_empty() && !flawed.contains("flaw 0 to 0 "), "{flaws:?}");
    assert!(
        said(dir.path(), &["labels", "shop.book", "s-2", "--out", "l.html"]).contains("1 label")
    );
    // A printer's own label, two thirds of the usual one in width.
    let small = ["labels", "shop.book", "s-2", "--single=60x40mm", "--out", "l.html"];
    assert!(said(dir.path(), &small).contains("1 label"));
    let page = std::fs::read_to_string(dir.path().join("l.html")).unwrap();
    assert!(page.contains("size: 60.000mm 40.000mm") && page.contains("--part: 0.674;"), "{page}");
    let wrong = said(dir.path(), &["labels", "shop.book", "--single=30x20mm", "--out", "l.html"]);
    assert!(wrong.contains("--single: \"30x20mm\" is no label that can be read"), "{wrong}");
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

/// Each of these was refused, or done, without a word of what to do next.
#[test]
fn what_is_refused_names_the_way_on() {
    let dir = tempfile::tempdir().unwrap();
    let run = |args: &[&str]| said(dir.path(), args).replace('\n', " ");
    run(&["demo", "shop"]);
    run(&["open", "shop.book", "--from", "shop", "--at", "2026-11-25T07:00"]);
    run(&["take", "shop.book", "--at", "2026-11-25T07:30"]);
    let placed = run(&["order", "shop.book", "--at", "2026-11-25T08:00"]);
    let chop = placed.split("line ").find(|line| line.contains("by the chop")).unwrap();
    let chop = chop.split(':').next().unwrap();
    let received = run(&["receive", "shop.book", "--line", chop, "--length", "48"]);
    assert!(
        received.contains(&format!("longpoint receive shop.book --line {chop};")),
        "{received}"
    );
    let counted = run(&["count", "shop.book", "bay 6", "S-181=95"]);
    assert!(counted.contains("longpoint correct shop.book S-181 --length"), "{counted}");
    run(&["correct", "shop.book", "S-180", "--place", "BAY6"]);
    let rack = run(&["rack", "shop.book", "--place", "bay 6"]);
    assert!(rack.contains("S-180") && !rack.contains("BAY6"), "{rack}");
    let shop = Book::open(&dir.path().join("shop.book")).unwrap().shop().unwrap();
    let awaits = shop.frames.iter().find(|frame| !frame.coming(1).is_empty()).unwrap();
    let cancelled = run(&["cancel", "shop.book", &awaits.id]);
    let line = format!("longpoint order shop.book --drop {chop}");
    assert!(cancelled.contains(&line), "{cancelled}");
}

/// All was ordered, the plan went to the bench, and more was ordered for the same frames:
/// the offcuts that they were to be cut from were not cut yet, and counted for nothing.
#[test]
fn what_the_bench_will_leave_is_not_bought() {
    let dir = tempfile::tempdir().unwrap();
    let run = |args: &[&str]| in_a_line(&said(dir.path(), args));
    run(&["demo", "shop"]);
    run(&["open", "shop.book", "--from", "shop", "--at", "2026-11-25T07:00"]);
    let order = || run(&["order", "shop.book", "--at", "2026-11-25T09:00"]);
    assert!(order().contains("line 1:"));
    run(&["take", "shop.book", "--at", "2026-11-25T09:30"]);
    assert!(order().contains("nothing to order"), "{}", order());
    run(&["cut", "shop.book", "O-104", "S-198"]);
    assert!(order().contains("nothing to order"), "{}", order());
    run(&["cut", "shop.book", "--all"]);
    run(&["finish", "shop.book", "--at", "2026-11-25T17:00"]);
    assert!(order().contains("nothing to order"), "{}", order());
}
