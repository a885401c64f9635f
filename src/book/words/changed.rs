//! What another size of a ticket costs, and what becomes of its promise.

use jiff::civil::Date;

use crate::measure::Money;
use crate::plan::{Plan, pushed};
use crate::report::{quote_text, words};
use crate::shop::{Frame, Shop};
use crate::ticket::frame_price;

/// The price of a ticket as it is now, beside what it was; nothing where the shop has no
/// rules for prices.
pub fn price_words(shop: &Shop, was: &Frame, today: Date) -> String {
    let now = shop.frame(&was.id).and_then(|frame| Some((frame, frame_price(shop, frame, today)?)));
    let Some((frame, now)) = now else { return String::new() };
    let price = quote_text::priced(&now, frame.copies, shop);
    let before = frame_price(shop, was, today).map(|price| price.all(was.copies));
    let before = before.filter(|before| *before != now.all(frame.copies));
    let show = |money: Money| shop.settings.currency.show(money);
    let before = before.map(|before| format!(" ({} before)", show(before))).unwrap_or_default();
    let without = match now.without.as_slice() {
        [] => String::new(),
        materials => format!(", without {}, of no price", words::and(materials)),
    };
    format!("Price: {price}{before}{without}.\n")
}

/// Whether a ticket that was promised is still ready in time by the plan that there is now,
/// and who is late that was not by the one before it changed.
pub fn promise_words(
    (earlier, before): (&Shop, &Plan),
    (shop, after): (&Shop, &Plan),
    was: &Frame,
) -> String {
    let Some(now) = shop.frame(&was.id) else { return String::new() };
    let Some((due, day)) = now.due.map(|due| (due, due.strftime("%A %-d %B %Y"))) else {
        return String::new();
    };
    // As it would be if the day were promised.
    let mut as_promised = shop.clone();
    for frame in as_promised.frames.iter_mut().filter(|frame| frame.id == was.id) {
        frame.promised = true;
    }
    let broken = after.broken_promises(&as_promised);
    let broken = broken.iter().find(|broken| broken.frame == was.id);
    let mut text = match (now.promised, broken) {
        (true, Some(broken)) => format!("! {}\n", words::broken_promise(broken)),
        (true, None) => format!("What was promised for {day} is kept by today's plan.\n"),
        (false, broken) => {
            let kept = if broken.is_some() { "does not have" } else { "has" };
            let before = was.due.map_or(String::new(), |was| format!(" for {was}"));
            format!(
                "It was promised{before}; {due} is wanted, and not promised: today's plan {kept} it by \
                 then.\n"
            )
        }
    };
    for late in pushed((earlier, before), (shop, after), &was.id).iter().filter(|of| of.is_late) {
        let word = if late.promised { "PROMISED for" } else { "due" };
        let due = late.due.map(|due| format!(", {word} {due},")).unwrap_or_default();
        text += &format!("! {}{due} is late for its sake.\n", late.frame);
    }
    text
}
