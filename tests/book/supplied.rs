//! What suppliers send: layers that they chop, and sticks that are on order. Both
//! count in the next plan.

use longpoint::book::{Book, BookError};
use longpoint::morning::plan_as_wished;
use longpoint::plan::{Plan, WaitReason, Wishes};
use longpoint::shop::Shop;
use longpoint::verify::{Verified, verify};

use super::shops::{Files, TODAY, balanced, begin, files, limits, read, stamp, take, wrong};

pub(super) fn with(changes: &[(&str, &str)]) -> Files {
    let mut files = files();
    files.extend(changes.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec())));
    files
}

/// A shop that buys oak and ash by the stick and has its fillets chopped: their
/// rails are too short for the saw.
pub(super) fn buying(frames: &str, rack: &str) -> Files {
    with(&[
        ("frames.csv", frames),
        ("rack.csv", rack),
        (
            "mouldings.csv",
            "moulding,width,rabbet,stick,price,per\nASH,1,1/4,108,2.10,ft\nOAK,1 1/2,1/4,120,4.20,ft\n\
             FIL,1/2,1/4,96,1.10,ft\n",
        ),
        (
            "suppliers.csv",
            "supplier,name,lead_days\nCORM,Cormorant Mouldings,3\nTERN,Tern Timber,8\n",
        ),
        (
            "offers.csv",
            "supplier,moulding,form,lengths,price,per\nCORM,FIL,chop,2 .. 60,1.50,ft\n\
             CORM,ASH,length,108,2.10,ft\nTERN,OAK,length,120,4.20,ft\n",
        ),
    ])
}

pub(super) fn plan(shop: &Shop) -> Verified<Plan> {
    let plan = plan_as_wished(shop, TODAY, &Wishes::default(), limits()).unwrap();
    verify(shop, &plan).unwrap_or_else(|faults| panic!("{faults:?}"));
    plan
}

pub(super) fn order(book: &mut Book) -> Vec<longpoint::book::PlacedLine> {
    let snapshot = book.snapshot().unwrap();
    book.order(&snapshot, &plan(&snapshot.shop), &stamp()).unwrap()
}

pub(super) fn refused<T: std::fmt::Debug>(done: Result<T, BookError>) -> String {
    wrong(done.unwrap_err())
}

/// The plan as it is printed, in one line.
pub(super) fn printed(plan: &Plan, shop: &Shop) -> String {
    let text = longpoint::report::text::plan(plan, shop, &longpoint::chop::schedule(plan, shop));
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

pub(super) fn rails_of(plan: &Plan) -> Vec<(u32, usize)> {
    let rails = plan.today.iter().flat_map(|stick| &stick.rails);
    let mut rails: Vec<(u32, usize)> = rails.map(|rail| (rail.copy, rail.layer)).collect();
    rails.sort_unstable();
    rails.dedup();
    rails
}

/// Two copies of a fillet in an oak frame.
pub(super) const STACK: &str =
    "frame,layer,moulding,width,height,copies,due\n9,1,FIL,3,4,2,2026-03-20\n9,2,OAK,,,,\n";
pub(super) const OAK: &str = "stick,moulding,length,lot\nS-1,OAK,120,Q\n";

/// While a layer is on order its frame waits; once it has come only the other
/// layer is cut, and what is spoiled of that, cut anew.
#[test]
fn a_layer_that_came_chopped_is_not_cut_here() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &buying(STACK, OAK));
    let lines = order(&mut book);
    let [line] = lines.as_slice() else { panic!("{lines:?}") };
    assert_eq!((line.form.as_str(), line.moulding.as_str(), line.count), ("chop", "FIL", 2));

    let waiting = plan(&book.snapshot().unwrap().shop);
    assert!(waiting.today.is_empty() && waiting.order.lines.is_empty());
    let reason = WaitReason::OnOrder {
        mouldings: vec!["FIL".to_owned()],
        suppliers: vec!["CORM".to_owned()],
        arrives: Some(jiff::civil::date(2026, 3, 12)),
    };
    assert_eq!(waiting.waiting.len(), 2);
    assert!(waiting.waiting.iter().all(|copy| copy.reason == reason));
    assert!(waiting.order.coming.iter().all(|stick| stick.stick == "S-1"));
    let snapshot = book.snapshot().unwrap();
    let again = refused(book.order(&snapshot, &waiting, &stamp()));
    assert!(again.contains("beside what is on order already: line 1"), "{again}");

    let came = book.receive_chops(line.line, &stamp()).unwrap();
    assert_eq!(came.in_part, [("9".to_owned(), 1), ("9".to_owned(), 2)]);
    assert!(refused(book.export()).contains("layer 1 of frame 9 came chopped"));
    let taken = take(&mut book).plan;
    assert_eq!(rails_of(&taken), [(1, 2), (2, 2)]);
    assert!(book.bench().unwrap()[0].owed.is_empty());
    book.cut("S-1", Some(2), &stamp()).unwrap();
    book.spoil("S-1", 3, &stamp()).unwrap();
    let draft = book.day(None).unwrap().draft(&limits()).unwrap();
    book.replan(&draft, TODAY, &stamp()).unwrap();
    let bench = &book.bench().unwrap()[0];
    assert!(bench.owed.is_empty());
    assert!(bench.sticks.iter().flat_map(|s| &s.lay.rails).all(|rail| rail.layer == 2));
    book.cut_all(None, &stamp()).unwrap();
    let finished = book.finish(None, ("", false), &stamp()).unwrap();
    assert_eq!(finished.chopped.len(), 2);
    assert!(book.snapshot().unwrap().shop.frames.is_empty());
    balanced(&book);
}

