//! An order from the day on which it is sent to the day on which it is on the rack: what
//! the supplier answers, what comes later, what is given up.

use jiff::civil::{Date, date};
use longpoint::book::{
    BillSums, Book, Confirmation, Delivery, Figures, Invoice, LineState, PlacedLine, RackQuery,
    Use, pages,
};
use longpoint::measure::Money;
use longpoint::morning::plan_as_wished;
use longpoint::plan::{WaitReason, Wishes};

use super::shops::{balanced, begin, inches, limits, stamp};
use super::supplied::{buying, order, plan, printed, refused};

/// Four frames of ash, one of oak and two fillets: two suppliers, sticks and chops.
const FRAMES: &str = "frame,moulding,width,height,copies,due,match\n\
    1,ASH,16,20,4,2026-03-20,lot\n2,OAK,16,20,1,2026-03-25,any\n3,FIL,3,4,2,2026-03-20,any\n\
    4,FIL,3,4,1,2026-03-16,any\n";

fn ordered(dir: &std::path::Path) -> (Book, Vec<PlacedLine>) {
    let mut book = begin(dir, &buying(FRAMES, "stick,moulding,length\n"));
    let lines = order(&mut book);
    (book, lines)
}

fn of<'a>(lines: &'a [PlacedLine], moulding: &str) -> &'a PlacedLine {
    lines.iter().find(|line| line.moulding == moulding).unwrap()
}

fn confirmation(supplier: &str, on: Option<Date>) -> Confirmation {
    let reference = Some("A-4471".to_owned());
    Confirmation { order: 1, supplier: Some(supplier.to_owned()), on, reference }
}

fn sticks(line: &PlacedLine, lengths: &[&str]) -> Delivery {
    Delivery {
        moulding: line.moulding.clone(),
        lengths: lengths.iter().map(|length| inches(length)).collect(),
        lot: "K".to_owned(),
        place: "bay 1".to_owned(),
        flaws: Vec::new(),
        line: Some(line.line),
    }
}

fn states(book: &Book) -> Vec<(i64, LineState)> {
    book.open_lines().unwrap().iter().map(|line| (line.line, line.state)).collect()
}

#[test]
fn a_line_goes_from_sent_to_done() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, lines) = ordered(dir.path());
    let ash = of(&lines, "ASH");
    let state = |book: &Book| {
        let open = book.open_lines().unwrap();
        open.iter().find(|line| line.line == ash.line).map(|line| line.state)
    };
    assert_eq!(state(&book), Some(LineState::Sent));
    let told = book.confirm(&confirmation("corm", Some(date(2026, 3, 13))), &stamp()).unwrap();
    assert!(told.iter().all(|line| line.supplier == "CORM"), "whatever its capitals: {told:?}");
    assert!(told.iter().all(|line| line.reference == "A-4471"));
    assert!(told.iter().all(|line| line.arrives.as_deref() == Some("2026-03-13")));
    assert_eq!(state(&book), Some(LineState::Confirmed));
    let came = book.receive(&sticks(ash, &["108"]), &stamp()).unwrap();
    assert_eq!((came.open, state(&book)), (ash.pieces - 1, Some(LineState::PartReceived)));
    book.expect((&[ash.line], Some(date(2026, 3, 19))), &stamp()).unwrap();
    assert_eq!(state(&book), Some(LineState::BackOrdered));
    let rest = vec!["108"; ash.pieces as usize - 1];
    book.receive(&sticks(ash, &rest), &stamp()).unwrap();
    assert_eq!(state(&book), None);
    let reckoned = book.reckoning(1, Some("CORM")).unwrap();
    let line = reckoned.lines.iter().find(|line| line.line.line == ash.line).unwrap();
    assert_eq!((line.line.state, line.line.to_come()), (LineState::Done, 0));
    balanced(&book);
}

