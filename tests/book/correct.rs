//! A stick as it really is: what was measured or mistyped is put right, at any time.

use longpoint::book::{Book, Correction, OnRack, RackQuery};
use longpoint::measure::Length;
use longpoint::shop::Flaw;

use super::shops::{TODAY, balanced, begin, files, inches, limits, stamp, take, wrong};

fn length(of: &str) -> Correction {
    Correction { length: Some(inches(of)), ..Correction::default() }
}

fn stick(book: &Book, name: &str) -> Option<OnRack> {
    let rack = book.rack(&RackQuery::default()).unwrap();
    rack.into_iter().find(|on| on.stick.id == name)
}

/// An offcut that today's plan will leave has its label on the sheet already, but is not
/// there before its stick is cut: it is said of which stick it comes.
#[test]
fn an_offcut_that_is_not_cut_yet_is_named_as_that() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = two_frames(dir.path());
    let plan = take(&mut book).plan;
    let laid = plan.today.iter().find(|stick| stick.left.keep).unwrap();
    let (label, of) = (&laid.left.label, &laid.stick);
    let typed = label.to_lowercase();
    let said = format!("{label} is not cut yet: it comes of {of}");
    let corrected = wrong(book.correct(&typed, &length("7"), &stamp()).unwrap_err());
    assert!(corrected.starts_with(&said), "{corrected}");
    let scrapped = wrong(book.scrap(std::slice::from_ref(label), &stamp()).unwrap_err());
    assert!(scrapped.starts_with(&said), "{scrapped}");
    let told = wrong(book.history(&typed).unwrap_err());
    assert!(told.starts_with(&said), "{told}");
    balanced(&book);
    book.cut(of, None, &stamp()).unwrap();
    book.correct(&typed, &length("7"), &stamp()).unwrap();
    book.scrap(std::slice::from_ref(label), &stamp()).unwrap();
    let gone = wrong(book.scrap(std::slice::from_ref(label), &stamp()).unwrap_err());
    assert!(gone.contains("nothing is left"), "{gone}");
    balanced(&book);
}

/// Two frames of any stick on one of 96 in, 51 in of rails each with their joints.
fn two_frames(dir: &std::path::Path) -> Book {
    let mut files = files();
    let frames = "frame,moulding,width,height,due\n1,ASH,8,10,2026-03-09\n2,ASH,8,10,2026-03-20\n";
    files.insert("frames.csv".to_owned(), frames.as_bytes().to_vec());
    let rack = "stick,moulding,length,lot,place,flaws\nS-1,ASH,108,A,bay 1,\nS-2,ASH,60,B,bay 2,\n";
    files.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    begin(dir, &files)
}

/// The sheet asks to measure before the first cut. A stick that is an inch longer
/// leaves an offcut that is an inch longer; one that is a foot shorter has no room for
/// its last rails, which are owed and planned again.
#[test]
fn a_stick_that_measures_otherwise_is_cut_as_it_is() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = two_frames(dir.path());
    let plan = take(&mut book).plan;
    let laid = plan.today.iter().find(|stick| stick.rails.len() > 3).unwrap();
    let before = (book.bench().unwrap(), book.rack(&RackQuery::default()).unwrap());
    let longer = length("109");
    let same = Correction { length: Some(laid.length + inches("1")), ..longer };
    let corrected = book.correct(&laid.stick, &same, &stamp()).unwrap();
    balanced(&book);
    assert!(corrected.off.is_empty());
    let (left, _) = corrected.remains.unwrap();
    assert_eq!(left, laid.left.length + inches("1"));
    let bench = book.bench().unwrap().remove(0);
    let card = bench.sticks.iter().find(|own| own.lay.stick == laid.stick).unwrap();
    assert_eq!(card.card.left.length, left, "the card follows");
    book.undo(None, &stamp()).unwrap();
    assert_eq!((book.bench().unwrap(), book.rack(&RackQuery::default()).unwrap()), before);
    // An inch less than the last rail and the last trim need.
    let last = laid.rails.last().unwrap().to;
    let short = Correction { length: Some(last), ..Correction::default() };
    let corrected = book.correct(&laid.stick, &short, &stamp()).unwrap();
    balanced(&book);
    assert_eq!(corrected.off.len(), 1);
    assert_eq!(book.bench().unwrap()[0].owed.len(), 1);
    let draft = book.day(None).unwrap().draft(&limits()).unwrap();
    assert!(draft.dropped.is_empty(), "{draft:?}");
    book.replan(&draft, TODAY, &stamp()).unwrap();
    assert!(book.bench().unwrap()[0].owed.is_empty());
    book.cut_all(None, &stamp()).unwrap();
    assert_eq!(book.finish(None, ("", false), &stamp()).unwrap().chopped.len(), 2);
    balanced(&book);
}

