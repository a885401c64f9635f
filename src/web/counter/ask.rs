//! The question at the counter, and the planner that is asked.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use jiff::civil::DateTime;
use maud::{Markup, html};

use super::answer::{self, CounterAnswer};
use super::question::{CounterQuestion, SIDE_BY_SIDE};
use crate::book::{Book, BookError, unsound};
use crate::quote::{Quote, quote};
use crate::shop::{Match, Shop};
use crate::verify::Fault;
use crate::web::form::spelt;
use crate::web::page::{self, Screen};
use crate::web::plans::{Bounds, Planned};
use crate::web::reply;
use crate::web::site::Site;
use crate::web::visit::Visit;

/// The page: a form, and beneath it what is to be said.
pub(super) async fn counter(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::aside(move || {
        let question = CounterQuestion::of(&visit);
        if let Some(answer) = answer::found(&site, visit.query("plan")) {
            let screen = answer::shown(&site, &visit, &answer)?;
            return page::whole(&site, &visit, screen);
        }
        let today = site.today()?;
        let now = site.now()?;
        if question.is_empty() {
            let main = asked(&today.shop, &question, &[]);
            return page::whole(&site, &visit, Screen::new("Counter", main));
        }
        if let Err(faults) = question.read(&today.shop, now.date()) {
            let main = asked(&today.shop, &question, &faults);
            return page::whole(&site, &visit, Screen::new("Counter", main));
        }
        let version = site.look(Book::version)?;
        let key = key(&today.shop, &question, now, version);
        let to = format!("{}&plan={}", question.address(), spelt(&key));
        let what = format!("A price and a day for {}", question.size);
        Ok(reply::go(&site.plans.ask(&key, &what, move |site, bounds| {
            let answer = answered(site, bounds, question, now)?;
            Ok(Planned::Answer { answer: Arc::new(answer), to })
        })))
    })
    .await
}

/// What an answer is kept under: as long as no step comes, no day ends and no supplier's
/// cut-off passes, it is the same.
fn key(shop: &Shop, question: &CounterQuestion, now: DateTime, version: i64) -> String {
    let passed = shop.suppliers.values().filter(|supplier| supplier.is_past(now.time())).count();
    format!("quote {version} {} {passed} {}", now.date(), question.address())
}

/// Plans with the frame and without it, and keeps what is shown of it.
pub(super) fn answered(
    site: &Site,
    bounds: &Bounds,
    question: CounterQuestion,
    now: DateTime,
) -> Result<CounterAnswer, BookError> {
    let (version, snapshot) = site.look(|book| Ok((book.version()?, book.snapshot()?)))?;
    let date = now.date();
    let shop = snapshot.shop.at(date, now.time());
    let read = question.read(&shop, date);
    let (wishes, asked) = read.map_err(|faults| BookError::Wrong(faults.join("; ")))?;
    let quotes = bounds.brisk(|limits| {
        let each = wishes.iter().enumerate().map(|(done, wish)| {
            bounds.tell(done, wishes.len());
            quote(&shop, wish, date, limits, false)
        });
        each.collect::<Result<Vec<Quote>, Vec<Fault>>>()
    });
    let quotes = quotes.map_err(|faults| unsound(&faults))?;
    // What is shown of an answer needs neither pile nor rack.
    let shop = Shop { frames: Vec::new(), rack: Vec::new(), coming: Vec::new(), ..shop };
    Ok(CounterAnswer { question, version, date, asked, quotes, shop })
}

/// The form, filled in as it was, with what is wrong above it.
pub(super) fn asked(shop: &Shop, question: &CounterQuestion, faults: &[String]) -> Markup {
    let words = [Match::Any, Match::Lot, Match::Halves, Match::Stick, Match::Wrap];
    let more = [&question.copies, &question.sides, &question.gap, &question.match_];
    let is_more = more.iter().any(|field| !field.is_empty());
    let fields = (question.mouldings.len() + 1).clamp(1, SIDE_BY_SIDE);
    html! {
        h1 { "Counter" }
        @if !faults.is_empty() {
            div.framed role="alert" { @for fault in faults { p { (fault) } } }
        }
        form.ask method="get" action="/counter" autocomplete="off" {
            div.fields {
                label { "Size" input name="size" value=(question.size) required
                    placeholder="16x20, A3, 40x50 cm" autofocus[question.is_empty()]; }
                @for at in 0..fields {
                    label { @if at == 0 { "Moulding" } @else { "or beside it" }
                        input name="moulding" list="mouldings" required[at == 0]
                            value=(question.mouldings.get(at).map_or("", String::as_str)); }
                }
                label { "Wanted, or any day" input name="due" value=(question.due) list="days"
                    placeholder="Thursday, a date"; }
            }
            details open[is_more] {
                summary { "Copies, sides, match" }
                div.fields {
                    label { "Copies" input name="copies" inputmode="numeric" value=(question.copies) placeholder="1"; }
                    label { "Sides" input name="sides" inputmode="numeric" value=(question.sides) placeholder="4"; }
                    label { "Gap of a floater" input name="gap" value=(question.gap); }
                    label { "Match" select name="match" {
                        option value="" { "as the moulding says" }
                        @for word in words {
                            option value=(word.word()) selected[word.word() == question.match_] { (word.word()) }
                        }
                    } }
                }
            }
            button.go { "ASK" }
        }
        datalist #mouldings {
            @for moulding in shop.mouldings.values() {
                option value=(moulding.id) { (moulding.name) }
            }
        }
        (days())
    }
}

/// What a field of days proposes.
pub(in crate::web) fn days() -> Markup {
    let named = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];
    html! {
        datalist #days {
            @for day in ["today", "tomorrow"].iter().chain(&named) { option value=(day) {} }
        }
    }
}
