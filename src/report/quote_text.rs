//! A quote on standard output: first what is said aloud, then what stands behind it.

use jiff::civil::Date;

use crate::measure::{Length, Money, Unit, Worth};
use crate::plan::{PushedBack, WhenMade};
use crate::price::{self, FramePrice};
use crate::quote::{NearMoulding, OrderChange, Promise, Quote, WaitsFor};
use crate::shop::{Form, Shop};

use super::job_words::style;
use super::quote_table::cost;
use super::text::Page;
use super::{order_words, quote_why, words};

/// One line that can be said at the counter.
pub fn said(quote: &Quote, asked: Option<Date>, today: Date, shop: &Shop) -> String {
    let price = match (&quote.price, quote.list) {
        (Some(price), _) => {
            let all = price.all(quote.frame.copies);
            let tax = if price.tax_in || price.tax_share == 0 { "" } else { " and tax" };
            let without = match price.without.as_slice() {
                [] => String::new(),
                materials => format!(", without {}", words::and(materials)),
            };
            format!("{}{tax}{without}", order_words::money(all, shop))
        }
        (None, Some(list)) => {
            let all = times(list, quote.frame.copies);
            format!("its moulding is {} at list price", order_words::money(all, shop))
        }
        (None, None) => "no price is known for it".to_owned(),
    };
    let Some(promise) = &quote.promise else {
        return match &quote.held {
            Some(_) => "No: it cannot be made as asked.".to_owned(),
            None => {
                format!("No day can be said: it is not known when what it lacks comes; {price}.")
            }
        };
    };
    let ready = day(promise.ready, today);
    let (broken, cost) = (quote.made_late(true), cost(quote, shop));
    let is_open = |day: Date| shop.settings.days.open.is_open(day);
    match asked {
        None => format!("{}{cost}; {price}.", order_words::capital(&ready)),
        Some(asked) if promise.ready > asked => {
            let first = match quote.sooner {
                Some(_) => format!("{ready} if nobody is to be late for it"),
                None if cost.is_empty() => {
                    format!("{ready} at the earliest, since {}", since(promise, today))
                }
                None => format!("{ready} at the earliest{cost}"),
            };
            let closed = if is_open(asked) { "" } else { " (closed then)" };
            format!("No, not {}{closed}; {first}; {price}.", day(asked, today))
        }
        Some(asked) => {
            // In time, it is due on the day asked or the last before it on which the shop is
            // open, or sooner where it must come before others.
            let last = day(quote.frame.due.unwrap_or(asked), today);
            let when = match is_open(asked) {
                true => last,
                false => format!("{last} (closed on {})", day(asked, today)),
            };
            let yes = match (broken.is_empty(), quote.ask_first().is_empty()) {
                (true, true) => "Yes",
                (true, false) => "Perhaps",
                (false, _) => "Only so",
            };
            format!("{yes}, {when}{cost}; {price}.")
        }
    }
}

/// What keeps it from being ready sooner, in a few words.
fn since(promise: &Promise, today: Date) -> String {
    match &promise.waits_for {
        WaitsFor::Bench => "it takes until then to join and fit".to_owned(),
        WaitsFor::Moulding { arrives, .. } => {
            format!("its moulding comes {}", day(*arrives, today))
        }
        WaitsFor::Hands => "there is other work until then".to_owned(),
    }
}

/// What stands behind it; with `why`, the arithmetic too.
pub fn quote(quote: &Quote, asked: Option<Date>, today: Date, why: bool, shop: &Shop) -> String {
    let mut page = Page::new();
    page.line("", &said(quote, asked, today, shop));
    page.gap();
    page.line("", &described(quote, shop));
    for (what, words) in facts(quote, today, shop) {
        let first = if what.is_empty() { String::new() } else { format!("{what:<12} ") };
        page.line(&first, &words);
    }
    if quote.held.is_some() {
        return page.into_text();
    }
    near(&mut page, &quote.near, shop);
    if why {
        quote_why::arithmetic(&mut page, quote, shop);
    }
    page.into_text()
}

