//! Boards and glass in the book: what comes, is cut, breaks, is counted and undone, and a
//! long walk of all of it at random, after each step of which the areas add up.

use std::collections::BTreeMap;

use longpoint::book::{Book, Difference, Found, SheetCorrection, SheetDelivery};
use longpoint::measure::Length;
use longpoint::sheets::{SheetPlan, area, plan_sheets};
use longpoint::shop::{SheetPiece, SheetStock, read_pieces};

use crate::shops::{Files, SETTINGS, balanced, begin, files, inches, read, stamp, wrong};

const RULES: &str = "[sheet.GLASS]\ncut = \"scored\"\nkeep = \"6\"\n[sheet.MAT]\ncut = \"knife\"\n";

const SHEETS: &str = "label,material,width,height,count,place,note
G-1,GLASS,36,48,2,glass rack,2 mm
GR-1,GLASS,18,21,,glass rack,
M-1,MAT,32,40,0,drawer,
";

const WEEK: &str = "ticket,material,what,width,height,count
17,GLASS,glass,16,20,2
18,GLASS,glass,11,14,
19,MAT,mat,20,24,
";

fn with_sheets() -> Files {
    let mut all = files();
    all.insert("shop.toml".to_owned(), format!("{SETTINGS}{RULES}").into_bytes());
    all.insert("sheets.csv".to_owned(), SHEETS.as_bytes().to_vec());
    all
}

fn wanted(book: &Book, list: &str) -> Vec<SheetPiece> {
    let shop = book.snapshot().unwrap().shop;
    let read = read_pieces(("week.csv", list.as_bytes()), &shop);
    let mut pieces = read.unwrap_or_else(|faults| panic!("{faults}"));
    book.mark_cut(&mut pieces).unwrap();
    pieces
}

/// Plans a list on the book as it is, without writing it down.
fn planned(book: &Book, list: &str) -> Vec<SheetPlan> {
    let shop = book.snapshot().unwrap().shop;
    let pieces = wanted(book, list);
    plan_sheets((&shop.sheets, &shop.sheet_rules), &pieces, |_| String::new()).unwrap()
}

fn cut(book: &mut Book, list: &str) -> Vec<SheetPlan> {
    let (snapshot, plans) = (book.snapshot().unwrap(), planned(book, list));
    book.cut_sheets((&snapshot, &plans), &stamp()).unwrap()
}

fn there(book: &Book) -> Vec<(String, String, u32)> {
    let shown = |stock: SheetStock| {
        let inch = |length: Length| length.nm() / inches("1").nm();
        (stock.label, format!("{} x {}", inch(stock.width), inch(stock.height)), stock.count)
    };
    book.sheets().unwrap().into_iter().map(shown).collect()
}

fn came(material: &str, size: (&str, &str), count: u32, remnant: bool) -> SheetDelivery {
    let size = (inches(size.0), inches(size.1));
    SheetDelivery { material: material.to_owned(), size, count, remnant, place: String::new() }
}

#[test]
fn a_week_is_cut_once_and_a_broken_pane_again() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &with_sheets());
    let before = there(&book);
    assert_eq!(before[0], ("G-1".to_owned(), "36 x 48".to_owned(), 2));
    let plans = cut(&mut book, WEEK);
    balanced(&book);
    // One 16 x 20 fits the remnant; the other and 11 x 14 open a sheet. There is no mat board.
    let glass = &plans[0];
    assert_eq!((glass.material.as_str(), glass.sheets.len(), glass.opened()), ("GLASS", 2, 1));
    assert_eq!(plans[1].to_buy().len(), 1);
    let labels: Vec<String> =
        glass.sheets.iter().flat_map(|sheet| sheet.kept.iter().flatten().cloned()).collect();
    assert!(!labels.is_empty() && labels.iter().all(|label| label.starts_with('B')), "{labels:?}");
    let now = there(&book);
    assert_eq!(now[0].2, 1, "one whole sheet is left");
    assert!(now.iter().all(|(label, ..)| label != "GR-1"), "the remnant is gone");
    for label in &labels {
        assert!(now.iter().any(|(there, ..)| there == label), "{label} stands there");
    }
    // All glass is cut; the mat waits for its board.
    assert_eq!(wanted(&book, WEEK).iter().map(|piece| piece.cut).collect::<Vec<_>>(), [2, 1, 0]);
    let snapshot = book.snapshot().unwrap();
    let again = planned(&book, WEEK);
    let said = wrong(book.cut_sheets((&snapshot, &again), &stamp()).unwrap_err());
    assert!(said.contains("still to be bought"), "{said}");
    book.receive_sheets(&came("MAT", ("32", "40"), 3, false), &stamp()).unwrap();
    assert_eq!(there(&book)[1].2, 3, "they go to the pile of their size");
    assert_eq!(cut(&mut book, WEEK)[0].opened(), 1);
    balanced(&book);
    // A pane breaks: it alone is cut again.
    let (material, size) = book.spoil_piece(("17", "glass"), &stamp()).unwrap();
    assert_eq!((material.as_str(), size), ("GLASS", (inches("16"), inches("20"))));
    balanced(&book);
    let again = cut(&mut book, WEEK);
    assert_eq!((again.len(), again[0].pieces.len()), (1, 1));
    let used = book.audit().unwrap().sheets["GLASS"];
    assert_eq!(used.spoiled, area(inches("16"), inches("20")));
    let good = 2 * area(inches("16"), inches("20")) + area(inches("11"), inches("14"));
    assert_eq!(used.pieces, good);
    let came = 2 * area(inches("36"), inches("48")) + area(inches("18"), inches("21"));
    assert_eq!(used.came, came);
    // And back to the beginning, step by step.
    for what in ["cut", "spoil", "cut", "receive", "cut"] {
        assert_eq!(book.undo(None, &stamp()).unwrap().what, what);
        balanced(&book);
    }
    assert_eq!(there(&book), before);
    assert!(wanted(&book, WEEK).iter().all(|piece| piece.cut == 0));
}

