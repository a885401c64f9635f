//! Invoices against orders, worked out by hand. All figures are computed; those of a line
//! are rounded once, to the nearest cent.

use std::collections::BTreeMap;

use longpoint::book::{BillSums, Book, Delivery, Invoice, Reckoning, pages};
use longpoint::measure::Money;

use super::shops::{Files, SETTINGS, balanced, begin, inches, stamp};
use super::supplied::{order, refused, with};

const FRAMES: &str = "frame,moulding,width,height,copies,due,match\n";

/// A shop that buys what its rack lacks, whether it pays or not: so many of each moulding.
fn filling(frames: &str, mouldings: &str, suppliers: &str, offers: &str) -> Files {
    with(&[
        ("shop.toml", &format!("{SETTINGS}[buying]\nrestock = \"always\"\nspare_most = \"0\"\n")),
        ("frames.csv", &format!("{FRAMES}{frames}")),
        ("rack.csv", "stick,moulding,length\n"),
        ("mouldings.csv", &format!("moulding,width,rabbet,stick,keep_on_rack\n{mouldings}")),
        (
            "suppliers.csv",
            &format!(
                "supplier,lead_days,freight,minimum,long_over,long_charge,halves\n{suppliers}"
            ),
        ),
        (
            "offers.csv",
            &format!("supplier,moulding,form,lengths,price,per,box,steps,least,fee\n{offers}"),
        ),
    ])
}

fn comes(book: &mut Book, line: i64, lengths: &[&str]) {
    let delivery = Delivery {
        moulding: book.moulding_of_line(line).unwrap(),
        lengths: lengths.iter().map(|length| inches(length)).collect(),
        lot: String::new(),
        place: String::new(),
        flaws: Vec::new(),
        line: Some(line),
    };
    book.receive(&delivery, &stamp()).unwrap();
}

fn bill(goods: i64, lines: &[(i64, i64)]) -> Invoice {
    Invoice {
        order: 1,
        sums: BillSums { goods: Money(goods), ..BillSums::default() },
        lines: lines.iter().map(|(line, goods)| (*line, Money(*goods))).collect(),
        ..Invoice::default()
    }
}

/// What came of the only line comes to, in cents.
fn worth(book: &Book) -> i64 {
    let reckoning = book.reckoning(1, None).unwrap();
    assert_eq!(reckoning.goods, reckoning.lines[0].worth);
    reckoning.goods.unwrap().0
}

/// The only line of an order of so many of a moulding.
fn only(mouldings: &str, suppliers: &str, offers: &str) -> (tempfile::TempDir, Book) {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &filling("", mouldings, suppliers, offers));
    let lines = order(&mut book);
    assert_eq!(lines.len(), 1, "{lines:?}");
    (dir, book)
}

/// Random lengths: 100 1/2 in and 117 1/4 in are 217.75 in, at 4.25 a foot
/// 217.75 / 12 x 4.25 = 77.1197...
#[test]
fn what_goes_by_length_is_priced_by_the_length_that_came() {
    let (_dir, mut book) =
        only("OAK,1 1/2,1/4,96,2\n", "TERN,8,18,,,,\n", "TERN,OAK,length,96 .. 120,4.25,ft,,,,\n");
    assert_eq!(worth(&book), 0);
    comes(&mut book, 1, &["100 1/2"]);
    // 100.5 / 12 x 4.25 = 35.59375.
    assert_eq!(worth(&book), 3559);
    comes(&mut book, 1, &["117 1/4"]);
    assert_eq!(worth(&book), 7712);
    balanced(&book);
}

/// 4 sticks of 7.125 each are 28.50; of 3 that came the cost is 21.375, and a half is
/// rounded up.
#[test]
fn what_goes_by_the_stick_is_counted() {
    let (_dir, mut book) =
        only("FIL,1/2,1/4,96,4\n", "CORM,3,,,,,\n", "CORM,FIL,length,96,7.125,stick,,,,\n");
    comes(&mut book, 1, &["96", "95", "96 1/2"]);
    assert_eq!(worth(&book), 2138);
}

/// From 3 sticks on a foot is 1.80: the step that the order reached holds for what came
/// of it. 96 in are 8 ft, 14.40.
#[test]
fn the_step_that_the_order_reached_holds() {
    let (_dir, mut book) =
        only("FIL,1/2,1/4,96,3\n", "CORM,3,,,,,\n", "CORM,FIL,length,96,2.00,ft,,1.80 from 24,,\n");
    comes(&mut book, 1, &["96"]);
    assert_eq!(worth(&book), 1440);
}

