//! What is owed: no mishap ends in a day that cannot be finished, and none is lost.

use longpoint::book::{Book, Found, RackQuery, Stamp, Which};
use longpoint::measure::{Length, Mitre};
use longpoint::morning::plan_as_wished;
use longpoint::plan::{Plan, Wishes};
use longpoint::quote::{Wish, WishedLayer, quote};
use longpoint::shop::Match;
use longpoint::verify::{Verified, verify};

use super::shops::{Files, TODAY, balanced, begin, inches, limits, read, stamp, take};

/// A saw without loss, so that lengths add up at sight; two mouldings.
fn shop(frames: &str, rack: &str) -> Files {
    let settings = super::shops::SETTINGS
        .replace("allowance = \"1/8\"", "allowance = \"0\"")
        .replace("kerf = \"1/8\"", "kerf = \"0\"")
        .replace("first_trim = \"1\"", "first_trim = \"0\"")
        .replace("last_trim = \"1\"", "last_trim = \"0\"");
    let mouldings =
        "moulding,width,rabbet,stick,price,per\nASH,1,1/4,108,2.10,ft\nOAK,1,1/4,120,4.20,ft\n";
    let files = [
        ("shop.toml", settings.as_str()),
        ("mouldings.csv", mouldings),
        ("frames.csv", frames),
        ("rack.csv", rack),
    ];
    files.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())).into()
}

fn planned(book: &Book) -> Verified<Plan> {
    let snapshot = book.snapshot().unwrap();
    let plan = plan_as_wished(&snapshot.shop, TODAY, &Wishes::default(), limits()).unwrap();
    verify(&snapshot.shop, &plan).unwrap_or_else(|faults| panic!("{faults:?}"));
    plan
}

fn replan(book: &mut Book) -> longpoint::book::Draft {
    let draft = book.day(None).unwrap().draft(&limits()).unwrap();
    let replanned = book.replan(&draft, TODAY, &stamp()).unwrap();
    balanced(book);
    replanned.draft
}

/// The sticks that rails of a frame lie on, each once.
fn cut_from(sticks: &[longpoint::plan::CutStick], frame: &str) -> Vec<String> {
    let own = |stick: &&longpoint::plan::CutStick| stick.rails.iter().any(|r| r.frame == frame);
    sticks.iter().filter(own).map(|stick| stick.stick.clone()).collect()
}

/// Rails of 11 1/2 and 9 1/2 in: four of them take 42 in, all of the stick of lot A.
const ONE_LOT: &str = "frame,moulding,width,height,due,match
1,OAK,10,8,2026-03-09,lot
2,OAK,10,8,2026-03-10,lot
";

/// A corner chips; its lot is used up, but a whole stick of another lot has come.
/// The frame is cut anew from that one, and its neighbour keeps its place.
#[test]
fn a_frame_of_one_lot_is_cut_anew_from_another_lot() {
    for match_ in ["lot", "halves"] {
        let dir = tempfile::tempdir().unwrap();
        let rack = "stick,moulding,length,lot\nR1,OAK,42,A\nR2,OAK,42,C\n";
        let frames = ONE_LOT.replace("lot", match_);
        let mut book = begin(dir.path(), &shop(&frames, rack));
        let plan = take(&mut book).plan;
        let [stick] = cut_from(&plan.today, "1").try_into().unwrap();
        let new = longpoint::book::Delivery {
            moulding: "OAK".to_owned(),
            lengths: vec![inches("120")],
            lot: "B".to_owned(),
            place: String::new(),
            flaws: Vec::new(),
            line: None,
        };
        book.receive(&new, &stamp()).unwrap();
        book.cut(&stick, Some(3), &stamp()).unwrap();
        book.spoil(&stick, 4, &stamp()).unwrap();
        let draft = replan(&mut book);
        assert!(draft.dropped.is_empty() && draft.short.is_empty(), "{match_}");
        assert_eq!(draft.set_aside.len(), 3);
        assert_eq!(draft.mouldings[0].kept, cut_from(&plan.today, "2"));
        assert_eq!(cut_from(&draft.mouldings[0].sticks, "1"), ["B1"]);
        book.cut_all(None, &stamp()).unwrap();
        assert_eq!(book.finish(None, ("", false), &stamp()).unwrap().chopped.len(), 2);
        balanced(&book);
    }
}