#[test]
fn what_is_wrong_is_said_and_changes_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &with_sheets());
    let before = there(&book);
    let glas = came("GLAS", ("10", "10"), 1, false);
    let said = wrong(book.receive_sheets(&glas, &stamp()).unwrap_err());
    assert!(said.contains("did you mean GLASS?"), "{said}");
    let thrice = ["GR-1", "G-1", "g-1", "G-1"].map(String::from);
    let said = wrong(book.scrap_sheets(&thrice, &stamp()).unwrap_err());
    assert!(said.contains("G-1 is named more often than there are"), "{said}");
    let said = wrong(book.scrap_sheets(&["GR-1".into(), "GR-1".into()], &stamp()).unwrap_err());
    assert!(said.contains("nothing is left of remnant GR-1"), "{said}");
    let said = wrong(book.scrap_sheets(&["G-9".into()], &stamp()).unwrap_err());
    assert!(said.contains("did you mean G-1?"), "{said}");
    let two = SheetCorrection { count: Some(2), ..SheetCorrection::default() };
    let said = wrong(book.correct_sheet("GR-1", &two, &stamp()).unwrap_err());
    assert!(said.contains("a remnant, which is one"), "{said}");
    let said = wrong(book.spoil_piece(("17", "glass"), &stamp()).unwrap_err());
    assert!(said.contains("no glass was cut for 17"), "{said}");
    // Somebody else writes between the look and the cut.
    let (snapshot, plans) = (book.snapshot().unwrap(), planned(&book, WEEK));
    book.receive_sheets(&came("GLASS", ("10", "10"), 1, true), &stamp()).unwrap();
    let moved = book.cut_sheets((&snapshot, &plans), &stamp()).unwrap_err();
    assert!(!moved.is_wrong_input(), "{moved}");
    book.undo(None, &stamp()).unwrap();
    assert_eq!(there(&book), before);
    balanced(&book);
}

/// A sheet of a pile that breaks is written off, however that is said: it came in all the
/// same.
#[test]
fn sheets_of_a_pile_that_break_are_written_off() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &with_sheets());
    let before = there(&book);
    let one = area(inches("36"), inches("48"));
    let came = book.audit().unwrap().sheets["GLASS"].came;
    let fewer = SheetCorrection { count: Some(1), ..SheetCorrection::default() };
    book.correct_sheet("G-1", &fewer, &stamp()).unwrap();
    let used = book.audit().unwrap().sheets["GLASS"];
    assert_eq!((used.came, used.counted, used.scrap), (came, 0, one));
    balanced(&book);
    book.undo(None, &stamp()).unwrap();
    let gone = book.scrap_sheets(&["G-1".into(), "g-1".into()], &stamp()).unwrap();
    assert_eq!(gone.iter().map(|stock| stock.count).collect::<Vec<_>>(), [2, 1]);
    let used = book.audit().unwrap().sheets["GLASS"];
    assert_eq!((used.came, used.counted, used.scrap), (came, 0, 2 * one));
    assert_eq!(there(&book)[0].2, 0, "the size is still bought");
    balanced(&book);
    book.undo(None, &stamp()).unwrap();
    // Another size, and one fewer of it: what broke was as it stood in the book.
    let both =
        SheetCorrection { size: Some((inches("36"), inches("47"))), count: Some(1), place: None };
    book.correct_sheet("G-1", &both, &stamp()).unwrap();
    assert_eq!(book.audit().unwrap().sheets["GLASS"].scrap, one);
    balanced(&book);
    book.undo(None, &stamp()).unwrap();
    assert_eq!(there(&book), before);
    balanced(&book);
}

