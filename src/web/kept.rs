//! Whether the promise of a ticket holds once it is another size or wanted on another day, and
//! what is on order for nobody once it is cancelled: a plan without the change beside one with
//! it, made while whoever asked may go on.

use std::path;
use std::sync::Arc;

use axum::http::StatusCode;
use axum::response::Response;
use maud::{Markup, html};

use super::form::spelt;
use super::plans::Planned;
use super::press::{self, Press};
use super::reply;
use super::site::Site;
use super::visit::Visit;
use crate::book::words::{idle_words, promise_words};
use crate::book::{Book, BookError, Stamp};
use crate::plan::{Plan, Wishes};
use crate::report::either::pressed;
use crate::shop::{Frame, Shop};

/// The pile and the rack as a press finds them.
fn pile(site: &Site) -> Result<Shop, BookError> {
    let now = site.now()?;
    Ok(site.look(Book::snapshot)?.shop.at(now.date(), now.time()))
}

/// Changes a ticket, and leads on to its page: of a promised one by way of the plans that say
/// whether the promise holds, and who is late for its sake.
pub(super) fn changed(
    site: &Arc<Site>,
    press: &Press,
    (frame, to): (&Frame, String),
    work: impl FnOnce(&mut Book, &Press, &Stamp) -> Result<String, BookError>,
) -> Result<Response, BookError> {
    let (was, what) = (frame.clone(), format!("Whether the promise of {} holds", frame.id));
    // Only a promise is worth the time of two plans.
    let way = (to, what, frame.promised);
    planned(site, press, way, work, move |_, (earlier, before), (now, after)| {
        promise_words((earlier, before), (now, after), &was)
    })
}

/// Cancels a ticket, and leads on to its page: where sticks of its mouldings are on order, by
/// way of the plans that say which of them nobody needs any more.
pub(super) fn cancelled(
    site: &Arc<Site>,
    press: &Press,
    (ticket, to): (&str, String),
    work: impl FnOnce(&mut Book, &Press, &Stamp) -> Result<String, BookError>,
) -> Result<Response, BookError> {
    let lines = site.look(|book| book.lines_for(ticket))?;
    let what = format!("What of the orders nobody needs without {ticket}");
    let way = (to, what, !lines.is_empty());
    planned(site, press, way, work, move |book, (_, before), (now, after)| {
        idle_words((book, now), &lines, (before, after))
    })
}

/// Makes a step and leads on, where it is worth it by way of a plan without the step and one
/// with it, of which something is said.
fn planned(
    site: &Arc<Site>,
    press: &Press,
    (to, what, is_worth_it): (String, String, bool),
    work: impl FnOnce(&mut Book, &Press, &Stamp) -> Result<String, BookError>,
    said: impl FnOnce(&path::Path, (&Shop, &Plan), (&Shop, &Plan)) -> String + Send + 'static,
) -> Result<Response, BookError> {
    let key = format!("kept {}", press.token());
    let is_new = site.look(|book| book.step_of(press.token()))?.is_none();
    let earlier = (is_worth_it && is_new).then(|| pile(site)).transpose()?;
    let answer = press::saying_at_once(site, press, &to, work)?;
    if answer.status() != StatusCode::SEE_OTHER {
        return Ok(answer);
    }
    let Some(earlier) = earlier else {
        return Ok(match site.plans.stage(&key) {
            Some(_) => reply::go(&format!("/plans/{}", spelt(&key))),
            None => answer,
        });
    };
    let date = site.now()?.date();
    let step = site.look(|book| book.step_of(press.token()))?.map_or(0, |done| done.number);
    let to = format!("{to}?step={step}&plan={}", spelt(&key));
    Ok(reply::go(&site.plans.ask(&key, &what, move |site, bounds| {
        let now = pile(site)?;
        let plan = |shop: &Shop| bounds.morning(shop, date, &Wishes::default());
        let (before, after) = (plan(&earlier)?, plan(&now)?);
        let book = site.look(|book| Ok(book.path().to_owned()))?;
        let words = said(&book, (&earlier, &before), (&now, &after));
        Ok(Planned::Answer { answer: Arc::new(pressed(&words)), to })
    })))
}

/// What was found, where it led here.
pub(super) fn said(site: &Site, visit: &Visit) -> Markup {
    let words = site.plans.answer::<String>(visit.query("plan"));
    html! {
        @if let Some(words) = words.filter(|words| !words.is_empty()) {
            section.framed role="status" { @for line in words.lines() { p.words { (line) } } }
        }
    }
}