/// Two copies came chopped in one layer when a third is asked for: those two are
/// cut today in the other layer, and chops are ordered for the third alone.
#[test]
fn copies_of_one_ticket_may_differ_in_what_is_chopped() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &buying(STACK, OAK));
    let line = order(&mut book)[0].line;
    book.receive_chops(line, &stamp()).unwrap();
    let three = buying(&STACK.replace("FIL,3,4,2", "FIL,3,4,3"), OAK);
    let refreshed = book.refresh((&read(&three), &three), &stamp()).unwrap();
    assert_eq!(refreshed.begun, []);
    let snapshot = book.snapshot().unwrap();
    let plan = plan(&snapshot.shop);
    assert_eq!(rails_of(&plan), [(1, 2), (2, 2)]);
    let chops: Vec<(u32, usize)> = plan.order.chops.iter().map(|c| (c.copy, c.layer)).collect();
    assert_eq!(chops, [(3, 1)]);
    assert_eq!(plan.waiting[0].reason, WaitReason::Chops(vec!["FIL".to_owned()]));
    book.order(&snapshot, &plan, &stamp()).unwrap();
    assert_eq!(rails_of(&take(&mut book).plan), [(1, 2), (2, 2)]);
    balanced(&book);
}

/// Whole frames that a supplier chops need no bench.
#[test]
fn a_frame_that_came_whole_is_done_with() {
    let dir = tempfile::tempdir().unwrap();
    let frames = "frame,moulding,width,height,copies,due\n8,FIL,3,4,3,2026-03-20\n";
    let mut book = begin(dir.path(), &buying(frames, OAK));
    let line = order(&mut book)[0].line;
    book.receive_chops(line, &stamp()).unwrap();
    assert!(book.snapshot().unwrap().shop.frames.is_empty(), "all of it was bought");
    book.undo(None, &stamp()).unwrap();
    let waiting = plan(&book.snapshot().unwrap().shop);
    assert_eq!(waiting.waiting.len(), 3);
    assert!(waiting.order.coming.is_empty() && waiting.order.lines.is_empty());
    book.drop_lines(&[(line, None)], &stamp()).unwrap();
    let anew = plan(&book.snapshot().unwrap().shop);
    assert_eq!(anew.order.chops.len(), 3);
    balanced(&book);
}

