//! What a delivery is taken for: of which lot its sticks are, whether they are as long as they
//! were ordered, and when it can have come. What giving up a line costs.

use assert_cmd::Command;
use longpoint::book::{Book, Delivery, PlacedLine, Stamp, pages, words};
use longpoint::measure::Length;
use longpoint::plan::pushed;
use longpoint::report::either::typed;

use super::shops::{TODAY, balanced, begin, inches, read, stamp};
use super::supplied::{buying, order, plan, refused};

/// A frame that no stick of 108 in gives alone: 2 x (31 5/8 + 41 5/8) in with its joints
/// (computed).
const LARGE: &str = "frame,moulding,width,height,copies,due,match\n1,ASH,30,40,1,2026-03-20,lot\n";

const BARE: &str = "stick,moulding,length\n";

fn came(line: &PlacedLine, lengths: &[Length]) -> Delivery {
    Delivery {
        moulding: line.moulding.clone(),
        lengths: lengths.to_vec(),
        lot: String::new(),
        place: "bay 1".to_owned(),
        flaws: Vec::new(),
        line: Some(line.line),
    }
}

fn on(day: i8) -> Stamp {
    Stamp { at: jiff::civil::date(2026, 3, day).at(9, 0, 0, 0), ..stamp() }
}

fn lots(book: &Book) -> Vec<String> {
    let rack = book.snapshot().unwrap().shop.rack;
    rack.into_iter().map(|stick| stick.lot).collect()
}

/// Sticks that came together without a lot were each a lot of its own, so the frame that
/// they were ordered for waited, and was ordered for once more.
#[test]
fn sticks_that_came_together_are_one_lot_where_nobody_says_otherwise() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &buying(LARGE, BARE));
    let [line] = &order(&mut book)[..] else { panic!("one line") };
    assert!(line.pieces > 1);
    // Typed one by one, as they are measured.
    for _ in 0..line.pieces {
        let told = book.receive(&came(line, &[line.length]), &on(12)).unwrap();
        assert!(told.as_one_lot);
        let said = words::came_words(&book.shop().unwrap(), &told);
        assert!(said.contains("Taken as one lot, order 1 CORM 2026-03-12"), "{said}");
    }
    assert_eq!(lots(&book), vec!["order 1 CORM 2026-03-12"; line.pieces as usize]);
    let plan = plan(&book.snapshot().unwrap().shop);
    assert_eq!((plan.waiting.len(), plan.order.lines.len()), (0, 0));
    balanced(&book);
    drop(book);
    // It has no room in the rack's table, and broke its rows.
    let mut command = Command::cargo_bin("longpoint").unwrap();
    command.current_dir(dir.path()).args(["rack", "shop.book", "--today", "2026-03-12"]);
    let said = String::from_utf8(command.output().unwrap().stdout).unwrap();
    assert!(said.contains("\n         lot order 1 CORM 2026-03-12\n"), "{said}");
}

/// The same sticks in two vans are two lots, and so are those that are said to be.
#[test]
fn sticks_of_two_deliveries_are_two_lots() {
    for second in [("", 13), ("K9", 12)] {
        let dir = tempfile::tempdir().unwrap();
        let mut book = begin(dir.path(), &buying(LARGE, BARE));
        let [line] = &order(&mut book)[..] else { panic!("one line") };
        let rest = vec![line.length; line.pieces as usize - 1];
        book.receive(&came(line, &[line.length]), &on(12)).unwrap();
        let (lot, day) = second;
        let other = Delivery { lot: lot.to_owned(), ..came(line, &rest) };
        assert_eq!(book.receive(&other, &on(day)).unwrap().as_one_lot, lot.is_empty());
        let lots = lots(&book);
        assert_ne!(lots[0], lots[1], "{second:?}");
        assert_eq!(plan(&book.snapshot().unwrap().shop).waiting.len(), 1);
    }
}

/// The name of such a lot can be read back from an exported folder, however long that of the
/// supplier is.
#[test]
fn a_lot_that_nobody_named_can_be_exported() {
    let long = "THE LONGEST NAME THAT A SUPPLIER MAY HAVE";
    let long = &long[..40];
    let dir = tempfile::tempdir().unwrap();
    let mut files = buying(LARGE, BARE);
    for name in ["suppliers.csv", "offers.csv"] {
        let text =
            String::from_utf8(files[name].clone()).unwrap().replace("CORM,", &format!("{long},"));
        files.insert(name.to_owned(), text.into_bytes());
    }
    let mut book = begin(dir.path(), &files);
    let [line] = &order(&mut book)[..] else { panic!("one line") };
    book.receive(&came(line, &vec![line.length; line.pieces as usize]), &on(12)).unwrap();
    assert_eq!(lots(&book)[0], "order 1 line 1 2026-03-12");
    let files = book.export().unwrap().into_iter();
    let shop = read(&files.map(|(name, text)| (name, text.into_bytes())).collect());
    assert_eq!(shop.rack[0].lot, "order 1 line 1 2026-03-12");
}