/// What still fitted a stick that measured otherwise was cut before the rest was planned
/// again: what the longer one had room for, and the shorter one was better left for, came too
/// late.
#[test]
fn what_still_fits_waits_until_the_rest_is_planned_again() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let today = take(&mut book).plan.into_inner().today;
    let of = |moulding: &str| -> Vec<String> {
        let own = today.iter().filter(|stick| stick.moulding == moulding);
        own.map(|stick| stick.stick.clone()).collect()
    };
    let (ash, oak) = (of("ASH"), of("OAK"));
    assert!(ash.len() > 1 && !oak.is_empty(), "{ash:?} {oak:?}");
    let before = book.bench().unwrap();
    let own = today.iter().find(|stick| stick.stick == "S-1").unwrap();
    let little = inches("1/8");
    assert!(own.left.length > little, "it has room for all that it had");
    for is in [own.length - little, own.length + little] {
        let correction = Correction { length: Some(is), ..Correction::default() };
        let corrected = book.correct("S-1", &correction, &stamp()).unwrap();
        assert_eq!((corrected.off.len(), corrected.again.as_deref()), (0, Some("ASH")));
        let version = book.version().unwrap();
        for stick in &ash {
            let refused = [
                wrong(book.cut(stick, Some(1), &stamp()).unwrap_err()),
                wrong(book.spoil(stick, 1, &stamp()).unwrap_err()),
            ];
            for said in refused {
                let words = "S-1 measures otherwise than it was planned: nothing more of ASH";
                assert!(said.contains(words) && said.contains("longpoint replan"), "{said}");
            }
        }
        assert!(book.cut_all(None, &stamp()).is_err());
        assert_eq!(book.version().unwrap(), version, "nothing is half done");
        // Planning again moves nothing of another moulding, which goes on.
        book.cut(&oak[0], Some(1), &stamp()).unwrap();
        book.undo(None, &stamp()).unwrap();
        let draft = book.day(None).unwrap().draft(&limits()).unwrap();
        assert_eq!(draft.mouldings.len(), 1);
        book.replan(&draft, TODAY, &stamp()).unwrap();
        assert!(book.bench().unwrap()[0].measured.is_empty());
        assert!(wrong(book.day(None).unwrap().draft(&limits()).unwrap_err()).contains("measures"));
        book.cut(&ash[0], Some(1), &stamp()).unwrap();
        balanced(&book);
        // What is undone is as it was: the replan, and what it was made for.
        book.undo(None, &stamp()).unwrap();
        book.undo(None, &stamp()).unwrap();
        assert!(book.cut(&ash[0], Some(1), &stamp()).is_err());
        book.undo(None, &stamp()).unwrap();
        assert_eq!(book.bench().unwrap(), before);
    }
}

/// The tape comes out between two cuts: what is left is measured, the cuts that are
/// made stay, and the rest of the stick is what it is.
#[test]
fn a_stick_is_measured_while_it_is_cut_and_after() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = two_frames(dir.path());
    let plan = take(&mut book).plan;
    let laid = plan.today.iter().find(|stick| stick.rails.len() > 3).unwrap();
    book.cut(&laid.stick, Some(2), &stamp()).unwrap();
    let left = stick(&book, &laid.stick).unwrap().stick.length;
    let third = &laid.rails[2];
    let beyond = laid.rails[1].to + (third.from - laid.rails[1].to);
    let enough = third.to - beyond + inches("1");
    let short = Correction { length: Some(enough), ..Correction::default() };
    let corrected = book.correct(&laid.stick, &short, &stamp()).unwrap();
    balanced(&book);
    assert_eq!((corrected.was, corrected.is), (left, enough));
    assert_eq!(corrected.off.len(), laid.rails.len() - 3, "the third has room, no other");
    let draft = book.day(None).unwrap().draft(&limits()).unwrap();
    book.replan(&draft, TODAY, &stamp()).unwrap();
    let cut = book.cut(&laid.stick, None, &stamp()).unwrap();
    balanced(&book);
    assert_eq!((cut.rails.len(), cut.kept.len()), (1, 0), "an inch at the end is scrap");
    assert!(stick(&book, &laid.stick).is_none());
    let refused = wrong(book.correct(&laid.stick, &length("5"), &stamp()).unwrap_err());
    assert!(refused.contains("nothing is left"), "{refused}");
}