/// 2 boxes of 6 at 55.00: 7 sticks are 7/6 of a box, 64.1666... A box is given up as a
/// whole: 5 are left, less than a box.
#[test]
fn part_of_a_box_is_its_share_and_whole_boxes_are_given_up() {
    let (_dir, mut book) =
        only("ASH,1,1/4,108,8\n", "TERN,8,,,,,\n", "TERN,ASH,box,108,55.00,box,6,,,\n");
    comes(&mut book, 1, &["108"; 5]);
    book.drop_lines(&[(1, Some(1))], &stamp()).unwrap();
    assert_eq!(book.open_lines().unwrap()[0].to_come(), 1);
    let said = refused(book.drop_lines(&[(1, Some(1))], &stamp()));
    assert!(said.contains("of it 0 whole boxes are still to come"), "{said}");
    book.undo(None, &stamp()).unwrap();
    comes(&mut book, 1, &["108"; 2]);
    assert_eq!(worth(&book), 6417);
    balanced(&book);
}

/// A stick of 9 ft at 2.10 is cut in half by the supplier: each half is half of 18.90,
/// whatever their saw took.
#[test]
fn half_a_stick_is_half_of_what_was_ordered() {
    let dir = tempfile::tempdir().unwrap();
    let frames = "1,ASH,8,10,2,,any\n";
    let files = filling(
        frames,
        "ASH,1,1/4,108,\n",
        "TERN,8,,,100,35,yes\n",
        "TERN,ASH,length,108,2.10,ft,,,,\n",
    );
    let mut book = begin(dir.path(), &files);
    let lines = order(&mut book);
    assert_eq!((lines[0].count, lines[0].pieces), (1, 2), "{lines:?}");
    comes(&mut book, 1, &["53 7/8"]);
    assert_eq!(worth(&book), 945);
    comes(&mut book, 1, &["53 3/4"]);
    assert_eq!(worth(&book), 1890);
}

/// A fillet of 3 x 4 is billed as 4 ft at 1.50 with 2.25 for each: 8.25. Of three one is
/// given up.
#[test]
fn chopped_frames_are_priced_with_their_fee() {
    let dir = tempfile::tempdir().unwrap();
    let files = filling(
        "1,FIL,3,4,3,,any\n",
        "FIL,1/2,1/4,96,\n",
        "CORM,3,,,,,\n",
        "CORM,FIL,chop,2 .. 60,1.50,ft,,,48,2.25\n",
    );
    let mut book = begin(dir.path(), &files);
    order(&mut book);
    book.drop_lines(&[(1, Some(1))], &stamp()).unwrap();
    book.receive_chops(1, &stamp()).unwrap();
    assert_eq!(worth(&book), 1650);
    balanced(&book);
}

/// Two mouldings of one supplier: 3 x 9 ft at 2.10 and 2 x 8 ft at 1.10, 56.70 and 17.60;
/// made up to the minimum of 80.00, and 12.00 carriage.
fn two_lines() -> (tempfile::TempDir, Book) {
    let dir = tempfile::tempdir().unwrap();
    let files = filling(
        "",
        "ASH,1,1/4,108,3\nFIL,1/2,1/4,96,2\n",
        "CORM,3,12,80,,,\n",
        "CORM,ASH,length,108,2.10,ft,,,,\nCORM,FIL,length,96,1.10,ft,,,,\n",
    );
    let mut book = begin(dir.path(), &files);
    let lines = order(&mut book);
    let what: Vec<(&str, u32)> = lines.iter().map(|l| (l.moulding.as_str(), l.count)).collect();
    assert_eq!(what, [("ASH", 3), ("FIL", 2)]);
    (dir, book)
}

fn said(reckoning: &Reckoning, book: &Book) -> String {
    pages::reckoning_text(reckoning, &book.shop().unwrap())
}

