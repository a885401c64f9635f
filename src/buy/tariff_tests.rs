//! Prices and bills worked out on paper (computed).

use super::*;
use crate::shop::{Contact, Days, Freight, LongParcel, OfferDates, PriceStep, SmallOrder};

fn inches(count: i64) -> Length {
    Length::from_64ths(64 * count)
}

fn offer(form: Form, per: Per, price: i64, steps: &[(u32, i64)]) -> Offer {
    Offer {
        supplier: "S".to_owned(),
        moulding: "M".to_owned(),
        code: String::new(),
        form,
        lengths: Lengths::These(vec![inches(96)]),
        price: Worth(price * 1000),
        per,
        discount: 0,
        steps: steps
            .iter()
            .map(|&(from, price)| PriceStep { from, price: Worth(price * 1000) })
            .collect(),
        least_count: 1,
        dates: OfferDates::default(),
        note: String::new(),
        row: 2,
        listed: None,
    }
}

fn lot(length: i64, count: u32) -> OfferQuantity {
    OfferQuantity { length: inches(length), count }
}

/// Computed: 12 sticks of 8 ft are 96 ft, 13 are 104 ft.
#[test]
fn a_step_holds_for_everything_once_it_is_reached() {
    let by_foot = offer(Form::Length, Per::Foot, 185, &[(100, 170)]);
    assert_eq!(goods_of(&by_foot, &[lot(96, 12)]), Money(96 * 185));
    assert_eq!(goods_of(&by_foot, &[lot(96, 13)]), Money(104 * 170));
    assert_eq!(goods_of(&by_foot, &[lot(96, 5), lot(120, 6)]), Money(100 * 170));
    assert_eq!(count_for(&by_foot, 1, inches(96), &[]), 13);
    assert_eq!(count_for(&by_foot, 1, inches(96), &[lot(120, 6)]), 5);
    let turns_by_stick = offer(Form::Length, Per::Stick, 1450, &[(10, 1325)]);
    assert_eq!(goods_of(&turns_by_stick, &[lot(96, 9)]), Money(9 * 1450));
    assert_eq!(goods_of(&turns_by_stick, &[lot(96, 10)]), Money(10 * 1325));
}

#[test]
fn boxes_are_counted_by_what_they_hold() {
    let twelve = Form::Box { holds: Carton::Sticks(12) };
    assert_eq!(goods_of(&offer(twelve, Per::Foot, 155, &[]), &[lot(96, 2)]), Money(192 * 155));
    assert_eq!(goods_of(&offer(twelve, Per::Stick, 1200, &[]), &[lot(96, 2)]), Money(24 * 1200));
    assert_eq!(goods_of(&offer(twelve, Per::Box, 9000, &[(2, 8500)]), &[lot(96, 2)]), Money(17000));
    let feet = Form::Box { holds: Carton::Length(inches(12 * 100)) };
    let mut feet = offer(feet, Per::Foot, 155, &[]);
    assert_eq!(sticks_in(&feet, inches(96)), 12);
    assert_eq!(goods_of(&feet, &[lot(96, 1)]), Money(100 * 155));
    // Of random lengths the fewest sticks are those that are all longest.
    feet.lengths = Lengths::Between(inches(84), inches(120));
    assert_eq!(sticks_in(&feet, inches(84)), 10);
}

#[test]
fn a_bill_adds_what_the_supplier_adds() {
    let step = |from, charge| Freight { from: Money(from), charge: Money(charge) };
    let supplier = Supplier {
        id: "S".to_owned(),
        name: String::new(),
        account: String::new(),
        contact: Contact::default(),
        discount: 0,
        minimum: Money(7500),
        refuses: false,
        freight: vec![step(0, 1800), step(25_000, 900), step(50_000, 0)],
        small: None,
        lead_days: 3,
        orders: Default::default(),
        cut_off: None,
        delivers: Default::default(),
        long: Some(LongParcel { over: inches(96), charge: Money(2200) }),
        halves: true,
        order_by: Some(jiff::civil::date(2026, 11, 27)),
        note: String::new(),
    };
    let on = |day| jiff::civil::date(2026, 11, day);
    let small = bill(&supplier, Money(6000), true, on(25)).unwrap();
    assert_eq!((small.made_up, small.freight, small.long), (Money(1500), Money(1800), Money(2200)));
    assert_eq!((small.total(), small.arrives), (Money(11_500), on(28)));
    let large = bill(&supplier, Money(50_000), false, on(27)).unwrap();
    assert_eq!((large.total(), large.arrives), (Money(50_000), on(30)));
    assert_eq!(bill(&supplier, Money(1), false, on(28)), None);
}

/// Computed: 13 sticks of 8 ft at 1.70, an eighth off, are 154.70; 1.85 less an
/// eighth is 1.61875.
#[test]
fn a_discount_is_taken_off_what_the_list_asks_for_all_of_it() {
    let mut by_foot = offer(Form::Length, Per::Foot, 185, &[(100, 170)]);
    by_foot.discount = 1250;
    assert_eq!(goods_of(&by_foot, &[lot(96, 13)]), Money(15_470));
    assert_eq!(rate_paid(&by_foot, 0, inches(96)).of(inches(12)), Worth(161_875));
    let (over, under) = unit_price(&by_foot, 1, inches(96));
    assert_eq!(over, under * 8 * 148_750);
    // What is charged for a chop beside its length is not theirs to take off.
    let chop = Form::Chop { least: inches(48), fee: Money(150) };
    let mut chop = offer(chop, Per::Foot, 400, &[]);
    chop.discount = 5000;
    assert_eq!(goods_of(&chop, &[lot(48, 2)]), Money(2 * 4 * 200 + 2 * 150));
}

#[test]
fn a_small_order_costs_more_below_its_limit_only() {
    let step = |from, charge| Freight { from: Money(from), charge: Money(charge) };
    let supplier = Supplier {
        id: "S".to_owned(),
        name: String::new(),
        account: String::new(),
        contact: Contact::default(),
        discount: 0,
        minimum: Money(0),
        refuses: false,
        freight: vec![step(0, 1800), step(10_000, 900)],
        small: Some(SmallOrder { below: Money(5000), charge: Money(600) }),
        lead_days: 3,
        orders: Days::default(),
        cut_off: None,
        delivers: Days::default(),
        long: None,
        halves: false,
        order_by: None,
        note: String::new(),
    };
    let on = |goods| bill(&supplier, Money(goods), false, jiff::civil::date(2026, 11, 25));
    let parts = |goods| on(goods).map(|bill| (bill.small, bill.freight)).unwrap();
    assert_eq!(parts(4999), (Money(600), Money(1800)));
    assert_eq!(parts(5000), (Money(0), Money(1800)));
    assert_eq!(parts(10_000), (Money(0), Money(900)));
    assert_eq!(Terms::of(&supplier).freight, [(0, 2400), (5000, 1800), (10_000, 900)]);
}