/// With nothing left of any lot, the neighbour on its own stick does not go back:
/// that would help nobody. The day can be finished, and the whole frame is ordered.
#[test]
fn a_day_that_owes_a_rail_can_be_finished_and_the_rail_is_ordered_for() {
    let dir = tempfile::tempdir().unwrap();
    let rack = "stick,moulding,length,lot\nR1,OAK,42,A\nR2,OAK,38,C\n";
    let mut book = begin(dir.path(), &shop(&ONE_LOT.replace("2,OAK,10", "2,OAK,8"), rack));
    let plan = take(&mut book).plan;
    let [stick] = cut_from(&plan.today, "1").try_into().unwrap();
    book.cut(&stick, Some(3), &stamp()).unwrap();
    book.spoil(&stick, 4, &stamp()).unwrap();
    let draft = replan(&mut book);
    assert!(draft.dropped.is_empty(), "frame 2 goes back for nobody");
    assert_eq!(draft.short.len(), 1);
    book.cut_all(None, &stamp()).unwrap();
    let finished = book.finish(None, ("", false), &stamp()).unwrap();
    balanced(&book);
    assert_eq!(finished.chopped, [("2".to_owned(), 1)]);
    assert_eq!(finished.owed.len(), 1);
    assert_eq!(book.owed().unwrap(), finished.owed);
    // Nothing of lot A is left, so all four rails are bought: 42 in of one stick.
    let plan = planned(&book);
    assert_eq!((plan.waiting.len(), plan.order.sticks.len()), (1, 1));
    assert_eq!(plan.order.sticks[0].rails.len(), 4);
    let snapshot = book.snapshot().unwrap();
    let line = book.order(&snapshot, &plan, &stamp()).unwrap().remove(0);
    let came = longpoint::book::Delivery {
        moulding: "OAK".to_owned(),
        lengths: vec![inches("120"); line.pieces as usize],
        lot: "N".to_owned(),
        place: String::new(),
        flaws: Vec::new(),
        line: Some(line.line),
    };
    book.receive(&came, &stamp()).unwrap();
    take(&mut book);
    balanced(&book);
    let spoiled = book.audit().unwrap().spoiled;
    assert_eq!(spoiled, inches("42"), "the three that were good are set aside for the new ones");
    book.put_back(None, &stamp()).unwrap();
    balanced(&book);
    assert_eq!(book.audit().unwrap().spoiled, finished_spoiled(), "and are good again unused");
    take(&mut book);
    book.cut_all(None, &stamp()).unwrap();
    book.finish(None, ("", false), &stamp()).unwrap();
    balanced(&book);
    assert!(book.owed().unwrap().is_empty() && book.snapshot().unwrap().shop.frames.is_empty());
}

/// The one rail that was spoiled: the fourth of the cutting order of its stick.
fn finished_spoiled() -> longpoint::measure::Length {
    inches("9 1/2")
}

