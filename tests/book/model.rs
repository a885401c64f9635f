//! A year of random mornings: after each step the book agrees with a plain model
//! in memory, and its audit balances to the nanometre.
//!
//! The model knows lengths, places and who has which stick, and works out what
//! each cut takes by itself; what it takes from the book are the plans and the
//! labels. Undoing is easy for it: it keeps what it was before each step.

mod day;
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
    Cancel(u16),
    Replan,
    Finish(bool),
    PutBack,
    Undo,
    Count(u8, u8, u16),
    Scrap(u8),
    Order,
    Deliver(u8, u8, u16),
    Drop(u8),
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
        1 => any::<u16>().prop_map(Event::Cancel),
        4 => Just(Event::Replan),
        4 => any::<bool>().prop_map(Event::Finish),
        1 => Just(Event::PutBack),
        3 => Just(Event::Undo),
        1 => (any::<u8>(), any::<u8>(), any::<u16>()).prop_map(|(p, s, l)| Event::Count(p, s, l)),
        1 => any::<u8>().prop_map(Event::Scrap),
        2 => Just(Event::Order),
        2 => (any::<u8>(), 1_u8..4, any::<u16>()).prop_map(|(l, n, s)| Event::Deliver(l, n, s)),
        1 => any::<u8>().prop_map(Event::Drop),
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
    for of in 0..6 {
        let year = prop::collection::vec(event(), 90).new_tree(&mut runner).unwrap().current();
        let seen = walk::through_in(if of % 2 == 0 { files() } else { buying() }, &year);
        all.steps += seen.steps;
        for (what, times) in seen.done {
            *all.done.entry(what).or_default() += times;
        }
    }
    let unsettled = all.done.get("unsettled").copied().unwrap_or(0);
    assert!(unsettled * 2 <= all.done["order"], "most days are settled: {:?}", all.done);
    for what in [
        "receive",
        "refresh",
        "take",
        "cut",
        "spoil",
        "remake",
        "flaw",
        "measure",
        "cancel",
        "resize",
        "replan",
        "finish",
        "undo",
        "count",
        "scrap",
        "order",
        "deliver",
        "drop",
        "crash",
        "again",
        "other",
        "undo of another's",
    ] {
        assert!(all.done.get(what).copied().unwrap_or(0) > 0, "{what}: {:?}", all.done);
    }
}

/// A frame of one stick that is cut anew as a whole was left on another stick as
/// well.
#[test]
fn no_rail_is_laid_out_twice_after_replan() {
    use Event::*;
    let events = [
        Take,
        Cut(88, 3),
        Receive(0, 2),
        Cut(75, 29),
        Cut(0, 0),
        Count(0, 0, 0),
        Undo,
        Replan,
        Receive(0, 1),
        Receive(0, 1),
        Count(0, 39, 25161),
        Take,
        Take,
        Flaw(153, 31099),
        Undo,
        Cut(216, 87),
        Finish(false),
        Cut(78, 17),
        Cut(251, 93),
        Flaw(204, 52750),
        Replan,
        Cut(55, 8),
        Cut(206, 213),
        Replan,
        Receive(60123, 1),
        CutAll,
        PutBack,
        Undo,
        Spoil(143, 8),
        Spoil(40, 195),
        Finish(false),
        Replan,
        Crash,
        Receive(58484, 3),
        Cut(72, 109),
        Finish(true),
        Count(176, 0, 42778),
        CutAll,
        Take,
        Cut(59, 107),
    ];
    walk::through(&events);
}

/// A frame of one stick was cut anew as a whole, and cancelled half way: what had been
/// set aside for it was good again, beside the same rails cut anew.
#[test]
fn what_was_set_aside_is_not_good_beside_what_was_cut_anew() {
    use Event::*;
    let events = [
        Take,
        CutAll,
        Spoil(0, 0),
        Undo,
        Finish(false),
        Remake(30516, false),
        Flaw(0, 0),
        Replan,
        Cancel(1787),
        Receive(43595, 1),
        Take,
        Cut(109, 123),
        Cancel(31470),
        Cut(90, 255),
        Order,
        Finish(true),
        Undo,
        Order,
        Finish(false),
        Drop(113),
        Replan,
        Spoil(221, 31),
        Measure(95, 16512),
        Order,
        Crash,
        Undo,
        PutBack,
        Scrap(180),
        Spoil(233, 190),
        Undo,
        Cut(224, 151),
        Cut(54, 66),
        Take,
        Flaw(186, 47847),
        Cut(242, 220),
        Take,
        Finish(false),
        Measure(118, 10186),
        Remake(53991, true),
        Measure(110, 11411),
    ];
    walk::through(&events);
}

