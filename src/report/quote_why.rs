//! The arithmetic behind a quote.

use crate::measure::{Length, Money, Worth};
use crate::price::{LayerPrice, unit};
use crate::quote::{Alone, Quote};
use crate::shop::{Footage, Form, Shop};

use super::quote_text::frame_layers;
use super::text::Page;
use super::{order_words, words};

/// How the price is made, and what each offer by itself would charge.
pub(super) fn arithmetic(page: &mut Page, quote: &Quote, shop: &Shop) {
    if let (Some(price), Some(rules)) = (&quote.price, &shop.settings.price) {
        page.heading("HOW THE PRICE IS MADE");
        for layer in &price.layers {
            page.line("  ", &of_layer(layer, rules.footage, shop));
        }
        let parts = [
            (price.pieces, "boards, glazing and fixings"),
            (price.labour, "labour"),
            (price.to_minimum, "up to the least price of a frame"),
            (price.to_round, "up to a round price"),
        ];
        for (amount, what) in parts.into_iter().filter(|(amount, _)| *amount > Money(0)) {
            page.line("  ", &format!("{what}: {}", order_words::money(amount, shop)));
        }
        if price.tax_share > 0 {
            let within = if price.tax_in { "in the price" } else { "beside the price" };
            page.line("  ", &format!("tax, {within}: {}", order_words::money(price.tax, shop)));
        }
    }
    page.heading("FOOTAGE");
    for ((_, rails), rule) in frame_layers(quote).zip(&quote.footage) {
        page.line("  ", &order_words::footage(&rails, *rule, quote.frame.copies, shop));
    }
    if !quote.offers.is_empty() {
        page.heading("FROM ONE OFFER, FOR THIS ALONE AND WITH NOTHING ON THE RACK");
    }
    for alone in &quote.offers {
        page.line("  ", &self::alone(alone, shop));
    }
}

fn of_layer(layer: &LayerPrice, footage: Footage, shop: &Shop) -> String {
    let amount = |worth: Worth| words::amount(worth, true, &shop.settings);
    let by = match footage {
        Footage::Rule => "by the rule of thumb",
        Footage::Rails => "of rails, with what is added for waste",
    };
    let (whole, part) = (layer.markup / 1_000_000, layer.markup % 1_000_000);
    let factor = format!("{whole}.{part:06}");
    let factor = factor.trim_end_matches('0').trim_end_matches('.');
    format!(
        "{}: {} {by}, {} at list price, times {factor}: {}",
        layer.moulding,
        by_unit(layer.footage, shop),
        amount(layer.list),
        amount(layer.price)
    )
}

/// A length in feet or metres, to a hundredth, rounded up.
fn by_unit(length: Length, shop: &Shop) -> String {
    let unit = unit(shop);
    let hundredths = (length.nm() * 100 + unit.nm() - 1) / unit.nm();
    let name = if unit == Length::from_mm(1000) { "m" } else { "ft" };
    format!("{}.{:02} {name}", hundredths / 100, hundredths % 100)
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