/// A corner splits at the underpinner the next day: one rail is owed, to match the
/// others, and is cut from what is left of their lot before anything else.
#[test]
fn a_rail_that_splits_the_next_day_is_cut_from_its_lot() {
    let dir = tempfile::tempdir().unwrap();
    let frames = "frame,moulding,width,height,match\n1,OAK,10,8,lot\n";
    let rack = "stick,moulding,length,lot\nR1,OAK,60,A\nR2,OAK,60,C\n";
    let mut book = begin(dir.path(), &shop(frames, rack));
    let plan = take(&mut book).plan;
    let lot = plan.today[0].lot.clone();
    book.cut_all(None, &stamp()).unwrap();
    book.finish(None, ("", false), &stamp()).unwrap();
    let tomorrow = Stamp { at: TODAY.tomorrow().unwrap().at(9, 0, 0, 0), ..stamp() };
    let rail = book.spoil(&plan.today[0].stick, 2, &tomorrow).unwrap();
    balanced(&book);
    let snapshot = book.snapshot().unwrap();
    let [owed] = snapshot.debts.rails.as_slice() else { panic!("{:?}", snapshot.debts) };
    assert_eq!((&owed.frame, owed.copy, owed.sides.as_slice()), (&rail.frame, 1, &[rail.side][..]));
    let [from] = snapshot.debts.sticks.as_slice() else { panic!() };
    assert_eq!((from.lot.as_str(), from.length), (lot.as_str(), inches("18")));
    let free = snapshot.shop.rack.iter().any(|stick| stick.id == from.stick);
    assert!(!free, "nobody else is planned to use it");
    assert!(planned(&book).today.is_empty(), "and nothing else is to be cut");
    let taken = take(&mut book);
    assert_eq!(taken.owed.len(), 1);
    balanced(&book);
    book.cut_all(None, &tomorrow).unwrap();
    let finished = book.finish(None, ("", false), &tomorrow).unwrap();
    assert_eq!(finished.chopped, [("1".to_owned(), 1)]);
    assert!(book.owed().unwrap().is_empty());
    balanced(&book);
}

/// The same where any stick will do: the planner has one rail, no more, and buys for
/// no more where there is none. Undone, nothing is owed.
#[test]
fn of_a_frame_of_any_stick_one_rail_is_owed_and_no_more() {
    let dir = tempfile::tempdir().unwrap();
    let frames = "frame,moulding,width,height,match\n1,OAK,10,8,any\n";
    let mut book = begin(dir.path(), &shop(frames, "stick,moulding,length,lot\nR1,OAK,42,A\n"));
    let stick = take(&mut book).plan.today[0].stick.clone();
    book.cut_all(None, &stamp()).unwrap();
    book.finish(None, ("", false), &stamp()).unwrap();
    let rail = book.spoil(&stick, 1, &stamp()).unwrap();
    let plan = planned(&book);
    assert_eq!(plan.waiting.len(), 1);
    let bought: Vec<_> = plan.order.sticks.iter().flat_map(|stick| &stick.rails).collect();
    let [only] = bought.as_slice() else { panic!("{bought:?}") };
    assert_eq!((only.side, only.long_point), (rail.side, rail.to - rail.from));
    book.undo(None, &stamp()).unwrap();
    assert!(book.owed().unwrap().is_empty() && book.snapshot().unwrap().shop.frames.is_empty());
    balanced(&book);
}

/// A frame falls in the fitting: all of it is cut again, whatever its number of
/// rails, and by its ticket, since nobody knows the sticks any more.
#[test]
fn a_whole_frame_is_made_again_by_its_ticket() {
    let dir = tempfile::tempdir().unwrap();
    let frames = "frame,moulding,width,height,copies,match\n1,OAK,10,8,2,stick\n";
    let mut book =
        begin(dir.path(), &shop(frames, "stick,moulding,length,lot\nR1,OAK,120,A\nR2,OAK,60,B\n"));
    take(&mut book);
    book.cut_all(None, &stamp()).unwrap();
    book.finish(None, ("", false), &stamp()).unwrap();
    let which = Which::default();
    let refused = super::shops::wrong(book.spoil_frame("1", &which, &stamp()).unwrap_err());
    assert!(refused.contains("say which with --copy"), "{refused}");
    let which = Which { copy: Some(2), ..Which::default() };
    assert_eq!(book.spoil_frame("1", &which, &stamp()).unwrap().rails.len(), 4);
    balanced(&book);
    assert!(book.owed().unwrap().is_empty(), "nothing of it is left that could be owed the rest");
    let pile = book.snapshot().unwrap().shop.frames;
    assert_eq!(pile[0].pending().collect::<Vec<_>>(), [2]);
    assert_eq!(planned(&book).today[0].rails.len(), 4);
    let refused = super::shops::wrong(book.spoil_frame("1", &which, &stamp()).unwrap_err());
    assert!(refused.contains("no rail of copy 2"), "{refused}");
}

