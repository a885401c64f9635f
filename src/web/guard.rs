//! What every request must pass before a page hears of it.
//!
//! In this order: a name of this server's (421), a method that is known (405), a form only
//! from a page of its own (403), a device that was paired (401) and may do this (403), not
//! too fast (429), not too long (413), not too slow (408).

use std::net::IpAddr;
use std::sync::Arc;
use std::time::Instant;

use axum::body::Body;
use axum::extract::{MatchedPath, Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::Response;
use futures_util::StreamExt;

use super::cookie::cookie;
use super::site::Site;
use super::visit::Visit;
use super::{pairing, reply, roles};

/// Who is at the other end of a connection.
#[derive(Debug, Clone, Copy)]
pub(super) struct Peer(pub IpAddr);

/// What may be asked for by whoever is not paired yet.
const OPEN: [&str; 3] = ["/pair", "/style.css", "/page.js"];

/// What a page may do: show and run what comes from this server, and nothing else.
const HEADERS: [(&str, &str); 7] = [
    (
        "content-security-policy",
        "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; \
         object-src 'none'",
    ),
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "camera=(), geolocation=(), microphone=()"),
];

pub(super) async fn guard(State(site): State<Arc<Site>>, request: Request, next: Next) -> Response {
    let mut answer = match admitted(&site, request).await {
        Ok(request) => next.run(request).await,
        Err(refused) => refused,
    };
    for (name, value) in HEADERS {
        // A sheet to print says itself what little it may do.
        answer.headers_mut().entry(name).or_insert(HeaderValue::from_static(value));
    }
    let cached = answer.headers().contains_key(header::CACHE_CONTROL);
    if !cached {
        // Nothing of the shop's stays in a browser that is taken off.
        let never = HeaderValue::from_static("no-store");
        answer.headers_mut().insert(header::CACHE_CONTROL, never);
    }
    answer
}

/// The request with who makes it, and all that it brings; or why it is refused.
async fn admitted(site: &Arc<Site>, mut request: Request) -> Result<Request, Response> {
    if !is_for_us(site, &request) {
        let words = "This is not the address of this shop's page. Open it as it was given.";
        return Err(reply::plain(StatusCode::MISDIRECTED_REQUEST, words));
    }
    let is_press = request.method() == Method::POST;
    if !is_press && ![Method::GET, Method::HEAD].contains(request.method()) {
        return Err(reply::plain(StatusCode::METHOD_NOT_ALLOWED, "A page is read or pressed."));
    }
    if is_press && !is_from_us(site, request.headers()) {
        let words = "That was not pressed on this shop's own page, and nothing was done.";
        return Err(reply::plain(StatusCode::FORBIDDEN, words));
    }
    let session = cookie(request.headers()).and_then(|secret| site.devices.session(secret));
    let peer = request.extensions().get::<Peer>().map(|peer| peer.0.to_string());
    let name = match &session {
        Some(session) => session.device.hash.clone(),
        None => peer.unwrap_or_default(),
    };
    if !site.allowances.grants(&name, &site.pace, Instant::now()) {
        let mut answer = reply::plain(StatusCode::TOO_MANY_REQUESTS, "Too fast: wait a second.");
        answer.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from_static("1"));
        return Err(answer);
    }
    let path = request.uri().path().to_owned();
    match &session {
        // Whether there is such a page is no secret from whoever is paired.
        Some(_) if request.extensions().get::<MatchedPath>().is_none() => {
            return Err(reply::plain(StatusCode::NOT_FOUND, "There is no such page."));
        }
        Some(session) if !roles::may(session.device.role, is_press, &path) => {
            let words = format!(
                "A device that is paired as {} may not do this. Ask the office to pair it anew.",
                session.device.role.word()
            );
            return Err(reply::plain(StatusCode::FORBIDDEN, &words));
        }
        None if !OPEN.contains(&path.as_str()) => return Err(pairing::unknown()),
        _ => {}
    }
    if let Some(session) = session {
        let visit = Visit::new(session, request.uri(), site.secret(16));
        request.extensions_mut().insert(visit);
    }
    if is_press { whole(site, request).await } else { Ok(request) }
}

/// Whether it is asked for under a name of this server's.
fn is_for_us(site: &Site, request: &Request) -> bool {
    let mut hosts = request.headers().get_all(header::HOST).iter();
    let host = hosts.next().and_then(|host| host.to_str().ok());
    let absolute = request.uri().authority();
    hosts.next().is_none()
        && host.is_some_and(|host| site.hosts.knows(host))
        && absolute.is_none_or(|authority| site.hosts.knows(authority.as_str()))
}

/// Whether a form was sent by a page of this server's. Browsers say so; where the line is
/// not private, not in both ways.
fn is_from_us(site: &Site, headers: &HeaderMap) -> bool {
    let says = |name: &str| headers.get(name).map(|value| value.to_str().unwrap_or_default());
    says("origin").is_some_and(|origin| site.hosts.owns(origin))
        && says("sec-fetch-site").is_none_or(|site| site == "same-origin")
}

/// The request with its whole form at hand.
async fn whole(site: &Site, request: Request) -> Result<Request, Response> {
    let (head, body) = request.into_parts();
    let said = head.headers.get(header::CONTENT_LENGTH).and_then(|value| value.to_str().ok());
    let said: Option<usize> = said.and_then(|said| said.parse().ok());
    let (longest, patience) = (site.pace.longest, site.pace.patience);
    match tokio::time::timeout(patience, read(body, longest, said)).await {
        Ok(Some(bytes)) => Ok(Request::from_parts(head, Body::from(bytes))),
        Ok(None) => {
            let words = "That is longer than any form of this page, and nothing was done.";
            Err(reply::plain(StatusCode::PAYLOAD_TOO_LARGE, words))
        }
        Err(_) => {
            let words = "It took too long to come, and nothing was done. Press it again.";
            Err(reply::plain(StatusCode::REQUEST_TIMEOUT, words))
        }
    }
}

/// So many times as much as a form may be is read of one that is longer, and forgotten: a
/// browser reads no answer before all of it is sent.
const FORGOTTEN: usize = 64;

/// The whole of a form; none if it is too long, or was not to be read to its end.
async fn read(body: Body, longest: usize, said: Option<usize>) -> Option<Vec<u8>> {
    let mut parts = body.into_data_stream();
    let mut kept = said.is_none_or(|said| said <= longest).then(Vec::new);
    let mut seen: usize = 0;
    while let Some(part) = parts.next().await {
        let part = part.ok()?;
        seen = seen.saturating_add(part.len());
        kept = kept.filter(|_| seen <= longest);
        match &mut kept {
            Some(kept) => kept.extend_from_slice(&part),
            None if seen > longest.saturating_mul(FORGOTTEN) => return None,
            None => {}
        }
    }
    kept
}