/// 48 x 36 goes to the pile of 36 x 48, unless what it is of has a grain.
#[test]
fn a_sheet_that_is_said_the_other_way_round_goes_to_its_pile() {
    for (grain, piles) in [("", 3), ("grain = \"yes\"\n", 4)] {
        let dir = tempfile::tempdir().unwrap();
        let mut all = with_sheets();
        let rules = RULES.replace("[sheet.MAT]\n", &format!("[sheet.MAT]\n{grain}"));
        all.insert("shop.toml".to_owned(), format!("{SETTINGS}{rules}").into_bytes());
        let mut book = begin(dir.path(), &all);
        book.receive_sheets(&came("MAT", ("40", "32"), 2, false), &stamp()).unwrap();
        let there = there(&book);
        assert_eq!(there.len(), piles, "{there:?}");
        let added = there.iter().find(|row| row.2 == 2 && row.0 != "G-1").unwrap();
        let shown = if piles == 3 { "32 x 40" } else { "40 x 32" };
        assert_eq!(added.1, shown);
        // And where there is a grain, what is cut of it is not turned unless a list says so.
        let list = "ticket,material,what,width,height,turn\n1,MAT,mat,5,9,\n2,MAT,mat,5,9,yes\n";
        let turns: Vec<bool> = wanted(&book, list).iter().map(|piece| piece.turn).collect();
        assert_eq!(turns, [piles == 3, true]);
        balanced(&book);
    }
}

/// Sheets and sticks at one place are counted on one walk.
#[test]
fn a_place_is_counted_with_its_boards_and_glass() {
    let dir = tempfile::tempdir().unwrap();
    let mut all = with_sheets();
    let sheets = SHEETS.replace("glass rack", "bay 1");
    all.insert("sheets.csv".to_owned(), sheets.into_bytes());
    let mut book = begin(dir.path(), &all);
    let before = there(&book);
    let found = Found {
        sticks: BTreeMap::from([("S-1".to_owned(), None)]),
        sheets: BTreeMap::from([("g-1".to_owned(), Some(1))]),
        ..Found::default()
    };
    let counted = book.count("bay 1", &found, (&stamp(), true)).unwrap();
    let fewer = Difference::Sheets { sheet: "G-1".to_owned(), was: 2, is: 1 };
    assert_eq!((counted.as_written, counted.differences), (1, vec![fewer]));
    assert_eq!(counted.sheets_not_named, ["GR-1"]);
    assert_eq!(there(&book)[0].2, 1);
    balanced(&book);
    let found = Found { others_gone: true, ..Found::default() };
    let counted = book.count("bay 1", &found, (&stamp(), true)).unwrap();
    let gone = |d: &&Difference| matches!(d, Difference::Sheets { is: 0, .. });
    assert_eq!(counted.differences.iter().filter(gone).count(), 2);
    assert_eq!(there(&book).iter().map(|row| row.2).sum::<u32>(), 0);
    balanced(&book);
    // The remnant is found again.
    let found = Found { sheets: BTreeMap::from([("GR-1".to_owned(), None)]), ..Found::default() };
    book.count("window", &found, (&stamp(), true)).unwrap();
    let stocks = book.sheets().unwrap();
    let again = stocks.iter().find(|stock| stock.label == "GR-1").unwrap();
    assert_eq!((again.count, again.place.as_str()), (1, "window"));
    balanced(&book);
    for _ in 0..3 {
        book.undo(None, &stamp()).unwrap();
        balanced(&book);
    }
    assert_eq!(there(&book), before);
}

#[test]
fn a_book_is_written_back_with_its_sheets_and_takes_them_over_once() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &with_sheets());
    cut(&mut book, WEEK);
    let files: Files =
        book.export().unwrap().into_iter().map(|(name, text)| (name, text.into_bytes())).collect();
    assert_eq!(read(&files).sheets, book.sheets().unwrap());
    // A folder's sheets are taken over by a book that never had any, and by no other.
    let other = tempfile::tempdir().unwrap();
    let mut late = begin(other.path(), &self::files());
    assert_eq!(there(&late), []);
    let all = with_sheets();
    let refreshed = late.refresh((&read(&all), &all), &stamp()).unwrap();
    assert_eq!(refreshed.files, ["sheets.csv", "shop.toml"]);
    assert_eq!(there(&late).len(), 3);
    balanced(&late);
    late.undo(None, &stamp()).unwrap();
    assert_eq!(there(&late), []);
    balanced(&late);
    let nothing = wrong(book.refresh((&read(&all), &all), &stamp()).unwrap_err());
    assert!(nothing.contains("nothing that the book does not have already"), "{nothing}");
}

