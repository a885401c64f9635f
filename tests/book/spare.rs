//! Spare rails: what is cut of a cancelled frame goes into the next that can use it.

use std::path::Path;

use longpoint::book::{Book, Delivery, RackQuery, Which, words};
use longpoint::morning::plan_as_wished;
use longpoint::plan::{Plan, Wishes};
use longpoint::verify::{self, Fault, Verified, verify};

use super::shops::{
    Files, TODAY, balanced, begin, files, inches, limits, read, stamp, take, wrong,
};

/// A book with one stick of each moulding, of which the first ticket is cut and then
/// cancelled; the others come after that.
fn cancelled(dir: &Path, first: &str, then: &str, cuts: Option<usize>) -> Book {
    let head = "frame,moulding,width,height,due,match\n";
    let mut files = files();
    let rack = "stick,moulding,length,lot\nS-1,ASH,60,A\nS-2,ASH,32,B\n";
    files.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    files.insert("frames.csv".to_owned(), format!("{head}{first}").into_bytes());
    let mut book = begin(dir, &files);
    take(&mut book);
    book.cut("S-1", cuts, &stamp()).unwrap();
    book.cancel("1", None, &stamp()).unwrap();
    if cuts.is_none() {
        book.finish(None, ("", true), &stamp()).unwrap();
    }
    written(&mut book, &mut files, &format!("{head}{then}"));
    balanced(&book);
    book
}

fn written(book: &mut Book, files: &mut Files, frames: &str) {
    files.insert("frames.csv".to_owned(), frames.as_bytes().to_vec());
    book.refresh((&read(files), files), &stamp()).unwrap();
}

fn planned(book: &Book) -> Verified<Plan> {
    let snapshot = book.snapshot().unwrap();
    let plan = plan_as_wished(&snapshot.shop, TODAY, &Wishes::default(), limits()).unwrap();
    verify(&snapshot.shop, &plan).unwrap();
    plan
}

const FIRST: &str = "1,ASH,8,10,2026-03-09,lot\n";

/// The same frame comes again: nothing is cut and nothing bought for it.
#[test]
fn a_frame_is_made_of_spare_rails_alone() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = cancelled(dir.path(), FIRST, "2,ASH,10,8,2026-03-10,lot\n", None);
    assert_eq!(book.spare().unwrap().len(), 4);
    let plan = planned(&book);
    assert!(plan.today.is_empty() && plan.waiting.is_empty() && plan.order.lines.is_empty());
    assert_eq!(plan.spares_today().count(), 4);
    let before = (book.snapshot().unwrap().shop, book.spare().unwrap());
    take(&mut book);
    balanced(&book);
    let bench = book.bench().unwrap().remove(0);
    assert!(bench.sticks.is_empty() && bench.owed.is_empty());
    assert_eq!(bench.given.len(), 4, "the sheet says which to take");
    assert!(book.spare().unwrap().is_empty());
    book.undo(None, &stamp()).unwrap();
    assert_eq!((book.snapshot().unwrap().shop, book.spare().unwrap()), before);
    take(&mut book);
    let finished = book.finish(None, ("", false), &stamp()).unwrap();
    assert_eq!(finished.chopped, [("2".to_owned(), 1)]);
    assert!(book.snapshot().unwrap().shop.frames.is_empty());
    // One splits in the fitting: only that one is owed.
    let side = Which { side: Some("top".to_owned()), ..Which::default() };
    book.spoil_frame("2", &side, &stamp()).unwrap();
    assert_eq!(book.owed().unwrap().len(), 1);
    balanced(&book);
}

/// A plan that is put back gives up its spare rails too: the frame is on the pile as it
/// was, and no frame of spare rails alone is forgotten.
#[test]
fn spare_rails_that_are_put_back_are_spare_again() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = cancelled(dir.path(), FIRST, "2,ASH,8,10,,lot\n", None);
    // Twice: the second time they are of that very ticket already, of no copy of it.
    for _ in 0..2 {
        take(&mut book);
        book.put_back(None, &stamp()).unwrap();
        assert_eq!(book.spare().unwrap().len(), 4);
    }
    assert!(book.owed().unwrap().is_empty());
    assert_eq!(planned(&book).spares_today().count(), 4, "the next plan takes them");
    balanced(&book);
}

