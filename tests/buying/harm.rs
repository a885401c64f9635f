//! What the verifier catches in an order: one thing is made wrong at a time.

use longpoint::measure::{Length, Money, Worth};
use longpoint::plan::Plan;
use longpoint::shop::{OfferDates, Shop};
use longpoint::verify::{Fault, verify};

use super::shops::{Folder, planned, settings};

/// An order of sticks from one supplier and chops from another.
fn order() -> (Shop, Plan) {
    let folder = Folder::new()
        .moulding("M", "2000,10.00,stick,any,1")
        .moulding("N", "2000,10.00,stick,any,")
        .frame("1,,M,480,480,2,2026-12-04,")
        .frame("2,,N,280,280,1,2026-12-04,")
        .supplier("S,15.00,4.00; 0 from 100,3,,,,")
        .supplier("C,,2.00,2,,,,")
        .offer("S,M,length,2000,10.00,stick,,,,")
        .offer("S,N,length,2000,10.00,stick,,,,")
        .offer("C,N,chop,100 .. 900,2.00,m,,,,0.50");
    let folder = Folder { settings: settings("mm", "1", "0", "1900"), ..folder };
    let shop = folder.buying("restock = \"always\"").shop();
    let plan = planned(&shop);
    assert_eq!((plan.order.lines.len(), plan.order.chops.len()), (2, 1));
    (shop, plan)
}

fn caught(harm: impl Fn(&mut Plan), fault: impl Fn(&Fault) -> bool) {
    let (shop, mut plan) = order();
    harm(&mut plan);
    let faults = verify(&shop, &plan).expect_err("the harm is seen");
    assert!(faults.iter().any(fault), "{faults:?}");
}

#[test]
fn a_line_that_nobody_offers() {
    let not_offered = |f: &Fault| matches!(f, Fault::NotOffered { .. });
    caught(|plan| plan.order.lines[0].offer = Some(99), not_offered);
    caught(|plan| plan.order.lines[0].offer = None, not_offered);
    caught(|plan| plan.order.lines[1].length = Length::from_mm(1999), not_offered);
    caught(|plan| plan.order.lines[1].halved = true, not_offered);
    caught(|plan| plan.order.lines[1].form = "box".to_owned(), not_offered);
    caught(|plan| plan.order.lines[1].pieces += 1, not_offered);
    caught(|plan| plan.order.lines[1].restock += 1, not_offered);
}

#[test]
fn a_line_or_bill_that_does_not_add_up() {
    let cost = |f: &Fault| matches!(f, Fault::FalseCost { .. });
    caught(|plan| plan.order.lines[0].cost = Some(Money(1)), cost);
    caught(|plan| plan.order.lines[1].cost = None, cost);
    let bill = |f: &Fault| matches!(f, Fault::FalseBill { .. });
    caught(|plan| plan.order.bills[0].goods = Money(1), bill);
    caught(|plan| plan.order.bills[1].freight = Money(0), bill);
    caught(|plan| plan.order.bills[0].made_up = Money(5), bill);
    caught(|plan| plan.order.bills[0].long = Money(5), bill);
    caught(|plan| plan.order.bills[0].arrives = plan.date, bill);
    caught(|plan| plan.order.bills.truncate(1), bill);
}

#[test]
fn an_account_that_does_not_add_up() {
    let account = |f: &Fault| matches!(f, Fault::FalseAccount { .. });
    caught(|plan| plan.order.account = None, account);
    caught(|plan| plan.order.account.as_mut().unwrap().net = Worth(1), account);
    caught(|plan| plan.order.account.as_mut().unwrap().bound = Worth(i64::MAX), account);
    caught(|plan| plan.order.awaited.truncate(1), account);
}

#[test]
fn sticks_and_chops_that_are_not_ordered() {
    let count = |f: &Fault| matches!(f, Fault::FalseCount { .. });
    caught(|plan| plan.order.lines[1].cut -= 1, count);
    caught(|plan| plan.order.lines[0].rails[0] = Length::from_mm(1), count);
    caught(|plan| plan.order.lines[0].count += 1, count);
    let chop = |f: &Fault| matches!(f, Fault::FalseChop { .. });
    caught(|plan| plan.order.chops[0].billed = Length::from_mm(1), chop);
    caught(|plan| plan.order.chops[0].moulding = "M".to_owned(), chop);
    caught(|plan| plan.order.chops[0].layer = 2, chop);
    caught(|plan| plan.order.chops[0].offer = 2, chop);
    caught(
        |plan| plan.order.chops.clear(),
        |f| matches!(f, Fault::WaitsInVain { .. } | Fault::Forgotten { .. }),
    );
    let stick = |f: &Fault| matches!(f, Fault::FalseStick { .. });
    caught(|plan| plan.order.sticks[0].supplier = "C".to_owned(), stick);
    caught(|plan| plan.order.sticks[0].length = Length::from_mm(1999), stick);
}

