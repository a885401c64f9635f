//! What suppliers send: layers that they chop, and sticks that are on order. Both
//! count in the next plan.

use longpoint::book::{Book, BookError, Delivery};
use longpoint::measure::Length;
use longpoint::plan::{Plan, Verified, WaitReason, Wishes, plan_as_wished, verify};
use longpoint::shop::Shop;
use proptest::prelude::*;

use super::shops::{
    Files, TODAY, balanced, begin, files, inches, limits, read, stamp, take, wrong,
};

fn with(changes: &[(&str, &str)]) -> Files {
    let mut files = files();
    files.extend(changes.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec())));
    files
}

/// A shop that buys oak and ash by the stick and has its fillets chopped: their
/// rails are too short for the saw.
fn buying(frames: &str, rack: &str) -> Files {
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

fn plan(shop: &Shop) -> Verified<Plan> {
    let plan = plan_as_wished(shop, TODAY, &Wishes::default(), limits()).unwrap();
    verify(shop, &plan).unwrap_or_else(|faults| panic!("{faults:?}"));
    plan
}

fn order(book: &mut Book) -> Vec<longpoint::book::OpenLine> {
    let snapshot = book.snapshot().unwrap();
    book.order(&snapshot, &plan(&snapshot.shop), &stamp()).unwrap()
}

fn refused<T: std::fmt::Debug>(done: Result<T, BookError>) -> String {
    wrong(done.unwrap_err())
}

/// The plan as it is printed, in one line.
fn printed(plan: &Plan, shop: &Shop) -> String {
    let text = longpoint::report::text::plan(plan, shop, &longpoint::chop::schedule(plan, shop));
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn rails_of(plan: &Plan) -> Vec<(u32, usize)> {
    let rails = plan.today.iter().flat_map(|stick| &stick.rails);
    let mut rails: Vec<(u32, usize)> = rails.map(|rail| (rail.copy, rail.layer)).collect();
    rails.sort_unstable();
    rails.dedup();
    rails
}

/// Two copies of a fillet in an oak frame.
const STACK: &str =
    "frame,layer,moulding,width,height,copies,due\n9,1,FIL,3,4,2,2026-03-20\n9,2,OAK,,,,\n";
const OAK: &str = "stick,moulding,length,lot\nS-1,OAK,120,Q\n";

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
    book.drop_lines(&[line], &stamp()).unwrap();
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
    book.drop_lines(&[line], &stamp()).unwrap();
    assert_eq!(state(&book), states[0]);
    assert_eq!(book.undo(None, &stamp()).unwrap().what, "drop");
    assert_eq!(Some(&state(&book)), states.last());
    assert!(refused(book.drop_lines(&[line, 77], &stamp())).contains("no line 77 is open"));
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

const ASH: &str = "frame,moulding,width,height,copies,due,match\n1,ASH,16,20,4,2026-03-20,lot\n";

/// What is on order is not ordered again; what is needed beside it, is.
#[test]
fn an_order_counts_what_is_on_its_way() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &buying(ASH, "stick,moulding,length\n"));
    let lines = order(&mut book);
    let [line] = lines.as_slice() else { panic!("{lines:?}") };
    let shop = book.snapshot().unwrap().shop;
    assert_eq!(shop.coming.len(), line.pieces as usize);
    let waiting = plan(&shop);
    assert!(waiting.today.is_empty() && waiting.order.lines.is_empty());
    assert_eq!(waiting.waiting.len(), 4);
    let arrives = Some(jiff::civil::date(2026, 3, 12));
    assert!(waiting.order.awaited.iter().all(|copy| copy.arrives == arrives && copy.cost.0 == 0));
    let text = printed(&waiting, &shop);
    assert!(text.contains("1 (all 4), due 2026-03-20: not enough ASH on the rack; on order from CORM, expected 2026-03-12"), "{text}");

    let late = plan_as_wished(&shop, jiff::civil::date(2026, 3, 14), &Wishes::default(), limits())
        .unwrap();
    let text = printed(&late, &shop);
    assert!(text.contains("expected 2026-03-12, OVERDUE"), "{text}");

    // A ticket more: what is lacking for it alone is ordered.
    let more = buying(&format!("{ASH}2,ASH,20,24,2,2026-03-18,lot\n"), "stick,moulding,length\n");
    book.refresh((&read(&more), &more), &stamp()).unwrap();
    let second = order(&mut book);
    let whole = plan(&read(&more));
    let all: u32 = whole.order.lines.iter().map(|line| line.pieces).sum();
    let ordered: u32 = second.iter().map(|line| line.pieces).sum();
    assert!(ordered > 0 && ordered < all, "{ordered} of {all}");
    let snapshot = book.snapshot().unwrap();
    assert!(plan(&snapshot.shop).order.lines.is_empty());

    // One stick comes, of another length; the rest is still on its way. What the
    // rule of thumb asked counts in the same share: 10 % for waste beside the
    // perimeter and eight widths of four frames, 4 x (72 + 8) in.
    let usual = |book: &Book| -> Length {
        book.figures().unwrap().mouldings.iter().map(|(_, used)| used.usual).sum()
    };
    assert_eq!(usual(&book), Length::ZERO);
    let delivery = Delivery {
        moulding: "ASH".to_owned(),
        lengths: vec![inches("107")],
        lot: "K".to_owned(),
        place: "bay 1".to_owned(),
        flaws: Vec::new(),
        line: Some(line.line),
    };
    book.receive(&delivery, &stamp()).unwrap();
    let asked = inches("320").nm() * 11 / 10;
    assert_eq!(usual(&book), Length::from_nm(asked / i64::from(line.pieces)));
    let coming = book.snapshot().unwrap().shop.coming.len();
    assert_eq!(coming, (line.pieces + ordered) as usize - 1);
    plan(&book.snapshot().unwrap().shop);
    balanced(&book);
}

