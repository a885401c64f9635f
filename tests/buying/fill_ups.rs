//! Towards what a supplier's terms ask is bought what the shop is known to use, whoever waits
//! for it; and nothing where that does not do. All figures are computed.

use longpoint::measure::{Money, Worth};
use longpoint::plan::Plan;
use longpoint::verify::{Fault, verify};

use super::shops::{Folder, lines, planned, settings, to_pay};

/// A frame takes two sticks of M; of every other moulding so many are used in a month. S takes
/// nothing below `minimum`, and sells every moulding at 10.00.
fn refusing(minimum: &str, others: &[(&str, &str)], most: &str) -> Folder {
    let folder = Folder { settings: settings("mm", "1", "0", "900"), ..Folder::new() };
    let mut folder = folder.frame("1,,M,480,480,1,,").offer("S,M,length,1000,10.00,stick,,,,");
    folder.mouldings += "0,M,20,10,1000,10.00,stick,any,\n";
    for (id, monthly) in others {
        folder.mouldings += &format!("{monthly},{id},20,10,1000,10.00,stick,any,\n");
        folder = folder.offer(&format!("S,{id},length,1000,10.00,stick,,,,"));
    }
    folder.suppliers =
        format!("supplier,minimum,below_minimum,lead_days\nS,{minimum},refused,3\nB,,,3\n");
    folder.buying(&format!("beyond_most = {most}"))
}

fn is_proven(plan: &Plan) -> bool {
    plan.order.account.is_some_and(|account| account.whole && account.bound == account.net)
}

/// Of M nothing more is known to be used, and nobody waits for N and O: they were never looked
/// at, and the order was refused.
#[test]
fn what_moves_and_nobody_waits_for_fills_an_order_up() {
    let plan = planned(&refusing("50.00", &[("N", "4"), ("O", "0")], "3").shop());
    assert_eq!(lines(&plan), ["S length M 2", "S length N 3"]);
    assert_eq!((to_pay(&plan), plan.order.bills[0].made_up), (5_000, Money(0)));
    assert!(is_proven(&plan));
    // Spread over what moves: two months of one and of the other.
    let plan = planned(&refusing("60.00", &[("N", "2"), ("O", "2")], "3").shop());
    assert_eq!(lines(&plan), ["S length M 2", "S length N 2", "S length O 2"]);
    assert!(is_proven(&plan));
    // What is on the rack is a part of what the month takes.
    let folder = refusing("60.00", &[("N", "2"), ("O", "4")], "4");
    let plan = planned(&folder.stick("R1,N,1000,").stick("R2,N,1000,").shop());
    assert_eq!(lines(&plan), ["S length M 2", "S length O 4"]);
}

/// A minimum that is charged is filled up with it just as well, and carriage that falls;
/// nothing is bought of it from who asks for nothing of the kind.
#[test]
fn what_moves_is_bought_for_the_sake_of_terms_alone() {
    let of = |terms: &str| {
        let folder = refusing("50.00", &[("N", "4")], "3");
        let suppliers = format!("supplier,lead_days,minimum,freight\nS,3,{terms}\n");
        planned(&Folder { suppliers, ..folder }.shop())
    };
    assert_eq!(lines(&of("50,")), ["S length M 2", "S length N 3"]);
    // Three at half of their 10.00 lose 15.00, and carriage saves 20.00.
    assert_eq!(lines(&of(",20; 0 from 50")), ["S length M 2", "S length N 3"]);
    assert_eq!(lines(&of(",20; 10 from 50")), ["S length M 2"]);
    assert_eq!(lines(&of(",20")), ["S length M 2"]);
}

/// Two sticks of M and one of N were bought beyond need, and the order was refused all the
/// same.
#[test]
fn a_minimum_that_cannot_be_reached_is_not_filled_up_at_all() {
    let folder = refusing("90.00", &[("N", "2")], "3");
    let used = folder.mouldings.replace("\n0,M", "\n3,M");
    let shop = Folder { mouldings: used, ..folder }.shop();
    let plan = planned(&shop);
    assert_eq!(lines(&plan), ["S length M 2"]);
    let account = plan.order.account.unwrap();
    // Two sticks of 10.00, of which nothing is left, and nothing up to the minimum.
    assert_eq!((account.net, account.whole), (Worth(2_000_000), false));
    assert_eq!(account.beyond_need, Money(0));
}

/// Nobody pays up to a minimum below which the order is refused: of two who refuse, the one
/// whose minimum is less dear was taken, at 10.00 a metre in place of 8.00.
#[test]
fn who_is_asked_is_not_paid_up_to_their_minimum() {
    let folder = Folder::new()
        .moulding("M", "1000,10.00,stick,any,")
        .frame("1,,M,480,480,1,,")
        .offer("A,M,chop,100 .. 900,8.00,m,,,,")
        .offer("B,M,chop,100 .. 900,10.00,m,,,,");
    let suppliers = "supplier,minimum,below_minimum,lead_days\nA,30.00,refused,3\n\
                     B,21.00,refused,3\n";
    let shop = Folder { suppliers: suppliers.to_owned(), ..folder }.shop();
    let plan = planned(&shop);
    assert_eq!(lines(&plan), ["A chop M 1"]);
    assert_eq!(plan.order.account.unwrap().net, Worth(1_600_000));
    let mut harm = plan;
    harm.order.account.as_mut().unwrap().net = Worth(3_000_000);
    let faults = verify(&shop, &harm).expect_err("the harm is seen");
    assert!(faults.iter().any(|f| matches!(f, Fault::FalseAccount { what: "sum" })), "{faults:?}");
}
