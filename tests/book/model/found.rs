//! Mornings that random years found, each named after what broke.

/// A frame of one stick that is cut anew as a whole was left on another stick as
/// well.
#[test]
fn no_rail_is_laid_out_twice_after_replan() {
    use super::Event::*;
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
    super::walk::through(&events);
}

/// A frame of one stick was cut anew as a whole, and cancelled half way: what had been
/// set aside for it was good again, beside the same rails cut anew.
#[test]
fn what_was_set_aside_is_not_good_beside_what_was_cut_anew() {
    use super::Event::*;
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
    super::walk::through(&events);
}

/// A stick had a rail of a cancelled frame that was off it already, since it measured
/// short: it was taken up all the same, with the rails of others.
#[test]
fn a_cancelled_frame_takes_up_no_stick_that_it_left_before() {
    use super::Event::*;
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
    super::walk::through(&events);
}

/// A stick was on order, and was ordered again: with too few steps to settle the day the
/// second look found a better one, which left no offcut for a frame that waits.
#[test]
fn what_is_on_order_is_not_ordered_again() {
    use super::Event::*;
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
    super::walk::through(&events);
}

/// Found in a shop with suppliers, on days after those on which its frames were wanted.
#[test]
fn a_plan_stands_when_every_frame_is_late() {
    use super::Event::*;
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
    super::walk::through_in(super::buying(), &events);
}

/// Rails became nobody's, which was undone and done again: the book never gives a number
/// twice, and the model did.
#[test]
fn no_number_of_nobodys_rails_comes_twice() {
    use super::Event::*;
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
    super::walk::through(&events);
}

/// A frame that more was ordered for was late beside what was on order already: no plan was
/// to be had.
#[test]
fn a_frame_that_is_ordered_for_beside_what_comes_has_a_plan() {
    use super::Event::*;
    let events = [
        Flaw(40, 7930),
        Order,
        Count(0, 0, 10192),
        Receive(0, 1),
        Undo,
        Scrap(25),
        Order,
        Cancel(34),
        Spoil(74, 183),
        Receive(23596, 3),
        Order,
        Resize(10, 52),
        CutAll,
        Drop(197),
        Resize(73, 154),
        Count(144, 102, 38108),
        Take,
        CutAll,
        Order,
        Receive(30164, 2),
        Tickets(107, 83),
        Order,
        CutAll,
        Deliver(20, 1, 10714),
        Cut(177, 221),
        Deliver(47, 2, 6191),
        Again(193),
        Take,
        Replan,
        Receive(21917, 2),
        Tickets(42, 232),
        Finish(true),
        Order,
    ];
    super::walk::through_in(super::buying(), &events);
}

/// What the random years found last.
#[test]
fn a_frame_that_waits_for_one_layer_has_a_plan() {
    use super::Event::*;
    let events = [
        Order,
        Drop(44),
        Take,
        Measure(39, 0),
        Finish(true),
        Take,
        Receive(0, 1),
        Receive(0, 1),
        Flaw(107, 6747),
        Drop(117),
        Spoil(13, 224),
        Deliver(229, 1, 23345),
        Take,
        Deliver(52, 1, 17715),
        Resize(227, 147),
        Finish(false),
        Scrap(167),
        Receive(7728, 2),
        Measure(101, 44737),
        Receive(6652, 2),
        Deliver(144, 2, 3738),
        Spoil(41, 211),
        Count(122, 237, 40061),
        Order,
        Undo,
        Take,
        PutBack,
        Replan,
        Spoil(198, 1),
        Flaw(170, 10629),
        Spoil(218, 203),
        Other,
        Drop(199),
        Crash,
        Take,
    ];
    super::walk::through_in(super::buying(), &events);
}

/// Spare rails are sides again that were to be cut from their stick as well: the sheet
/// shows what was cut once.
#[test]
fn a_spare_rail_on_the_stick_that_it_replaces_is_shown_once() {
    use super::Event::*;
    let events = [
        Again(0),
        Scrap(67),
        Order,
        Again(0),
        Deliver(0, 1, 30253),
        Cut(0, 0),
        Again(0),
        Take,
        Tickets(40, 197),
        Crash,
        Measure(132, 2626),
        Scrap(97),
        Cut(120, 133),
        Remake(47131, true),
        Cancel(48462),
        Cut(28, 235),
        Undo,
        Measure(67, 25292),
        Cut(153, 244),
        Again(71),
        Remake(22820, false),
        Cut(91, 249),
        Other,
        Spoil(60, 185),
        Remake(28344, true),
        Cancel(54887),
        Cancel(64381),
        Resize(69, 249),
        Deliver(136, 1, 13650),
        Cut(214, 201),
        Resize(90, 168),
        Tickets(180, 154),
        Replan,
        Cancel(30177),
        Replan,
    ];
    super::walk::through(&events);
}

/// A frame that is cut anew as a whole took a spare rail in place of one that it has:
/// that is set aside as where it is cut anew.
#[test]
fn what_a_spare_rail_is_given_in_place_of_is_set_aside() {
    use super::Event::*;
    let events = [
        Take,
        Take,
        Cut(83, 3),
        Resize(61, 0),
        Receive(1094, 1),
        Cancel(7358),
        CutAll,
        Deliver(0, 1, 3),
        Spoil(194, 175),
        Receive(26638, 1),
        Receive(4032, 2),
        Replan,
        Resize(137, 150),
        Replan,
        Undo,
        Take,
        Remake(16961, true),
        PutBack,
        PutBack,
        Other,
        Count(96, 15, 4750),
        Replan,
        Undo,
        CutAll,
        Remake(11710, true),
        Resize(187, 88),
        Spoil(32, 238),
        Flaw(124, 50953),
        Replan,
        Finish(false),
        Cut(142, 136),
        Undo,
        Other,
        Crash,
        Take,
        Deliver(127, 3, 32129),
        Finish(false),
        Finish(false),
        Take,
        Scrap(47),
    ];
    super::walk::through(&events);
}