/// What stands behind a quote: of what each line is, blank where it goes on from the one
/// before, empty where it is of nothing; and its words.
pub fn facts(quote: &Quote, today: Date, shop: &Shop) -> Vec<(&'static str, String)> {
    if let Some(reason) = &quote.held {
        return vec![("Not as asked:", words::held(reason, &shop.settings.style()))];
    }
    let mut facts = Vec::new();
    if let Some(price) = &quote.price {
        facts.push(("Price:", priced(price, quote.frame.copies, shop)));
    }
    if let Some(price) = quote.price.as_ref().filter(|price| price.pieces > Money(0)) {
        let pieces = order_words::money(price.pieces, shop);
        facts.push(("Of that:", format!("{pieces} each for boards, glazing and fixings")));
    }
    if let Some(price) = quote.price.as_ref().filter(|price| !price.without.is_empty()) {
        let without = words::and(&price.without);
        facts.push(("Not in it:", format!("{without}: no price in materials.csv")));
    }
    let by_rule = quote.list.map(|list| (list, "by the rule of thumb"));
    let charged = quote.price.as_ref().map(|price| (price.list(), "as it is charged for"));
    let list = match charged.or(by_rule) {
        Some((list, how)) => format!("{} of moulding each, {how}", order_words::money(list, shop)),
        None => "a moulding of it has no price in mouldings.csv".to_owned(),
    };
    facts.push(("At list:", list));
    for layer in &quote.frame.layers {
        facts.extend(dearer(&layer.moulding, today, shop).map(|words| ("Dearer now:", words)));
    }
    if quote.price.is_none() && shop.settings.price.is_none() {
        let mend = "For a price, write the shop's rules into shop.toml, under [price].";
        facts.push(("", mend.to_owned()));
    }
    facts.push(("Ready:", ready(quote, today, shop)));
    for (place, pushed) in quote.pushed.iter().enumerate() {
        facts.push((if place == 0 { "Pushes back:" } else { " " }, self::pushed(pushed)));
    }
    for (layer, rails) in frame_layers(quote) {
        let words = order_words::rails(&rails, &shop.settings.style());
        facts.push((if layer == 0 { "Rails each:" } else { " " }, words));
    }
    for (place, concern) in quote.concerns.iter().enumerate() {
        let words = concern.words(&style(shop));
        let head = if place == 0 { "Look at:" } else { " " };
        facts.push((head, format!("{}: {words}", concern.name())));
    }
    if !quote.bought.is_empty() {
        let changes: Vec<String> = quote.bought.iter().map(|change| bought(change, shop)).collect();
        facts.push(("Bought:", format!("about {}", changes.join("; "))));
    }
    if let Some((without, with)) = quote.margin {
        let amount = |worth: Worth| words::amount(worth, true, &shop.settings);
        let words = format!(
            "{} at the margin, before carriage and minimums: all that waits for the same \
             mouldings comes to {} without it and to {} with it",
            amount(with - without),
            amount(without),
            amount(with)
        );
        facts.push(("Inside:", words));
    }
    facts
}

/// That a moulding costs more to buy by now than the list price that a quote is made of.
fn dearer(moulding: &str, today: Date, shop: &Shop) -> Option<String> {
    let (list, least, offer) = price::dearer_to_buy(shop, moulding, today)?;
    let amount = |worth: Worth| words::amount(worth, true, &shop.settings);
    let per = if shop.settings.unit == Unit::Inch { "foot" } else { "metre" };
    let how = match offer.form {
        Form::Chop { .. } => ", chopped, before what they charge for cutting",
        Form::Length | Form::Box { .. } => "",
    };
    Some(format!(
        "{moulding} costs {} a {per} at the least to buy ({}{how}), and is priced by {} (is that \
         still its price in mouldings.csv?)",
        amount(least),
        offer.supplier,
        amount(list)
    ))
}

