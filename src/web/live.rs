//! Steps that anybody makes, on every screen within a second.

use std::sync::{Arc, Weak};
use std::thread;
use std::time::Duration;

use axum::body::{Body, Bytes};
use axum::extract::State;
use axum::http::{HeaderValue, header};
use axum::response::Response;
use futures_util::stream::unfold;
use tokio::sync::watch;
use tokio::time::timeout;

use super::site::Site;
use super::visit::Visit;
use crate::book::{Book, BookError};

/// How often it is looked whether somebody wrote to the book.
const PACE: Duration = Duration::from_millis(100);

/// How often a screen is told that the line still stands.
const PULSE: Duration = Duration::from_secs(5);

/// Tells a screen how many steps the book has, at once and whenever it has more.
/// A device that is taken off is told nothing more: then its stream ends.
pub(super) async fn live(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    let (seen, site) = (site.live.subscribe(), Arc::downgrade(&site));
    let told = unfold((seen, true), move |(mut seen, is_first)| {
        let (site, session) = (Weak::clone(&site), visit.session.clone());
        async move {
            let words = if is_first { said(&mut seen) } else { next(&mut seen).await? };
            let is_known = site.upgrade()?.devices.knows(&session);
            is_known.then(|| (Ok::<Bytes, std::io::Error>(Bytes::from(words)), (seen, false)))
        }
    });
    let mut answer = Response::new(Body::from_stream(told));
    let events = HeaderValue::from_static("text/event-stream");
    answer.headers_mut().insert(header::CONTENT_TYPE, events);
    answer
}

fn said(seen: &mut watch::Receiver<i64>) -> String {
    format!("retry: 1000\ndata: {}\n\n", *seen.borrow_and_update())
}

/// What is to be told next; nothing if the server ends.
async fn next(seen: &mut watch::Receiver<i64>) -> Option<String> {
    match timeout(PULSE, seen.changed()).await {
        Ok(Ok(())) => Some(said(seen)),
        Ok(Err(_)) => None,
        Err(_) => Some("event: pulse\ndata:\n\n".to_owned()),
    }
}

/// Looks whether somebody wrote, whoever it was, as long as the site is there.
pub(super) fn look_out(site: &Arc<Site>) -> Result<(), BookError> {
    let (book, site) = (Book::open(&site.path)?, Arc::downgrade(site));
    thread::spawn(move || {
        let mut before = None;
        while let Some(now) = told(&book, &site, before) {
            before = Some(now);
            thread::sleep(PACE);
        }
    });
    Ok(())
}

/// Looks once; nothing once the site is gone. What cannot be read now is looked at again.
fn told(book: &Book, site: &Weak<Site>, before: Option<i64>) -> Option<i64> {
    let site = site.upgrade()?;
    let now = book.others_wrote().ok().or(before).unwrap_or_default();
    if before != Some(now) {
        if let Ok(devices) = book.devices() {
            site.devices.set(devices);
        }
        // Also where it has no step more: a device may be gone.
        if let Ok(version) = book.version() {
            site.live.send_replace(version);
        }
    }
    Some(now)
}