/// Half of a frame is there: the other half is cut, and no more.
#[test]
fn what_spare_rails_do_not_serve_is_cut() {
    let dir = tempfile::tempdir().unwrap();
    let then = "2,ASH,8,12,2026-03-10,any\n3,ASH,9,9,2026-03-11,any\n";
    let mut book = cancelled(dir.path(), FIRST, then, None);
    let plan = planned(&book);
    assert_eq!(plan.spares.len(), 2, "top and bottom are as long as those that are there");
    let cut: usize = plan.today.iter().map(|stick| stick.rails.len()).sum();
    let waits: Vec<&str> = plan.waiting.iter().map(|waits| waits.frame.as_str()).collect();
    assert_eq!((cut, waits), (2, vec!["3"]), "what is left of the stick is too short for more");
    take(&mut book);
    book.cut_all(None, &stamp()).unwrap();
    assert_eq!(book.finish(None, ("", false), &stamp()).unwrap().chopped, [("2".to_owned(), 1)]);
    assert_eq!(book.spare().unwrap().len(), 2);
    balanced(&book);
}

/// A frame that must match takes all its rails of one lot, or none.
#[test]
fn spare_rails_keep_the_match() {
    let dir = tempfile::tempdir().unwrap();
    let three = cancelled(dir.path(), FIRST, "2,ASH,8,10,2026-03-10,lot\n", Some(3));
    assert_eq!(three.spare().unwrap().len(), 3);
    assert!(planned(&three).spares.is_empty(), "three of four are of no use to it");
    let dir = tempfile::tempdir().unwrap();
    let all = cancelled(dir.path(), FIRST, "2,ASH,8,10,2026-03-10,wrap\n", None);
    assert!(planned(&all).spares.is_empty(), "they do not run round the corners");
    let dir = tempfile::tempdir().unwrap();
    let wrapped = FIRST.replace("lot", "wrap");
    let all = cancelled(dir.path(), &wrapped, "2,ASH,8,10,2026-03-10,stick\n", None);
    assert_eq!(planned(&all).spares.len(), 4, "what was cut as a wrap is of one stick");
    let dir = tempfile::tempdir().unwrap();
    let other = cancelled(dir.path(), FIRST, "2,OAK,8,10,2026-03-10,any\n", None);
    assert!(planned(&other).spares.is_empty(), "another moulding");
}

/// A frame that must be of one lot takes some of its rails where the rest can be cut from
/// a stick of that lot: two spare rails of lot A and a stick of it, beside one of lot B.
/// Without that stick it takes none and is cut from lot B.
#[test]
fn some_spare_rails_bind_the_rest_to_their_lot() {
    for (lot, taken) in [("A", 2), ("", 0), ("B", 0)] {
        let dir = tempfile::tempdir().unwrap();
        let then = "2,ASH,8,10,2026-03-10,lot\n";
        let mut book = two_spare(dir.path(), &[("60", "B"), ("40", lot)], then);
        let plan = planned(&book);
        let from: Vec<(&str, usize)> =
            plan.today.iter().map(|stick| (stick.lot.as_str(), stick.rails.len())).collect();
        assert_eq!(plan.spares.len(), taken, "lot {lot:?}: {from:?}");
        match taken {
            2 => assert_eq!(from, [("A", 2)]),
            _ => assert_eq!(from, [("B", 4)]),
        }
        assert!(plan.order.lines.is_empty() && plan.waiting.is_empty());
        if taken == 0 {
            continue;
        }
        let shop = book.snapshot().unwrap().shop;
        let stick = plan.today[0].stick.clone();
        let elsewhere = |lot: &str| {
            let mut shop = shop.clone();
            shop.rack.iter_mut().find(|on| on.id == stick).unwrap().lot = lot.to_owned();
            let mut plan = Plan::clone(&plan);
            plan.today[0].lot = lot.to_owned();
            verify(&shop, &plan).unwrap_err()
        };
        for lot in ["B", ""] {
            let is_it = |fault: &Fault| matches!(fault, Fault::NotMatched { .. });
            assert!(elsewhere(lot).iter().any(is_it), "the check knows it by itself");
        }
        take(&mut book);
        balanced(&book);
        // A rail chips: what is cut anew is of lot A as well.
        book.cut(&stick, Some(1), &stamp()).unwrap();
        book.spoil(&stick, 2, &stamp()).unwrap();
        let draft = book.day(None).unwrap().draft(&limits()).unwrap();
        book.replan(&draft, TODAY, &stamp()).unwrap();
        balanced(&book);
        book.cut_all(None, &stamp()).unwrap();
        let finished = book.finish(None, ("", false), &stamp()).unwrap();
        assert_eq!(finished.chopped, [("2".to_owned(), 1)]);
        balanced(&book);
    }
}

