//! The figures of a day that can be worked out by hand.
//!
//! One frame of 10 x 10 in, OAK 1 1/2 in wide with a rabbet of 1/4 in, an
//! allowance of 1/8 in: long points of 10 1/8 + 2 (1 1/2 - 1/4) = 12 5/8 in. The
//! saw's kerf of 1/8 in takes 1/8 x sqrt 2 in off the back edge at each joint,
//! 4,490,128.06 nm, rounded up; its first trim is 1 in. All computed.

use std::path::Path;

use jiff::civil::date;
use longpoint::book::{Book, Figures, Stamp, Use};
use longpoint::measure::{Length, Worth};
use longpoint::morning::plan_as_wished;
use longpoint::plan::{CutStick, Wishes};

use super::shops::{TODAY, balanced, begin, files, limits, stamp, take};

const JOINT: Length = Length::from_nm(4_490_129);

fn sixty_fourths(count: i64) -> Length {
    Length::from_64ths(count)
}

/// The figures after the frame was cut from a stick so many inches long, with
/// its first rail spoiled or not.
fn figures(inches: i64, spoils: bool) -> Use {
    let mut files = files();
    let frames = "frame,layer,moulding,width,height,copies,due,match\n1,,OAK,10,10,1,,any\n";
    let rack = format!("stick,moulding,length,lot,place,flaws,since\nS-1,OAK,{inches},Q,bay 1,,\n");
    files.insert("frames.csv".to_owned(), frames.into());
    files.insert("rack.csv".to_owned(), rack.into_bytes());
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files);
    let snapshot = book.snapshot().unwrap();
    let plan = plan_as_wished(&snapshot.shop, TODAY, &Wishes::default(), limits()).unwrap();
    book.take(&snapshot, &plan, &stamp()).unwrap();
    if spoils {
        book.spoil("S-1", 1, &stamp()).unwrap();
        let draft = book.day(None).unwrap().draft(&limits()).unwrap();
        book.replan(&draft, TODAY, &stamp()).unwrap();
    }
    book.cut_all(None, &stamp()).unwrap();
    book.finish(None, ("offcuts", false), &stamp()).unwrap();
    balanced(&book);
    let figures = book.figures().unwrap();
    assert_eq!(figures.months.len(), 1);
    assert_eq!(figures.months[0].1, figures.mouldings[0].1);
    figures.months[0].1
}

fn joints(count: i64) -> Length {
    Length::from_nm(JOINT.nm() * count)
}

#[test]
fn a_whole_stick_is_no_offcut_and_what_is_left_of_it_is() {
    let used = figures(120, false);
    assert_eq!(used.rails, sixty_fourths(4 * (12 * 64 + 40)));
    assert_eq!(used.lost, sixty_fourths(64) + joints(4));
    assert_eq!((used.scrap, used.spoiled), (Length::ZERO, Length::ZERO));
    assert_eq!(used.racked, sixty_fourths(120 * 64) - used.used());
    assert_eq!(used.from_offcuts, Length::ZERO);
    // 50 1/2 in over 1 in and four joints of 0.17678 in more.
    assert_eq!(used.per_mille(), Some(967));
}

#[test]
fn a_stick_shorter_than_usual_was_an_offcut_before_there_was_a_book() {
    let used = figures(96, false);
    assert_eq!(used.from_offcuts, used.used());
    assert_eq!(used.racked, sixty_fourths(96 * 64) - used.used());
}

#[test]
fn a_spoiled_rail_counts_with_its_cost() {
    let used = figures(120, true);
    assert_eq!((used.spoiled_rails, used.spoiled), (1, sixty_fourths(12 * 64 + 40)));
    // 12 5/8 in at 4.20 USD a foot: 4.41875 USD, in thousandths of a cent.
    assert_eq!(used.spoiled_cost, Worth(441_875));
    assert_eq!(used.rails, sixty_fourths(4 * (12 * 64 + 40)));
}

/// A day in March that is done: its first stick, and the figures of it.
fn chopped_in_march(dir: &Path) -> (Book, CutStick, Figures) {
    let mut book = begin(dir, &files());
    let stick = take(&mut book).plan.today[0].clone();
    book.cut_all(None, &stamp()).unwrap();
    book.finish(None, ("", false), &stamp()).unwrap();
    let figures = book.figures().unwrap();
    (book, stick, figures)
}

/// The first rail of the stick counts as spoiled now, in the month of its cut.
fn is_spoiled_in_march(figures: &Figures, stick: &CutStick, before: &Figures) {
    let long = stick.rails[0].long_point;
    let [(month, used)] = figures.months.as_slice() else { panic!("{figures:?}") };
    let (_, was) = &before.months[0];
    assert_eq!(month, "2026-03");
    assert_eq!((used.rails, used.spoiled), (was.rails - long, was.spoiled + long));
    assert_eq!(used.spoiled_rails, was.spoiled_rails + 1);
}

/// A rail that splits the month after counts where it was cut: no month is negative.
#[test]
fn a_rail_that_is_spoiled_the_month_after_makes_no_month_negative() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, stick, before) = chopped_in_march(dir.path());
    let later = Stamp { at: date(2026, 4, 20).at(9, 0, 0, 0), ..stamp() };
    book.spoil(&stick.stick, 1, &later).unwrap();
    is_spoiled_in_march(&book.figures().unwrap(), &stick, &before);
    book.undo(None, &later).unwrap();
    assert_eq!(book.figures().unwrap(), before);
}

/// A rail was said to be split, that was undone, and it did split in the month after:
/// it was taken from the month of the undoing, in which no rail was cut.
#[test]
fn a_rail_that_is_spoiled_again_after_an_undo_counts_where_it_was_cut() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, stick, before) = chopped_in_march(dir.path());
    let on = |month| Stamp { at: date(2026, month, 20).at(9, 0, 0, 0), ..stamp() };
    book.spoil(&stick.stick, 1, &on(4)).unwrap();
    book.undo(None, &on(4)).unwrap();
    book.spoil(&stick.stick, 1, &on(5)).unwrap();
    is_spoiled_in_march(&book.figures().unwrap(), &stick, &before);
}

/// A cut was undone, and made again in the month after, badly: the month of the first
/// has nothing of it.
#[test]
fn a_rail_that_is_spoiled_as_it_is_cut_anew_counts_on_that_day() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let stick = take(&mut book).plan.today[0].clone();
    book.cut(&stick.stick, Some(1), &stamp()).unwrap();
    book.undo(None, &stamp()).unwrap();
    let later = Stamp { at: date(2026, 4, 20).at(9, 0, 0, 0), ..stamp() };
    book.spoil(&stick.stick, 1, &later).unwrap();
    let figures = book.figures().unwrap();
    let in_march: Vec<_> = figures.months.iter().filter(|(m, _)| m == "2026-03").collect();
    assert!(in_march.iter().all(|(_, used)| used.spoiled_rails == 0), "{in_march:?}");
    let (_, used) = figures.months.iter().find(|(month, _)| month == "2026-04").unwrap();
    assert_eq!((used.spoiled_rails, used.spoiled), (1, stick.rails[0].long_point));
}
