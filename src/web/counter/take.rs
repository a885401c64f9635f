//! The job taken: a ticket with its promise, as one step of the book.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use maud::html;

use super::answer::{CounterAnswer, GONE, found, is_old};
use super::ask::answered;
use super::question::{CounterQuestion, tidy};
use crate::book::BookError;
use crate::quote::Quote;
use crate::report::{quote_table, quote_text};
use crate::shop::Frame;
use crate::web::form::{form, spelt};
use crate::web::page::{self, Screen};
use crate::web::plans::Planned;
use crate::web::press::{self, Press};
use crate::web::reply;
use crate::web::site::Site;

/// Writes the ticket. Where the shop is another since the day was said, the day is looked
/// at again first, and the job taken only if it can still be promised.
pub(super) async fn taken(State(site): State<Arc<Site>>, press: Press) -> Response {
    page::aside(move || {
        let (id, note) = (tidy(press.text("ticket")), tidy(press.text("note")));
        let to = format!("/ticket/{}", spelt(&id));
        if let Some(done) = site.look(|book| book.step_of(press.token()))? {
            return before(&site, &press, done.number, &id);
        }
        let which = usize::try_from(press.number("which")?).unwrap_or(usize::MAX);
        let answer = found(&site, press.text("plan"));
        let Some(answer) = answer.filter(|answer| which < answer.quotes.len()) else {
            return press::refused(&site, &press, "/counter", GONE);
        };
        let quote = &answer.quotes[which];
        if let Err(why) = promised(quote, &answer) {
            return press::refused(&site, &press, "/counter", &why);
        }
        let late: Vec<String> = quote.made_late(false).into_iter().map(String::from).collect();
        let is_plain = late.is_empty() && quote.ask_first().is_empty();
        if !is_plain && press.text("even_so").is_empty() {
            return even_so(&site, &press, (&answer, quote), &late);
        }
        if !is_old(&site, &answer)? {
            let frame = ticket(quote, (&id, &note));
            return press::at_once(&site, &press, &to, |book, _, stamp| {
                book.take_ticket(&frame, stamp)
            });
        }
        let day = quote.frame.due;
        let moulding = answer.question.mouldings.get(which).cloned().unwrap_or_default();
        let question = answer.question.of_moulding(&moulding);
        let question = day.map_or(question.clone(), |day| question.on(day));
        let named = late.into_iter().chain(quote.ask_first()).collect();
        again(&site, &press, (question, named), (id, note, to))
    })
    .await
}

/// The answer to a press that took the job before, also before the server was started anew: it
/// is not taken again, not under another number either.
fn before(site: &Site, press: &Press, step: i64, id: &str) -> Result<Response, BookError> {
    let taken = site.look(|book| book.ticket_of(step))?.unwrap_or_default();
    let to = format!("/ticket/{}", spelt(&taken));
    if taken == id {
        return Ok(reply::go(&format!("{to}?step={step}")));
    }
    let stands = site.look(|book| book.step(step))?.is_some_and(|of| of.stands());
    let main = html! {
        (press::faults(&format!("The job is taken already, as {taken}.")))
        @if stands {
            p { "To give it another number, undo that, ask for the day again and take it anew." }
            p { a.big href=(format!("{to}?step={step}")) { "OPEN " (taken) } }
        } @else {
            p { "That was undone since." }
        }
        p { a.big href="/counter" { "ASK AGAIN" } }
    };
    press::not_done(site, press, Screen::new("Taken already", main))
}

/// Whom the job makes late, who has to be asked first, and the press that takes it all the same.
fn even_so(
    site: &Site,
    press: &Press,
    (answer, quote): (&CounterAnswer, &Quote),
    late: &[String],
) -> Result<Response, BookError> {
    let back = reply::within(press.text("back"));
    let title = if late.is_empty() { "Ask the supplier first" } else { "Others will be late" };
    let main = html! {
        h1 { (title) }
        p.aloud { (quote_text::said(quote, answer.asked, answer.date, &answer.shop)) }
        @if !late.is_empty() {
            p.framed role="alert" { "The job is not taken yet: it makes "
                @for (at, id) in late.iter().enumerate() {
                    @if at > 0 { ", " }
                    a.big href=(format!("/ticket/{}", spelt(id))) { (id) }
                } " late." }
        }
        @if !quote.ask_first().is_empty() {
            p.framed role="alert" { "The job is not taken yet. It can be done if "
                (quote_table::asked_first(quote, &answer.shop)) ": ask them first." }
        }
        (form(&press.visit, "/counter/take", &html! {
            @for name in ["plan", "which", "back", "ticket", "note"] {
                input type="hidden" name=(name) value=(press.text(name));
            }
            input type="hidden" name="even_so" value="yes";
            button.go { "TAKE IT EVEN SO" }
        }))
        p { a.big href=(back) { "NOT SO" } }
    };
    press::not_done(site, press, Screen::new(title, main))
}

fn promised(quote: &Quote, answer: &CounterAnswer) -> Result<(), String> {
    match quote.can_be_promised(answer.asked) {
        true => Ok(()),
        false => Err(format!(
            "The job is not taken, since that day cannot be promised: {}",
            quote_text::said(quote, answer.asked, answer.date, &answer.shop)
        )),
    }
}

fn ticket(quote: &Quote, (id, note): (&str, &str)) -> Frame {
    Frame {
        id: id.to_owned(),
        note: note.to_owned(),
        promised: quote.frame.due.is_some(),
        ..quote.frame.clone()
    }
}

/// Asks once more for the day that was said, and takes the job if it still holds and makes
/// nobody late who was not named.
fn again(
    site: &Arc<Site>,
    press: &Press,
    (question, named): (CounterQuestion, Vec<String>),
    (id, note, to): (String, String, String),
) -> Result<Response, BookError> {
    let token = press.token().to_owned();
    let stamp = site.stamp(&press.visit.session.device.name, &token)?;
    let what = "The shop is another since the day was said: it is looked at again";
    Ok(reply::go(&site.plans.ask(&token, what, move |site, bounds| {
        let answer = answered(site, bounds, question, stamp.at)?;
        let [quote] = answer.quotes.as_slice() else {
            return Err(BookError::Wrong(GONE.to_owned()));
        };
        promised(quote, &answer).map_err(BookError::Wrong)?;
        let late = quote.made_late(false);
        if late.iter().any(|id| !named.iter().any(|known| known == id)) {
            return Err(BookError::Wrong(format!(
                "The job is not taken, since by now it would make {} late (ask again)",
                late.join(", ")
            )));
        }
        if quote.ask_first().iter().any(|id| !named.contains(id)) {
            return Err(BookError::Wrong(format!(
                "The job is not taken, since by now {} would have to be asked first (ask again)",
                quote.ask_first().join(", ")
            )));
        }
        match site.write(|book| book.take_ticket(&ticket(quote, (&id, &note)), &stamp)) {
            Ok(()) | Err(BookError::Repeated(_)) => {}
            Err(error) => return Err(error),
        }
        let step = site.look(|book| book.step_of(&stamp.token))?.map_or(0, |done| done.number);
        Ok(Planned::Made { words: String::new(), to: format!("{to}?step={step}") })
    })))
}
