//! In which order sticks are fetched, whatever becomes of tickets.

use std::path::Path;

use longpoint::book::{AtBench, Book};
use longpoint::chop::{Schedule, of_bench, of_sticks};
use longpoint::morning::plan_as_wished;
use longpoint::plan::{CutStick, Wishes};
use longpoint::shop::read_folder_and_files;

use super::shops::{limits, stamp};

fn cards(at: &AtBench) -> Vec<CutStick> {
    at.sticks.iter().map(|stick| stick.card.clone()).collect()
}

fn names(schedule: &Schedule) -> Vec<String> {
    schedule.sticks().map(|steps| steps.stick.clone()).collect()
}

/// The order at the bench, and what it would be of what is to be cut now alone.
fn orders(book: &Book) -> (Vec<String>, Vec<String>) {
    let (at, shop) = (book.bench().unwrap().remove(0), book.shop().unwrap());
    let cards = cards(&at);
    (names(&of_bench(&cards, &at.planned, &shop)), names(&of_sticks(&cards, &shop)))
}

/// A ticket that was cancelled put the cards of others into another order: what is left
/// keeps its own, until the rest of the day is planned again.
#[test]
fn the_order_of_what_is_left_stays_where_a_ticket_is_cancelled() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo");
    let (shop, files) = read_folder_and_files(&demo).unwrap();
    let dir = tempfile::tempdir().unwrap();
    let mut book = Book::begin(&dir.path().join("shop.book"), (&shop, &files), &stamp()).unwrap();
    let snapshot = book.snapshot().unwrap();
    let wednesday = "2026-11-25".parse().unwrap();
    let plan = plan_as_wished(&snapshot.shop, wednesday, &Wishes::default(), limits()).unwrap();
    book.take(&snapshot, &plan, &stamp()).unwrap();
    let at = book.bench().unwrap().remove(0);
    assert!(at.planned.is_empty(), "as it was planned");
    let mut frames: Vec<String> = at.copies.iter().map(|(frame, _)| frame.clone()).collect();
    frames.dedup();
    let (before, _) = orders(&book);
    let mut moved = Vec::new();
    for frame in frames {
        book.cancel(&frame, None, &stamp()).unwrap();
        let (after, anew) = orders(&book);
        let left: Vec<String> =
            before.iter().filter(|stick| after.contains(stick)).cloned().collect();
        assert_eq!(after, left, "{frame}");
        if anew != after {
            moved.push(frame.clone());
        }
        book.undo(None, &stamp()).unwrap();
        assert_eq!(orders(&book).0, before, "{frame} is there again");
    }
    assert!(!moved.is_empty(), "none would have moved");
    // Cancelled, and then planned again: the order is that of the plan.
    book.cancel(&moved[0], None, &stamp()).unwrap();
    assert!(!book.bench().unwrap()[0].planned.is_empty());
    let (order, _) = orders(&book);
    book.cut(&order[0], Some(1), &stamp()).unwrap();
    assert_eq!(orders(&book).0, order);
    book.spoil(&order[0], 1, &stamp()).unwrap();
    let draft = book.day(None).unwrap().draft(&limits()).unwrap();
    book.replan(&draft, wednesday, &stamp()).unwrap();
    assert!(book.bench().unwrap()[0].planned.is_empty());
    let (order, anew) = orders(&book);
    assert_eq!(order, anew);
}
