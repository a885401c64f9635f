//! Single steps: what each does, what it refuses, and that it can be undone.

use std::collections::BTreeMap;

use longpoint::book::{
    Assembly, Book, BookError, Delivery, Found, OfferChange, RackQuery, Stamp, StockChange,
    WhichOffers,
};
use longpoint::measure::Length;
use longpoint::morning::plan_as_wished;
use longpoint::plan::Wishes;
use longpoint::shop::{Flaw, Frame, Stick};

use super::shops::{TODAY, balanced, begin, files, inches, limits, read, stamp, take, wrong};

fn rack(book: &Book) -> Vec<(Stick, Option<i64>)> {
    book.rack(&RackQuery::default()).unwrap().into_iter().map(|on| (on.stick, on.job)).collect()
}

fn some_sticks(line: Option<i64>) -> Delivery {
    Delivery {
        moulding: "ASH".to_owned(),
        lengths: vec![inches("108"), inches("107 1/2")],
        lot: "C".to_owned(),
        place: "bay 1".to_owned(),
        flaws: vec![Flaw { from: inches("3"), to: inches("4") }],
        line,
    }
}

/// Every step, each undone again at once: the rack, the pile and the open lines
/// are as before, and the step stays in the book.
#[test]
fn every_step_can_be_undone() {
    let dir = tempfile::tempdir().unwrap();
    let mut all = files();
    all.insert("suppliers.csv".to_owned(), b"supplier,lead_days\nHAZEL,3\n".to_vec());
    let offers = b"supplier,moulding,form,lengths,price,per\nHAZEL,ASH,length,108,1.00,ft\n\
        HAZEL,OAK,length,120,2.00,ft\n";
    all.insert("offers.csv".to_owned(), offers.to_vec());
    let mut book = begin(dir.path(), &all);
    let mut later = all;
    let more = String::from_utf8(later["frames.csv"].clone()).unwrap() + "8,,ASH,5,7,1,,any\n";
    later.insert("frames.csv".to_owned(), more.into_bytes());
    let shop = read(&later);
    type Do<'a> = Box<dyn Fn(&mut Book) + 'a>;
    let steps: Vec<(&str, Do)> = vec![
        ("refresh", Box::new(|b| drop(b.refresh((&shop, &later), &stamp()).unwrap()))),
        (
            "ticket",
            Box::new(|b| {
                let like = b.shop().unwrap().frames[0].clone();
                b.take_ticket(&Frame { id: "80".to_owned(), ..like }, &stamp()).unwrap();
            }),
        ),
        ("receive", Box::new(|b| drop(b.receive(&some_sticks(None), &stamp()).unwrap()))),
        (
            "count",
            Box::new(|b| {
                let sticks = BTreeMap::from([("S-1".to_owned(), Some(inches("107")))]);
                let found = Found { sticks, others_gone: true, ..Found::default() };
                assert_eq!(
                    b.count("bay 1", &found, (&stamp(), true)).unwrap().differences.len(),
                    2
                );
            }),
        ),
        ("scrap", Box::new(|b| drop(b.scrap(&["S-3".to_owned()], &stamp()).unwrap()))),
        (
            "flaw",
            Box::new(|b| {
                let flaw = [Flaw { from: inches("10"), to: inches("11") }];
                b.flaw("S-1", &flaw, &stamp()).unwrap();
            }),
        ),
        (
            "offer",
            Box::new(|b| {
                let which = WhichOffers {
                    supplier: "HAZEL".to_owned(),
                    moulding: "ASH".to_owned(),
                    ..WhichOffers::default()
                };
                let stock = Some(StockChange::Out);
                let price = Some("1.10".to_owned());
                let change = OfferChange { price, stock, ..OfferChange::default() };
                assert_eq!(b.change_offers(&which, &change, &stamp()).unwrap().len(), 1);
            }),
        ),
        (
            "order",
            Box::new(|b| {
                let snapshot = b.snapshot().unwrap();
                let mut short = snapshot.shop.clone();
                short.rack.clear();
                let plan = plan_as_wished(&short, TODAY, &Wishes::default(), limits()).unwrap();
                assert!(!b.order(&snapshot, &plan, &stamp()).unwrap().is_empty());
            }),
        ),
        ("take", Box::new(|b| drop(take(b)))),
    ];
    let state = |book: &Book| {
        let snapshot = book.snapshot().unwrap();
        let bench = (book.bench().unwrap(), book.in_work(TODAY).unwrap());
        (rack(book), snapshot.shop, book.open_lines().unwrap(), bench)
    };
    let before = state(&book);
    for (name, step) in &steps {
        step(&mut book);
        assert_ne!(state(&book), before, "{name} does something");
        balanced(&book);
        assert_eq!(book.undo(None, &stamp()).unwrap().what, *name);
        assert_eq!(state(&book), before, "{name}");
        balanced(&book);
    }
    // And what happens at the bench, one upon the other.
    let plan = take(&mut book).plan;
    let stick = plan.today[0].stick.clone();
    let mut states = vec![state(&book)];
    book.put_back(None, &stamp()).unwrap();
    assert_eq!(state(&book), before, "what is put back is as it was before it was taken");
    balanced(&book);
    assert_eq!(book.undo(None, &stamp()).unwrap().what, "put-back");
    assert_eq!(state(&book), states[0], "and at the bench again once that is undone");
    balanced(&book);
    book.cut(&stick, Some(1), &stamp()).unwrap();
    states.push(state(&book));
    book.spoil(&stick, 1, &stamp()).unwrap();
    states.push(state(&book));
    let draft = book.day(None).unwrap().draft(&limits()).unwrap();
    book.replan(&draft, TODAY, &stamp()).unwrap();
    states.push(state(&book));
    book.cut_all(None, &stamp()).unwrap();
    states.push(state(&book));
    let complete = book.in_work(TODAY).unwrap().into_iter().find(|of| of.is_complete()).unwrap();
    for made in [Assembly::Joined, Assembly::Fitted] {
        book.make(&complete.frame, Some(complete.copy), made, &stamp()).unwrap();
        states.push(state(&book));
    }
    book.finish(None, ("offcuts", false), &stamp()).unwrap();
    balanced(&book);
    for (before, what) in
        states.iter().rev().zip(["finish", "fitted", "joined", "cut", "replan", "spoil", "cut"])
    {
        assert_eq!(book.undo(None, &stamp()).unwrap().what, what);
        assert_eq!(&state(&book), before, "{what}");
        balanced(&book);
    }
}

