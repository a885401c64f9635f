//! The basket: what would be ordered now, by supplier, and until when that can wait.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use jiff::civil::DateTime;
use maud::{Markup, html};

use crate::book::{Book, BookError, Snapshot, unsound};
use crate::plan::{OrderDeadline, Plan, Wishes};
use crate::report::{basket_lines, order_bill, order_deadline};
use crate::sheet_order::{is_counted, sheet_order, with_sheets};
use crate::shop::Shop;
use crate::verify::Verified;
use crate::web::boards::boards_of_jobs;
use crate::web::form::{form, spelt};
use crate::web::page::{self, Screen};
use crate::web::plans::{Bounds, Planned};
use crate::web::reply;
use crate::web::site::Site;
use crate::web::visit::Visit;

/// What would be ordered, as it was worked out.
pub(super) struct Basket {
    pub snapshot: Snapshot,
    pub plan: Verified<Plan>,
    /// What is to be said of its boards and glass.
    pub notes: Vec<String>,
    /// How many steps the book had.
    pub version: i64,
}

/// The basket that is kept under a key, if it is still there.
pub(super) fn found(site: &Site, key: &str) -> Option<Arc<Basket>> {
    site.plans.answer(key)
}

/// Works it out on a look at the book.
pub(super) fn worked_out(site: &Site, bounds: &Bounds, now: DateTime) -> Result<Basket, BookError> {
    let (version, mut snapshot) = site.look(|book| Ok((book.version()?, book.snapshot()?)))?;
    let date = now.date();
    snapshot.shop = snapshot.shop.at(date, now.time());
    let shop = &snapshot.shop;
    let plan = bounds.morning(shop, date, &Wishes::default())?;
    let (plan, notes) = match is_counted(shop) {
        true => with_what_lacks(site, shop, &plan)?,
        false => (plan, Vec::new()),
    };
    Ok(Basket { snapshot, plan, notes, version })
}

/// The same with the boards and glass that its jobs lack.
fn with_what_lacks(
    site: &Site,
    shop: &Shop,
    plan: &Verified<Plan>,
) -> Result<(Verified<Plan>, Vec<String>), BookError> {
    let coming = site.look(Book::sheets_coming)?;
    let (sheets, left_out) = boards_of_jobs(site, shop, plan.date, &coming)?;
    let added = with_sheets(plan, shop, sheet_order(shop, &sheets));
    let (plan, notes) = added.map_err(|faults| unsound(&faults))?;
    Ok((plan, left_out.into_iter().chain(notes).collect()))
}

pub(super) async fn basket(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::aside(move || {
        let key = visit.query("plan");
        if let Some(basket) = found(&site, key) {
            let is_old = site.look(Book::version)? != basket.version;
            let main = shown(&visit, &basket, (key, is_old));
            return page::whole(&site, &visit, Screen::new("What lacks", main));
        }
        let (version, now) = (site.look(Book::version)?, site.now()?);
        let key = format!("basket {version} {}", now.strftime("%Y-%m-%d %H:%M"));
        let to = format!("/order/basket?plan={}", spelt(&key));
        Ok(reply::go(&site.plans.ask(&key, "What lacks, and from whom", move |site, bounds| {
            Ok(Planned::Answer { answer: Arc::new(worked_out(site, bounds, now)?), to })
        })))
    })
    .await
}

fn shown(visit: &Visit, basket: &Basket, (key, is_old): (&str, bool)) -> Markup {
    let (plan, shop) = (&*basket.plan, &basket.snapshot.shop);
    let mut suppliers: Vec<&str> =
        plan.order.lines.iter().map(|line| line.supplier.as_str()).collect();
    suppliers.sort_unstable();
    suppliers.dedup();
    let until = |supplier: &str| plan.order.deadlines.iter().find(|of| of.supplier == supplier);
    let is_today = |of: &&OrderDeadline| of.last == Some(plan.date);
    let is_refused = |supplier: &&str| {
        let bill = plan.order.bills.iter().find(|bill| bill.supplier == **supplier);
        bill.is_some_and(|bill| bill.refused_below(shop).is_some())
    };
    // Who refuses it is asked first, and ordered from by a press of their own.
    let (asked, taken): (Vec<&str>, Vec<&str>) = suppliers.iter().copied().partition(is_refused);
    let all = if asked.is_empty() { Vec::new() } else { taken.clone() };
    let today: Vec<&str> =
        plan.order.deadlines.iter().filter(is_today).map(|of| of.supplier.as_str()).collect();
    let today: Vec<&str> = today.into_iter().filter(|of| taken.contains(of)).collect();
    html! {
        h1 { "What lacks" }
        @if is_old {
            p.framed { "Something was done since this was worked out. It is looked at again before \
                anything is ordered. " a.big href="/order/basket" { "WORK IT OUT ANEW" } }
        }
        @if suppliers.is_empty() { p.words { "Nothing has to be ordered." } }
        @for note in &basket.notes { p { (note) } }
        @for supplier in &suppliers {
            section.framed {
                h2 { (shop.suppliers.get(*supplier).map_or("whoever sells it", |of| of.name.as_str())) }
                ul.plain { @for line in basket_lines(plan, supplier, shop) { li { (line) } } }
                @if let Some(bill) = plan.order.bills.iter().find(|bill| bill.supplier == *supplier) {
                    p { b { (order_bill(bill, shop)) } ", arrives " (bill.arrives.strftime("%A %-d %B")) }
                }
                @if let Some(of) = until(supplier) { p { (order_deadline(of, plan, shop)) } }
                @if asked.contains(supplier) {
                    (press(visit, key, &[supplier], "THEY WERE ASKED AND TAKE IT: ORDER FROM THEM"))
                } @else if !supplier.is_empty() {
                    (press(visit, key, &[supplier], "ORDER FROM THEM"))
                }
            }
        }
        @if !taken.is_empty() {
            div.keys {
                (press(visit, key, &all, if asked.is_empty() { "ORDER ALL OF IT" } else { "ORDER ALL ELSE" }))
                @if !today.is_empty() && today.len() < suppliers.len() {
                    (press(visit, key, &today, "ORDER WHAT CANNOT WAIT"))
                }
            }
        }
        p.keys { a.big href="/order" { "WHAT IS ON ORDER" } }
    }
}

/// Orders from these suppliers; from all, if none is named.
fn press(visit: &Visit, key: &str, suppliers: &[&str], words: &str) -> Markup {
    form(
        visit,
        "/order/place",
        &html! {
            input type="hidden" name="plan" value=(key);
            input type="hidden" name="back" value=(format!("/order/basket?plan={}", spelt(key)));
            @for supplier in suppliers { input type="hidden" name="from" value=(supplier); }
            button.go { (words) }
        },
    )
}
