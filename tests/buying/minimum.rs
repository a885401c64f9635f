//! What becomes of an order below a supplier's minimum, as the shop's files say.

use longpoint::measure::{Money, Worth};
use longpoint::plan::Plan;
use longpoint::verify::{Fault, verify};

use super::shops::{Folder, lines, planned, to_pay};

/// Two sticks are needed: at 10.00 from A with a minimum of 30.00, or at 14.00
/// from B without one.
fn order(below: &str, spare: &str) -> Plan {
    let folder = Folder::new()
        .moulding("M", "1000,10.00,stick,any,")
        .frame("1,,M,480,480,1,,")
        .offer("A,M,length,1000,10.00,stick,,,,")
        .offer("B,M,length,1000,14.00,stick,,,,")
        .buying(&format!("spare = \"{spare}\""));
    let suppliers = format!("supplier,minimum,below_minimum,lead_days\nA,30.00,{below},3\nB,,,3\n");
    planned(&Folder { suppliers, ..folder }.shop())
}

/// Charged: 20.00 made up to 30.00 is more than 28.00 (computed).
#[test]
fn a_small_order_is_charged_as_the_minimum() {
    let plan = order("charged", "0");
    assert_eq!((lines(&plan), to_pay(&plan)), (vec!["B length M 2".to_owned()], 2800));
    assert_eq!(order("", "0"), plan);
}

/// What is made up to the minimum may as well be a stick: worth half of its 10.00
/// it makes of 30.00 no more than 25.00, which is less than 28.00. At a tenth,
/// 29.00 is more (computed).
#[test]
fn a_minimum_that_is_charged_is_filled_up_where_that_pays() {
    let plan = order("charged", "0.5");
    assert_eq!((lines(&plan), to_pay(&plan)), (vec!["A length M 3".to_owned()], 3000));
    assert_eq!(plan.order.bills[0].made_up, Money(0));
    let account = plan.order.account.unwrap();
    assert_eq!((account.net, account.bound, account.whole), (Worth(2_500_000), account.net, true));
    let plan = order("charged", "0.1");
    assert_eq!((lines(&plan), to_pay(&plan)), (vec!["B length M 2".to_owned()], 2800));
}

/// Two sticks of each of two mouldings at 10.00, and carriage of 12.00 that is
/// 4.00 from 45.00 and nothing from 65.00. With `spare` a stick more loses the
/// rest of its 10.00: at a half 5.00 for one save 8.00, but 10.00 for two more
/// would save 4.00; at 0.85 those are 3.00; at a tenth one is 9.00 (computed).
#[test]
fn carriage_is_made_cheaper_by_as_many_sticks_as_pay() {
    let order = |spare: &str| {
        let folder = Folder::new()
            .moulding("M", "1000,10.00,stick,any,")
            .moulding("N", "1000,10.00,stick,any,")
            .frame("1,,M,480,480,1,,")
            .frame("2,,N,480,480,1,,")
            .supplier("A,,12.00; 4.00 from 45; 0 from 65,3,,,,")
            .offer("A,M,length,1000,10.00,stick,,,,")
            .offer("A,N,length,1000,10.00,stick,,,,")
            .buying(&format!("spare = \"{spare}\""));
        let plan = planned(&folder.shop());
        let sticks: u32 = plan.order.lines.iter().map(|line| line.count).sum();
        let account = plan.order.account.unwrap();
        assert_eq!((account.bound, account.whole), (account.net, true));
        (sticks, to_pay(&plan), account.net)
    };
    assert_eq!(order("0.1"), (4, 5200, Worth(5_200_000)));
    assert_eq!(order("0.5"), (5, 5400, Worth(4_900_000)));
    assert_eq!(order("0.85"), (7, 7000, Worth(4_450_000)));
}

/// Refused: a third stick reaches 30.00 and is worth half of its 10.00, so 25.00
/// is less than 28.00; were it worth nothing, 30.00 would be more (computed).
#[test]
fn a_refused_order_is_filled_up_or_goes_elsewhere() {
    let plan = order("refused", "0.5");
    assert_eq!((lines(&plan), to_pay(&plan)), (vec!["A length M 3".to_owned()], 3000));
    let account = plan.order.account.unwrap();
    assert_eq!((account.net, account.bound, account.whole), (Worth(2_500_000), account.net, true));
    let plan = order("refused", "0");
    assert_eq!((lines(&plan), to_pay(&plan)), (vec!["B length M 2".to_owned()], 2800));
}

/// Only A chops, and a chop of 2 m at 8.00 does not come to 30.00. Nobody else
/// makes the frame, so it is ordered, at no less than the minimum, and nothing is
/// called proven.
#[test]
fn a_refused_order_without_any_other_way_is_owned_up_to() {
    let folder = Folder::new()
        .moulding("M", "1000,10.00,stick,any,")
        .frame("1,,M,480,480,1,,")
        .offer("A,M,chop,100 .. 900,8.00,m,,,,");
    let suppliers = "supplier,minimum,below_minimum,lead_days\nA,30.00,refused,3\n".to_owned();
    let shop = Folder { suppliers, ..folder }.shop();
    let mut plan = planned(&shop);
    assert_eq!((lines(&plan), to_pay(&plan)), (vec!["A chop M 1".to_owned()], 3000));
    assert_eq!(plan.order.bills[0].made_up, Money(1400));
    assert!(!plan.order.account.unwrap().whole);
    plan.order.account.as_mut().unwrap().whole = true;
    let faults = verify(&shop, &plan).expect_err("the harm is seen");
    assert!(faults.iter().any(|f| matches!(f, Fault::FalseBill { what: "size", .. })));
}