#[test]
fn the_beginning_can_be_undone_and_begun_again() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let refused = wrong(book.undo(None, &stamp()).unwrap_err());
    assert!(refused.contains("the beginning of the book"), "{refused}");
    assert!(book.snapshot().is_ok(), "nothing is lost by a press too many");
    book.undo(Some(1), &stamp()).unwrap();
    balanced(&book);
    assert!(wrong(book.snapshot().unwrap_err()).starts_with("the book is empty"));
    assert_eq!(wrong(book.undo(None, &stamp()).unwrap_err()), "there is no step to undo");
    drop(book);
    let book = begin(dir.path(), &files());
    assert_eq!(book.snapshot().unwrap().shop, read(&files()));
    balanced(&book);
    let path = dir.path().join("shop.book");
    let again = Book::begin(&path, (&read(&files()), &files()), &stamp()).unwrap_err();
    assert!(wrong(again).contains("is a book already"));
}

/// The plan is made on a look at the book; if somebody writes in between, the
/// plan is not taken.
#[test]
fn a_plan_of_an_older_look_is_not_taken() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let snapshot = book.snapshot().unwrap();
    let plan = plan_as_wished(&snapshot.shop, TODAY, &Wishes::default(), limits()).unwrap();
    let mut other = Book::open(book.path()).unwrap();
    other.scrap(&["S-1".to_owned()], &stamp()).unwrap();
    assert!(matches!(book.take(&snapshot, &plan, &stamp()), Err(BookError::Moved)));
    assert_eq!(book.bench().unwrap(), []);
    take(&mut book);
}

#[test]
fn what_a_plan_has_taken_no_other_plan_sees() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let first = take(&mut book);
    let rest = book.snapshot().unwrap().shop;
    for stick in &first.plan.today {
        assert!(rest.rack.iter().all(|other| other.id != stick.stick));
        for rail in &stick.rails {
            let left = rest.frames.iter().find(|frame| frame.id == rail.frame);
            let all =
                book.shop().unwrap().frames.iter().find(|f| f.id == rail.frame).unwrap().copies;
            assert!(left.is_none_or(|frame| frame.left() < all), "{}", rail.frame);
        }
    }
    assert!(wrong(book.export().unwrap_err()).contains("is at the bench"));
}