/// Nobody waits so that another takes some spare rails: the stick of their lot is another
/// frame's, which must have it whole.
#[test]
fn some_spare_rails_are_left_where_another_frame_would_wait_for_it() {
    let dir = tempfile::tempdir().unwrap();
    let then = "2,ASH,8,10,2026-03-10,lot\n3,ASH,11,13,2026-03-11,lot\n";
    let book = two_spare(dir.path(), &[("54", "B"), ("70", "A")], then);
    let plan = planned(&book);
    assert!(plan.waiting.is_empty() && plan.spares.is_empty(), "{:?}", plan.spares);
    // Where it has a stick of its own as well, both are served.
    let dir = tempfile::tempdir().unwrap();
    let book = two_spare(dir.path(), &[("54", "B"), ("70", "A"), ("30", "A")], then);
    let plan = planned(&book);
    assert_eq!((plan.waiting.len(), plan.spares.len()), (0, 2));
}

/// A book in which two rails of lot A are spare; then these sticks come, of so many inches
/// and these lots.
fn two_spare(dir: &Path, sticks: &[(&str, &str)], then: &str) -> Book {
    let head = "frame,moulding,width,height,due,match\n";
    let mut files = files();
    let rack = "stick,moulding,length,lot\nS-1,ASH,60,A\n";
    files.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    files.insert("frames.csv".to_owned(), format!("{head}{FIRST}").into_bytes());
    let mut book = begin(dir, &files);
    take(&mut book);
    book.cut("S-1", Some(2), &stamp()).unwrap();
    book.cancel("1", None, &stamp()).unwrap();
    book.scrap(&["S-1".to_owned()], &stamp()).unwrap();
    book.finish(None, ("", true), &stamp()).unwrap();
    for (length, lot) in sticks {
        let delivery = Delivery {
            moulding: "ASH".to_owned(),
            lengths: vec![inches(length)],
            lot: (*lot).to_owned(),
            place: String::new(),
            flaws: Vec::new(),
            line: None,
        };
        book.receive(&delivery, &stamp()).unwrap();
    }
    written(&mut book, &mut files, &format!("{head}{then}"));
    balanced(&book);
    assert_eq!(book.spare().unwrap().len(), 2);
    book
}

/// Two frames alike that are cut, each from a stick of so many inches, and the first is
/// cancelled: its rails are of lot A, those of the other of this lot.
fn one_cancelled(dir: &Path, inches: u32, lot: &str) -> Book {
    let mut files = files();
    let rack = format!("stick,moulding,length,lot\nS-1,ASH,{inches},A\nS-2,ASH,{inches},{lot}\n");
    files.insert("rack.csv".to_owned(), rack.into_bytes());
    let frames = "frame,moulding,width,height,match\n1,ASH,8,10,stick\n2,ASH,8,10,lot\n";
    files.insert("frames.csv".to_owned(), frames.as_bytes().to_vec());
    let mut book = begin(dir, &files);
    take(&mut book);
    book.cut_all(None, &stamp()).unwrap();
    book.cancel("1", None, &stamp()).unwrap();
    book
}

/// A corner splits, and a spare rail of the same lot is there: it is taken, and nothing
/// is cut. One of another lot is left where it is.
#[test]
fn a_spare_rail_pays_a_debt() {
    for (lot, paid) in [("A", 1), ("B", 0)] {
        let dir = tempfile::tempdir().unwrap();
        let mut book = one_cancelled(dir.path(), 60, lot);
        book.finish(None, ("", false), &stamp()).unwrap();
        let top = Which { side: Some("top".to_owned()), ..Which::default() };
        book.spoil_frame("2", &top, &stamp()).unwrap();
        let debts = book.snapshot().unwrap().debts;
        assert_eq!((debts.spares.len(), debts.sticks.len()), (paid, 1 - paid), "lot {lot}");
        if paid == 0 {
            continue;
        }
        assert!(planned(&book).spares.is_empty(), "it is promised already");
        take(&mut book);
        assert!(book.bench().unwrap()[0].owed.is_empty());
        let finished = book.finish(None, ("", false), &stamp()).unwrap();
        assert_eq!(finished.chopped, [("2".to_owned(), 1)]);
        assert_eq!(book.spare().unwrap().len(), 3);
        balanced(&book);
    }
}

