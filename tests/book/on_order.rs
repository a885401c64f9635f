//! Sticks that are on order: they count in the next plan, and are not bought again.

use std::path::Path;

use longpoint::book::{Book, Delivery};
use longpoint::measure::{Length, Mitre};
use longpoint::morning::plan_as_wished;
use longpoint::plan::{Plan, WaitReason, Wishes};
use longpoint::quote::{Wish, WishedLayer, quote};
use longpoint::shop::{Coming, Stick};
use longpoint::verify::verify;
use proptest::prelude::*;

use super::command::said;
use super::shops::{balanced, begin, inches, limits, read, stamp};
use super::supplied::{OAK, STACK, buying, order, plan, printed, with};

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

/// What the check says of a plan that cuts today what is on order.
fn said_of_cut_today(book: &Book) -> Vec<String> {
    let shop = book.snapshot().unwrap().shop;
    let mut wrong = plan(&shop).into_inner();
    wrong.today = std::mem::take(&mut wrong.order.coming);
    wrong.waiting.clear();
    wrong.order.awaited.clear();
    let faults = verify(&shop, &wrong).unwrap_err();
    faults.iter().map(ToString::to_string).collect()
}

/// Nothing that has not come is cut, and the check sees it if it is.
#[test]
fn what_has_not_come_is_not_cut_today() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &buying(ASH, "stick,moulding,length\n"));
    order(&mut book);
    let said = said_of_cut_today(&book);
    assert!(said.iter().any(|fault| fault.contains("still has to be bought")), "{said:?}");

    let other = tempfile::tempdir().unwrap();
    let mut book = begin(other.path(), &buying(STACK, OAK));
    order(&mut book);
    let said = said_of_cut_today(&book);
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

/// Each stick on order is enough for one frame. The first that comes is for the frame that is
/// due first, whatever else there is to order; the other was late by a day.
#[test]
fn what_comes_first_is_for_whoever_is_due_first_whatever_else_is_ordered() {
    let frames = "frame,moulding,width,height,copies,due,match\n1,ASH,16,20,1,2026-03-13,any\n\
                  2,ASH,16,20,1,2026-03-14,any\n";
    let others = ["", "3,OAK,16,20,1,2026-03-30,any\n", "3,ASH,16,20,1,,any\n"];
    for (other, days) in others.into_iter().flat_map(|of| [(of, [12, 13]), (of, [13, 12])]) {
        let mut shop = read(&buying(&format!("{frames}{other}"), "stick,moulding,length\n"));
        shop.coming = days.into_iter().enumerate().map(|(place, day)| coming(place, day)).collect();
        let plan = plan(&shop);
        let arrives = |frame: &str| {
            let mut awaited = plan.order.awaited.iter();
            awaited.find(|awaited| awaited.frame == frame).and_then(|awaited| awaited.arrives)
        };
        let day = |day| Some(jiff::civil::date(2026, 3, day));
        assert_eq!((arrives("1"), arrives("2")), (day(12), day(13)), "{other} {days:?}");
        assert_eq!(plan.order.lines.is_empty(), other.is_empty());
    }
}

/// A stick of ash that is enough for one frame of 16 by 20 in, on order until a day of March.
fn coming(place: usize, day: i8) -> Coming {
    let stick = Stick {
        id: format!("on-order-{place}"),
        moulding: "ASH".to_owned(),
        length: inches("96"),
        lot: format!("delivery {day}"),
        place: String::new(),
        flaws: Vec::new(),
        since: None,
    };
    let arrives = Some(jiff::civil::date(2026, 3, day));
    Coming { stick, supplier: "CORM".to_owned(), arrives, at_bench: false }
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

/// A book of one of the folders that come with the program, of 2026-11-25, all ordered that
/// lacks; first of all it is asked for a frame.
fn ordered_for(folder: &str, ticket: &str) -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join(folder);
    let open = format!("open a.book --from {}", from.display());
    for line in [&open, ticket, "order a.book --today 2026-11-25"] {
        let (words, code) = said(dir.path(), line);
        assert_eq!(code, Some(0), "{line}: {words}");
    }
    dir
}

