//! A quote for the customer to take away: what it is, what it costs, when it is ready.

use std::fmt::Write;

use jiff::civil::Date;

use crate::measure::Money;
use crate::quote::Quote;
use crate::shop::Shop;

use super::escape::{escape, prose};
use super::html::opening;
use super::order_words::money;
use super::quote_text::{codes, day, names, size};
use super::words::and;

/// One page with a row for each moulding: nothing of what the shop pays, nor of other
/// customers. Self-contained, for A4 or Letter in black and white.
pub fn sheet(quotes: &[Quote], asked: Option<Date>, today: Date, shop: &Shop) -> String {
    let mut out = opening("Quote", &shop.settings.name, today);
    if let Some(first) = quotes.first() {
        let _ = writeln!(out, "<p class=\"sum\"><b>{}</b></p>", prose(&size(first, shop)));
    }
    out.push_str(
        "<section class=\"bench order\">\n<table>\n<thead><tr><th>Frame</th><th>Ready</th><th class=\"figure\">Price</th></tr></thead>\n<tbody>\n",
    );
    for quote in quotes {
        let ready = match (&quote.promise, asked) {
            (Some(_), _) if !quote.made_late(false).is_empty() || !quote.ask_first().is_empty() => {
                "ask us".to_owned()
            }
            (Some(promise), Some(asked)) if promise.ready <= asked => {
                day(quote.frame.due.unwrap_or(asked), today)
            }
            (Some(promise), _) => day(promise.ready, today),
            (None, _) => "not as asked".to_owned(),
        };
        let _ = writeln!(
            out,
            "<tr><td><b>{}</b><small>{}</small></td><td>{}</td><td class=\"figure\">{}</td></tr>",
            escape(&names(quote, shop)),
            escape(&described(quote, quotes, shop)),
            escape(&ready),
            priced(quote, shop),
        );
    }
    out.push_str("</tbody>\n</table>\n</section>\n");
    let taxed = quotes.iter().filter_map(|quote| quote.price.as_ref());
    if let Some(price) = taxed.into_iter().find(|price| price.tax_share > 0) {
        let tax = if price.tax_in { "Prices include tax." } else { "Tax is added as shown." };
        let _ = writeln!(out, "<p class=\"sum\">{tax}</p>");
    }
    let lines: Vec<String> = shop.settings.contact.lines().map(escape).collect();
    if !lines.is_empty() {
        let _ = writeln!(out, "<p class=\"sum\">{}</p>", lines.join("<br>"));
    }
    let _ = writeln!(
        out,
        "<p class=\"sum\">As of {}; a day is promised once it stands on your ticket.</p>\n</body>\n</html>",
        today.strftime("%-d %B %Y")
    );
    out
}

/// A frame's codes, with its size where that is not the first's, and what comes with it.
fn described(quote: &Quote, quotes: &[Quote], shop: &Shop) -> String {
    let mut words = vec![codes(quote)];
    let first = quotes.first().map(|first| size(first, shop));
    words.extend(Some(size(quote, shop)).filter(|own| first.as_ref() != Some(own)));
    if quote.price.as_ref().is_some_and(|price| price.pieces > Money(0)) {
        words.push("with boards, glazing and fixings".to_owned());
    }
    let without = quote.price.iter().flat_map(|price| &price.without);
    let without = without.filter_map(|code| shop.materials.get(code));
    let without: Vec<String> = without.map(|material| material.name.clone()).collect();
    if !without.is_empty() {
        words.push(format!("without {}", and(&without)));
    }
    words.join(", ")
}

/// The price for all copies, with the tax under it where that comes on top.
fn priced(quote: &Quote, shop: &Shop) -> String {
    let Some(price) = &quote.price else { return String::new() };
    let copies = quote.frame.copies;
    let all = escape(&money(price.all(copies), shop));
    let each = match copies {
        1 => String::new(),
        _ => format!("<small>{} each</small>", escape(&money(price.said, shop))),
    };
    let tax = match price.tax_in || price.tax_share == 0 {
        true => String::new(),
        false => format!(
            "<small>and {} tax: {}</small>",
            escape(&money(price.tax_of(copies), shop)),
            escape(&money(price.paid(copies), shop))
        ),
    };
    format!("<b>{all}</b>{each}{tax}")
}