#[test]
fn a_day_of_arrival_that_is_not_so() {
    let wait = |f: &Fault| matches!(f, Fault::FalseWait { .. });
    caught(|plan| plan.order.awaited[0].arrives = None, wait);
    let later = |plan: &mut Plan| {
        let first = &mut plan.order.awaited[0];
        first.earliest = first.arrives.and_then(|day| day.tomorrow().ok());
    };
    caught(later, wait);
}

#[test]
fn a_rack_that_is_not_filled_up_as_is_said() {
    let (mut shop, plan) = order();
    shop.mouldings.get_mut("M").unwrap().keep_on_rack = 2;
    let faults = verify(&shop, &plan).expect_err("one stick for the rack is not two");
    let lacks = |f: &Fault| matches!(f, Fault::NotRestocked { found: 1, right: 2, .. });
    assert!(faults.iter().any(lacks), "{faults:?}");
    let restock = |f: &Fault| matches!(f, Fault::FalseRestock { found: 0, right: 1, .. });
    caught(|plan| plan.order.lines.iter_mut().for_each(|line| line.restock = 0), restock);
}

/// What is left counts at the least price on offer, whoever is bought from: here
/// half of 10.00 a stick for the 1200 mm that are left of one.
#[test]
fn a_net_cost_at_another_price_than_the_least_on_offer() {
    let folder = Folder { settings: settings("mm", "1", "0", "400"), ..Folder::new() };
    let folder = folder
        .moulding("M", "2000,30.00,stick,any,")
        .frame("1,,M,180,180,1,2026-11-28,")
        .supplier("DEAR,,,2,,,,")
        .supplier("SLOW,,,9,,,,")
        .offer("DEAR,M,length,2000,20.00,stick,,,,")
        .offer("SLOW,M,length,2000,10.00,stick,,,,");
    let settings = folder.settings.replace("worth = \"0\"", "worth = \"1\"");
    let shop = Folder { settings, ..folder }.shop();
    let plan = planned(&shop);
    assert_eq!(plan.order.account.unwrap().net, Worth(2_000_000 - 300_000));
    let mut other = plan.clone();
    other.order.account.as_mut().unwrap().net = Worth(2_000_000 - 600_000);
    let faults = verify(&shop, &other).expect_err("the stick that is left counts less");
    assert!(faults.iter().any(|f| matches!(f, Fault::FalseAccount { what: "sum" })), "{faults:?}");
}

/// A stick of 3000 whose halves are no parcel for less than 1400 is charged, halved
/// or not.
#[test]
fn a_surcharge_for_halves_that_are_long() {
    let shop = Folder { settings: settings("mm", "1", "0", "1000"), ..Folder::new() }
        .moulding("M", "3000,10.00,stick,any,")
        .frame("1,,M,1180,1180,1,,")
        .supplier("S,,,3,1400,5.00,yes,")
        .offer("S,M,length,3000,10.00,stick,,,,")
        .shop();
    let mut plan = planned(&shop);
    assert_eq!(plan.order.bills[0].long, Money(500));
    plan.order.bills[0].long = Money(0);
    let faults = verify(&shop, &plan).expect_err("the parcel is long");
    let bill = |f: &Fault| matches!(f, Fault::FalseBill { what: "surcharge", .. });
    assert!(faults.iter().any(bill), "{faults:?}");
    // The same where the halves are what is sent.
    let line = &mut plan.order.lines[0];
    (line.halved, line.pieces) = (true, 2 * line.count);
    let faults = verify(&shop, &plan).expect_err("the halves are long as well");
    assert!(faults.iter().any(bill), "{faults:?}");
}

/// A box of two, of which one stick is cut: the other is beyond need.
#[test]
fn a_box_that_is_not_whole_or_not_all_needed() {
    let shop = Folder { settings: settings("mm", "1", "0", "1000"), ..Folder::new() }
        .moulding("M", "2000,10.00,stick,any,")
        .frame("1,,M,480,480,1,,")
        .supplier("S,,,3,,,,")
        .offer("S,M,box,2000,9.00,stick,2,,,")
        .shop();
    let plan = planned(&shop);
    assert_eq!(plan.order.account.unwrap().beyond_need, Money(900));
    let caught = |harm: &dyn Fn(&mut Plan), fault: &dyn Fn(&Fault) -> bool| {
        let mut plan = plan.clone();
        harm(&mut plan);
        let faults = verify(&shop, &plan).expect_err("the harm is seen");
        assert!(faults.iter().any(fault), "{faults:?}");
    };
    caught(&|plan| plan.order.account.as_mut().unwrap().beyond_need = Money(0), &|f| {
        matches!(f, Fault::FalseAccount { what: "cost of what is beyond need" })
    });
    caught(&|plan| plan.order.lines[0].pieces = 1, &|f| {
        matches!(f, Fault::NotOffered { what: "number of pieces", .. })
    });
}

