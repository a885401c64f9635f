//! The order placed: as it was seen, or not at all.

use std::collections::BTreeSet;
use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;

use super::basket::{Basket, found, worked_out};
use crate::book::{BookError, PART_ORDER, Stamp, TRIES, words};
use crate::plan::Plan;
use crate::web::page;
use crate::web::plans::Planned;
use crate::web::press::{self, Press};
use crate::web::reply;
use crate::web::site::Site;

/// Orders what was seen in the basket. Where something was done since, it is worked out
/// again first, and ordered only if it is the same.
pub(super) async fn placed(State(site): State<Arc<Site>>, press: Press) -> Response {
    page::aside(move || {
        let token = press.token().to_owned();
        if let Some(done) = site.look(|book| book.step_of(&token))? {
            return Ok(reply::go(&format!("/order?step={}", done.number)));
        }
        let Some(seen) = found(&site, press.text("plan")) else {
            let words = "That basket is not kept any more (have it worked out anew).";
            return press::refused(&site, &press, "/order/basket", words);
        };
        let from: BTreeSet<String> = press.all("from").map(str::to_owned).collect();
        let stamp = site.stamp(&press.visit.session.device.name, &token)?;
        match order(&site, &seen, &from, &stamp) {
            Ok(to) => Ok(reply::go(&to)),
            Err(BookError::Moved) => {
                let what = "Something was done since: what lacks is looked at again";
                Ok(reply::go(&site.plans.ask(&token, what, move |site, bounds| {
                    for _ in 0..TRIES {
                        let now = worked_out(site, bounds, stamp.at)?;
                        if !is_same(&now, &seen, &from) {
                            let words = "What lacks is something else now, and nothing was ordered \
                                         (look at the basket again).";
                            return Err(BookError::Wrong(words.to_owned()));
                        }
                        match order(site, &now, &from, &stamp) {
                            Err(BookError::Moved) => {}
                            Err(error) => return Err(error),
                            Ok(to) => return Ok(Planned::Made { words: String::new(), to }),
                        }
                    }
                    Err(BookError::Moved)
                })))
            }
            Err(BookError::Wrong(words)) => press::refused(&site, &press, "/order/basket", &words),
            Err(error) => Err(error),
        }
    })
    .await
}

/// What is ordered of a basket: all of it, or the part of some suppliers.
fn part(basket: &Basket, from: &BTreeSet<String>) -> Option<Plan> {
    let lines = &basket.plan.order.lines;
    let is_all = from.is_empty() || lines.iter().all(|line| from.contains(&line.supplier));
    (!is_all).then(|| basket.plan.ordered_from(from))
}

fn is_same(now: &Basket, seen: &Basket, from: &BTreeSet<String>) -> bool {
    let lines = |basket: &Basket| {
        let lines = part(basket, from)
            .map_or_else(|| basket.plan.order.lines.clone(), |part| part.order.lines);
        let each = lines.into_iter().map(|line| {
            (
                line.supplier,
                line.moulding,
                line.form,
                (line.length, line.height),
                line.count,
                line.cost,
            )
        });
        each.collect::<Vec<_>>()
    };
    lines(now) == lines(seen)
}

/// Writes it into the book, with its letters; where that leads.
fn order(
    site: &Site,
    basket: &Basket,
    from: &BTreeSet<String>,
    stamp: &Stamp,
) -> Result<String, BookError> {
    let part = part(basket, from);
    let (what, plan) = match &part {
        Some(part) => (PART_ORDER, part),
        None => ("order", &*basket.plan),
    };
    let shop = &basket.snapshot.shop;
    let lines = site.write(|book| {
        let pages = book.pages(plan, shop)?;
        book.order_as(&basket.snapshot, (what, plan, &pages), stamp)
    });
    match lines {
        Ok(lines) => press::keep(site, &stamp.token, words::placed_words(shop, &lines))?,
        Err(BookError::Repeated(_)) => {}
        Err(error) => return Err(error),
    }
    let step = site.look(|book| book.step_of(&stamp.token))?.map_or(0, |done| done.number);
    Ok(format!("/order?step={step}"))
}