/// `2 frames, 16 x 20 in`, or `1 frame of 6 sides, 12 in across`.
pub(super) fn size(quote: &Quote, shop: &Shop) -> String {
    let frame = &quote.frame;
    let count =
        words::count(usize::try_from(frame.copies).unwrap_or(usize::MAX), "frame", "frames");
    let of = if frame.mitre.sides() == 4 { "," } else { " of" };
    format!("{count}{of} {}", words::size(frame, &shop.settings.style()))
}

/// The mouldings by name, innermost first.
pub(super) fn names(quote: &Quote, shop: &Shop) -> String {
    let names = quote.frame.layers.iter().map(|layer| &shop.moulding(&layer.moulding).name);
    names.map(String::as_str).collect::<Vec<_>>().join(" inside ")
}

/// Their codes: `LNR-19 + BLK-20`.
pub(super) fn codes(quote: &Quote) -> String {
    let codes = quote.frame.layers.iter().map(|layer| layer.moulding.as_str());
    codes.collect::<Vec<_>>().join(" + ")
}

/// What it is: how many, how large, of what.
pub fn described(quote: &Quote, shop: &Shop) -> String {
    let layer = |layer: &crate::shop::Layer| {
        let moulding = shop.moulding(&layer.moulding);
        let name = if moulding.name == moulding.id {
            String::new()
        } else {
            format!(", {}", moulding.name)
        };
        format!("{}{name}, match {}", moulding.id, layer.match_.word())
    };
    let layers: Vec<String> = quote.frame.layers.iter().map(layer).collect();
    format!("{}: {}", size(quote, shop), layers.join("; then "))
}

pub(super) fn frame_layers(quote: &Quote) -> impl Iterator<Item = (usize, Vec<Length>)> {
    let layers = quote.rails.iter().enumerate();
    layers.map(|(at, layer)| (at, layer.rails.iter().map(|rail| rail.long_point).collect()))
}

/// `84.00 USD each, 168.00 USD for 2, tax of 14.00 in it`.
pub(crate) fn priced(price: &FramePrice, copies: u32, shop: &Shop) -> String {
    let show = |money: Money| order_words::money(money, shop);
    let mut parts = vec![match copies {
        1 => show(price.said),
        copies => {
            format!("{} each, {} for {copies}", show(price.said), show(price.all(copies)))
        }
    }];
    if price.tax_share > 0 {
        let tax = price.tax_of(copies);
        parts.push(match price.tax_in {
            true => format!("tax of {} in it", show(tax)),
            false => format!("and {} tax: {}", show(tax), show(price.paid(copies))),
        });
    }
    parts.join(", ")
}

/// Where it comes from, and what it waits for.
fn ready(quote: &Quote, today: Date, shop: &Shop) -> String {
    let copies = quote.frame.copies;
    let mut parts = Vec::new();
    if quote.cut_today > 0 {
        let some = if quote.waits > 0 { format!("{} ", quote.cut_today) } else { String::new() };
        parts.push(format!("{some}cut today from {}", quote.today.join(", ")));
    }
    let Some(promise) = &quote.promise else {
        let some = if quote.cut_today > 0 {
            format!("{} ", copies - quote.cut_today)
        } else {
            String::new()
        };
        parts.push(format!("{some}no day can be said: it is not known when what lacks comes"));
        return parts.join("; ");
    };
    match &promise.waits_for {
        WaitsFor::Bench => {}
        WaitsFor::Moulding { arrives, suppliers, .. } if suppliers.is_empty() => {
            parts.push(format!("its moulding is on its way, for {}", day(*arrives, today)));
        }
        WaitsFor::Moulding { arrives, suppliers, order_from, order_by, .. } => {
            let offs = suppliers.iter().filter_map(|id| shop.suppliers.get(id)?.cut_off);
            let off = offs.min().map(|time| format!(" {}", order_words::clock(time)));
            let off = off.unwrap_or_default();
            let by = match (order_from, order_by) {
                (Some(from), _) => {
                    format!(" on {}{off}, when it can be had again", day(*from, today))
                }
                (None, Some(last)) if *last > today => format!(" by {}{off}", day(*last, today)),
                _ => format!(" today{off}"),
            };
            parts.push(format!(
                "its moulding comes {} if it is ordered from {}{by}",
                day(*arrives, today),
                suppliers.join(" and ")
            ));
        }
        WaitsFor::Hands => parts
            .push("until then there are as many frames to make as are made in a day".to_owned()),
    }
    parts.push(format!("ready {}", day(promise.ready, today)));
    if let (WaitsFor::Moulding { wait_until: Some(last), .. }, Some(due)) =
        (&promise.waits_for, quote.frame.due)
    {
        let (due, last) = (day(due, today), day(*last, today));
        parts.push(format!("for {due} it can be ordered until {last}"));
    }
    if let Some(sooner) = quote.sooner {
        parts.push(format!("{} would be possible, but makes others late", day(sooner, today)));
    }
    if !promise.stands {
        parts.push("not yet planned as due on that day: ask again with it".to_owned());
    }
    parts.join("; ")
}