/// Labels for remnants that the book named are printed once.
#[test]
fn labels_of_remnants_are_printed_once() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &with_sheets());
    cut(&mut book, WEEK);
    let stocks = book.sheets().unwrap();
    let new = book.unprinted_sheets(&stocks).unwrap();
    assert!(!new.is_empty() && new.iter().all(|stock| stock.label.starts_with('B')));
    book.printed((&[], &new)).unwrap();
    assert_eq!(book.unprinted_sheets(&stocks).unwrap(), []);
    let smaller =
        SheetCorrection { size: Some((inches("9"), inches("9"))), ..SheetCorrection::default() };
    book.correct_sheet(&new[0].label, &smaller, &stamp()).unwrap();
    let stocks = book.sheets().unwrap();
    assert_eq!(book.unprinted_sheets(&stocks).unwrap().len(), 1);
    let page = longpoint::book::pages::labels(&book.shop().unwrap(), (&[], &new), None);
    assert!(page.contains(&new[0].label) && page.contains("<svg"));
}

/// What was tampered with is seen.
#[test]
fn the_audit_sees_what_does_not_add_up() {
    for (sql, words) in [
        ("UPDATE sheet SET width = width + 1 WHERE name = 'G-1'", "is not of its size"),
        ("UPDATE sheet SET state = NULL WHERE name = 'G-1'", "its step is undone"),
        (
            "INSERT INTO sheet_movement (step, sheet, kind, count, width, height)
             SELECT 1, id, 'counted', -9, width, height FROM sheet WHERE name = 'G-1'",
            "fewer than none",
        ),
        (
            "INSERT INTO sheet_movement (step, sheet, kind, count, width, height)
             SELECT 1, id, 'counted', 1, width, height FROM sheet WHERE parent IS NOT NULL LIMIT 1",
            "a remnant is there twice",
        ),
        ("UPDATE sheet_cut SET state = NULL WHERE id = 1", "is not what went"),
        ("UPDATE sheet SET parent = 3 WHERE parent IS NOT NULL", "of another sheet than its own"),
        ("UPDATE sheet_piece SET width = width * 9", "more came of a sheet than it had"),
    ] {
        let dir = tempfile::tempdir().unwrap();
        let mut book = begin(dir.path(), &with_sheets());
        cut(&mut book, WEEK);
        balanced(&book);
        rusqlite::Connection::open(book.path()).unwrap().execute(sql, []).unwrap();
        let audit = book.audit().unwrap();
        let faults = audit.faults.join("; ");
        assert!(!audit.balances() && faults.contains(words), "{sql}: {faults:?}");
    }
}

/// Numbers without a pattern.
struct Dice(u64);

impl Dice {
    fn below(&mut self, bound: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 >> 33).unwrap() % bound
    }
}

/// A shop that does anything with its boards and glass in any order: after each step all
/// areas add up, and undone it all is as it was.
#[test]
fn whatever_happens_the_areas_add_up_and_can_be_undone() {
    for seed in 1..=3 {
        let dir = tempfile::tempdir().unwrap();
        let mut book = begin(dir.path(), &with_sheets());
        let mut dice = Dice(seed * 7919);
        let mut before: Vec<Vec<SheetStock>> = Vec::new();
        for step in 0..60 {
            let was = book.sheets().unwrap();
            let done = any_step(&mut book, &mut dice, step);
            balanced(&book);
            if !done {
                assert_eq!(book.sheets().unwrap(), was, "what is refused changes nothing");
                continue;
            }
            before.push(was);
            if dice.below(5) == 0 {
                book.undo(None, &stamp()).unwrap();
                balanced(&book);
                assert_eq!(book.sheets().unwrap(), before.pop().unwrap());
            }
        }
        assert!(before.len() > 20, "most steps are done");
        while let Some(was) = before.pop() {
            book.undo(None, &stamp()).unwrap();
            assert_eq!(book.sheets().unwrap(), was);
        }
        balanced(&book);
    }
}

