//! Larger orders whose best is known because they are made from it.

use super::shops::{Folder, planned, settings, to_pay};

/// Forty frames in eight mouldings. Each moulding's sticks are filled without
/// waste by its own frames, and one supplier has the lowest price for it, at a
/// step that the need just reaches; carriage is free from what is due to each of
/// them. So no order can pay less than length times the lowest prices.
#[test]
fn an_order_without_waste_at_the_lowest_prices_is_found_and_proven() {
    let mut folder = Folder { settings: settings("mm", "1", "0", "999"), ..Folder::new() };
    let mut least = 0;
    for number in 0..8_i64 {
        let (id, cheap, dear) = (format!("M{number}"), number % 4, (number + 1) % 4);
        folder = folder.moulding(&id, "1000,20.00,stick,any,");
        // 5 frames of four rails: 4 x (500 + 500) and 4 x 250 x 4 fill sticks.
        for (frame, side) in [480, 480, 480, 480, 230].into_iter().enumerate() {
            folder = folder.frame(&format!("{number}-{frame},,{id},{side},{side},1,,"));
        }
        // 16 rails of 500 are 8 sticks, 4 of 250 one more: nine.
        let low = 900 + 10 * number;
        folder = folder
            .offer(&format!("S{cheap},{id},length,1000,12.00,stick,,9.{:02} from 9,,", low % 100))
            .offer(&format!("S{dear},{id},length,1000,12.50,stick,,,,"))
            .offer(&format!("S{dear},{id},chop,100 .. 900,18.00,m,,,,"));
        least += 9 * (900 + low % 100);
    }
    for number in 0..4 {
        folder = folder.supplier(&format!("S{number},50.00,15.00; 0 from 160,3,,,,"));
    }
    let plan = planned(&folder.shop());
    let account = plan.order.account.unwrap();
    assert_eq!(to_pay(&plan), least);
    assert!(account.whole);
    assert_eq!(account.bound, account.net);
}