/// Nothing that has not come is cut, and the check sees it if it is.
#[test]
fn what_has_not_come_is_not_cut_today() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &buying(ASH, "stick,moulding,length\n"));
    order(&mut book);
    let shop = book.snapshot().unwrap().shop;
    let mut wrong = plan(&shop).into_inner();
    wrong.today = std::mem::take(&mut wrong.order.coming);
    wrong.waiting.clear();
    wrong.order.awaited.clear();
    let faults = verify(&shop, &wrong).unwrap_err();
    let said: Vec<String> = faults.iter().map(ToString::to_string).collect();
    assert!(said.iter().any(|fault| fault.contains("still has to be bought")), "{said:?}");

    let other = tempfile::tempdir().unwrap();
    let mut book = begin(other.path(), &buying(STACK, OAK));
    order(&mut book);
    let shop = book.snapshot().unwrap().shop;
    let mut wrong = plan(&shop).into_inner();
    wrong.today = std::mem::take(&mut wrong.order.coming);
    wrong.waiting.clear();
    wrong.order.awaited.clear();
    let faults = verify(&shop, &wrong).unwrap_err();
    let said: Vec<String> = faults.iter().map(ToString::to_string).collect();
    assert!(said.iter().any(|fault| fault.contains("has not come yet")), "{said:?}");
}