/// The check of a plan knows spare rails by itself.
#[test]
fn a_false_use_of_a_spare_rail_is_found() {
    let dir = tempfile::tempdir().unwrap();
    let book = cancelled(dir.path(), FIRST, "2,ASH,8,10,2026-03-10,lot\n", None);
    let shop = book.snapshot().unwrap().shop;
    let plan = planned(&book);
    let spoilt = |change: &dyn Fn(&mut Plan)| {
        let mut plan = Plan::clone(&plan);
        change(&mut plan);
        verify(&shop, &plan).unwrap_err()
    };
    let is_false = |faults: &[Fault]| faults.iter().any(|f| matches!(f, Fault::FalseSpare { .. }));
    assert!(is_false(&spoilt(&|plan| plan.spares[0].label = "R99".to_owned())), "no such rail");
    let twice = spoilt(&|plan| plan.spares[1].label = plan.spares[0].label.clone());
    assert!(is_false(&twice), "one rail in two places");
    let turned = spoilt(&|plan| {
        let (first, second) = (plan.spares[0].side, plan.spares[1].side);
        (plan.spares[0].side, plan.spares[1].side) = (second, first);
    });
    assert!(is_false(&turned), "another length");
    let one_less = spoilt(&|plan| drop(plan.spares.pop()));
    assert!(one_less.iter().any(|fault| matches!(fault, Fault::NotMatched { .. })));
    assert!(one_less.iter().any(|fault| matches!(fault, Fault::Forgotten { .. })));
}

/// A corner chips at the saw, and a spare rail of the same lot lies there: `replan` takes
/// it, and nothing is cut. It was cut anew, and where there was no stick it stayed owed.
#[test]
fn replan_takes_a_spare_rail_before_it_cuts_one() {
    for (lot, paid) in [("A", true), ("B", false)] {
        let dir = tempfile::tempdir().unwrap();
        let mut book = one_cancelled(dir.path(), 54, lot);
        let top = Which { side: Some("top".to_owned()), ..Which::default() };
        book.spoil_frame("2", &top, &stamp()).unwrap();
        let before = (book.bench().unwrap(), book.spare().unwrap());
        let draft = book.day(None).unwrap().draft(&limits()).unwrap();
        assert!(!paid || draft.mouldings.is_empty(), "nothing is planned again");
        let replanned = book.replan(&draft, TODAY, &stamp()).unwrap();
        let found = (replanned.spares.len(), draft.short.len());
        assert_eq!(found, if paid { (1, 0) } else { (0, 1) });
        balanced(&book);
        assert_eq!(book.bench().unwrap()[0].owed.len(), usize::from(!paid), "lot {lot}");
        assert_eq!(book.spare().unwrap().len(), if paid { 3 } else { 4 });
        book.undo(None, &stamp()).unwrap();
        assert_eq!((book.bench().unwrap(), book.spare().unwrap()), before);
        let draft = book.day(None).unwrap().draft(&limits()).unwrap();
        book.replan(&draft, TODAY, &stamp()).unwrap();
        let finished = book.finish(None, ("", false), &stamp()).unwrap();
        assert_eq!(finished.chopped.len(), usize::from(paid));
        balanced(&book);
    }
}

/// The check of what pays a debt knows by itself what is owed.
#[test]
fn a_spare_rail_of_another_lot_is_refused_where_it_pays() {
    let dir = tempfile::tempdir().unwrap();
    let book = cancelled(dir.path(), FIRST, "2,ASH,8,10,2026-03-10,lot\n", None);
    let shop = book.snapshot().unwrap().shop;
    let uses = planned(&book).into_inner().spares;
    let of = |lot: &str| {
        let there = vec![(lot.to_owned(), "S-9".to_owned())];
        let layer = (uses[0].frame.clone(), uses[0].copy, uses[0].layer);
        [(layer, (longpoint::shop::Match::Lot, there))].into()
    };
    let pay = |uses: &[longpoint::plan::SpareUse], lot| {
        verify::paid((&shop, &shop.spare), uses.to_vec(), &of(lot))
    };
    assert_eq!(pay(&uses[..1], "A").unwrap().to_vec(), uses[..1]);
    let faults = pay(&uses[..1], "B").unwrap_err();
    assert!(matches!(faults[..], [Fault::NotMatched { .. }]), "{faults:?}");
    let twice = [uses[0].clone(), uses[0].clone()];
    assert!(pay(&twice, "A").is_err(), "one rail in two places");
}