/// Undone one after the other, each step leaves what was before it: received,
/// dropped and ordered chops.
#[test]
fn what_came_chopped_can_be_undone() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &buying(STACK, OAK));
    let state = |book: &Book| (book.snapshot().unwrap().shop, book.open_lines().unwrap());
    let mut states = vec![state(&book)];
    let line = order(&mut book)[0].line;
    states.push(state(&book));
    book.receive_chops(line, &stamp()).unwrap();
    let came = state(&book);
    assert!(!states.contains(&came));
    assert_eq!(book.undo(None, &stamp()).unwrap().what, "receive");
    assert_eq!(Some(&state(&book)), states.last());
    book.drop_lines(&[(line, None)], &stamp()).unwrap();
    assert_eq!(state(&book), states[0]);
    assert_eq!(book.undo(None, &stamp()).unwrap().what, "drop");
    assert_eq!(Some(&state(&book)), states.last());
    assert!(
        refused(book.drop_lines(&[(line, None), (77, None)], &stamp()))
            .contains("no line 77 is open")
    );
    assert_eq!(Some(&state(&book)), states.last(), "a refused step changes nothing");
    assert_eq!(book.undo(None, &stamp()).unwrap().what, "order");
    assert_eq!(state(&book), states[0]);
    balanced(&book);
}

/// A ticket may not change under the rails that are chopped for it.
#[test]
fn a_chopped_layer_holds_its_ticket_to_its_size() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &buying(STACK, OAK));
    order(&mut book);
    let larger = buying(&STACK.replace("FIL,3,4", "FIL,3,5"), OAK);
    let said = refused(book.refresh((&read(&larger), &larger), &stamp()));
    assert!(said.contains("frame 9: layer 1 is chopped by a supplier"), "{said}");
    let wider = buying(&STACK.replace("9,2,OAK", "9,2,ASH"), OAK);
    book.refresh((&read(&wider), &wider), &stamp()).unwrap();
    let none = buying("frame,moulding,width,height\n1,ASH,8,10\n", OAK);
    book.refresh((&read(&none), &none), &stamp()).unwrap();
    balanced(&book);
}

/// A frame that came chopped fell in the fitting, and there was no way to say so: no rail
/// of it was cut here. It is on the pile again, chopped by nobody, and can be undone.
#[test]
fn what_came_chopped_is_had_again_when_it_is_damaged() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &buying(STACK, OAK));
    let line = order(&mut book)[0].line;
    book.receive_chops(line, &stamp()).unwrap();
    let which = longpoint::book::Which { copy: Some(2), ..Default::default() };
    let before = book.snapshot().unwrap().shop;
    let spoilt = book.spoil_frame("9", &which, &stamp()).unwrap();
    assert_eq!((spoilt.chops, spoilt.rails.len()), (vec![1], 0));
    assert!(refused(book.spoil_frame("9", &which, &stamp())).contains("copy 2"));
    let again = plan(&book.snapshot().unwrap().shop);
    let chops: Vec<(u32, usize)> = again.order.chops.iter().map(|c| (c.copy, c.layer)).collect();
    assert_eq!(chops, [(2, 1)], "it is chopped again, and the other copy is not");
    book.undo(None, &stamp()).unwrap();
    assert_eq!(book.snapshot().unwrap().shop.frames, before.frames);
    balanced(&book);
}

/// What is chopped comes on the 17th and the sticks on the 12th: the line gave the sticks the
/// chops' day.
#[test]
fn what_stands_on_two_orders_is_said_with_the_day_of_each() {
    let dir = tempfile::tempdir().unwrap();
    let frames = "frame,layer,moulding,width,height,due\n1,1,FIL,4,4,2026-03-30\n1,2,ASH,,,\n";
    let mut files = buying(frames, "stick,moulding,length\n");
    let offers = String::from_utf8(files["offers.csv"].clone()).unwrap();
    files.insert("offers.csv".to_owned(), offers.replace("CORM,FIL", "TERN,FIL").into_bytes());
    let mut book = begin(dir.path(), &files);
    assert_eq!(order(&mut book).len(), 2);
    let shop = book.snapshot().unwrap().shop;
    let said = printed(&plan(&shop), &shop);
    let both = "its FIL, chopped, is on order from TERN, expected 2026-03-17; what else it needs is on \
                order from CORM, expected 2026-03-12";
    assert!(said.contains(both), "{said}");
}