fn pushed(pushed: &PushedBack) -> String {
    let stands = |standing: WhenMade| match standing {
        WhenMade::Today => "is cut today".to_owned(),
        WhenMade::Arrives(day) => format!("has its moulding on {day}"),
        WhenMade::Waits => "waits".to_owned(),
        WhenMade::Held => "cannot be made".to_owned(),
    };
    let copies =
        if pushed.copies > 1 { format!(" ({} of them)", pushed.copies) } else { String::new() };
    let word = if pushed.promised { "promised for" } else { "due" };
    let due = pushed.due.map(|due| format!(", {word} {due},")).unwrap_or_default();
    let late = if pushed.is_late { ", NOT IN TIME" } else { "" };
    format!(
        "{}{copies}{due} {} without it and {} with it{late}",
        pushed.frame,
        stands(pushed.before),
        stands(pushed.after)
    )
}

/// What the order takes with the frame: `7 sticks of BLK-32, 108 in, from BRIN
/// (6 without it)`.
fn bought(change: &OrderChange, shop: &Shop) -> String {
    let (without, with) = change.counts;
    let from = match change.line.supplier.as_str() {
        "" => String::new(),
        supplier => format!(", from {supplier}"),
    };
    let offer = order_words::offer(&change.line, shop);
    let line = order_words::line(&change.line, offer, shop);
    match (without, with) {
        (_, 0) => format!("{line}{from} no longer"),
        (0, _) => format!("{line}{from}"),
        _ => format!("{line}{from} ({without} without it)"),
    }
}

fn near(page: &mut Page, near: &[NearMoulding], shop: &Shop) {
    if !near.is_empty() {
        page.heading("OTHER MOULDINGS OF NEARLY THIS WIDTH");
    }
    for other in near {
        page.line("  ", &near_words(other, shop));
    }
}

/// `ASH-20, Natural ash, 3/4 in: 71.00 USD`.
pub fn near_words(other: &NearMoulding, shop: &Shop) -> String {
    let moulding = shop.moulding(&other.moulding);
    let width = shop.settings.style().show_unit(moulding.width);
    let price = match (other.price, other.list) {
        (Some(price), _) => order_words::money(price, shop),
        (None, Some(list)) => format!("{} at list price", order_words::money(list, shop)),
        (None, None) => "no price".to_owned(),
    };
    format!("{}, {}, {width}: {price}", moulding.id, moulding.name)
}

/// So many of the same price.
pub(super) fn times(money: Money, copies: u32) -> Money {
    Money(money.0.saturating_mul(i64::from(copies)))
}

/// `today`, `Thursday 26 November`, with the year if it is another.
pub(super) fn day(day: Date, today: Date) -> String {
    if day == today {
        return "today".to_owned();
    }
    let form = if day.year() == today.year() { "%A %-d %B" } else { "%A %-d %B %Y" };
    day.strftime(form).to_string()
}
