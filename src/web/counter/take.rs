//! The job taken: a ticket with its promise, as one step of the book.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;

use super::answer::{CounterAnswer, GONE, found, is_old};
use super::ask::answered;
use super::question::{CounterQuestion, tidy};
use crate::book::BookError;
use crate::quote::Quote;
use crate::report::quote_text;
use crate::shop::Frame;
use crate::web::form::spelt;
use crate::web::page;
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
        let which = usize::try_from(press.number("which")?).unwrap_or(usize::MAX);
        let answer = found(&site, press.text("plan"));
        let Some(answer) = answer.filter(|answer| which < answer.quotes.len()) else {
            // What was done before the server was started anew is not done again.
            return match site.look(|book| book.step_of(press.token()))? {
                Some(done) => Ok(reply::go(&format!("{to}?step={}", done.number))),
                None => press::refused(&site, &press, "/counter", GONE),
            };
        };
        let quote = &answer.quotes[which];
        if let Err(why) = promised(quote, &answer) {
            return press::refused(&site, &press, "/counter", &why);
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
        again(&site, &press, question, (id, note, to))
    })
    .await
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

/// Asks once more for the day that was said, and takes the job if it still holds.
fn again(
    site: &Arc<Site>,
    press: &Press,
    question: CounterQuestion,
    (id, note, to): (String, String, String),
) -> Result<Response, BookError> {
    let token = press.token().to_owned();
    if let Some(done) = site.look(|book| book.step_of(&token))? {
        return Ok(reply::go(&format!("{to}?step={}", done.number)));
    }
    let stamp = site.stamp(&press.visit.session.device.name, &token)?;
    let what = "The shop is another since the day was said: it is looked at again";
    Ok(reply::go(&site.plans.ask(&token, what, move |site, bounds| {
        let answer = answered(site, bounds, question, stamp.at)?;
        let [quote] = answer.quotes.as_slice() else {
            return Err(BookError::Wrong(GONE.to_owned()));
        };
        promised(quote, &answer).map_err(BookError::Wrong)?;
        match site.write(|book| book.take_ticket(&ticket(quote, (&id, &note)), &stamp)) {
            Ok(()) | Err(BookError::Repeated(_)) => {}
            Err(error) => return Err(error),
        }
        let step = site.look(|book| book.step_of(&stamp.token))?.map_or(0, |done| done.number);
        Ok(Planned::Made { words: String::new(), to: format!("{to}?step={step}") })
    })))
}