/// All that is left of a stick in hand is of a ticket that is cancelled, copy by copy or at
/// once: its rest stays at the bench under one label, which is said, kept and finished. A
/// stick of which nothing is cut is whole again, and named.
#[test]
fn what_is_left_in_hand_of_a_cancelled_ticket_is_kept_under_one_label() {
    let mut files = files();
    let frames = "frame,moulding,width,height,copies\n1,ASH,8,10,2\n2,OAK,8,8,1\n";
    files.insert("frames.csv".to_owned(), frames.as_bytes().to_vec());
    for long in ["160", "120"] {
        let dir = tempfile::tempdir().unwrap();
        let rack = format!("stick,moulding,length,place\nS-1,ASH,{long},bay 1\nS-2,OAK,60,bay 2\n");
        files.insert("rack.csv".to_owned(), rack.into_bytes());
        let mut book = begin(dir.path(), &files);
        take(&mut book);
        book.cut("S-1", Some(1), &stamp()).unwrap();
        let before = (book.bench().unwrap(), book.rack(&RackQuery::default()).unwrap());
        book.cancel("1", None, &stamp()).unwrap();
        book.undo(None, &stamp()).unwrap();
        assert_eq!((book.bench().unwrap(), book.rack(&RackQuery::default()).unwrap()), before);
        let first = book.cancel("1", Some(1), &stamp()).unwrap();
        assert!(first.rests.is_empty() && first.closed.len() == 1, "{first:?}");
        let gone = book.cancel("1", Some(2), &stamp()).unwrap();
        let [(stick, left, label)] = gone.rests.as_slice() else { panic!("{gone:?}") };
        assert_eq!((stick.as_str(), !label.is_empty()), ("S-1", true), "{gone:?}");
        assert_eq!(label, &first.closed[0].left.label, "as it was said");
        let said = words::cancelled_words((book.path(), "1"), &book.shop().unwrap(), &gone);
        assert!(said.contains(&format!("write {label} on it")), "{said}");
        let own = |book: &Book| {
            let sticks = book.bench().unwrap().remove(0).sticks;
            sticks.into_iter().find(|own| own.lay.stick == "S-1").unwrap()
        };
        let rest = own(&book);
        assert!(rest.is_rest() && !rest.is_over() && rest.left == *left, "{rest:?}");
        let free = book.cancel("2", None, &stamp()).unwrap();
        assert_eq!(free.freed, [("S-2".to_owned(), "bay 2".to_owned())]);
        let said = words::cancelled_words((book.path(), "2"), &book.shop().unwrap(), &free);
        assert!(said.contains("S-2 (bay 2) is whole again: back to the rack."), "{said}");
        balanced(&book);
        // Settled by itself, or with the day: it is the same piece.
        let racked = |book: &mut Book| {
            let finished = book.finish(None, ("bay 9", false), &stamp()).unwrap();
            balanced(book);
            let racked = finished.racked.into_iter().map(|stick| (stick.id, stick.length));
            racked.collect::<Vec<_>>()
        };
        assert_eq!(racked(&mut book), [(label.clone(), *left)]);
        book.undo(None, &stamp()).unwrap();
        let kept = book.keep_rest("s-1", &stamp()).unwrap();
        assert_eq!(kept.kept, [(label.clone(), *left)]);
        assert!(own(&book).is_over());
        assert!(book.keep_rest("S-1", &stamp()).is_err(), "once");
        for refused in [
            book.cut("S-1", None, &stamp()).unwrap_err(),
            book.cut("S-1", Some(1), &stamp()).unwrap_err(),
            book.spoil("S-1", 1, &stamp()).unwrap_err(),
        ] {
            assert!(wrong(refused).contains("nothing is cut from stick S-1 any more"));
        }
        book.undo(None, &stamp()).unwrap();
        assert_eq!(book.cut("S-1", None, &stamp()).unwrap(), kept, "as by the command");
        assert_eq!(racked(&mut book), [(label.clone(), *left)]);
    }
}
