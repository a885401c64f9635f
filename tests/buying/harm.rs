//! What the verifier catches in an order: one thing is made wrong at a time.

use longpoint::measure::{Length, Money, Worth};
use longpoint::plan::{Plan, verify, verify::Fault};
use longpoint::shop::Shop;

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
