//! What a quote says, and what might be worth buying beside an order: every
//! figure worked out on paper (computed).

use longpoint::measure::{Length, Mitre, Money, Worth};
use longpoint::morning::WORK;
use longpoint::quote::{NearMoulding, Quote, WaitsFor, Wish, WishedLayer, quote};
use longpoint::shop::Shop;
use longpoint::solve::Limits;

use super::shops::{Folder, lines, planned, today};

fn wish(copies: u32) -> Wish {
    let layer = WishedLayer { moulding: "M".to_owned(), gap: Length::ZERO, match_: None };
    Wish {
        layers: vec![layer],
        width: Length::from_mm(480),
        height: Length::from_mm(480),
        mitre: Mitre::SQUARE,
        copies,
        due: None,
        job: None,
    }
}

/// What is bought otherwise: the form, and how many without the frame and with it.
fn bought(quote: &Quote) -> Vec<(&str, (u32, u32))> {
    quote.bought.iter().map(|change| (change.line.form.as_str(), change.counts)).collect()
}

fn quoted(shop: &Shop, wish: &Wish) -> Quote {
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    quote(shop, wish, today(), limits, true).unwrap()
}

/// Sticks of 1000 at 10.00, chops at 18.00 a metre and 1.50 a frame; carriage is
/// 6.00, free from 45.00. A frame of four rails of 500 takes two sticks.
fn counter() -> Folder {
    Folder::new()
        .moulding("M", "1000,10.00,stick,any,")
        .moulding("N", "1000,7.00,stick,any,")
        .supplier("S,,6.00; 0 from 45,3,,,,")
        .supplier("C,,2.00,5,,,,")
        .offer("S,M,length,1000,10.00,stick,,,,")
        .offer("S,N,length,1000,7.00,stick,,,,")
        .offer("C,M,chop,100 .. 900,18.00,m,,,,1.50")
}

/// Two sticks wait and come to 20.00, which are made up to 30.00 by a third that counts half of
/// its 10.00; with two more nothing is made up. The frame was said to cost 15.00 at the margin,
/// since what the minimum adds stood on one side (computed).
#[test]
fn the_margin_has_what_a_minimum_adds_on_neither_side() {
    let suppliers = "supplier,minimum,lead_days\nS,30.00,3\n".to_owned();
    let folder = Folder::new()
        .moulding("M", "1000,10.00,stick,any,")
        .frame("1,,M,480,480,1,,")
        .offer("S,M,length,1000,10.00,stick,,,,");
    let shop = Folder { suppliers, ..folder }.shop();
    assert_eq!(lines(&planned(&shop)), ["S length M 3"]);
    let quote = quoted(&shop, &wish(1));
    assert_eq!(quote.margin, Some((Worth(2_000_000), Worth(4_000_000))));
}

/// Perimeter 1920 and eight widths of 20 are 2080; the rails are four of 500. Two
/// sticks are 20.00; their carriage of 6.00 may be paid for others anyway. Of N the rule
/// of thumb asks 2.08 m.
#[test]
fn a_frame_with_nothing_else_pending_costs_its_goods() {
    let quote = quoted(&counter().shop(), &wish(1));
    let rails: Length = quote.rails[0].rails.iter().map(|rail| rail.long_point).sum();
    assert_eq!((rails, quote.footage[0]), (Length::from_mm(2000), Length::from_mm(2080)));
    assert_eq!(quote.margin, Some((Worth(0), Worth(2_000_000))));
    assert_eq!((quote.cut_today, quote.waits), (0, 1));
    assert_eq!(bought(&quote), [("length", (0, 2))]);
    let comes = quote.promise.unwrap().waits_for;
    let from = vec!["S".to_owned()];
    let saturday = jiff::civil::date(2026, 11, 28);
    // It is due on Sunday, the first day on which it can be ready: today is the last day.
    let order_by = Some(today());
    let (order_from, wait_until) = (None, None);
    assert_eq!(
        comes,
        WaitsFor::Moulding { arrives: saturday, suppliers: from, order_from, order_by, wait_until }
    );
    // 2.08 m of N at 7.00 a metre.
    let near = NearMoulding { moulding: "N".to_owned(), price: None, list: Some(Money(1456)) };
    assert_eq!((quote.list, quote.near), (Some(Money(2080)), vec![near]));
    // Alone: 20.00 + 6.00 in sticks; 2 m chopped are 36.00 + 1.50 + 2.00.
    let alone: Vec<Money> = quote.offers.iter().map(|alone| alone.bill.total()).collect();
    assert_eq!(alone, [Money(2600), Money(3950)]);
}

/// One such frame waits already, for 20.00 and carriage. With two copies more it is six
/// sticks: 60.00. That carriage is free then is left out: the two cost 40.00.
#[test]
fn the_margin_leaves_carriage_out() {
    let quote = quoted(&counter().frame("1,,M,480,480,1,,").shop(), &wish(2));
    assert_eq!(quote.margin, Some((Worth(2_000_000), Worth(6_000_000))));
    assert_eq!(bought(&quote), [("length", (2, 6))]);
    // Each by itself, from an empty rack and with nothing else pending: four
    // sticks do not reach 45.00. A fifth does and saves the 6.00 of carriage, and
    // is worth half of its 10.00 (computed).
    assert_eq!(quote.offers[0].bill.total(), Money(5000));
}