/// One step at random; whether it was done.
fn any_step(book: &mut Book, dice: &mut Dice, number: usize) -> bool {
    let stocks = book.sheets().unwrap();
    let any = |dice: &mut Dice| stocks[dice.below(stocks.len())].label.clone();
    let inch = |count: usize| Length::from_64ths(64 * i64::try_from(count).unwrap());
    match dice.below(7) {
        0 => {
            let size = (inch(6 + dice.below(30)), inch(6 + dice.below(40)));
            let remnant = dice.below(2) == 0;
            let count = u32::try_from(1 + dice.below(3)).unwrap();
            let delivery = SheetDelivery { size, count, ..came("GLASS", ("1", "1"), 1, remnant) };
            book.receive_sheets(&delivery, &stamp()).is_ok()
        }
        1 => book.scrap_sheets(&[any(dice)], &stamp()).is_ok(),
        2 => {
            let size = Some((inch(5 + dice.below(30)), inch(5 + dice.below(30))));
            let correction = SheetCorrection { size, ..SheetCorrection::default() };
            book.correct_sheet(&any(dice), &correction, &stamp()).is_ok()
        }
        3 => {
            let count = Some(u32::try_from(dice.below(4)).unwrap());
            let correction = SheetCorrection { count, ..SheetCorrection::default() };
            book.correct_sheet(&any(dice), &correction, &stamp()).is_ok()
        }
        4 => book.spoil_piece((&dice.below(number + 1).to_string(), "glass"), &stamp()).is_ok(),
        _ => {
            let mut list = "ticket,material,what,width,height,count\n".to_owned();
            for _ in 0..1 + dice.below(4) {
                let (width, height) = (4 + dice.below(20), 4 + dice.below(24));
                list += &format!("{number},GLASS,glass,{width},{height},{}\n", 1 + dice.below(2));
            }
            let (snapshot, plans) = (book.snapshot().unwrap(), planned(book, &list));
            book.cut_sheets((&snapshot, &plans), &stamp()).is_ok()
        }
    }
}

/// What falls out of a window is kept with a label of its own as far as `[sheet]` keeps so
/// much, and only where it is asked for; its mat counts whole, and the areas add up, undone or
/// not. Computed: 8 x 10 in, of which a board of 1/16 in leaves 7 7/8 x 9 7/8.
#[test]
fn what_falls_out_of_windows_is_kept() {
    let mut all = with_sheets();
    let rules = RULES.replace("\"knife\"", "\"knife\"\nkeep = \"6\"");
    all.insert("shop.toml".to_owned(), format!("{SETTINGS}{rules}").into_bytes());
    let stand = SHEETS.replace("M-1,MAT,32,40,0", "M-1,MAT,32,40,3");
    all.insert("sheets.csv".to_owned(), stand.into_bytes());
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &all);
    let list = "ticket,material,what,width,height\n19,MAT,mat,12,14\n20,MAT,mat,12,14\n";
    let before = there(&book);
    let snapshot = book.snapshot().unwrap();
    let mut pieces = wanted(&book, list);
    pieces[0].drop_out = Some((inches("7 7/8"), inches("9 7/8")));
    // Too small for `[sheet]`.
    pieces[1].drop_out = Some((inches("5"), inches("9")));
    let shop = &snapshot.shop;
    let plans = plan_sheets((&shop.sheets, &shop.sheet_rules), &pieces, |_| String::new());
    let cut = book.cut_sheets((&snapshot, &plans.unwrap()), &stamp()).unwrap();
    let fallen: Vec<_> = cut.iter().flat_map(|plan| &plan.pieces).map(|of| &of.drop_out).collect();
    let Some((size, label)) = fallen[0] else { panic!("it is kept") };
    assert_eq!((*size, fallen[1]), ((inches("7 7/8"), inches("9 7/8")), &None));
    let kept = book.sheets().unwrap().into_iter().find(|stock| stock.label == *label).unwrap();
    assert_eq!((kept.material.as_str(), kept.whole, kept.count), ("MAT", false, 1));
    assert_eq!(kept.note, "fell out of 19 mat");
    balanced(&book);
    let used = &book.audit().unwrap().sheets["MAT"];
    assert_eq!(used.fallen, area(inches("7 7/8"), inches("9 7/8")));
    assert_eq!(used.pieces, 2 * area(inches("12"), inches("14")));
    assert_eq!(used.counted, 0);
    // It is cut as any remnant is, and undone with the rest.
    let small = "ticket,material,what,width,height\n21,MAT,mat,7 1/2,9 1/2\n";
    let from = self::cut(&mut book, small);
    assert_eq!(from[0].sheets[0].label, *label);
    balanced(&book);
    for _ in 0..2 {
        book.undo(None, &stamp()).unwrap();
        balanced(&book);
    }
    assert_eq!(there(&book), before);
}