#[test]
fn an_invoice_as_ordered_has_nothing_different() {
    let (_dir, mut book) = two_lines();
    comes(&mut book, 1, &["108"; 3]);
    comes(&mut book, 2, &["96"; 2]);
    let mut invoice = bill(7430, &[(1, 5670), (2, 1760)]);
    (invoice.sums.carriage, invoice.sums.other) = (Money(1200), Money(570));
    let reckoning = book.invoice(&invoice, &stamp()).unwrap();
    assert_eq!(reckoning.agreed, Some((Money(1200), Money(570))));
    let text = said(&reckoning, &book);
    assert!(text.ends_with("Nothing is different, and nothing is to come any more.\n"), "{text}");
    // All that is paid is the mouldings': 17.70 beside the goods, by 56.70 and 17.60.
    let figures = book.figures().unwrap();
    let paid: Vec<(&str, i64)> =
        figures.mouldings.iter().map(|(of, used)| (of.as_str(), used.paid.0)).collect();
    // 17.70 x 56.70 / 74.30 = 13.507...
    assert_eq!(paid, [("ASH", 5670 + 1350), ("FIL", 1760 + 420)]);
    balanced(&book);
}

/// Of three sticks two came, one short; all three are billed, the carriage is dearer, and
/// nothing is charged for the small order.
#[test]
fn an_invoice_that_differs_says_where() {
    let (_dir, mut book) = two_lines();
    // 215 1/2 in at 2.10 a foot are 37.7125.
    comes(&mut book, 1, &["108", "107 1/2"]);
    comes(&mut book, 2, &["96"; 2]);
    let mut invoice = bill(7480, &[(1, 5670)]);
    invoice.sums.carriage = Money(1850);
    let reckoning = book.invoice(&invoice, &stamp()).unwrap();
    insta::assert_snapshot!(said(&reckoning, &book));
    balanced(&book);
}

/// Two deliveries, two invoices and a credit: all of them together are compared.
#[test]
fn bills_of_one_order_are_compared_together() {
    let (_dir, mut book) = two_lines();
    comes(&mut book, 1, &["108"; 2]);
    let first = Invoice { number: "71".to_owned(), ..bill(3880, &[(1, 3880)]) };
    let billed = |reckoning: &Reckoning| {
        let lines = reckoning.lines.iter().map(|line| line.billed.map(|billed| billed.0));
        lines.collect::<Vec<_>>()
    };
    let reckoning = book.invoice(&first, &stamp()).unwrap();
    assert_eq!(billed(&reckoning), [Some(3880), Some(0)]);
    let said = refused(book.invoice(&first, &stamp()));
    assert!(said.contains("invoice 71 of order 1 stands in the book already (step 4)"), "{said}");
    comes(&mut book, 1, &["108"]);
    comes(&mut book, 2, &["96"; 2]);
    let second = book.invoice(&bill(3650, &[(1, 1890), (2, 1760)]), &stamp()).unwrap();
    assert_eq!(billed(&second), [Some(5770), Some(1760)]);
    let credit = Invoice { is_credit: true, ..bill(100, &[(1, 100)]) };
    let even = book.invoice(&credit, &stamp()).unwrap();
    assert_eq!(
        (billed(&even), even.goods),
        (vec![Some(5670), Some(1760)], Some(even.billed.goods))
    );
    let beyond = Invoice { is_credit: true, ..bill(9000, &[]) };
    assert!(
        refused(book.invoice(&beyond, &stamp())).contains("more is given back than was billed")
    );
    let unsaid = book.invoice(&bill(10, &[(2, 5)]), &stamp()).unwrap();
    assert_eq!(billed(&unsaid), [None, Some(1765)], "what it says of line 1 is not known");
    assert_eq!(book.figures().unwrap().months[0].1.paid, Money(7440));
    balanced(&book);
}

/// An invoice without a number could be entered a second time.
#[test]
fn an_invoice_without_a_number_is_entered_once() {
    let (_dir, mut book) = two_lines();
    comes(&mut book, 1, &["108"]);
    let first = bill(1890, &[(1, 1890)]);
    book.invoice(&first, &stamp()).unwrap();
    let said = refused(book.invoice(&first, &stamp()));
    let again = "an invoice of order 1 with these sums stands in the book already (step 4, without a \
                 number; if this is another, add --another)";
    assert_eq!(said, again);
    assert_eq!(refused(book.invoice(&bill(1890, &[]), &stamp())), again, "whatever its lines say");
    // Another parcel of the same goods is said to be another, or has other sums.
    comes(&mut book, 1, &["108"]);
    let second = Invoice { number: "B-72".to_owned(), is_another: true, ..first.clone() };
    assert_eq!(book.invoice(&second, &stamp()).unwrap().billed.goods, Money(3780));
    let mut with_carriage = first.clone();
    with_carriage.sums.carriage = Money(100);
    assert_eq!(book.invoice(&with_carriage, &stamp()).unwrap().bills, 3);
    // A credit of the same sums is no invoice; and what is undone is not there.
    let credit = Invoice { is_credit: true, ..first.clone() };
    book.invoice(&credit, &stamp()).unwrap();
    let said = refused(book.invoice(&credit, &stamp()));
    assert!(said.starts_with("a credit of order 1 with these sums stands"), "{said}");
    book.undo(None, &stamp()).unwrap();
    book.invoice(&credit, &stamp()).unwrap();
    balanced(&book);
}

