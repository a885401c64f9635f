//! Slips of the pen and of the telephone: what is typed wrong, entered twice, cancelled while
//! it is on order, or bought round the corner.

use longpoint::book::{BillSums, Book, Delivery, Invoice, words};
use longpoint::measure::Money;

use super::command::said;
use super::shops::{balanced, begin, inches, stamp};
use super::supplied::{STACK, buying, order, refused};

const BARE: &str = "stick,moulding,length\n";
const ASH: &str = "frame,moulding,width,height,copies,due\n1,ASH,16,20,1,2026-03-20\n";

/// An order of sticks for a frame.
fn ordered() -> (tempfile::TempDir, Book) {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &buying(ASH, BARE));
    assert_eq!(order(&mut book).len(), 1);
    (dir, book)
}

fn invoice(number: &str, goods: i64) -> Invoice {
    let sums = BillSums { goods: Money(goods), ..BillSums::default() };
    Invoice { order: 1, number: number.to_owned(), sums, ..Invoice::default() }
}

/// Entered by telephone without its number, and from the paper with it, an invoice was paid
/// twice.
#[test]
fn an_invoice_without_its_number_and_with_it_is_asked_about() {
    let (_dir, mut book) = ordered();
    book.invoice(&invoice("", 4000), &stamp()).unwrap();
    let again = refused(book.invoice(&invoice("8812", 4000), &stamp()));
    let asked = "an invoice of order 1 with these sums stands in the book already (step 3, without a \
                 number; if this is another, add --another)";
    assert_eq!(again, asked);
    // Of other sums it is another; and so it is where that is said, or both have a number.
    book.invoice(&invoice("8813", 4100), &stamp()).unwrap();
    let another = Invoice { is_another: true, ..invoice("8812", 4000) };
    book.invoice(&another, &stamp()).unwrap();
    book.invoice(&invoice("8814", 4100), &stamp()).unwrap();
    let unnumbered = refused(book.invoice(&invoice("", 4100), &stamp()));
    assert!(unnumbered.ends_with("if this is another, write its number)"), "{unnumbered}");
    assert_eq!(book.reckoning(1, None).unwrap().bills, 4);
    balanced(&book);
}

/// Two sticks of one purchase were each a lot of its own, without a word, and no frame of one
/// lot could be cut from both.
#[test]
fn what_is_bought_in_a_hurry_is_one_lot_where_nobody_says_otherwise() {
    let (_dir, mut book) = ordered();
    let bought = |lot: &str| Delivery {
        moulding: "ASH".to_owned(),
        lengths: vec![inches("108"), inches("96")],
        lot: lot.to_owned(),
        place: String::new(),
        flaws: Vec::new(),
        line: None,
    };
    let paid = ("Round the corner", Money(4000));
    let came = book.buy(&bought(""), paid, &stamp()).unwrap();
    let text = words::came_words(&book.shop().unwrap(), &came);
    let words = "Taken as one lot, Round the corner 2026-03-09, with what else is bought there on \
                 this day";
    assert!(text.contains(words), "{text}");
    book.buy(&bought("K4"), paid, &stamp()).unwrap();
    // Sticks that turn up are known to be like nothing.
    book.receive(&bought(""), &stamp()).unwrap();
    let rack = book.snapshot().unwrap().shop.rack;
    let lots: Vec<&str> = rack.iter().map(|stick| stick.lot.as_str()).collect();
    let own = "Round the corner 2026-03-09";
    assert_eq!(lots, [own, own, "K4", "K4", "", ""]);
}

/// Its sticks were on the way, and nothing said that nobody needed them any more.
#[test]
fn a_ticket_that_is_cancelled_leaves_word_of_what_is_on_order() {
    let (dir, book) = ordered();
    drop(book);
    let (text, code) = said(dir.path(), "cancel shop.book 1 --at 2026-03-10T09:00");
    assert_eq!(code, Some(0), "{text}");
    let words = "On order for nobody now: 1 stick of line 1: 1 x ASH by the length, 108 in, 18.90 USD from \
                 Cormorant Mouldings (CORM). Ask whether they take back what is not needed";
    assert!(text.contains(words) && text.contains("order shop.book --drop 1"), "{text}");
}

