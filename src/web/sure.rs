//! A press that is asked for twice, since what was typed is doubtful.

use std::sync::Arc;

use axum::response::Response;
use maud::html;

use super::form::form;
use super::page::{self, Screen};
use super::press::{self, Press};
use super::site::Site;
use crate::book::{Book, BookError, Stamp};

/// The field by which a press says that it is sure.
const SURE: &str = "sure";

/// What is asked of a length.
pub(super) const MEASURED: &str = "Is it this one, and measured twice?";

/// Asks once more whether it is so, where there is a doubt and nobody was asked yet: the same
/// press with all that was typed, and the way back. Nothing is done of it until then.
pub(super) fn asked(
    site: &Site,
    press: &Press,
    (action, back): (&str, &str),
    (doubts, question, yes): (&[String], &str, &str),
) -> Result<Option<Response>, BookError> {
    if doubts.is_empty() || press.text(SURE) == "yes" {
        return Ok(None);
    }
    let fields = press.named().filter(|(name, _)| !["token", SURE].contains(name));
    let main = html! {
        h1 { "Is that so?" }
        @for doubt in doubts { p.band.wide role="alert" { (doubt) "." } }
        p.words { "Nothing is done yet. " (question) }
        (form(&press.visit, action, &html! {
            @for (name, text) in fields { input type="hidden" name=(name) value=(text); }
            input type="hidden" name=(SURE) value="yes";
            button.go { (yes) }
        }))
        p { a.big href=(back) { "NO" } }
    };
    press::not_done(site, press, Screen::new("Is that so?", main)).map(Some)
}

/// Makes one step of a press with lengths in it, which is said in words, once it is sure: `action` is where it is
/// pressed, and `yes` what the second press says.
pub(super) async fn saying(
    site: Arc<Site>,
    press: Press,
    (to, (action, yes)): (String, (String, &'static str)),
    doubts: impl FnOnce(&Book, &Press) -> Result<Vec<String>, BookError> + Send + 'static,
    work: impl FnOnce(&mut Book, &Press, &Stamp) -> Result<String, BookError> + Send + 'static,
) -> Response {
    page::aside(move || {
        let doubts = site.look(|book| doubts(book, &press))?;
        match asked(&site, &press, (&action, &to), (&doubts, MEASURED, yes))? {
            Some(question) => Ok(question),
            None => press::saying_at_once(&site, &press, &to, work),
        }
    })
    .await
}