/// A frame goes back only for one that is wanted before it: where the later one is
/// begun and lacks a rail, it is the later one that is finished another day.
#[test]
fn a_frame_does_not_go_back_for_one_that_is_wanted_later() {
    for (first, second) in [("2026-03-09", "2026-03-10"), ("2026-03-10", "2026-03-09")] {
        let dir = tempfile::tempdir().unwrap();
        let frames = format!(
            "frame,moulding,width,height,due,match\n1,OAK,10,8,{first},lot\n2,OAK,10,8,{second},lot\n"
        );
        let rack = "stick,moulding,length,lot\nR1,OAK,42,A\nR2,OAK,42,C\n";
        let mut book = begin(dir.path(), &shop(&frames, rack));
        let plan = take(&mut book).plan;
        let [stick] = cut_from(&plan.today, "1").try_into().unwrap();
        book.cut(&stick, Some(1), &stamp()).unwrap();
        book.spoil(&stick, 2, &stamp()).unwrap();
        let draft = replan(&mut book);
        let (back, lacks) = (draft.dropped.len(), draft.short.len());
        assert_eq!((back, lacks), if first < second { (1, 0) } else { (0, 3) }, "{draft:?}");
    }
}

/// What is still to be cut when the day ends is on the pile, cut rails and all.
#[test]
fn a_day_is_finished_with_frames_that_are_cut_in_part() {
    let dir = tempfile::tempdir().unwrap();
    let frames = "frame,moulding,width,height,match\n1,OAK,10,8,any\n2,OAK,10,8,lot\n";
    let mut book = begin(dir.path(), &shop(frames, "stick,moulding,length,lot\nR1,OAK,84,A\n"));
    take(&mut book);
    book.cut("R1", Some(6), &stamp()).unwrap();
    let refused = super::shops::wrong(book.finish(None, ("", false), &stamp()).unwrap_err());
    assert!(refused.contains("2 rails are still to be cut"), "{refused}");
    let finished = book.finish(None, ("offcuts", true), &stamp()).unwrap();
    balanced(&book);
    assert_eq!(finished.owed.len(), 2, "{finished:?}");
    assert_eq!(finished.racked.len(), 1, "what is left of the stick is there to cut them from");
    let taken = take(&mut book);
    let sticks = taken.plan.today.iter().chain(taken.owed.iter());
    assert_eq!(sticks.map(|stick| stick.rails.len()).sum::<usize>(), 2);
    book.cut_all(None, &stamp()).unwrap();
    book.finish(None, ("", false), &stamp()).unwrap();
    assert!(book.owed().unwrap().is_empty() && book.snapshot().unwrap().shop.frames.is_empty());
    balanced(&book);
}

/// A ticket that changes while a rail of it is owed leaves none that does not fit: what
/// is cut of it is spare, and goes where it is as long as it must be.
#[test]
fn a_frame_that_is_owed_a_rail_does_not_change_unawares() {
    let dir = tempfile::tempdir().unwrap();
    let frames = "frame,moulding,width,height,match\n1,OAK,10,8,any\n";
    let mut files = shop(frames, "stick,moulding,length,lot\nR1,OAK,60,A\n");
    let mut book = begin(dir.path(), &files);
    let stick = take(&mut book).plan.today[0].stick.clone();
    book.cut_all(None, &stamp()).unwrap();
    book.finish(None, ("", false), &stamp()).unwrap();
    book.spoil(&stick, 1, &stamp()).unwrap();
    files.insert("frames.csv".to_owned(), frames.replace("10,8", "10,9").into_bytes());
    let refreshed = book.refresh((&read(&files), &files), &stamp()).unwrap();
    assert_eq!(refreshed.changed[0].1.spare.len(), 3);
    assert!(book.owed().unwrap().is_empty());
    let plan = planned(&book);
    let cut = plan.order.sticks.iter().map(|stick| stick.rails.len()).sum::<usize>();
    assert_eq!(
        (plan.spares.len() + cut, plan.spares.len() % 3 > 0),
        (4, true),
        "{:?}",
        plan.spares
    );
}

