//! A quote on standard output.

use crate::measure::{Length, Worth};
use crate::quote::{Alone, OrderChange, Quote, Wish};
use crate::shop::{Form, Shop};

use super::text::Page;
use super::{order_words, words};

/// What one frame costs in moulding, in words.
pub fn quote(quote: &Quote, wish: &Wish, shop: &Shop) -> String {
    let mut page = Page::new();
    let style = shop.settings.style();
    let moulding = shop.moulding(&wish.moulding);
    let match_ = wish.match_.unwrap_or(moulding.match_).word();
    page.line(
        "",
        &format!(
            "{}, {} x {}, of {}, {}, match {match_}",
            words::count(usize::try_from(wish.copies).unwrap_or(usize::MAX), "frame", "frames"),
            style.show(wish.width),
            style.show_unit(wish.height),
            moulding.id,
            moulding.name,
        ),
    );
    page.gap();
    let rails: Vec<Length> = quote.rails.iter().map(|rail| rail.long_point).collect();
    page.line("Rails each: ", &order_words::rails(&rails, &style));
    page.line("Footage:    ", &order_words::footage(&rails, quote.rule, wish.copies, shop));
    page.line("Made:       ", &made(quote, wish, shop));
    if !quote.bought.is_empty() {
        let changes: Vec<String> = quote.bought.iter().map(|change| bought(change, shop)).collect();
        page.line("Bought:     ", &changes.join("; "));
    }
    if quote.held.is_some() {
        return page.into_text();
    }
    let amount = |worth: Worth| words::amount(worth, quote.priced, &shop.settings);
    if quote.priced {
        page.line(
            "Moulding:   ",
            &format!(
                "{} at the margin: all that is pending comes to {} without it and to {} with it",
                amount(quote.with - quote.without),
                amount(quote.without),
                amount(quote.with)
            ),
        );
    } else {
        page.line("Moulding:   ", "no price is known for it");
    }
    if !quote.offers.is_empty() {
        page.heading("FROM ONE OFFER, FOR THIS ALONE AND WITH NOTHING ON THE RACK");
    }
    for alone in &quote.offers {
        page.line("  ", &self::alone(alone, shop));
    }
    if !quote.near.is_empty() {
        page.heading("OTHER MOULDINGS OF NEARLY THIS WIDTH, AT THE MARGIN");
    }
    for (id, worth) in &quote.near {
        let other = shop.moulding(id);
        let width = style.show_unit(other.width);
        let cost = words::amount(*worth, true, &shop.settings);
        page.line("  ", &format!("{id}, {}, {width}: {cost}", other.name));
    }
    page.into_text()
}

/// Where it comes from, and when.
fn made(quote: &Quote, wish: &Wish, shop: &Shop) -> String {
    if let Some(reason) = &quote.held {
        return format!("not as asked: {}", reason.words(&shop.settings.style()));
    }
    let mut parts = Vec::new();
    if quote.cut_today > 0 {
        let how_many =
            if quote.waits > 0 { format!("{} ", quote.cut_today) } else { String::new() };
        parts.push(format!("{how_many}cut today from {}", quote.today.join(", ")));
    }
    if quote.waits > 0 {
        let how_many =
            if quote.cut_today > 0 { format!("{} ", quote.waits) } else { String::new() };
        let late = |day| order_words::late(day, wish.due, shop);
        let late = |day| late(day).map_or_else(String::new, |said| format!(", {said}"));
        let when = quote.arrives.map_or_else(
            || "waits".to_owned(),
            |day| format!("waits for moulding that arrives {day}{}", late(day)),
        );
        parts.push(format!("{how_many}{when}"));
    }
    parts.join("; ")
}

/// What the order takes with the frame: `7 sticks of BLK-32, 108 in, from BRIN
/// (6 without it)`.
fn bought(change: &OrderChange, shop: &Shop) -> String {
    let (without, with) = change.counts;
    let from = match change.line.supplier.as_str() {
        "" => String::new(),
        supplier => format!(", from {supplier}"),
    };
    let line = order_words::line(&change.line, shop);
    match (without, with) {
        (_, 0) => format!("{line}{from} no longer"),
        (0, _) => format!("{line}{from}"),
        _ => format!("{line}{from} ({without} without it)"),
    }
}

fn alone(alone: &Alone, shop: &Shop) -> String {
    let offer = shop.offers.iter().find(|offer| offer.row == alone.offer);
    let form = offer.map_or("", |offer| match offer.form {
        Form::Length => "by length",
        Form::Box { .. } => "by the box",
        Form::Chop { .. } => "chopped",
    });
    let net = words::amount(alone.net, true, &shop.settings);
    format!(
        "{} {form}: {}, arrives {}; less what is left {net}",
        alone.bill.supplier,
        order_words::bill(&alone.bill, shop),
        alone.bill.arrives
    )
}