/// A lot that was mistyped: what was to be cut from the stick to match is cut from
/// another. A flaw that is none, a place, a moulding likewise.
#[test]
fn what_was_mistyped_is_put_right() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = two_frames(dir.path());
    let flaw = Flaw { from: inches("10"), to: inches("11") };
    book.flaw("S-2", &[flaw], &stamp()).unwrap();
    let before = book.rack(&RackQuery::default()).unwrap();
    let all = Correction {
        lot: Some("C".to_owned()),
        place: Some("bay 9".to_owned()),
        flaws: Some(Vec::new()),
        moulding: Some("OAK".to_owned()),
        ..Correction::default()
    };
    book.correct("S-2", &all, &stamp()).unwrap();
    let is = stick(&book, "S-2").unwrap().stick;
    assert_eq!((is.lot.as_str(), is.place.as_str(), is.moulding.as_str()), ("C", "bay 9", "OAK"));
    assert!(is.flaws.is_empty() && is.length == inches("60"));
    balanced(&book);
    book.undo(None, &stamp()).unwrap();
    assert_eq!(book.rack(&RackQuery::default()).unwrap(), before);
    let unknown = Correction { moulding: Some("ELM".to_owned()), ..Correction::default() };
    assert!(book.correct("S-2", &unknown, &stamp()).is_err());
    let beyond = Correction {
        flaws: Some(vec![Flaw { from: inches("59"), to: inches("61") }]),
        ..Correction::default()
    };
    assert!(wrong(book.correct("S-2", &beyond, &stamp()).unwrap_err()).contains("beyond the end"));
    assert_eq!(
        book.rack(&RackQuery::default()).unwrap(),
        before,
        "what is refused changes nothing"
    );
    let plan = take(&mut book).plan;
    let lot = Correction { lot: Some("Z".to_owned()), ..Correction::default() };
    let laid = &plan.today[0];
    let corrected = book.correct(&laid.stick, &lot, &stamp()).unwrap();
    assert_eq!(corrected.off.len(), laid.rails.len());
    assert_eq!(book.bench().unwrap()[0].owed.len(), laid.rails.len());
    balanced(&book);
    assert_eq!(Length::ZERO, corrected.is - corrected.was);
}

/// A stick at the bench was broken, and there was no way to say so once another was cut:
/// it could not be written off before the plan was put back, nor the plan be put back.
#[test]
fn a_stick_that_is_lost_at_the_bench_is_written_off() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let today = take(&mut book).plan.into_inner().today;
    book.cut(&today[0].stick, Some(1), &stamp()).unwrap();
    let before = book.bench().unwrap();
    let lost = &today[1];
    let scrapped = book.scrap(&[lost.stick.to_lowercase()], &stamp()).unwrap();
    assert_eq!((scrapped[0].off.len(), scrapped[0].stick.length), (lost.rails.len(), lost.length));
    balanced(&book);
    let bench = book.bench().unwrap().remove(0);
    assert!(bench.sticks.iter().all(|stick| stick.lay.stick != lost.stick));
    assert_eq!(bench.owed.len(), lost.rails.len());
    let draft = book.day(None).unwrap().draft(&limits()).unwrap();
    book.replan(&draft, TODAY, &stamp()).unwrap();
    book.finish(None, ("", true), &stamp()).unwrap();
    balanced(&book);
    for _ in 0..3 {
        book.undo(None, &stamp()).unwrap();
    }
    assert_eq!(book.bench().unwrap(), before);
}