/// A layer that is cut from a stick is not bought again as a chop.
#[test]
fn a_rail_that_is_there_and_bought_again() {
    let again = |plan: &mut Plan| {
        let mut chop = plan.order.chops[0].clone();
        (chop.frame, chop.moulding) = ("1".to_owned(), "M".to_owned());
        plan.order.chops.push(chop);
    };
    caught(again, |f| matches!(f, Fault::NotWhole { frame, found: 2, .. } if frame == "1"));
}

/// A frame that somebody would chop is not held for its short rails.
#[test]
fn a_frame_that_could_be_chopped_is_not_held() {
    let folder = Folder::new()
        .moulding("M", "2000,10.00,stick,any,")
        .frame("1,,M,80,80,1,,")
        .supplier("S,,,3,,,,")
        .offer("S,M,chop,60 .. 900,5.00,m,,,,");
    let settings = folder.settings.replace("shortest = \"1\"", "shortest = \"150\"");
    let shop = Folder { settings, ..folder }.shop();
    let mut without = shop.clone();
    without.offers[0].lengths =
        longpoint::shop::Lengths::Between(Length::from_mm(200), Length::from_mm(900));
    let plan = planned(&without);
    assert_eq!(plan.held.len(), 1);
    let faults = verify(&shop, &plan).expect_err("the harm is seen");
    assert!(faults.iter().any(|f| matches!(f, Fault::FalseHold { .. })), "{faults:?}");
}

/// What a discount, a small order, a least of a line and days of an offer come to is
/// reckoned again from the files. Computed: 3 sticks at 10.00, a tenth off.
#[test]
fn terms_that_are_not_kept() {
    let folder = Folder { settings: settings("mm", "1", "0", "1900"), ..Folder::new() }
        .moulding("M", "2000,10.00,stick,any,")
        .frame("1,,M,480,480,1,,")
        .supplier("S,,2.00,3,,,,,0.1,50.00,5.00")
        .offer("S,M,length,2000,10.00,stick,,,,,3");
    let shop = folder.shop();
    let plan = planned(&shop);
    let (line, bill) = (&plan.order.lines[0], &plan.order.bills[0]);
    assert_eq!((line.count, line.cost), (3, Some(Money(2700))));
    assert_eq!((bill.small, bill.freight, bill.total()), (Money(500), Money(200), Money(3400)));
    let faults = |shop: &Shop, harm: &dyn Fn(&mut Plan)| {
        let mut plan = plan.clone();
        harm(&mut plan);
        verify(shop, &plan).expect_err("the harm is seen")
    };
    let small = faults(&shop, &|plan| plan.order.bills[0].small = Money(0));
    let is_small = |f: &Fault| matches!(f, Fault::FalseBill { what: "small order", .. });
    assert!(small.iter().any(is_small), "{small:?}");
    let mut other = shop.clone();
    other.suppliers.get_mut("S").unwrap().discount = 0;
    let costs = faults(&other, &|_| {});
    assert!(costs.iter().any(|f| matches!(f, Fault::FalseCost { .. })), "{costs:?}");
    let few = faults(&shop, &|plan| {
        (plan.order.lines[0].count, plan.order.lines[0].pieces) = (2, 2);
    });
    let least = |f: &Fault| matches!(f, Fault::NotOffered { what: "least of a line", .. });
    assert!(few.iter().any(least), "{few:?}");
    let day = |f: &Fault| matches!(f, Fault::NotOffered { what: "day", .. });
    let tomorrow = plan.date.tomorrow().unwrap();
    let yesterday = plan.date.yesterday().unwrap();
    for (from, until, out_until) in
        [(Some(tomorrow), None, None), (None, Some(yesterday), None), (None, None, Some(tomorrow))]
    {
        let mut other = shop.clone();
        other.offers[0].dates = OfferDates { from, until, out_until };
        let faults = faults(&other, &|_| {});
        assert!(faults.iter().any(day), "{faults:?}");
    }
    let mut other = shop.clone();
    let today = Some(plan.date);
    other.offers[0].dates = OfferDates { from: today, until: today, out_until: today };
    assert_eq!(verify(&other, &plan).err(), None);
}