/// A frame waits for what the plan at the bench will leave, and nothing is bought for it.
#[test]
fn what_the_bench_will_leave_serves_who_waits() {
    let dir = tempfile::tempdir().unwrap();
    let frames = "frame,moulding,width,height,due,match\n1,OAK,10,8,2026-03-09,any\n\
                  2,OAK,10,8,2026-03-10,any\n";
    let mut book = begin(dir.path(), &shop(frames, "stick,moulding,length,lot\nR1,OAK,120,A\n"));
    let snapshot = book.snapshot().unwrap();
    let wishes = Wishes { only: Some(["1".to_owned()].into()), ..Wishes::default() };
    let one = plan_as_wished(&snapshot.shop, TODAY, &wishes, limits()).unwrap();
    let kept = book.take(&snapshot, &one, &stamp()).unwrap().plan.today[0].left.label.clone();
    let waits = |book: &Book| {
        let plan = planned(book);
        assert_eq!((plan.waiting.len(), plan.order.lines.len()), (1, 0));
        assert_eq!(plan.order.coming[0].stick, kept, "from what will be left, by its label");
        let shop = book.snapshot().unwrap().shop;
        let text =
            longpoint::report::text::plan(&plan, &shop, &longpoint::chop::schedule(&plan, &shop));
        let text = text.split_whitespace().collect::<Vec<&str>>().join(" ");
        assert!(text.contains("comes from what the plan at the bench leaves"), "{text}");
    };
    waits(&book);
    book.cut("R1", Some(2), &stamp()).unwrap();
    waits(&book);
    book.cut_all(None, &stamp()).unwrap();
    assert_eq!(planned(&book).today.len(), 1, "it is there now");
    balanced(&book);
}

/// What lies at the bench already is there: nothing is bought beside it, and who asks
/// at the counter is not refused it. It is free for the next plan, and for no two.
#[test]
fn offcuts_at_the_bench_are_counted() {
    let dir = tempfile::tempdir().unwrap();
    let frames = "frame,moulding,width,height,match\n1,OAK,10,8,any\n";
    let mut book = begin(dir.path(), &shop(frames, "stick,moulding,length,lot\nR1,OAK,120,A\n"));
    let match_ = Some(Match::Lot);
    let layer = WishedLayer { moulding: "OAK".to_owned(), gap: Length::ZERO, match_ };
    let wish = Wish {
        layers: vec![layer],
        width: inches("10"),
        height: inches("8"),
        mitre: Mitre::SQUARE,
        copies: 1,
        due: None,
        job: None,
    };
    let quoted = |book: &Book| {
        let quote = quote(&book.snapshot().unwrap().shop, &wish, TODAY, limits(), false).unwrap();
        assert!(quote.promise.is_some());
        (quote.cut_today, quote.waits, quote.bought.len())
    };
    take(&mut book);
    assert_eq!(quoted(&book), (0, 1, 0), "the stick is taken, and 78 in of it will be left");
    book.cut_all(None, &stamp()).unwrap();
    assert_eq!(quoted(&book), (1, 0, 0), "78 in of it lie at the bench");
    let place = |book: &Book| book.snapshot().unwrap().shop.rack[0].place.clone();
    assert_eq!(place(&book), "the bench");
    let free = book.rack(&RackQuery::default()).unwrap();
    assert_eq!((free.len(), free[0].job), (1, Some(1)), "until the day is finished");
    let gone = Found { others_gone: true, ..Found::default() };
    assert!(book.count("", &gone, (&stamp(), true)).unwrap().differences.is_empty());
}