/// What was on order was overdue, and so counted as there sooner than what lies on the
/// rack: the plan of a stack was refused by its check, and none was to be had.
#[test]
fn what_is_overdue_is_there_no_sooner_than_the_rack() {
    let dir = tempfile::tempdir().unwrap();
    let frames = "frame,layer,moulding,width,height,copies,due,match\n1,1,ASH,8,10,1,2026-03-10,any\n\
                  1,2,OAK,,,,,any\n2,,ASH,20,24,1,2026-03-12,any\n";
    let rack = "stick,moulding,length\nS-1,ASH,50\n";
    let mut book = begin(dir.path(), &buying(frames, rack));
    let ordered: Vec<String> = order(&mut book).into_iter().map(|line| line.moulding).collect();
    assert_eq!(ordered, ["ASH", "OAK"]);
    book.cancel("2", None, &stamp()).unwrap();
    let shop = book.snapshot().unwrap().shop;
    let overdue = jiff::civil::date(2026, 3, 20);
    let plan = plan_as_wished(&shop, overdue, &Wishes::default(), limits()).unwrap();
    assert_eq!((plan.waiting.len(), plan.order.lines.len()), (1, 0));
    let cut: Vec<&str> = plan.order.coming.iter().map(|stick| stick.stick.as_str()).collect();
    assert!(cut.contains(&"S-1"), "the offcut on the rack serves it: {cut:?}");
}

/// A plan that buys for a frame that was ordered for, as long as nothing changed, is found;
/// one that finds no way to cut it from what is on order lets it wait all the same.
#[test]
fn what_was_ordered_for_is_not_bought_again() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &buying(ASH, "stick,moulding,length\n"));
    order(&mut book);
    let mut shop = book.snapshot().unwrap().shop;
    assert!(shop.frames.iter().all(|frame| frame.progress.ordered.len() == 4));
    shop.coming.clear();
    let waits = plan(&shop);
    assert_eq!((waits.order.lines.len(), waits.order.coming.len()), (0, 0));
    assert_eq!(waits.waiting.len(), 4);
    assert!(printed(&waits, &shop).contains("not enough ASH on the rack; on order"));
    let mut before = shop.clone();
    before.frames.iter_mut().for_each(|frame| frame.progress.ordered.clear());
    let again = plan(&before);
    assert!(!again.order.lines.is_empty());
    assert!(verify(&shop, &again).is_err(), "it is bought twice");
}

/// What is said of what is on order is checked like all else.
#[test]
fn a_false_word_about_what_is_on_order_is_found() {
    let dir = tempfile::tempdir().unwrap();
    let tickets = format!("{ASH}2,FIL,3,4,1,2026-03-20,any\n");
    let mut book = begin(dir.path(), &buying(&tickets, "stick,moulding,length\n"));
    order(&mut book);
    let mut shop = book.snapshot().unwrap().shop;
    // As when something else has changed since the order.
    shop.frames.iter_mut().for_each(|frame| frame.progress.ordered.clear());
    let right = plan(&shop).into_inner();
    type Falsify = fn(&mut Plan);
    let wrongs: [(&str, Falsify); 7] = [
        ("neither cut today", |plan| {
            let copy = plan.waiting.remove(0);
            plan.order.coming.iter_mut().for_each(|s| s.rails.retain(|r| r.copy != copy.copy));
        }),
        ("waits without rails", |plan| {
            let copy = plan.waiting[0].copy;
            plan.order.coming.iter_mut().for_each(|s| s.rails.retain(|r| r.copy != copy));
        }),
        ("its place", |plan| plan.order.coming[0].place = "bay 1".to_owned()),
        ("its lot", |plan| plan.order.coming[0].lot = String::new()),
        ("false day of arrival", |plan| plan.order.awaited[0].arrives = None),
        ("false order", |plan| {
            let chopped = plan.waiting.iter_mut().find(|waits| waits.frame == "2").unwrap();
            let WaitReason::OnOrder { suppliers, .. } = &mut chopped.reason else { panic!() };
            suppliers[0] = "TERN".to_owned();
        }),
        ("false moulding", |plan| {
            let chopped = plan.waiting.iter_mut().find(|waits| waits.frame == "2").unwrap();
            chopped.reason = WaitReason::Moulding(vec!["FIL".to_owned()]);
        }),
    ];
    for (what, falsify) in wrongs {
        let mut plan = right.clone();
        falsify(&mut plan);
        let faults = verify(&shop, &plan).expect_err(what);
        let said: Vec<String> = faults.iter().map(ToString::to_string).collect();
        assert!(said.iter().any(|fault| fault.contains(what)), "{what}: {said:?}");
    }
}

