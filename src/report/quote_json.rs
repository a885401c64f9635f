//! Quotes for other programs.

use jiff::civil::Date;
use serde_json::{Value, json};

use super::either::typed;
use super::json::{list, mm, worth};
use super::quote_text::said;
use super::{job_words, words};
use crate::measure::{Money, Worth};
use crate::plan::{PushedBack, WhenMade};
use crate::price::{self, FramePrice, LayerPrice};
use crate::quote::{Quote, WaitsFor};
use crate::shop::{Frame, Shop};

/// All quotes as one JSON text: lengths in millimetres, money as decimal strings.
pub fn quotes(quotes: &[Quote], asked: Option<Date>, today: Date, shop: &Shop) -> String {
    let value = json!({
        "today": today.to_string(),
        "asked": asked.map(|day| day.to_string()),
        "currency": shop.settings.currency.code(),
        "quotes": list(quotes, |quote| self::quote(quote, asked, today, shop)),
    });
    format!("{value:#}\n")
}

fn quote(quote: &Quote, asked: Option<Date>, today: Date, shop: &Shop) -> Value {
    let mut value = plain(quote, asked, today, shop);
    if !quote.concerns.is_empty() {
        let style = job_words::style(shop);
        value["look_at"] = list(
            &quote.concerns,
            |concern| json!({"name": concern.name(), "words": concern.words(&style)}),
        );
    }
    if !quote.ask_first().is_empty() {
        value["ask_first"] = quote.ask_first().into();
        value["can_be_promised"] = false.into();
        let lengths = quote.promise.iter().flat_map(|promise| &promise.lengths);
        let lengths: Vec<Value> = lengths
            .map(|asked| {
                json!({"moulding": asked.moulding, "least": mm(asked.least),
                    "suppliers": asked.suppliers})
            })
            .collect();
        if !lengths.is_empty() {
            value["ask_lengths"] = lengths.into();
        }
    }
    value
}

fn plain(quote: &Quote, asked: Option<Date>, today: Date, shop: &Shop) -> Value {
    let show = |money: Money| shop.settings.currency.show(money);
    let frame = &quote.frame;
    let ready = quote.promise.as_ref().map(|promise| promise.ready);
    json!({
        "say": said(quote, asked, today, shop),
        "makes_late": quote.made_late(false),
        "mouldings": list(&frame.layers, |layer| json!({
            "moulding": layer.moulding, "match": layer.match_.word()})),
        "width": mm(frame.width),
        "height": mm(frame.height),
        "sides": frame.mitre.sides(),
        "copies": frame.copies,
        "in_time": ready.zip(asked).map(|(ready, asked)| ready <= asked),
        "can_be_promised": quote.can_be_promised(asked),
        "ready": ready.map(|day| day.to_string()),
        "sooner_but_others_late": quote.sooner.map(|day| day.to_string()),
        "waits_for": quote.promise.as_ref().map(|promise| waits_for(&promise.waits_for)),
        "held": quote.held.as_ref().map(|held| typed(&words::held(held, &shop.settings.style()))),
        "price": quote.price.as_ref().map(|price| self::price(price, frame.copies, shop)),
        "list": quote.price.as_ref().map(FramePrice::list).or(quote.list).map(show),
        "margin_before_carriage_and_minimums": quote.margin.map(|(without, with)| worth(with - without, true, &shop.settings)),
        "cut_today": quote.cut_today,
        "sticks": quote.today,
        "pushes_back": list(&quote.pushed, pushed),
        "dearer_to_buy": dearer_to_buy(frame, today, shop),
        "rails": list(&quote.rails, |layer| list(&layer.rails, |rail| mm(rail.long_point))),
    })
}

/// Mouldings that cost more to buy by now than the list price that the quote is made of.
fn dearer_to_buy(frame: &Frame, today: Date, shop: &Shop) -> Value {
    let dearer = frame.layers.iter().filter_map(|layer| {
        let (list, least, offer) = price::dearer_to_buy(shop, &layer.moulding, today)?;
        let show = |price: Worth| worth(price, true, &shop.settings);
        Some(json!({
            "moulding": layer.moulding,
            "list": show(list),
            "least": show(least),
            "per": mm(price::unit(shop)),
            "supplier": offer.supplier,
        }))
    });
    Value::Array(dearer.collect())
}

fn price(price: &FramePrice, copies: u32, shop: &Shop) -> Value {
    let show = |money: Money| shop.settings.currency.show(money);
    let layer = |layer: &LayerPrice| {
        json!({
            "moulding": layer.moulding,
            "footage": mm(layer.footage),
            "list": worth(layer.list, true, &shop.settings),
            "markup": format!("{}.{:06}", layer.markup / 1_000_000, layer.markup % 1_000_000),
            "price": worth(layer.price, true, &shop.settings),
        })
    };
    let mut value = json!({
        "each": show(price.said),
        "all": show(price.all(copies)),
        "tax": show(price.tax_of(copies)),
        "tax_in": price.tax_in,
        "paid": show(price.paid(copies)),
        "labour": show(price.labour),
        "mouldings": list(&price.layers, layer),
    });
    if price.pieces > Money(0) {
        value["pieces"] = show(price.pieces).into();
    }
    if !price.without.is_empty() {
        value["without"] = price.without.clone().into();
    }
    value
}

fn waits_for(waits_for: &WaitsFor) -> Value {
    match waits_for {
        WaitsFor::Bench => json!({"what": "bench"}),
        WaitsFor::Hands => json!({"what": "hands"}),
        WaitsFor::Moulding { arrives, suppliers, order_from, order_by, wait_until } => json!({
            "what": "moulding",
            "arrives": arrives.to_string(),
            "suppliers": suppliers,
            "order_from": order_from.map(|day| day.to_string()),
            "order_by": order_by.map(|day| day.to_string()),
            "wait_until": wait_until.map(|day| day.to_string()),
        }),
    }
}

fn pushed(pushed: &PushedBack) -> Value {
    let stands = |standing: WhenMade| match standing {
        WhenMade::Today => json!({"stands": "today"}),
        WhenMade::Arrives(day) => json!({"stands": "arrives", "on": day.to_string()}),
        WhenMade::Waits => json!({"stands": "waits"}),
        WhenMade::Held => json!({"stands": "held"}),
    };
    json!({
        "frame": pushed.frame,
        "copies": pushed.copies,
        "due": pushed.due.map(|day| day.to_string()),
        "without": stands(pushed.before),
        "with": stands(pushed.after),
        "promised": pushed.promised,
        "late": pushed.is_late,
    })
}