/// What is put back unused keeps its age; what is cut has the day of its cut.
#[test]
fn a_stick_put_back_is_as_old_as_before() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let before = rack(&book);
    take(&mut book);
    book.put_back(None, &stamp()).unwrap();
    assert_eq!(rack(&book), before);
    take(&mut book);
    book.cut_all(None, &stamp()).unwrap();
    let later = Stamp { at: TODAY.tomorrow().unwrap().at(17, 0, 0, 0), ..stamp() };
    let finished = book.finish(None, ("offcuts", false), &later).unwrap();
    assert!(!finished.racked.is_empty());
    for stick in &finished.racked {
        assert_eq!((stick.since, stick.place.as_str()), (TODAY.tomorrow().ok(), "offcuts"));
    }
    for (stick, job) in rack(&book) {
        assert_eq!(job, None);
        let old = before.iter().find(|(old, _)| old.id == stick.id);
        assert!(old.is_none_or(|(old, _)| *old == stick));
    }
}

#[test]
fn a_delivery_is_labelled_counted_against_its_line_and_checked() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let snapshot = book.snapshot().unwrap();
    let mut short = snapshot.shop.clone();
    short.rack.clear();
    let plan = plan_as_wished(&short, TODAY, &Wishes::default(), limits()).unwrap();
    let lines = book.order(&snapshot, &plan, &stamp()).unwrap();
    let ash = lines.iter().find(|line| line.moulding == "ASH").unwrap();
    let snapshot = book.snapshot().unwrap();
    let mut short = snapshot.shop.clone();
    short.rack.clear();
    let plan = plan_as_wished(&short, TODAY, &Wishes::default(), limits()).unwrap();
    let again = wrong(book.order(&snapshot, &plan, &stamp()).unwrap_err());
    assert!(again.contains("beside what is on order already: lines 1, 2"), "{again}");
    let mut many = some_sticks(Some(ash.line));
    many.lengths = vec![inches("108"); ash.pieces as usize + 1];
    let refused = wrong(book.receive(&many, &stamp()).unwrap_err());
    assert!(refused.contains(&format!("only {} are still to come", ash.pieces)), "{refused}");
    assert_eq!(rack(&book).len(), snapshot.shop.rack.len(), "nothing of it came in");
    let came = book.receive(&some_sticks(Some(ash.line)), &stamp()).unwrap();
    let labels: Vec<&str> = came.sticks.iter().map(|stick| stick.id.as_str()).collect();
    assert_eq!(labels, ["B1", "B2"]);
    assert_eq!(came.sticks[1].flaws, some_sticks(None).flaws);
    assert_eq!(came.open, ash.pieces.saturating_sub(2));
    let oak = lines.iter().find(|line| line.moulding == "OAK").unwrap();
    let refused = wrong(book.receive(&some_sticks(Some(oak.line)), &stamp()).unwrap_err());
    assert!(refused.contains("is of OAK"), "{refused}");
    let mut beyond = some_sticks(None);
    beyond.flaws[0].to = inches("107 3/4");
    assert!(wrong(book.receive(&beyond, &stamp()).unwrap_err()).contains("beyond the end"));
    balanced(&book);
}

/// Who counts one stick says nothing of the others: they are there as before,
/// unless it is said that they are gone.
#[test]
fn counting_one_stick_leaves_the_others_of_its_place() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let before = rack(&book);
    let sticks = BTreeMap::from([("S-1".to_owned(), Some(inches("107")))]);
    let found = Found { sticks, ..Found::default() };
    let counted = book.count("bay 1", &found, (&stamp(), true)).unwrap();
    let not_named: Vec<&str> = counted.not_named.iter().map(|stick| stick.id.as_str()).collect();
    assert_eq!((counted.differences.len(), not_named), (1, vec!["S-2"]));
    let after = rack(&book);
    assert_eq!(after.len(), before.len());
    for ((was, _), (is, _)) in before.iter().zip(&after) {
        let length = if was.id == "S-1" { inches("107") } else { was.length };
        assert_eq!((&is.id, is.length, &is.place), (&was.id, length, &was.place));
    }
    let gone = Found { others_gone: true, ..Found::default() };
    let looked = book.count("bay 1", &gone, (&stamp(), false)).unwrap();
    assert_eq!((looked.differences.len(), rack(&book)), (2, after), "looking changes nothing");
    book.count("bay 1", &gone, (&stamp(), true)).unwrap();
    assert_eq!(rack(&book).len(), before.len() - 2);
    balanced(&book);
}

