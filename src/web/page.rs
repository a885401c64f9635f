//! What every page has around what it shows: head, ways to the others, what was done last.

use std::sync::Arc;

use axum::http::StatusCode;
use axum::response::Response;
use maud::{DOCTYPE, Markup, html};

use super::office_words::told;
use super::reply::{answer, head, plain};
use super::said;
use super::site::Site;
use super::visit::Visit;
use crate::book::BookError;

/// The ways from page to page, and what each is called; a device has those that it may see.
const WAYS: [(&str, &str); 8] = [
    ("/bench", "Bench"),
    ("/joiner", "Joiner"),
    ("/counter", "Counter"),
    ("/ticket", "Tickets"),
    ("/rack", "Rack"),
    ("/wall", "Wall"),
    ("/steps", "Steps"),
    ("/office", "Office"),
];

/// What a page shows.
pub struct Screen {
    title: String,
    main: Markup,
    turns: Option<(u32, String)>,
}

impl Screen {
    /// A page with a title.
    pub fn new(title: impl Into<String>, main: Markup) -> Screen {
        Screen { title: title.into(), main, turns: None }
    }

    /// The same, which after so many seconds turns to another by itself.
    #[must_use]
    pub fn turning(self, seconds: u32, to: impl Into<String>) -> Screen {
        Screen { turns: Some((seconds, to.into())), ..self }
    }
}

/// Whether what stands there is read at the chopper: black on white whatever the device
/// prefers, since it is read from afar with dust on the glasses. All of the bench is, what is
/// refused there too, and what is waited for on the way back to it; nothing else.
fn is_at_chopper(path: &str) -> bool {
    ["/bench", "/plans"].iter().any(|room| {
        path.strip_prefix(room).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    })
}

/// Makes a page of one look at the book, away from the thread that answers everybody.
pub async fn show(
    site: Arc<Site>,
    visit: Visit,
    make: impl FnOnce(&Site, &Visit) -> Result<Screen, BookError> + Send + 'static,
) -> Response {
    aside(move || match make(&site, &visit) {
        Ok(page) => whole(&site, &visit, page),
        Err(BookError::Wrong(words)) => wrong(&site, &visit, &words),
        Err(error) => Err(error),
    })
    .await
}

/// A page that says why there is nothing to show, with the ways to the others.
pub(super) fn wrong(site: &Site, visit: &Visit, words: &str) -> Result<Response, BookError> {
    let main = html! {
        h1 { "Not done" }
        @for line in words.lines() { p.words { (line) } }
        p { a.big href="/" { "GO ON" } }
    };
    let mut answer = whole(site, visit, Screen::new("Not done", main))?;
    *answer.status_mut() = status_of(&BookError::Wrong(String::new()));
    Ok(answer)
}

/// Does what reads or writes the book away from the thread that answers everybody.
pub(super) async fn aside(
    work: impl FnOnce() -> Result<Response, BookError> + Send + 'static,
) -> Response {
    match tokio::task::spawn_blocking(work).await {
        Ok(Ok(answer)) => answer,
        Ok(Err(error)) => plain(status_of(&error), &error.to_string()),
        Err(_) => plain(
            StatusCode::INTERNAL_SERVER_ERROR,
            "The program made a mistake and did not finish what was asked. Nothing was half done: \
             look at the steps whether it stands there.",
        ),
    }
}

/// What an error of the book is in the words of the protocol: whether to ask again.
pub(super) fn status_of(error: &BookError) -> StatusCode {
    match error {
        BookError::Wrong(_) | BookError::Repeated(_) => StatusCode::CONFLICT,
        BookError::Busy | BookError::Moved => StatusCode::SERVICE_UNAVAILABLE,
        _ => StatusCode::INTERNAL_SERVER_ERROR,
    }
}

/// The whole of a page for a device.
pub(super) fn whole(site: &Site, visit: &Visit, page: Screen) -> Result<Response, BookError> {
    let today = site.today()?;
    let (version, shop) = (today.version, &today.shop.settings.name);
    let device = &visit.session.device;
    let ways = WAYS.iter().filter(|(way, _)| visit.may_see(way));
    let said = said::said(site, visit)?;
    let is_here = |way: &str| visit.path == way || visit.path.starts_with(&format!("{way}/"));
    let here = WAYS.iter().find(|(way, _)| is_here(way));
    let Screen { title, main, turns } = page;
    let bright = is_at_chopper(&visit.path);
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            (head(&format!("{title} - {shop}"), (bright, turns.as_ref())))
            body.bright[bright] data-version=(version) data-role=(device.role.word())
                data-turn=[turns.as_ref().map(|(seconds, _)| seconds)]
                data-to=[turns.as_ref().map(|(_, to)| to)] {
                a.skip href="#main" { "To the work" }
                p #line role="alert" hidden { }
                header {
                    // On a phone the ways are behind this.
                    input #ways type="checkbox" autocomplete="off";
                    label.ways for="ways" { "Pages" @if let Some((_, name)) = here { ": " (name) } }
                    nav aria-label="Pages" {
                        @for (way, name) in ways {
                            a href=(way) aria-current=[is_here(way).then_some("page")] { (name) }
                        }
                    }
                    p.who { (device.name) }
                }
                div #said role="status" { (said) }
                main #main tabindex="-1" { (main) }
            }
        }
    };
    Ok(answer(StatusCode::OK, told(visit, markup.into_string())))
}
