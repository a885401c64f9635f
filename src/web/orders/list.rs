//! What is on order, what is overdue first: how each line stands, and what the supplier
//! says of it.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use jiff::civil::Date;
use maud::{Markup, html};

use super::fields::line_seen;
use crate::book::PlacedLine;
use crate::book::words::{self, FramesByLine};
use crate::shop::Shop;
use crate::web::form::form;
use crate::web::page::{self, Screen};
use crate::web::site::Site;
use crate::web::visit::Visit;

pub(super) async fn list(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::show(site, visit, |site, visit| {
        let today = site.today()?;
        let date = site.now()?.date();
        let (mut lines, frames) =
            site.look(|book| Ok((book.open_lines()?, book.chopped_for_lines()?)))?;
        lines.sort_by(|a, b| of(a).cmp(&of(b)).then(a.line.cmp(&b.line)));
        let mut orders: Vec<&[PlacedLine]> = lines.chunk_by(|a, b| of(a) == of(b)).collect();
        orders.sort_by_key(|lines| !lines.iter().any(|line| words::is_overdue(line, date)));
        let main = html! {
            h1 { "Orders" }
            p.keys {
                @if visit.may_see("/order/basket") { a.big.go href="/order/basket" { "WHAT LACKS" } }
                a.big href="/receive" { "BOUGHT WITHOUT AN ORDER" }
            }
            @if orders.is_empty() { p.words { "Nothing is on order." } }
            @for lines in orders {
                @let all = site.look(|book| book.reckoning(lines[0].order, Some(&lines[0].supplier)));
                // What was undone just now has no sum any more.
                @let all = all.ok().and_then(|all| words::ordered_words(&today.shop, &all));
                (one(visit, &today.shop, lines, (date, &frames), all.as_deref()))
            }
        };
        Ok(Screen::new("Orders", main))
    })
    .await
}

fn of(line: &PlacedLine) -> (&str, i64) {
    (&line.supplier, line.order)
}

fn one(
    visit: &Visit,
    shop: &Shop,
    lines: &[PlacedLine],
    (today, frames): (Date, &FramesByLine),
    all: Option<&str>,
) -> Markup {
    let first = &lines[0];
    let is_late = lines.iter().any(|line| words::is_overdue(line, today));
    let of_order = html! {
        input type="hidden" name="order" value=(first.order);
        input type="hidden" name="supplier" value=(first.supplier);
    };
    let (order, supplier) = (first.order, super::super::form::spelt(&first.supplier));
    html! {
        section.framed {
            h2 { @if is_late { "OVERDUE: " } (words::head(shop, first))
                @if !first.reference.is_empty() { ", their number " (first.reference) } }
            ul.plain { @for line in lines { (line_of(visit, shop, line, (today, frames))) } }
            @if let Some(all) = all { p { (all) } }
            p.keys {
                @if visit.may_see("/order/letters") {
                    a.big href=(format!("/order/letters/{order}")) { "LETTERS" }
                }
                @if visit.may_see("/invoice") {
                    a.big href=(format!("/invoice?order={order}&supplier={supplier}")) { "INVOICE" }
                }
            }
            @if visit.may_press("/order/confirm") {
                details {
                    summary { "They confirm it" }
                    (form(visit, "/order/confirm", &html! {
                        (of_order)
                        div.fields {
                            label { "It comes on" input type="date" name="on"; }
                            label { "Their number for it" input name="reference"; }
                        }
                        button.go { "CONFIRMED" }
                    }))
                }
            }
        }
    }
}

fn line_of(
    visit: &Visit,
    shop: &Shop,
    line: &PlacedLine,
    (today, frames): (Date, &FramesByLine),
) -> Markup {
    let number = line.line;
    let copies: Vec<(String, u32)> =
        frames.get(&number).map(|all| all.iter().cloned().collect()).unwrap_or_default();
    html! {
        li #(format!("line-{number}")) {
            p { b { (line_seen(visit, shop, line)) } }
            p { (words::stands(line, today)) }
            @if !copies.is_empty() { p { "for " (words::tickets(shop, &copies)) } }
            p.keys {
                a.big.go href=(format!("/receive?line={number}")) { "IT CAME" }
            }
            @if visit.may_press("/order/expect") {
                details {
                    summary { "Later, or given up" }
                    (form(visit, "/order/expect", &html! {
                        input type="hidden" name="line" value=(number);
                        label { "It comes on; empty where nobody knows" input type="date" name="on"; }
                        button { "IT COMES LATER" }
                    }))
                    (form(visit, "/order/drop", &html! {
                        input type="hidden" name="line" value=(number);
                        label { "How many; empty for all that is to come" input name="count" inputmode="numeric"; }
                        button { "GIVE UP" }
                    }))
                }
            }
        }
    }
}