/// Something came before it was ordered: the day was mistyped, and the books were wrong.
#[test]
fn nothing_comes_before_it_is_ordered() {
    let dir = tempfile::tempdir().unwrap();
    let frames = format!("{LARGE}3,FIL,3,4,2,2026-03-20,any\n");
    let mut book = begin(dir.path(), &buying(&frames, BARE));
    let lines = order(&mut book);
    let of = |moulding: &str| lines.iter().find(|line| line.moulding == moulding).unwrap();
    let steps = book.version().unwrap();
    let said = typed(&refused(book.receive(&came(of("ASH"), &[inches("108")]), &on(8))));
    let words = "was ordered on 2026-03-09, and cannot have come on 2026-03-08 (say when it came";
    assert!(said.contains(words), "{said}");
    let said = typed(&refused(book.receive_chops(of("FIL").line, &on(8))));
    assert!(said.contains(words), "{said}");
    assert_eq!(book.version().unwrap(), steps, "nothing is written");
    book.receive_chops(of("FIL").line, &on(9)).unwrap();
}

/// A random length under the least that was offered was taken without a word.
#[test]
fn a_stick_that_is_shorter_than_ordered_is_taken_and_said() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = buying(LARGE, BARE);
    let offers = "supplier,moulding,form,lengths,price,per\nCORM,ASH,length,96 .. 120,2.10,ft\n";
    files.insert("offers.csv".to_owned(), offers.as_bytes().to_vec());
    let mut book = begin(dir.path(), &files);
    let [line] = &order(&mut book)[..] else { panic!("one line") };
    let mut lengths = vec![inches("96"); line.pieces as usize];
    lengths[1] = inches("95 1/2");
    let told = book.receive(&came(line, &lengths), &on(12)).unwrap();
    let said = words::came_words(&book.shop().unwrap(), &told);
    let short = &told.sticks[1].id;
    let words = format!(
        "{short} is shorter than the 96 in of line 1: see that the invoice bills no more than came"
    );
    assert!(said.contains(&words), "{said}");
    let reckoned = book.reckoning(1, None).unwrap();
    assert_eq!(reckoned.lines[0].short, (1, inches("1/2")));
    let page = pages::reckoning_text(&reckoned, &book.shop().unwrap());
    assert!(page.contains("came shorter than ordered, by 1/2 in together"), "{page}");
}

/// A line was given up, and nobody said that a frame would be late without it.
#[test]
fn whom_a_line_that_is_given_up_makes_late_is_said() {
    let dir = tempfile::tempdir().unwrap();
    // Due on the 13th, ordered on the 9th, three days on its way and one at the bench.
    let frames = "frame,moulding,width,height,copies,due,promised,match\n\
                  1,ASH,30,40,1,2026-03-13,yes,lot\n2,OAK,8,10,1,2026-04-20,,any\n";
    let mut book = begin(dir.path(), &buying(frames, BARE));
    let lines = order(&mut book);
    let ash = lines.iter().find(|line| line.moulding == "ASH").unwrap().line;
    drop(book);
    let mut command = Command::cargo_bin("longpoint").unwrap();
    command.current_dir(dir.path()).args(["order", "shop.book", "--drop", &ash.to_string()]);
    let done = command.args(["--at", "2026-03-11T09:00"]).output().unwrap();
    let said = String::from_utf8(done.stdout).unwrap();
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    let words = "1, PROMISED for 2026-03-13, has its moulding on 2026-03-14 in place of 2026-03-12: \
                 NOT IN TIME Still open:";
    assert!(said.contains(words), "{said}");
}

/// A line that nobody needs any more costs nothing to give up.
#[test]
fn what_nobody_waits_for_is_given_up_without_harm() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &buying(LARGE, BARE));
    let [line] = &order(&mut book)[..] else { panic!("one line") };
    book.cancel("1", None, &stamp()).unwrap();
    let earlier = book.snapshot().unwrap().shop;
    let before = plan(&earlier);
    book.drop_lines(&[(line.line, None)], &stamp()).unwrap();
    let shop = book.snapshot().unwrap().shop;
    let later = pushed((&earlier, &before), (&shop, &plan(&shop)), "");
    assert_eq!(words::given_up_words(&shop, &later), "Without it nothing comes later.\n");
    assert_eq!(plan(&shop).date, TODAY);
}