/// A line of which nobody knew when it comes was taken as there today, and so was one that
/// is overdue: a day was said, and written down as promised.
#[test]
fn nothing_is_promised_on_what_nobody_knows_when_it_comes() {
    let first = "quote a.book --moulding WS15 --size 300x400 --today 2026-11-25";
    let dir = ordered_for("metric", first);
    let book = Book::open(&dir.path().join("a.book")).unwrap();
    let lines = book.open_lines().unwrap();
    let white = lines.iter().find(|line| line.moulding == "WS15").unwrap();
    let (line, arrives) = (white.line, white.arrives.clone().unwrap());
    drop(book);
    let ask = |today: &str| {
        let frame = "--moulding WS15 --size 300x400 --due 2026-12-18 --ticket 900";
        said(dir.path(), &format!("quote a.book {frame} --today {today}"))
    };
    let no = "No day can be said: it is not known when what it lacks comes";
    // The day after it should have come.
    let (words, code) = ask("2026-12-09");
    assert!(arrives.as_str() < "2026-12-09", "{arrives}");
    assert_eq!((words.contains(no), code), (true, Some(3)), "{words}");
    let expect = format!("expect a.book --line {line}");
    assert_eq!(said(dir.path(), &format!("{expect} --not-known")).1, Some(0));
    let (words, code) = ask("2026-11-26");
    assert_eq!((words.contains(no), code), (true, Some(3)), "{words}");
    // With a day again, it is promised on it.
    assert_eq!(said(dir.path(), &format!("{expect} --on 2026-12-08")).1, Some(0));
    let (words, code) = ask("2026-11-26");
    assert!(words.starts_with("Yes, ") && code == Some(0), "{words}");
}

/// A promise that hangs on it is told as not kept.
#[test]
fn a_promise_on_what_nobody_knows_when_it_comes_is_not_kept() {
    let ticket = "quote a.book --moulding GLD-50 --size 16x20 --due 2026-12-01 --ticket 4160 \
                  --today 2026-11-25";
    let dir = ordered_for("demo", ticket);
    let book = Book::open(&dir.path().join("a.book")).unwrap();
    let lines = book.open_lines().unwrap();
    let gold = lines.iter().filter(|line| line.moulding == "GLD-50");
    let numbers: Vec<String> = gold.map(|line| line.line.to_string()).collect();
    assert!(!numbers.is_empty());
    drop(book);
    let plan = |today: &str| said(dir.path(), &format!("plan a.book --today {today}")).0;
    let broken = "! PROMISED for Tuesday 1 December 2026, and not kept: 4160: ";
    assert!(!plan("2026-11-26").contains(broken), "{}", plan("2026-11-26"));
    let late = format!("{broken}its moulding is overdue, expected 2026-");
    assert!(plan("2026-12-01").contains(&late), "{}", plan("2026-12-01"));
    let lines = numbers.join(" --line ");
    let expect = format!("expect a.book --line {lines} --not-known");
    assert_eq!(said(dir.path(), &expect).1, Some(0));
    let words = plan("2026-11-26");
    assert!(words.contains(&format!("{broken}nobody knows when its moulding comes")), "{words}");
}

/// Two frames have the stick on the rack and the one that is on order. A third that takes the
/// rack's makes one of them late, since another stick comes a day too late by now; as long as
/// the order was the last that happened, that one counted as ordered for, and nobody was told.
#[test]
fn a_quote_does_not_take_what_others_were_ordered_for_in_silence() {
    let dir = tempfile::tempdir().unwrap();
    let frames = "frame,moulding,width,height,copies,due,match\n1,OAK,16,20,2,2026-03-18,any\n";
    let files = buying(frames, "stick,moulding,length\nR-1,OAK,100\n");
    let mut book = begin(dir.path(), &files);
    assert_eq!(order(&mut book).len(), 1);
    let shop = book.snapshot().unwrap().shop;
    assert!(!shop.frames[0].progress.ordered.is_empty());
    let layer = WishedLayer { moulding: "OAK".to_owned(), gap: Length::ZERO, match_: None };
    let wish = Wish {
        layers: vec![layer],
        width: inches("16"),
        height: inches("20"),
        mitre: Mitre::SQUARE,
        copies: 1,
        due: Some(jiff::civil::date(2026, 3, 12)),
        job: None,
    };
    let next_day = jiff::civil::date(2026, 3, 10);
    let quote = quote(&shop, &wish, next_day, limits(), false).unwrap();
    assert!(quote.can_be_promised(wish.due) && !quote.suits_all(wish.due));
    assert_eq!(quote.made_late(false), ["1"]);
}
