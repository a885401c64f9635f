//! A supplier's invoice, held against the order and what came of it.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};

use super::fields::{FilledIn, said};
use crate::book::{BillSums, Book, BookError, Invoice, Reckoning, Stamp, pages};
use crate::measure::Money;
use crate::shop::{Shop, shown};
use crate::web::form::{form, spelt};
use crate::web::page::{self, Screen};
use crate::web::press::{self, Press};
use crate::web::site::Site;
use crate::web::visit::Visit;

pub(super) async fn asked(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::show(site, visit, |site, visit| {
        let supplier = Some(visit.query("supplier")).filter(|whose| !whose.is_empty());
        let mut orders = site.look(|book| book.orders(MOST))?;
        let asked = visit.query("order").parse::<i64>().ok();
        orders.retain(|(order, _)| asked.is_none_or(|asked| asked == *order));
        let several = supplier.is_none() && orders.len() > 1;
        let Some(order) = asked.filter(|_| !several) else {
            return Ok(Screen::new("Invoice", which(&orders)));
        };
        of_order(site, visit, (order, supplier), (FilledIn(None), ""))
    })
    .await
}

/// The order with what came of it, and the form: as it was filled in, where something was
/// wrong with it.
fn of_order(
    site: &Site,
    visit: &Visit,
    (order, supplier): (i64, Option<&str>),
    (typed, wrong): (FilledIn, &str),
) -> Result<Screen, BookError> {
    let reckoning = site.look(|book| book.reckoning(order, supplier))?;
    let shop = &site.today()?.shop;
    let main = html! {
        (typed.head(wrong, html! { h1 { "Invoice of order " (order) } }))
        p { (pages::reckoning_head(&reckoning, shop)) }
        (rows(&pages::reckoning_rows(&reckoning, &shop.settings)))
        @for words in pages::reckoning_words(&reckoning, &shop.settings) { p { (words) } }
        (bill(visit, &reckoning, typed))
        p.keys { a.big href="/order" { "WHAT IS ON ORDER" } }
    };
    Ok(Screen::new("Invoice", main))
}

/// The table; on a narrow screen each row is one below the other, with its columns' names.
fn rows(rows: &[[String; 7]]) -> Markup {
    html! {
        table.rows {
            thead { tr { @for name in pages::RECKONING_COLUMNS { th.figure { (name) } } } }
            tbody { @for row in rows { tr {
                @for (name, cell) in pages::RECKONING_COLUMNS.iter().zip(row) {
                    td.figure[!name.is_empty()] data-is=(name) { (cell) }
                }
            } } }
        }
    }
}

/// So many orders are listed.
const MOST: u32 = 60;

/// Whose invoice of which order: one of these, or an older one by its number.
fn which(orders: &[(i64, String)]) -> Markup {
    html! {
        h1 { "Invoice" }
        @if orders.is_empty() { p { "No order stands in the book." } }
        p.keys { @for (order, supplier) in orders {
            a.big href=(format!("/invoice?order={order}&supplier={}", spelt(supplier))) {
                "ORDER " (order) ", " @if supplier.is_empty() { "whoever sells it" } @else { (supplier) }
            }
        } }
        form.ask method="get" action="/invoice" autocomplete="off" {
            div.fields {
                label { "Order" input name="order" inputmode="numeric" required; }
                label { "Supplier, where several have it" input name="supplier"; }
            }
            button.go { "SHOW" }
        }
    }
}

fn bill(visit: &Visit, of: &Reckoning, typed: FilledIn) -> Markup {
    let back = format!("/invoice?order={}&supplier={}", of.order, spelt(&of.supplier));
    html! {
        h2 { "What they bill" }
        p { "Tax that you get back stays out of it. A line that the invoice says nothing of stays empty." }
        (form(visit, "/invoice", &html! {
            input type="hidden" name="order" value=(of.order);
            input type="hidden" name="supplier" value=(of.supplier);
            input type="hidden" name="back" value=(back);
            div.fields {
                @for line in &of.lines {
                    @let name = format!("line-{}", line.line.line);
                    label { "Line " (line.line.line) ", " (line.line.moulding)
                        input name=(name) inputmode="decimal" value=(typed.or(&name, "")); }
                }
                label { "Goods together, if not said by line" input name="goods" inputmode="decimal" value=(typed.or("goods", "")); }
                label { "Carriage" input name="carriage" inputmode="decimal" value=(typed.or("carriage", "")); }
                label { "What else is charged" input name="other" inputmode="decimal" value=(typed.or("other", "")); }
                label { "The invoice's number" input name="number" value=(typed.or("number", "")); }
            }
            label.tick { input type="checkbox" name="credit" value="yes" checked[typed.or("credit", "") == "yes"]; "It is a credit: it gives this back" }
            label.tick { input type="checkbox" name="another" value="yes" checked[typed.or("another", "") == "yes"]; "It is another than the one with the same sums and no number" }
            p { button.go { "ENTER IT" } }
        }))
    }
}

pub(super) async fn billed(State(site): State<Arc<Site>>, press: Press) -> Response {
    page::aside(move || {
        let (order, supplier) = (press.text("order"), press.text("supplier"));
        let to = format!("/invoice?order={}&supplier={}", spelt(order), spelt(supplier));
        let work = |book: &mut Book, press: &Press, stamp: &Stamp| {
            let invoice = invoice(press, &book.shop()?)?;
            book.invoice(&invoice, stamp).map(drop)
        };
        press::or_else(&site, &press, &to, work, |words| {
            let which = (press.number("order")?, Some(supplier).filter(|whose| !whose.is_empty()));
            let page = of_order(&site, &press.visit, which, (FilledIn(Some(&press)), words))?;
            press::not_done(&site, &press, page)
        })
    })
    .await
}

/// The invoice as the form says it; all that is wrong at once.
fn invoice(press: &Press, shop: &Shop) -> Result<Invoice, BookError> {
    let mut faults = Vec::new();
    let mut price = |name: &str, of: &str| {
        let text = said(press, name)?;
        let read = shop.settings.currency.parse(&text);
        read.map_err(|fault| faults.push(format!("{of}: \"{}\" {fault}", shown(&text)))).ok()
    };
    let (goods, carriage, other) =
        (price("goods", "goods"), price("carriage", "carriage"), price("other", "what else"));
    let mut lines: BTreeMap<i64, Money> = BTreeMap::new();
    for (name, _) in press.named() {
        let Some(line) = name.strip_prefix("line-").and_then(|line| line.parse().ok()) else {
            continue;
        };
        if let Some(sum) = price(name, &format!("line {line}")) {
            lines.insert(line, sum);
        }
    }
    let is_said = goods.is_some() || carriage.is_some() || other.is_some() || !lines.is_empty();
    if faults.is_empty() && !is_said {
        faults.push("the invoice says no price (enter what it says)".to_owned());
    }
    if !faults.is_empty() {
        return Err(BookError::Wrong(faults.join("\n")));
    }
    let goods = goods.unwrap_or_else(|| lines.values().copied().sum());
    let (carriage, other) = (carriage.unwrap_or_default(), other.unwrap_or_default());
    Ok(Invoice {
        order: press.number("order")?,
        supplier: said(press, "supplier"),
        number: said(press, "number").unwrap_or_default(),
        sums: BillSums { goods, carriage, other },
        lines,
        is_credit: press.text("credit") == "yes",
        is_another: press.text("another") == "yes",
    })
}
