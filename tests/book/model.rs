//! A year of random mornings: after each step the book agrees with a plain model
//! in memory, and its audit balances to the nanometre.
//!
//! The model knows lengths, places and who has which stick, and works out what
//! each cut takes by itself; what it takes from the book are the plans and the
//! labels. Undoing is easy for it: it keeps what it was before each step.

mod day;
mod found;
mod walk;

use proptest::prelude::*;

use super::shops::{Files, files};

/// What may happen on a morning; numbers choose among what there is.
#[derive(Debug, Clone)]
pub enum Event {
    Receive(u16, u8),
    Tickets(u8, u8),
    Resize(u8, u8),
    Take,
    Cut(u8, u8),
    CutAll,
    Spoil(u8, u8),
    Remake(u16, bool),
    Flaw(u8, u16),
    Measure(u8, u16),
    Lot(u8),
    Cancel(u16),
    Replan,
    Finish(bool),
    PutBack,
    /// One copy goes back on the pile.
    PutBackOne(u16),
    /// A copy is joined, or fitted.
    Make(u8, bool),
    Undo,
    Count(u8, u8, u16),
    Scrap(u8),
    Order,
    Deliver(u8, u8, u16),
    Drop(u8),
    DropSome(u8, u8),
    Confirm(u8, u8),
    Expect(u8, u8),
    Rescue(u16, u8),
    Invoice(u8, u16),
    Crash,
    /// A press repeated after a lost answer: the same token again.
    Again(u8),
    /// Somebody else takes a turn at the book.
    Other,
}

fn event() -> impl Strategy<Value = Event> {
    prop_oneof![
        2 => (any::<u16>(), 1_u8..4).prop_map(|(length, count)| Event::Receive(length, count)),
        1 => (any::<u8>(), any::<u8>()).prop_map(|(size, alike)| Event::Tickets(size, alike)),
        2 => (any::<u8>(), any::<u8>()).prop_map(|(ticket, size)| Event::Resize(ticket, size)),
        4 => Just(Event::Take),
        6 => (any::<u8>(), any::<u8>()).prop_map(|(stick, to)| Event::Cut(stick, to)),
        2 => Just(Event::CutAll),
        3 => (any::<u8>(), any::<u8>()).prop_map(|(stick, cut)| Event::Spoil(stick, cut)),
        2 => (any::<u16>(), any::<bool>()).prop_map(|(rail, whole)| Event::Remake(rail, whole)),
        1 => (any::<u8>(), any::<u16>()).prop_map(|(stick, at)| Event::Flaw(stick, at)),
        2 => (any::<u8>(), any::<u16>()).prop_map(|(stick, by)| Event::Measure(stick, by)),
        1 => any::<u8>().prop_map(Event::Lot),
        1 => any::<u16>().prop_map(Event::Cancel),
        4 => Just(Event::Replan),
        4 => any::<bool>().prop_map(Event::Finish),
        1 => Just(Event::PutBack),
        1 => any::<u16>().prop_map(Event::PutBackOne),
        2 => (any::<u8>(), any::<bool>()).prop_map(|(copy, fitted)| Event::Make(copy, fitted)),
        3 => Just(Event::Undo),
        1 => (any::<u8>(), any::<u8>(), any::<u16>()).prop_map(|(p, s, l)| Event::Count(p, s, l)),
        1 => any::<u8>().prop_map(Event::Scrap),
        2 => Just(Event::Order),
        2 => (any::<u8>(), 1_u8..4, any::<u16>()).prop_map(|(l, n, s)| Event::Deliver(l, n, s)),
        1 => any::<u8>().prop_map(Event::Drop),
        1 => (any::<u8>(), any::<u8>()).prop_map(|(line, count)| Event::DropSome(line, count)),
        1 => (any::<u8>(), any::<u8>()).prop_map(|(line, days)| Event::Confirm(line, days)),
        2 => (any::<u8>(), any::<u8>()).prop_map(|(line, days)| Event::Expect(line, days)),
        1 => (any::<u16>(), any::<u8>()).prop_map(|(length, cost)| Event::Rescue(length, cost)),
        6 => (any::<u8>(), any::<u16>()).prop_map(|(line, goods)| Event::Invoice(line, goods)),
        1 => Just(Event::Crash),
        2 => any::<u8>().prop_map(Event::Again),
        2 => Just(Event::Other),
    ]
}

/// How many years are lived through; more with LONGPOINT_YEARS.
fn years() -> u32 {
    std::env::var("LONGPOINT_YEARS").ok().and_then(|years| years.parse().ok()).unwrap_or(12)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: years(), max_shrink_iters: 200, ..ProptestConfig::default() })]

    #[test]
    fn a_year_of_random_mornings_adds_up(
        events in prop::collection::vec(event(), 40..90),
        buys in any::<bool>(),
    ) {
        let files = if buys { buying() } else { files() };
        let seen = walk::through_in(files, &events);
        prop_assert!(seen.steps <= events.len());
    }
}

/// The same shop with suppliers, so that what is on order has days, and may be overdue.
fn buying() -> Files {
    let mut files = files();
    let suppliers = "supplier,lead_days,freight\nCORM,3,9\nTERN,8,18; 0 from 120\n";
    let offers = "supplier,moulding,form,lengths,price,per\nCORM,ASH,length,108,2.10,ft\n\
                  TERN,ASH,length,96,1.90,ft\nTERN,OAK,length,120,4.20,ft\n";
    files.insert("suppliers.csv".to_owned(), suppliers.as_bytes().to_vec());
    files.insert("offers.csv".to_owned(), offers.as_bytes().to_vec());
    files
}

/// The random years do reach everything: no event is always refused.
#[test]
fn a_year_has_something_of_everything() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let mut all = walk::Seen::default();
    for of in 0..9 {
        let year = prop::collection::vec(event(), 90).new_tree(&mut runner).unwrap().current();
        let seen = walk::through_in(if of % 2 == 0 { files() } else { buying() }, &year);
        all.steps += seen.steps;
        for (what, times) in seen.done {
            *all.done.entry(what).or_default() += times;
        }
    }
    let unsettled = all.done.get("unsettled").copied().unwrap_or(0);
    assert!(unsettled * 2 <= all.done["order"], "most days are settled: {:?}", all.done);
    // Where a flaw was found there, what others have on a stick is taken up.
    let taken_up = all.done.get("taken up").copied().unwrap_or(0);
    assert!(taken_up * 4 <= all.done["moved up"], "most stay: {:?}", all.done);
    for what in [
        "receive",
        "refresh",
        "take",
        "cut",
        "spoil",
        "remake",
        "flaw",
        "measure",
        "lot",
        "cancel",
        "moved up",
        "resize",
        "replan",
        "joined",
        "fitted",
        "finish",
        "put-back one",
        "undo",
        "count",
        "scrap",
        "order",
        "deliver",
        "drop",
        "drop some",
        "confirm",
        "expect",
        "rescue",
        "invoice",
        "credit",
        "crash",
        "again",
        "other",
        "undo of another's",
    ] {
        assert!(all.done.get(what).copied().unwrap_or(0) > 0, "{what}: {:?}", all.done);
    }
}