/// Each step upon the one before, then all of them undone, the last first.
#[test]
fn every_step_of_an_order_can_be_undone() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &buying(FRAMES, "stick,moulding,length\n"));
    let state = |book: &Book| {
        let lines = book.open_lines().unwrap();
        let bills: Vec<_> =
            ["CORM", "TERN"].iter().map(|of| book.reckoning(1, Some(of)).ok()).collect();
        (
            (lines, bills, book.figures().unwrap()),
            (book.rack(&RackQuery::default()).unwrap(), book.snapshot().unwrap().shop),
        )
    };
    type Do<'a> = Box<dyn Fn(&mut Book) + 'a>;
    let lines = {
        let other = tempfile::tempdir().unwrap();
        ordered(other.path()).1
    };
    let (ash, oak, fil) = (of(&lines, "ASH"), of(&lines, "OAK"), of(&lines, "FIL"));
    let day = Some(date(2026, 3, 13));
    let bill = Invoice {
        order: 1,
        supplier: Some("CORM".to_owned()),
        number: "77".to_owned(),
        sums: BillSums { goods: Money(9000), carriage: Money(500), other: Money(0) },
        ..Invoice::default()
    };
    let elsewhere = Delivery { line: None, ..sticks(oak, &["60"]) };
    let steps: Vec<(&str, Do)> = vec![
        ("order", Box::new(|b| drop(order(b)))),
        ("confirm", Box::new(|b| drop(b.confirm(&confirmation("CORM", day), &stamp()).unwrap()))),
        ("receive", Box::new(|b| drop(b.receive(&sticks(ash, &["107 1/2"]), &stamp()).unwrap()))),
        ("expect", Box::new(|b| drop(b.expect((&[oak.line], None), &stamp()).unwrap()))),
        (
            "drop",
            Box::new(|b| {
                b.drop_lines(&[(ash.line, Some(1)), (fil.line, Some(1))], &stamp()).unwrap()
            }),
        ),
        ("invoice", Box::new(|b| drop(b.invoice(&bill, &stamp()).unwrap()))),
        (
            "receive",
            Box::new(|b| drop(b.buy(&elsewhere, ("Nell's", Money(2350)), &stamp()).unwrap())),
        ),
        ("receive", Box::new(|b| drop(b.receive_chops(fil.line, &stamp()).unwrap()))),
        ("drop", Box::new(|b| b.drop_lines(&[(ash.line, None)], &stamp()).unwrap())),
    ];
    let mut before = Vec::new();
    for (name, step) in &steps {
        before.push((state(&book), *name));
        step(&mut book);
        assert_ne!(state(&book), before.last().unwrap().0, "{name} does something");
        balanced(&book);
    }
    for (was, name) in before.iter().rev() {
        assert_eq!(book.undo(None, &stamp()).unwrap().what, *name);
        assert_eq!(state(&book), *was, "{name}");
        balanced(&book);
    }
}

/// The new day counts at once; without one, what waits for it has none.
#[test]
fn a_new_day_counts_in_the_next_plan() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, lines) = ordered(dir.path());
    let (oak, fil) = (of(&lines, "OAK").line, of(&lines, "FIL").line);
    assert_eq!(of(&lines, "OAK").arrives.as_deref(), Some("2026-03-17"));
    book.expect((&[oak], Some(date(2026, 4, 2))), &stamp()).unwrap();
    let shop = book.snapshot().unwrap().shop;
    let said = printed(&plan(&shop), &shop);
    assert!(said.contains("on order from TERN, expected 2026-04-02, NOT IN TIME"), "{said}");
    book.expect((&[oak, fil], None), &stamp()).unwrap();
    let shop = book.snapshot().unwrap().shop;
    let unknown = plan(&shop);
    let chopped = unknown.waiting.iter().find(|waits| waits.frame == "4").unwrap();
    let WaitReason::OnOrder { arrives: None, .. } = &chopped.reason else { panic!("{chopped:?}") };
    let said = printed(&unknown, &shop);
    assert!(
        said.contains("2, due 2026-03-25: not enough OAK on the rack; on order from TERN"),
        "{said}"
    );
    assert!(said.ends_with("on order from TERN, nobody knows when"), "no day is said: {said}");
    assert!(unknown.order.lines.is_empty(), "nothing of it is bought again");
    balanced(&book);
}

/// A confirmation that says nothing new is no reason to think an order over.
#[test]
fn what_was_ordered_for_stays_so_when_it_is_confirmed() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, lines) = ordered(dir.path());
    let is_for = |book: &Book| {
        let frames = book.snapshot().unwrap().shop.frames;
        frames.iter().map(|frame| frame.progress.ordered.len()).sum::<usize>()
    };
    assert_eq!(is_for(&book), 8);
    book.confirm(&confirmation("CORM", None), &stamp()).unwrap();
    let same_day = of(&lines, "OAK").arrives.as_ref().map(|day| day.parse().unwrap());
    book.confirm(&confirmation("TERN", same_day), &stamp()).unwrap();
    assert_eq!(is_for(&book), 8);
    book.confirm(&confirmation("TERN", Some(date(2026, 3, 30))), &stamp()).unwrap();
    assert_eq!(is_for(&book), 0, "it comes on another day");
}