/// An invoice whose number was typed otherwise than before could be entered a second time.
#[test]
fn an_invoice_is_the_same_in_small_letters_and_without_dashes() {
    let (_dir, mut book) = two_lines();
    comes(&mut book, 1, &["108"]);
    let first = Invoice { number: "INV-72 04".to_owned(), ..bill(1890, &[]) };
    book.invoice(&first, &stamp()).unwrap();
    for number in ["inv-7204", "INV7204", " inv \u{2013} 72-04"] {
        let again = Invoice { number: number.to_owned(), ..bill(1890, &[]) };
        let said = refused(book.invoice(&again, &stamp()));
        let known = format!("invoice {number} of order 1 stands in the book already (step 4)");
        assert_eq!(said, known);
    }
    // One of another number is another, also where it has nothing but marks.
    for number in ["INV-72 05", "INV/7204", "--", "-"] {
        let other = Invoice { number: number.to_owned(), ..bill(1890, &[]) };
        book.invoice(&other, &stamp()).unwrap();
    }
    balanced(&book);
}

#[test]
fn an_invoice_that_cannot_be_is_refused_with_all_its_faults() {
    let (_dir, mut book) = two_lines();
    let mut wrong = bill(7430, &[(1, 7000), (2, 1000), (9, 1)]);
    wrong.lines = BTreeMap::from([(1, Money(7000)), (2, Money(1000)), (9, Money(1))]);
    let said = refused(book.invoice(&wrong, &stamp()));
    assert_eq!(
        said,
        "line 9 is not of order 1 from CORM (its lines are 1, 2)\n\
         the lines come to 80.01 and the goods to 74.30 (check the figures; carriage and what else \
         is charged are said by themselves)"
    );
    let less = refused(book.invoice(&bill(7430, &[(1, 5670), (2, 1700)]), &stamp()));
    assert!(less.contains("the lines come to 73.70 and the goods to 74.30"), "{less}");
    let other = refused(book.invoice(&Invoice { order: 3, ..bill(1, &[]) }, &stamp()));
    assert!(other.contains("there is no order 3"), "{other}");
    assert_eq!(book.figures().unwrap().each, []);
    balanced(&book);
}

/// Billed before anything came: the shares go by what was ordered.
#[test]
fn what_is_billed_in_advance_is_shared_by_what_was_ordered() {
    let (_dir, mut book) = two_lines();
    let reckoning = book.invoice(&bill(7430, &[]), &stamp()).unwrap();
    assert!(said(&reckoning, &book).contains("The goods: 74.30 USD more than what came costs."));
    let figures = book.figures().unwrap();
    let paid: Vec<i64> = figures.mouldings.iter().map(|(_, used)| used.paid.0).collect();
    assert_eq!(paid, [5670, 1760]);
}

/// The audit sees a bill that is shared out otherwise than it should be, and a line of
/// which something else came than was received.
#[test]
fn the_audit_finds_what_was_never_billed_or_received() {
    for (sql, says) in [
        ("UPDATE billed SET share = share + 1 WHERE line = 1", "is not all of it"),
        ("UPDATE bill SET supplier = 'TERN'", "of another order or supplier"),
        ("UPDATE stick SET line = 2 WHERE line = 1", "what came of it"),
        ("UPDATE line SET given_up = 3 WHERE id = 1", "more has come or was given up"),
    ] {
        let (_dir, mut book) = two_lines();
        comes(&mut book, 1, &["108"]);
        book.invoice(&bill(1890, &[]), &stamp()).unwrap();
        balanced(&book);
        rusqlite::Connection::open(book.path()).unwrap().execute(sql, []).unwrap();
        let faults = book.audit().unwrap().faults;
        assert!(faults.iter().any(|fault| fault.contains(says)), "{sql}: {faults:?}");
    }
}
