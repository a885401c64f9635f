//! A press becomes one step of the book, once.
//!
//! # Why it is done once
//!
//! The token of a form stands in the book beside the step, written in the same
//! transaction. A press that comes again, since its answer was lost or the server was
//! killed, finds it there and has the same answer.

use std::sync::Arc;

use axum::body::to_bytes;
use axum::extract::{FromRequest, Request};
use axum::http::StatusCode;
use axum::response::Response;
use maud::{Markup, html};

use super::page::{self, Screen};
use super::reply;
use super::shared::locked;
use super::site::Site;
use super::visit::{Visit, fields, value};
use crate::book::{Book, BookError, Stamp};
use crate::report::either::pressed;

/// A form that was pressed on a device, with a token that it was given.
pub struct Press {
    /// Who pressed it, and where.
    pub visit: Visit,
    token: String,
    fields: Vec<(String, String)>,
}

impl Press {
    /// What stands beside the step in the book.
    pub(super) fn token(&self) -> &str {
        &self.token
    }

    /// All that is said under one name.
    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        let own = self.fields.iter().filter(move |(own, _)| own == name);
        own.map(|(_, value)| value.as_str())
    }

    /// All its fields with what they say, in their order.
    pub fn named(&self) -> impl Iterator<Item = (&str, &str)> {
        self.fields.iter().map(|(name, text)| (name.as_str(), text.as_str()))
    }

    /// What a field says; empty if it does not.
    pub fn text(&self, name: &str) -> &str {
        value(&self.fields, name)
    }

    /// A number that the page itself wrote into a field.
    pub fn number(&self, name: &str) -> Result<i64, BookError> {
        let odd = || BookError::Wrong(format!("the form has no number {name:?} (load it again)"));
        self.text(name).parse().map_err(|_| odd())
    }
}

impl FromRequest<Arc<Site>> for Press {
    type Rejection = Response;

    async fn from_request(request: Request, site: &Arc<Site>) -> Result<Press, Response> {
        let refused = || {
            let words = "This form is not one that was given to this device, and nothing was \
                         done. Load the page again, and press once more.";
            reply::plain(StatusCode::FORBIDDEN, words)
        };
        let visit = request.extensions().get::<Visit>().cloned().ok_or_else(refused)?;
        let bytes = to_bytes(request.into_body(), site.pace.longest).await;
        let fields = fields(&bytes.map_err(|_| refused())?);
        let token = visit.session.given(value(&fields, "token")).ok_or_else(refused)?.to_owned();
        Ok(Press { visit, token, fields })
    }
}

/// Makes one step of a press and leads on to another page, which says what was done. What
/// the book refuses is said, with the way back.
pub async fn step(
    site: Arc<Site>,
    press: Press,
    to: String,
    work: impl FnOnce(&mut Book, &Press, &Stamp) -> Result<(), BookError> + Send + 'static,
) -> Response {
    page::aside(move || at_once(&site, &press, &to, work)).await
}

/// So many steps' words are kept.
const KEPT: usize = 200;

/// The same where what it came to is said in words, above the page that follows.
pub async fn saying(
    site: Arc<Site>,
    press: Press,
    to: String,
    work: impl FnOnce(&mut Book, &Press, &Stamp) -> Result<String, BookError> + Send + 'static,
) -> Response {
    page::aside(move || saying_at_once(&site, &press, &to, work)).await
}

/// The same where one is away already from the thread that answers everybody.
pub(super) fn saying_at_once(
    site: &Site,
    press: &Press,
    to: &str,
    work: impl FnOnce(&mut Book, &Press, &Stamp) -> Result<String, BookError>,
) -> Result<Response, BookError> {
    let mut words = String::new();
    let answer = at_once(site, press, to, |book, press, stamp| {
        words = work(book, press, stamp)?;
        Ok(())
    });
    keep(site, &press.token, words)?;
    answer
}

/// Keeps what the step of a token came to in words, for the page that follows.
pub fn keep(site: &Site, token: &str, words: String) -> Result<(), BookError> {
    if let Some(done) = site.look(|book| book.step_of(token))?.filter(|_| !words.is_empty()) {
        let mut kept = locked(&site.words);
        kept.insert(done.number, pressed(&words));
        while kept.len() > KEPT {
            kept.pop_first();
        }
    }
    Ok(())
}

/// The same where one is away already from the thread that answers everybody.
pub fn at_once(
    site: &Site,
    press: &Press,
    to: &str,
    work: impl FnOnce(&mut Book, &Press, &Stamp) -> Result<(), BookError>,
) -> Result<Response, BookError> {
    or_else(site, press, to, work, |words| refused(site, press, to, words))
}

/// The same where what the book refuses is answered otherwise: by the form as it was
/// filled in.
pub(super) fn or_else(
    site: &Site,
    press: &Press,
    to: &str,
    work: impl FnOnce(&mut Book, &Press, &Stamp) -> Result<(), BookError>,
    refused: impl FnOnce(&str) -> Result<Response, BookError>,
) -> Result<Response, BookError> {
    let stamp = site.stamp(&press.visit.session.device.name, &press.token)?;
    // What was done already is not looked at again: it may not be right any more to do it.
    let made = match site.look(|book| book.step_of(&press.token))? {
        Some(done) => Err(BookError::Repeated(done)),
        None => site.write(|book| work(book, press, &stamp)),
    };
    match made {
        Ok(()) | Err(BookError::Repeated(_)) => {
            let step = site.look(|book| book.step_of(&press.token))?;
            let and = if to.contains('?') { '&' } else { '?' };
            let step = step.map(|done| format!("{and}step={}", done.number));
            Ok(reply::go(&format!("{to}{}", step.unwrap_or_default())))
        }
        Err(BookError::Wrong(words)) => refused(&words),
        Err(error) => Err(error),
    }
}

/// Why a press was not done, and the way back.
pub(super) fn refused(
    site: &Site,
    press: &Press,
    to: &str,
    words: &str,
) -> Result<Response, BookError> {
    let back = match press.text("back") {
        "" => to.split('?').next().unwrap_or("/"),
        back => reply::within(back),
    };
    let main = html! {
        (faults(words))
        p { a.big href=(back) { "LOOK AGAIN" } }
    };
    not_done(site, press, Screen::new("Not done", main))
}

/// What was wrong, line by line.
pub(super) fn faults(words: &str) -> Markup {
    html! {
        h1 { "Not done" }
        @for line in words.lines() { p.words { (line) } }
    }
}

/// A page that answers a press of which nothing was done.
pub(super) fn not_done(site: &Site, press: &Press, page: Screen) -> Result<Response, BookError> {
    let mut answer = page::whole(site, &press.visit, page)?;
    *answer.status_mut() = StatusCode::CONFLICT;
    Ok(answer)
}