/// A stick had a rail of a cancelled frame that was off it already, since it measured
/// short: it was taken up all the same, with the rails of others.
#[test]
fn a_cancelled_frame_takes_up_no_stick_that_it_left_before() {
    use Event::*;
    let events = [
        Receive(41671, 2),
        Order,
        Take,
        CutAll,
        Spoil(1, 5),
        Spoil(65, 32),
        Replan,
        Spoil(56, 35),
        Finish(true),
        Tickets(59, 26),
        Deliver(72, 3, 3828),
        Spoil(191, 60),
        Receive(48303, 3),
        Crash,
        Spoil(108, 137),
        Measure(30, 62610),
        Finish(false),
        Finish(false),
        Deliver(78, 1, 46280),
        Take,
        Cut(201, 85),
        Tickets(190, 144),
        Order,
        Measure(169, 13452),
        Take,
        Cancel(27776),
        Receive(40497, 2),
        Measure(58, 1045),
        Cut(194, 26),
        Finish(false),
        Order,
        Take,
        Cut(241, 95),
        Deliver(116, 2, 25065),
        PutBack,
        Tickets(58, 217),
        Take,
        Finish(true),
        Measure(15, 21645),
        Replan,
    ];
    walk::through(&events);
}

/// A stick was on order, and was ordered again: with too few steps to settle the day the
/// second look found a better one, which left no offcut for a frame that waits.
#[test]
fn what_is_on_order_is_not_ordered_again() {
    use Event::*;
    let events = [
        Replan,
        Scrap(57),
        Order,
        Cut(0, 3),
        Measure(221, 5933),
        Cancel(15698),
        Tickets(195, 242),
        Deliver(31, 1, 8728),
        Drop(155),
        Order,
        Deliver(128, 3, 20944),
        Remake(20326, true),
        Measure(133, 18385),
        Cut(56, 224),
        CutAll,
        Tickets(110, 8),
        Count(133, 192, 18291),
        Drop(115),
        Take,
        Tickets(16, 136),
        Crash,
        Finish(false),
        Replan,
        Drop(13),
        Receive(55075, 3),
        CutAll,
        Spoil(83, 179),
        PutBack,
        Flaw(21, 57548),
        Measure(35, 54194),
        Undo,
        Finish(false),
        Finish(false),
        Remake(2740, true),
        Spoil(130, 191),
        Finish(true),
        Flaw(96, 43822),
        Spoil(200, 151),
        Cut(116, 179),
        Take,
    ];
    walk::through(&events);
}

/// Found in a shop with suppliers, on days after those on which its frames were wanted.
#[test]
fn a_plan_stands_when_every_frame_is_late() {
    use Event::*;
    let events = [
        Replan,
        Other,
        Other,
        Tickets(135, 0),
        Tickets(63, 0),
        Cancel(18151),
        Tickets(30, 154),
        Replan,
        Replan,
        Tickets(83, 179),
        Remake(33540, false),
        Remake(58237, false),
        Tickets(81, 27),
        Replan,
        Finish(true),
        Spoil(87, 23),
        Replan,
        Replan,
        Receive(2707, 1),
        Resize(70, 22),
        Order,
        Undo,
        Receive(42085, 1),
        Receive(16262, 1),
        Resize(10, 223),
        Cut(21, 204),
        Finish(true),
        Measure(96, 33881),
        Order,
        Take,
    ];
    walk::through_in(buying(), &events);
}

/// Rails became nobody's, which was undone and done again: the book never gives a number
/// twice, and the model did.
#[test]
fn no_number_of_nobodys_rails_comes_twice() {
    use Event::*;
    let events = [
        Resize(0, 2),
        Deliver(0, 1, 78),
        Again(141),
        Scrap(83),
        Take,
        CutAll,
        Resize(16, 29),
        Flaw(181, 45571),
        Undo,
        Undo,
        Spoil(1, 17),
        Resize(200, 36),
        Finish(false),
        Cut(229, 210),
        Deliver(207, 1, 58395),
        Order,
        Deliver(47, 1, 41331),
        Resize(244, 209),
        Spoil(32, 94),
        Resize(214, 140),
        Other,
        Remake(65505, true),
        Spoil(69, 172),
        Finish(true),
        Measure(69, 7322),
        Take,
    ];
    walk::through(&events);
}