/// Chopped the waiting frame costs 17.00, less than two sticks. Four frames more
/// and it are ten sticks at 7.50: chops are 85.00 in all, sticks 75.00.
#[test]
fn what_the_frame_changes_in_the_order_is_said() {
    let shop = Folder::new()
        .moulding("M", "1000,10.00,stick,any,")
        .frame("1,,M,480,480,1,,")
        .supplier("S,,,3,,,,")
        .offer("S,M,length,1000,10.00,stick,,7.50 from 10,,")
        .offer("S,M,chop,100 .. 900,8.50,m,,,,")
        .shop();
    let quote = quoted(&shop, &wish(4));
    assert_eq!(quote.margin, Some((Worth(1_700_000), Worth(7_500_000))));
    assert_eq!(bought(&quote), [("length", (0, 10)), ("chop", (1, 0))]);
}

/// Two sticks on the rack make the frame today. They are worth 20.00, and nothing
/// is bought.
#[test]
fn what_the_rack_makes_costs_what_its_sticks_are_worth() {
    let shop = counter().stick("R1,M,1000,").stick("R2,M,1000,").shop();
    let quote = quoted(&shop, &wish(1));
    assert_eq!(quote.margin, Some((Worth(0), Worth(2_000_000))));
    assert_eq!((quote.cut_today, quote.waits), (1, 0));
    assert_eq!(bought(&quote), []);
    let mut from = quote.today.clone();
    from.sort();
    assert_eq!(from, ["R1", "R2"]);
}

/// Five sticks are needed. Up to eight, where the price falls from 10.00 to 8.00,
/// costs 64.00 in place of 50.00: 14.00 for three sticks, which pays once two are
/// used. The spare ones are worth half of what they cost, 12.00, so the order
/// itself does not go there. At 7.00 it does: 56.00 less 10.50.
#[test]
fn a_step_that_would_pay_back_is_pointed_out() {
    let folder = |step: &str| {
        Folder::new()
            .moulding("M", "1000,10.00,stick,any,")
            .frame("1,,M,480,480,2,,")
            .frame("2,,M,230,230,1,,")
            .supplier("S,,,3,,,,")
            .offer(&format!("S,M,length,1000,10.00,stick,,{step} from 8,,"))
    };
    let plan = planned(&folder("8.00").shop());
    assert_eq!(lines(&plan), ["S length M 5"]);
    let [advice] = &plan.order.advice[..] else { panic!("{:?}", plan.order.advice) };
    assert_eq!((advice.more, advice.sticks), (3, 3));
    assert_eq!((advice.costs, advice.pays_at), (Money(1400), 2));
    let plan = planned(&folder("7.00").shop());
    assert_eq!(lines(&plan), ["S length M 8"]);
    assert_eq!(plan.order.account.unwrap().net, Worth(5_600_000 - 1_050_000));
    assert!(plan.order.advice.is_empty());
}

/// Five sticks: a box of four at 7.00 a stick and one at 10.00, 38.00. One more
/// box is 28.00 for four sticks, which singly are 10.00 each: it pays once three
/// are used.
#[test]
fn one_more_box_is_pointed_out_where_it_pays_back() {
    let folder = |price: &str| {
        Folder::new()
            .moulding("M", "1000,10.00,stick,any,")
            .frame("1,,M,480,480,2,,")
            .frame("2,,M,230,230,1,,")
            .supplier("S,,,3,,,,")
            .offer("S,M,length,1000,10.00,stick,,,,")
            .offer(&format!("S,M,box,1000,{price},stick,4,,,"))
    };
    let plan = planned(&folder("7.00").shop());
    assert_eq!(lines(&plan), ["S box M 1", "S length M 1"]);
    let [advice] = &plan.order.advice[..] else { panic!("{:?}", plan.order.advice) };
    assert_eq!((advice.form.as_str(), advice.more, advice.sticks), ("box", 1, 4));
    assert_eq!((advice.costs, advice.pays_at), (Money(2800), 3));
    // At 9.50 a box of four is as dear as four that are needed singly.
    assert!(planned(&folder("9.50").shop()).order.advice.is_empty());
}

/// Where sticks are sold by the box alone, one more never saves anything.
#[test]
fn a_box_is_no_bargain_where_there_is_nothing_else() {
    let folder = Folder::new()
        .moulding("M", "1000,10.00,stick,any,")
        .frame("1,,M,480,480,2,,")
        .supplier("S,,,3,,,,")
        .offer("S,M,box,1000,8.00,stick,4,,,");
    let plan = planned(&folder.shop());
    assert_eq!(lines(&plan), ["S box M 1"]);
    assert!(plan.order.advice.is_empty());
}