/// A mistyped label among several sticks: none is ticked off, and what is ticked
/// off together is undone together.
#[test]
fn several_sticks_are_cut_in_one_step_or_none() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let plan = take(&mut book).plan;
    let names: Vec<String> = plan.today.iter().take(2).map(|stick| stick.stick.clone()).collect();
    let before = book.bench().unwrap();
    let mistyped = [names[0].clone(), "1".to_owned()];
    assert!(wrong(book.cut_sticks(&mistyped, &stamp()).unwrap_err()).contains("no stick \"1\""));
    assert_eq!(book.bench().unwrap(), before);
    assert_eq!(book.cut_sticks(&names, &stamp()).unwrap().len(), 2);
    book.undo(None, &stamp()).unwrap();
    assert_eq!(book.bench().unwrap(), before);
    balanced(&book);
}

/// `o 12` at the bench is O-12 on the label but for what nobody types twice alike; what
/// is none of them is not guessed but asked about.
#[test]
fn labels_and_places_are_found_whatever_their_capitals_and_blanks() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    assert_eq!(book.history("s -1").unwrap().stick, "S-1");
    let there = |place: &str| {
        book.rack(&RackQuery { place: Some(place.to_owned()), ..RackQuery::default() })
            .unwrap()
            .len()
    };
    assert_eq!((there("Bay 1"), there("bay1"), there("bay 11")), (2, 2, 0));
    let refused = wrong(book.scrap(&["S-11".to_owned()], &stamp()).unwrap_err());
    assert!(refused.contains("did you mean S-1?"), "{refused}");
    let sticks = BTreeMap::from([("s-1".to_owned(), Some(inches("107")))]);
    let found = Found { sticks, ..Found::default() };
    let counted = book.count("BAY 1", &found, (&stamp(), true)).unwrap();
    assert_eq!((counted.differences.len(), counted.not_named.len()), (1, 1));
    assert_eq!(book.scrap(&["s-3".to_owned()], &stamp()).unwrap()[0].stick.id, "S-3");
    balanced(&book);
}

/// Ana and Ben at one book: neither undoes the other's step unawares.
#[test]
fn a_step_is_undone_by_who_made_it_or_by_its_number() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let ben = Stamp { by: "Ben".to_owned(), ..stamp() };
    let scrapped = |book: &mut Book, stick: &str, stamp: &Stamp| {
        book.scrap(&[stick.to_owned()], stamp).unwrap();
        book.audit().unwrap().steps as i64
    };
    let anas = scrapped(&mut book, "S-3", &stamp());
    let bens = scrapped(&mut book, "S-6", &ben);
    let others = wrong(book.undo(None, &stamp()).unwrap_err());
    assert!(others.contains("scrap") && others.contains("by Ben"), "{others}");
    assert!(
        others.contains(&format!("longpoint undo {} {bens})", book.path().display())),
        "{others}"
    );
    let not_last = wrong(book.undo(Some(anas), &stamp()).unwrap_err());
    assert!(not_last.contains("is not the last") && not_last.contains("by Ben"), "{not_last}");
    assert_eq!(book.undo(Some(bens), &stamp()).unwrap().who, "Ben");
    let again = wrong(book.undo(Some(bens), &ben).unwrap_err());
    assert!(again.contains("is undone already"), "{again}");
    let undoing = wrong(book.undo(Some(bens + 1), &ben).unwrap_err());
    assert!(undoing.contains("is an undoing"), "{undoing}");
    assert!(wrong(book.undo(Some(99), &ben).unwrap_err()).contains("there is no step 99"));
    assert_eq!(book.undo(None, &stamp()).unwrap().number, anas);
    balanced(&book);
}

/// A press repeated after a lost answer is one step.
#[test]
fn the_same_token_twice_is_one_step() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let press = Stamp { token: "tap-17".to_owned(), ..stamp() };
    book.receive(&some_sticks(None), &press).unwrap();
    let before = (rack(&book), book.audit().unwrap().steps);
    let again = book.receive(&some_sticks(None), &press).unwrap_err();
    assert!(matches!(&again, BookError::Repeated(done) if done.what == "receive"), "{again}");
    let other = book.scrap(&["S-3".to_owned()], &press).unwrap_err();
    assert!(matches!(other, BookError::Repeated(_)), "{other}");
    assert!(matches!(book.undo(None, &press), Err(BookError::Repeated(_))));
    assert_eq!((rack(&book), book.audit().unwrap().steps), before);
    book.receive(&some_sticks(None), &Stamp { token: "tap-18".to_owned(), ..stamp() }).unwrap();
    balanced(&book);
}

