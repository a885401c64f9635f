//! What is said at the counter, and what stands behind it.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use jiff::civil::Date;
use maud::{Markup, html};

use super::ask::asked;
use super::question::CounterQuestion;
use crate::book::{Book, BookError};
use crate::quote::Quote;
use crate::report::either::pressed;
use crate::report::{quote_html, quote_text};
use crate::shop::Shop;
use crate::web::form::{form, spelt};
use crate::web::page::{self, Screen};
use crate::web::reply;
use crate::web::site::Site;
use crate::web::visit::Visit;

/// What was worked out of a question.
pub(super) struct CounterAnswer {
    pub question: CounterQuestion,
    /// How many steps the book had.
    pub version: i64,
    pub date: Date,
    /// The day that was asked for.
    pub asked: Option<Date>,
    pub quotes: Vec<Quote>,
    /// The shop without pile and rack.
    pub shop: Shop,
}

/// The answer that is kept under a key, if it is still there.
pub(super) fn found(site: &Site, key: &str) -> Option<Arc<CounterAnswer>> {
    site.plans.answer(key)
}

/// Whether something was done since that may make another answer of it: anything but a
/// cut that goes as it was planned.
pub(super) fn is_old(site: &Site, answer: &CounterAnswer) -> Result<bool, BookError> {
    const MOST: u32 = 200;
    let (now, date) = (site.look(Book::version)?, site.now()?.date());
    let since = u32::try_from(now - answer.version).unwrap_or(u32::MAX);
    if date != answer.date || since > MOST {
        return Ok(true);
    }
    let steps = site.look(|book| book.steps(None, since))?;
    Ok(steps.iter().any(|step| !["cut", "joined", "fitted"].contains(&step.done.what.as_str())))
}

/// The question, and beneath it what is said of each moulding.
pub(super) fn shown(
    site: &Site,
    visit: &Visit,
    answer: &CounterAnswer,
) -> Result<Screen, BookError> {
    let key = visit.query("plan");
    let next = site.look(Book::next_ticket)?;
    let chosen = visit.query("choose").parse::<usize>().ok();
    let quotes: Vec<(usize, &Quote)> = answer
        .quotes
        .iter()
        .enumerate()
        .filter(|(at, _)| chosen.is_none_or(|chosen| chosen == *at))
        .collect();
    let is_old = is_old(site, answer)?;
    let main = html! {
        @if is_old {
            p.framed { "The shop is another since this was worked out. "
                a.big href=(answer.question.address()) { "ASK AGAIN" } }
        }
        div role="status" {
            @match quotes.as_slice() {
                [(at, quote)] => (one(visit, (answer, key), (*at, quote), &next)),
                several => (side_by_side((answer, key), several)),
            }
        }
        p.keys {
            a.big href=(format!("/counter/customer?plan={}", spelt(key))) target="_blank" { "PAGE FOR THE CUSTOMER" }
            a.big href="/counter" { "NEW QUESTION" }
        }
        (asked(&answer.shop, &answer.question, &[]))
    };
    Ok(Screen::new("Counter", main))
}