/// Two of the three sticks of a line were for the ticket: neither the line nor one stick of it is
/// what is not needed.
#[test]
fn what_a_cancelled_ticket_had_on_order_is_given_up_by_itself() {
    let dir = tempfile::tempdir().unwrap();
    let frames = "frame,moulding,width,height,copies,due,match\n1,ASH,16,20,2,2026-03-20,any\n\
                  2,ASH,16,20,1,2026-03-20,any\n";
    let mut book = begin(dir.path(), &buying(frames, BARE));
    let lines = order(&mut book);
    assert_eq!(lines.iter().map(|line| line.pieces).collect::<Vec<_>>(), [3]);
    drop(book);
    let (text, _) = said(dir.path(), "cancel shop.book 1 --at 2026-03-10T09:00");
    let words = "On order for nobody now: 2 sticks of line 1";
    assert!(text.contains(words) && text.contains("--drop 1=2\" gives up no more"), "{text}");
    let (text, code) = said(dir.path(), "order shop.book --drop 1=2 --at 2026-03-10T09:01");
    assert!(code == Some(0) && text.contains("Without it nothing comes later"), "{text}");
}

/// A frame whose fillet a supplier chops was cancelled: its chop was still "for 9", and turned
/// the cancelled copies into ones that had come.
#[test]
fn a_chop_of_a_cancelled_ticket_is_for_nobody() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &buying(STACK, BARE));
    let lines = order(&mut book);
    let chop = lines.iter().find(|line| line.form == "chop").unwrap().line;
    book.cancel("9", Some(1), &stamp()).unwrap();
    let waiting = &book.chopped_for_lines().unwrap()[&chop];
    assert_eq!(waiting.iter().collect::<Vec<_>>(), [&("9".to_owned(), 2)]);
    book.cancel("9", Some(2), &stamp()).unwrap();
    assert!(!book.chopped_for_lines().unwrap().contains_key(&chop));
    let came = book.receive_chops(chop, &stamp()).unwrap();
    assert_eq!(came.cancelled, [("9".to_owned(), 1), ("9".to_owned(), 2)]);
    assert!(came.bought.is_empty() && came.in_part.is_empty());
    let text = words::came_words(&book.shop().unwrap(), &came);
    let words = "Came chopped for nobody, since it is cancelled: 9 (1/2), 9 (2/2). Ask";
    assert!(text.contains(words), "{text}");
    let frame = book.shop().unwrap().frame("9").unwrap().clone();
    let states = book.copies_of(&frame).unwrap();
    assert!(states.iter().all(|copy| copy.state == "cancelled"), "{states:?}");
}

/// What a supplier chops stays; "rack.csv is missing" had nothing to do with it.
#[test]
fn another_size_of_a_ticket_that_is_chopped_says_nothing_of_the_rack() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &buying(STACK, BARE));
    order(&mut book);
    drop(book);
    let (text, code) = said(dir.path(), "ticket shop.book 9 --size 4x5 --at 2026-03-10T09:00");
    assert!(text.contains("frame 9: layer 1 is chopped by a supplier"), "{text}");
    assert!(code == Some(2) && !text.contains("rack.csv"), "{text}");
}

/// A day that is past was taken, and the line was overdue at once; one of another year was taken
/// without a word.
#[test]
fn a_day_that_is_past_or_far_off_is_asked_about() {
    let (dir, book) = ordered();
    drop(book);
    for line in ["confirm shop.book --order 1", "expect shop.book --line 1"] {
        let at = "--at 2026-03-12T09:00";
        let (text, code) = said(dir.path(), &format!("{line} --on 2026-03-11 {at}"));
        assert_eq!(code, Some(2), "{text}");
        assert!(text.contains("2026-03-11 is past"), "{text}");
        let (text, code) = said(dir.path(), &format!("{line} --on 2027-03-21 {at}"));
        assert_eq!(code, Some(0), "{text}");
        let far = "2027-03-21 is more than three months off: is that so? \"longpoint undo\" takes it \
                   back.";
        assert!(text.contains(far), "{text}");
        let (text, _) = said(dir.path(), &format!("{line} --on 2026-03-21 {at}"));
        assert!(!text.contains("is that so"), "{text}");
    }
}

/// A moulding that was left out beside the plus made a plain frame of a stack.
#[test]
fn a_plus_with_nothing_beside_it_is_asked_about() {
    let (dir, book) = ordered();
    drop(book);
    for stack in ["ASH+", "+ASH", "ASH++OAK"] {
        let line = format!("quote shop.book --moulding {stack} --size 8x10 --today 2026-03-09");
        let (text, code) = said(dir.path(), &line);
        assert_eq!(code, Some(2), "{text}");
        assert!(text.contains("a moulding is missing beside the plus"), "{text}");
    }
}

