//! A device is let in with a code, and gets a name.
//!
//! # Why on this computer too
//!
//! Whoever can log in to it, and every program on it, reaches what listens here: a
//! computer at a counter has several users. With one link, printed where the server was
//! started, there is one rule for all.

use std::sync::Arc;

use axum::body::to_bytes;
use axum::extract::{Request, State};
use axum::http::{StatusCode, header};
use axum::response::Response;
use maud::{Markup, html};

use super::codes::CodeTried;
use super::cookie::set_cookie;
use super::devices::hash;
use super::site::Site;
use super::visit::{fields, value};
use super::{page, reply, roles};
use crate::book::BookError;
use crate::shop::read_words;

/// How long a device's name may be.
const LONGEST: usize = 40;

/// The page on which a code is typed, or stands already if its square code was scanned.
pub(super) async fn asked(request: Request) -> Response {
    let query = fields(request.uri().query().unwrap_or_default().as_bytes());
    reply::bare(StatusCode::OK, "Pair this device", &ask(value(&query, "code"), ""))
}

/// The same for a device that is not known.
pub(super) fn unknown() -> Response {
    let words = "This device is not paired, or was taken off.";
    reply::bare(StatusCode::UNAUTHORIZED, "Pair this device", &ask("", words))
}

/// Lets a device in.
pub(super) async fn paired(State(site): State<Arc<Site>>, request: Request) -> Response {
    let bytes = to_bytes(request.into_body(), site.pace.longest).await.unwrap_or_default();
    page::aside(move || {
        let fields = fields(&bytes);
        let code = value(&fields, "code");
        let no =
            |status, words: &str| Ok(reply::bare(status, "Pair this device", &ask(code, words)));
        let name = match read_words(value(&fields, "name")) {
            Ok(name) if !name.is_empty() && name.chars().count() <= LONGEST => name,
            Ok(_) => {
                return no(StatusCode::CONFLICT, "Give the device a name of up to 40 letters.");
            }
            Err(fault) => return no(StatusCode::CONFLICT, &format!("The name {fault}.")),
        };
        let taken = site.look(|book| book.devices())?;
        if taken.iter().any(|device| device.name.to_lowercase() == name.to_lowercase()) {
            let words = "Another device is called that. Give this one a name of its own.";
            return no(StatusCode::CONFLICT, words);
        }
        let now = site.now()?;
        let role = match site.codes.take(code, now) {
            CodeTried::Good(role) => role,
            CodeTried::Unknown => {
                let words = "That code is not good, or not any more. Ask for a new one.";
                return no(StatusCode::UNAUTHORIZED, words);
            }
            CodeTried::TooMany => {
                let words = "Too many wrong codes were tried. Wait a minute.";
                return no(StatusCode::TOO_MANY_REQUESTS, words);
            }
        };
        let secret = site.secret(32);
        let paired = site.write(|book| {
            book.pair((&name, role), &hash("device", &[&secret]), now)?;
            book.devices()
        });
        match paired {
            Ok(devices) => site.devices.set(devices),
            Err(BookError::Wrong(words)) => return no(StatusCode::CONFLICT, &words),
            Err(error) => return Err(error),
        }
        let mut answer = reply::go(roles::home(role));
        let cookie = set_cookie(&secret, site.hosts.is_private());
        answer.headers_mut().insert(header::SET_COOKIE, cookie);
        Ok(answer)
    })
    .await
}

fn ask(code: &str, words: &str) -> Markup {
    html! {
        h1 { "Pair this device" }
        @if !words.is_empty() { p.words role="alert" { (words) } }
        form method="post" action="/pair" autocomplete="off" {
            label for="code" { "The code that the office gives you" }
            input #code name="code" value=(code) required autocapitalize="characters"
                maxlength="12" spellcheck="false" autofocus[code.is_empty()];
            label for="name" { "What is this device called? Its steps stand in the book under that" }
            input #name name="name" required maxlength="40" autofocus[!code.is_empty()];
            button.go type="submit" { "PAIR" }
        }
    }
}