#[test]
fn a_label_is_never_given_twice() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let labels = |book: &mut Book| {
        let came = book.receive(&some_sticks(None), &stamp()).unwrap();
        came.sticks.into_iter().map(|stick| stick.id).collect::<Vec<_>>()
    };
    let first = labels(&mut book);
    book.undo(None, &stamp()).unwrap();
    let second = labels(&mut book);
    assert!(first.iter().all(|label| !second.contains(label)), "{first:?} {second:?}");
}

#[test]
fn the_files_cannot_take_away_what_the_book_stands_on() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    take(&mut book);
    let mut later = files();
    let oak_only = "moulding,width,rabbet,stick,price,per\nOAK,1 1/2,1/4,120,4.20,ft\n";
    later.insert("mouldings.csv".to_owned(), oak_only.as_bytes().to_vec());
    let none = "frame,moulding,width,height\n4,OAK,13,16\n";
    later.insert("frames.csv".to_owned(), none.as_bytes().to_vec());
    later.insert("rack.csv".to_owned(), b"stick,moulding,length\n".to_vec());
    let refused = wrong(book.refresh((&read(&later), &later), &stamp()).unwrap_err());
    assert!(refused.contains(r#""ASH" is missing, and the book has 3 of its sticks"#), "{refused}");
    assert!(refused.contains("frame 1 is at the bench and is not there any more"), "{refused}");
    balanced(&book);
}

#[test]
fn a_stick_knows_its_family() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    take(&mut book);
    book.cut_all(None, &stamp()).unwrap();
    let finished = book.finish(None, ("", false), &stamp()).unwrap();
    let offcut = &finished.racked[0];
    let history = book.history(&offcut.id).unwrap();
    assert_eq!(history.left, offcut.length);
    let parent = book.history(&history.parents[0]).unwrap();
    assert_eq!(parent.left, Length::ZERO);
    assert!(parent.offcuts.contains(&(offcut.id.clone(), offcut.length)));
    let sum: Length = parent.events.iter().map(|event| event.length).sum();
    assert_eq!(sum, Length::ZERO);
}

/// Steps are kept for good: the file itself refuses anything else.
#[test]
fn the_ledger_is_only_added_to() {
    let dir = tempfile::tempdir().unwrap();
    let book = begin(dir.path(), &files());
    let db = rusqlite::Connection::open(book.path()).unwrap();
    for sql in [
        "DELETE FROM movement",
        "UPDATE movement SET nm = 1",
        "DELETE FROM step",
        "UPDATE step SET who = 'x'",
        "DELETE FROM note",
        "UPDATE note SET is_now = NULL",
        "DELETE FROM stick",
    ] {
        let error = db.execute(sql, []).unwrap_err().to_string();
        assert!(error.contains("are never"), "{sql}: {error}");
    }
    balanced(&book);
}

/// The audit sees what the book would never write.
#[test]
fn the_audit_finds_what_does_not_add_up() {
    let spoil = [
        (
            "INSERT INTO movement (step, stick, kind, nm) VALUES (1, 1, 'scrap', -9999999999)",
            "less than nothing",
        ),
        (
            "INSERT INTO movement (step, stick, kind, nm, other) VALUES (1, 1, 'offcut', -5, 2)",
            "for an offcut",
        ),
        ("UPDATE stick SET place = 'elsewhere' WHERE id = 1", "last noted"),
        ("UPDATE rail SET stop = stop + 1 WHERE id = 1", "is not its length"),
        ("UPDATE lay SET length = length + 1", "not what its plan says"),
    ];
    for (sql, says) in spoil {
        let dir = tempfile::tempdir().unwrap();
        let mut book = begin(dir.path(), &files());
        take(&mut book);
        book.cut_all(None, &stamp()).unwrap();
        balanced(&book);
        rusqlite::Connection::open(book.path()).unwrap().execute(sql, []).unwrap();
        let audit = book.audit().unwrap();
        assert!(!audit.balances(), "{sql}");
        assert!(audit.faults.iter().any(|fault| fault.contains(says)), "{sql}: {:?}", audit.faults);
    }
}