/// Of three things that were wrong one was named, and the next on the next attempt.
#[test]
fn all_that_is_wrong_with_an_offer_is_named_at_once() {
    let (dir, book) = ordered();
    drop(book);
    let line = "offer shop.book --supplier CORN --moulding ACH --price 2,50";
    let (text, code) = said(dir.path(), line);
    assert_eq!(code, Some(2));
    for fault in ["no supplier \"CORN\"", "no moulding \"ACH\"", "price: \"2,50\""] {
        assert!(text.contains(fault), "{fault}: {text}");
    }
}

/// A price that lost its point, or is for a metre by now, was written down without a word.
#[test]
fn a_price_that_is_far_from_what_it_was_is_asked_about() {
    let (dir, book) = ordered();
    drop(book);
    let offer = |price: &str| {
        let line = format!("offer shop.book --supplier CORM --moulding ASH --price {price}");
        said(dir.path(), &line).0
    };
    let again = "is that so? \"longpoint undo\" takes it back.";
    assert!(!offer("2.35").contains(again));
    let metre = offer("7.70");
    let words = "The price is about 3 times as much, as if it were for a metre, not a foot: ";
    assert!(metre.contains(&format!("{words}{again}")), "{metre}");
    let back = offer("2.35");
    assert!(back.contains("The price is about a third, as if it were for a foot"), "{back}");
    assert!(offer("23.5").contains("The price is 5 times as much or more: is that so?"));
}

/// `check` pointed at such a price of a list, and `lists --old` did not.
#[test]
fn a_list_whose_prices_are_for_another_unit_is_asked_about() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = buying(ASH, BARE);
    let settings = String::from_utf8(files["shop.toml"].clone()).unwrap()
        + "[import.CORM]\nfile = \"corm.csv\"\ncode = \"No\"\nprice = \"Trade\"\nper = \"= ft\"\n";
    files.insert("shop.toml".to_owned(), settings.into_bytes());
    files.insert("corm.csv".to_owned(), b"No,Trade\nASH,6.90\nOAK,4.40\n".to_vec());
    let bare = "supplier,moulding,form,lengths,price,per\n";
    files.insert("offers.csv".to_owned(), bare.as_bytes().to_vec());
    for (name, text) in &files {
        std::fs::write(dir.path().join(name), text).unwrap();
    }
    std::fs::write(dir.path().join("old.csv"), "No,Trade\nASH,2.10\nOAK,4.20\n").unwrap();
    let (text, _) = said(dir.path(), "lists . --old old.csv");
    let odd = "ASH, ft: 6.90, was 2.10, 228.6 % more: about 3 times as much, as if it were for a \
               metre, not a foot (is that so?)";
    assert!(text.contains(odd), "{text}");
    assert!(text.contains("OAK, ft: 4.40, was 4.20, 4.8 % more "), "{text}");
}

/// Before the cut-off a supplier brings ash in time for the frame that waits for oak too, so
/// that the stick on the rack is free for another; after it that stick is kept. What was taken
/// to the bench in the afternoon was planned as if it were still morning.
#[test]
fn a_morning_that_is_taken_after_a_cut_off_is_planned_after_it() {
    let frames = "frame,layer,moulding,width,height,copies,due,match\n\
                  1,1,ASH,16,20,1,2026-03-18,any\n1,2,OAK,,,,,any\n\
                  2,1,ASH,16,20,1,2026-04-10,any\n";
    let rack = "stick,moulding,length\nR-1,ASH,100\n";
    let suppliers = "supplier,name,lead_days,order_days,cut_off\n\
                     CORM,Cormorant Mouldings,3,Mon,12:00\nTERN,Tern Timber,8,,\n";
    let taken = |at: &str| {
        let dir = tempfile::tempdir().unwrap();
        let mut files = buying(frames, rack);
        files.insert("suppliers.csv".to_owned(), suppliers.as_bytes().to_vec());
        drop(begin(dir.path(), &files));
        said(dir.path(), &format!("take shop.book --at 2026-03-09T{at}"))
    };
    let (text, code) = taken("11:00");
    assert!(code == Some(0) && text.contains("1 frame today"), "{text}");
    let (text, code) = taken("17:00");
    assert!(code == Some(2) && !text.contains("1 frame today"), "{text}");
}