/// One supplier's word is not another's, and what is back-ordered stays so.
#[test]
fn a_confirmation_is_of_one_supplier_and_of_what_is_not_late() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, lines) = ordered(dir.path());
    let anybody = Confirmation { supplier: None, ..confirmation("", None) };
    let said = refused(book.confirm(&anybody, &stamp()));
    assert!(said.contains("order 1 went to CORM, TERN (say whose it is"), "{said}");
    let said = refused(book.confirm(&confirmation("OTTER", None), &stamp()));
    assert!(said.contains("no line from \"OTTER\" (it went to CORM, TERN)"), "{said}");
    let said = refused(book.confirm(&confirmation("TERN", Some(date(2026, 3, 8))), &stamp()));
    assert!(said.contains("was ordered on 2026-03-09, and nothing comes before that"), "{said}");
    let said = refused(book.confirm(&Confirmation { order: 7, ..anybody.clone() }, &stamp()));
    assert!(said.contains("there is no order 7"), "{said}");
    let fil = of(&lines, "FIL").line;
    book.expect((&[fil], Some(date(2026, 3, 30))), &stamp()).unwrap();
    book.confirm(&confirmation("CORM", Some(date(2026, 3, 13))), &stamp()).unwrap();
    let late = book.open_lines().unwrap().into_iter().find(|line| line.line == fil).unwrap();
    let is = (late.state, late.arrives.as_deref(), late.reference.as_str());
    assert_eq!(is, (LineState::BackOrdered, Some("2026-03-30"), "A-4471"));
    let oak = of(&lines, "OAK");
    let all = vec!["120"; oak.pieces as usize];
    book.receive(&sticks(oak, &all), &stamp()).unwrap();
    book.confirm(&anybody, &stamp()).unwrap();
    let said = refused(book.confirm(&confirmation("TERN", None), &stamp()));
    assert!(said.contains("nothing of order 1 is still to come from TERN"), "{said}");
    let said = refused(book.expect((&[fil, 99], None), &stamp()));
    assert!(said.contains("no line 99 is open"), "{said}");
    balanced(&book);
}

/// Two of a line are given up: what is left comes, and is all of it.
#[test]
fn some_of_a_line_is_given_up() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, lines) = ordered(dir.path());
    let ash = of(&lines, "ASH");
    assert!(ash.pieces >= 3, "{ash:?}");
    let give_up = |book: &mut Book, count| book.drop_lines(&[(ash.line, Some(count))], &stamp());
    for count in [0, ash.pieces + 1] {
        let said = refused(give_up(&mut book, count));
        let left =
            format!("of line {} cannot be given up: of it {} whole sticks", ash.line, ash.pieces);
        assert!(said.contains(&left), "{said}");
    }
    give_up(&mut book, 2).unwrap();
    let coming = |book: &Book| {
        let coming = book.snapshot().unwrap().shop.coming;
        coming.iter().filter(|coming| coming.stick.moulding == "ASH").count()
    };
    assert_eq!(coming(&book), ash.pieces as usize - 2);
    let again = plan(&book.snapshot().unwrap().shop);
    assert!(again.order.lines.iter().any(|line| line.moulding == "ASH"), "it lacks again");
    let too_many = vec!["108"; ash.pieces as usize - 1];
    assert!(refused(book.receive(&sticks(ash, &too_many), &stamp())).contains("still to come"));
    book.receive(&sticks(ash, &too_many[1..]), &stamp()).unwrap();
    assert!(!states(&book).iter().any(|(line, _)| *line == ash.line), "all of it is here");
    balanced(&book);
}

/// Of frames that are chopped, those that are wanted last are given up, and are on the
/// pile again; the rest comes without them.
#[test]
fn chopped_frames_that_are_wanted_last_are_given_up_first() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, lines) = ordered(dir.path());
    let fil = of(&lines, "FIL");
    assert_eq!((fil.form.as_str(), fil.count), ("chop", 3));
    book.drop_lines(&[(fil.line, Some(1))], &stamp()).unwrap();
    let on_order = &book.chopped_for_lines().unwrap()[&fil.line];
    let copies: Vec<(&str, u32)> = on_order.iter().map(|(f, copy)| (f.as_str(), *copy)).collect();
    assert_eq!(copies, [("3", 1), ("4", 1)]);
    let chops = plan(&book.snapshot().unwrap().shop).order.chops.clone();
    assert_eq!((chops.len(), chops[0].frame.as_str(), chops[0].copy), (1, "3", 2));
    let came = book.receive_chops(fil.line, &stamp()).unwrap();
    assert_eq!(came.bought.len(), 2);
    assert!(!states(&book).iter().any(|(line, _)| *line == fil.line));
    balanced(&book);
}