/// One moulding: the line to say aloud, the press, and the rest in small.
fn one(
    visit: &Visit,
    (answer, key): (&CounterAnswer, &str),
    (at, quote): (usize, &Quote),
    next: &str,
) -> Markup {
    let CounterAnswer { question, asked, date, shop, .. } = answer;
    let facts = quote_text::facts(quote, *date, shop);
    html! {
        p.aloud { (quote_text::said(quote, *asked, *date, shop)) }
        p { (quote_text::described(quote, shop)) }
        @if quote.can_be_promised(*asked) {
            (form(visit, "/counter/take", &html! {
                input type="hidden" name="plan" value=(key);
                input type="hidden" name="which" value=(at);
                input type="hidden" name="back" value=(format!("{}&plan={}", question.address(), spelt(key)));
                div.fields {
                    label { "Ticket" input name="ticket" value=(next) required; }
                    label { "Whose, and what" input name="note" placeholder="Halloran, map"; }
                }
                @if quote.made_late(false).is_empty() && quote.ask_first().is_empty() {
                    button.go.huge { "TAKE THE JOB" }
                } @else {
                    button.huge { "TAKE THE JOB" }
                }
            }))
        } @else {
            (way_on(question, (quote, *asked)))
        }
        @let (inside, open): (Vec<_>, Vec<_>) = facts.iter().partition(|(what, _)| INSIDE.contains(what));
        dl.facts { @for (what, words) in open { (fact(what, words)) } }
        @if !inside.is_empty() {
            details {
                summary { "Inside the shop" }
                dl.facts { @for (what, words) in inside { (fact(what, words)) } }
            }
        }
        @if !quote.near.is_empty() {
            h2 { "Other mouldings of nearly this width" }
            ul.choose {
                @for other in &quote.near {
                    li { a.big href=(question.of_moulding(&other.moulding).address()) {
                        (quote_text::near_words(other, shop)) } }
                }
            }
        }
    }
}

/// What a customer who looks over the counter need not read.
const INSIDE: [&str; 4] = ["At list:", "Dearer now:", "Bought:", "Inside:"];

/// What is said of each of several: when it is ready and why not sooner, and who would be
/// pushed back.
const SAID: [&str; 3] = ["Not as asked:", "Ready:", "Pushes back:"];

fn fact(what: &str, words: &str) -> Markup {
    html! {
        @if !what.trim().is_empty() { dt { (what.trim_end_matches(':')) } }
        dd { (pressed(words)) }
    }
}

/// What else can be said where it cannot be promised as asked: the first day on which it
/// can be ready, if nobody's promise is broken by that.
fn way_on(question: &CounterQuestion, (quote, asked): (&Quote, Option<Date>)) -> Markup {
    let ready = quote.promise.as_ref().map(|promise| promise.ready);
    let broken = quote.made_late(true);
    html! {
        @if !broken.is_empty() {
            p { "The job is not taken: it would break the promise for "
                @for (at, id) in broken.iter().enumerate() {
                    @if at > 0 { ", " }
                    a.big href=(format!("/ticket/{}", spelt(id))) { (id) }
                } "." }
            @if asked.is_some() {
                p { a.big href=(CounterQuestion { due: String::new(), ..question.clone() }.address()) { "ASK FOR ANY DAY" } }
            }
        } @else if let Some(ready) = ready.filter(|ready| Some(*ready) != asked) {
            p { a.big.go href=(question.on(ready).address()) { "ASK FOR " (ready.strftime("%A %-d %B")) } }
        }
    }
}

fn side_by_side((answer, key): (&CounterAnswer, &str), quotes: &[(usize, &Quote)]) -> Markup {
    let CounterAnswer { question, asked, date, shop, .. } = answer;
    html! {
        ul.choose {
            @for (at, quote) in quotes {
                li {
                    p { b { (quote_text::described(quote, shop)) } }
                    p { (quote_text::said(quote, *asked, *date, shop)) }
                    @for (what, words) in quote_text::facts(quote, *date, shop) {
                        @if SAID.contains(&what) { p { (what) " " (pressed(&words)) } }
                    }
                    a.big href=(format!("{}&choose={at}&plan={}", question.address(), spelt(key))) { "CHOOSE" }
                }
            }
        }
    }
}

/// The page for the customer to take away, with nothing on it of what is inside.
pub(super) async fn customer(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::aside(move || {
        let Some(answer) = found(&site, visit.query("plan")) else {
            return Err(BookError::Wrong(GONE.to_owned()));
        };
        let CounterAnswer { quotes, asked, date, shop, .. } = &*answer;
        Ok(reply::sheet(quote_html::sheet(quotes, *asked, *date, shop)))
    })
    .await
}

/// What is said where an answer is not kept any more.
pub(super) const GONE: &str = "That answer is not kept any more (ask again at the counter).";