/// A shop that writes down no offers buys from wherever; what it has on order
/// counts just the same.
#[test]
fn without_offers_what_is_on_order_counts_as_well() {
    let dir = tempfile::tempdir().unwrap();
    let files = with(&[("frames.csv", ASH), ("rack.csv", "stick,moulding,length\n")]);
    let mut book = begin(dir.path(), &files);
    let lines = order(&mut book);
    assert_eq!((lines.len(), lines[0].supplier.as_str()), (1, ""));
    let waiting = plan(&book.snapshot().unwrap().shop);
    assert!(waiting.order.lines.is_empty() && !waiting.order.coming.is_empty());
    assert!(waiting.proof.is_empty(), "nothing is claimed of what has not come");
    balanced(&book);
}

/// A ticket of the random piles: moulding, size, copies, day and match.
fn ticket() -> impl Strategy<Value = String> {
    let sizes = (4_u32..20, 5_u32..24, 1_u32..4, 8_u32..28);
    let alike = prop::sample::select(vec!["any", "lot", "halves", "stick"]);
    (prop::sample::select(vec!["ASH", "OAK", "FIL"]), sizes, alike).prop_map(
        |(moulding, (wide, high, copies, day), alike)| {
            format!("{moulding},{wide},{high},{copies},2026-03-{day:02},{alike}")
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, max_shrink_iters: 100, ..ProptestConfig::default() })]

    /// Sticks, boxes, halves, chops and a rack to fill: once it is ordered, all
    /// that waits is on its way and nothing is ordered again.
    #[test]
    fn what_was_ordered_is_enough(
        tickets in prop::collection::vec(ticket(), 1..7),
        offcut in 20_u32..100,
    ) {
        let frames: String = tickets.iter().enumerate().map(|(n, t)| format!("{n},{t}\n")).collect();
        let frames = format!("frame,moulding,width,height,copies,due,match\n{frames}");
        let rack = format!("stick,moulding,length,lot\nO-1,ASH,{offcut},A\nO-2,OAK,{offcut},B\n");
        let mut files = buying(&frames, &rack);
        let suppliers = "supplier,name,lead_days,minimum,freight,long_over,long_charge,halves\n\
            CORM,Cormorant Mouldings,3,60,12; 0 from 200,,,\n\
            TERN,Tern Timber,8,,20,100,35,yes\n";
        files.insert("suppliers.csv".to_owned(), suppliers.as_bytes().to_vec());
        let offers = "supplier,moulding,form,lengths,price,per,box,steps\n\
            CORM,FIL,chop,2 .. 60,1.50,ft,,\nCORM,ASH,length,108,2.10,ft,,1.90 from 30\n\
            CORM,FIL,length,96,1.10,ft,,\nTERN,ASH,box,96 .. 110,40.00,box,4,\n\
            TERN,OAK,length,120,4.20,ft,,\n";
        files.insert("offers.csv".to_owned(), offers.as_bytes().to_vec());
        let mouldings = String::from_utf8(files["mouldings.csv"].clone()).unwrap();
        let mouldings = mouldings.replace("price,per\n", "price,per,keep_on_rack\n").replace(",ft\n", ",ft,1\n");
        files.insert("mouldings.csv".to_owned(), mouldings.into_bytes());

        let dir = tempfile::tempdir().unwrap();
        let mut book = begin(dir.path(), &files);
        let first = plan(&book.snapshot().unwrap().shop);
        prop_assume!(!first.order.lines.is_empty());
        let lines = order(&mut book);
        let then = plan(&book.snapshot().unwrap().shop);
        let waiting = |plan: &Plan| -> Vec<(String, u32)> {
            plan.waiting.iter().map(|waits| (waits.frame.clone(), waits.copy)).collect()
        };
        prop_assert_eq!(waiting(&then), waiting(&first));
        prop_assert_eq!(&then.order.lines[..], [], "ordered before: {:?}", lines);
        balanced(&book);
    }
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