/// The customer of one of them cancels: it is that one that is not chopped.
#[test]
fn a_chopped_frame_that_nobody_waits_for_is_given_up_before_all_others() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, lines) = ordered(dir.path());
    let fil = of(&lines, "FIL").line;
    assert_eq!(book.cancel("4", None, &stamp()).unwrap().lines, [fil]);
    book.drop_lines(&[(fil, Some(1))], &stamp()).unwrap();
    let on_order = &book.chopped_for_lines().unwrap()[&fil];
    assert!(on_order.iter().all(|(frame, _)| frame == "3"), "{on_order:?}");
    assert!(plan(&book.snapshot().unwrap().shop).order.chops.is_empty());
    balanced(&book);
}

/// What should have been here stands above all else in the plan, with what it holds up.
#[test]
fn a_plan_says_first_what_is_overdue() {
    let dir = tempfile::tempdir().unwrap();
    let (book, lines) = ordered(dir.path());
    let shop = book.snapshot().unwrap().shop;
    let on = |day| plan_as_wished(&shop, date(2026, 3, day), &Wishes::default(), limits()).unwrap();
    let in_time = on(12);
    assert!(in_time.overdue(&shop).is_empty());
    let late = on(13);
    let ash = of(&lines, "ASH").pieces;
    let said = printed(&late, &shop);
    let expected = format!(
        "LOOK AT FIRST {} ! OVERDUE since 2026-03-12 from Cormorant Mouldings (CORM): {ash} sticks \
         of ASH and 3 of FIL chopped. It holds up",
        "-".repeat(80)
    );
    assert!(said.contains(&expected), "{said}");
    let overdue = late.overdue(&shop);
    let [(of, what)] = overdue.iter().collect::<Vec<_>>()[..] else { panic!("{overdue:?}") };
    assert_eq!(of, &(date(2026, 3, 12), "CORM".to_owned()));
    let mut waits: Vec<&str> = what.frames.iter().map(|(frame, _)| frame.as_str()).collect();
    waits.sort_unstable();
    assert_eq!(waits, ["1", "1", "1", "1", "3", "3", "4"], "and not the frame of oak");
    let json =
        longpoint::report::json::plan(&late, &shop, &longpoint::chop::schedule(&late, &shop));
    assert!(
        json.contains("\"overdue\"") && json.contains("\"expected\": \"2026-03-12\""),
        "{json}"
    );
}

/// Figures of a month in which nothing was paid.
fn other_month() -> Figures {
    let used = Use { bought: inches("108"), ..Use::default() };
    let each = vec![("2026-04".to_owned(), "OAK".to_owned(), used)];
    Figures { each, ..Figures::default() }
}

/// What is bought round the corner is on the rack, and its cost in the figures of its month.
#[test]
fn what_is_bought_elsewhere_counts_in_the_figures() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, lines) = ordered(dir.path());
    let oak = of(&lines, "OAK");
    let elsewhere = Delivery { line: None, ..sticks(oak, &["60", "48 1/2"]) };
    book.buy(&elsewhere, ("Nell's", Money(2350)), &stamp()).unwrap();
    let figures = book.figures().unwrap();
    let [(month, moulding, used)] = figures.each.as_slice() else { panic!("{figures:?}") };
    assert_eq!((month.as_str(), moulding.as_str(), used.paid), ("2026-03", "OAK", Money(2350)));
    assert_eq!(used.bought, inches("60") + inches("48 1/2"));
    assert!(book.open_lines().unwrap().iter().any(|line| line.line == oak.line));
    let said = refused(book.buy(&sticks(oak, &["60"]), ("Nell's", Money(1)), &stamp()));
    assert!(said.contains("is of an order, and what it costs is billed"), "{said}");
    assert_eq!(book.rack(&RackQuery::default()).unwrap().len(), 2);
    let shop = book.shop().unwrap();
    assert!(pages::figures_html(&figures, &shop).contains("23.50 USD paid for moulding"));
    let text = pages::figures_text(&figures, &shop);
    assert!(text.lines().any(|line| line.starts_with("OAK") && line.ends_with(" 23.50")), "{text}");
    assert!(pages::figures_csv(&figures, &shop).lines().nth(1).unwrap().ends_with(",23.50"));
    let none = pages::figures_text(&other_month(), &shop);
    assert!(!none.contains("aid"), "where nothing is paid, nothing is said of it: {none}");
    balanced(&book);
}
