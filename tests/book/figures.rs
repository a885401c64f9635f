//! The figures of a day that can be worked out by hand.
//!
//! One frame of 10 x 10 in, OAK 1 1/2 in wide with a rabbet of 1/4 in, an
//! allowance of 1/8 in: long points of 10 1/8 + 2 (1 1/2 - 1/4) = 12 5/8 in. The
//! saw's kerf of 1/8 in takes 1/8 x sqrt 2 in off the back edge at each joint,
//! 4,490,128.06 nm, rounded up; its first trim is 1 in. All computed.

use longpoint::book::Use;
use longpoint::measure::{Length, Worth};
use longpoint::plan::{Wishes, plan_as_wished};

use super::shops::{TODAY, balanced, begin, files, limits, stamp};

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
    let plan = plan_as_wished(&snapshot.shop, TODAY, &Wishes::default(), limits());
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
