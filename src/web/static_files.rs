//! The one style sheet and the one script, as they lie in the program.

use axum::body::Body;
use axum::http::{HeaderValue, header};
use axum::response::Response;

const STYLE: &str = include_str!("style.css");
const SCRIPT: &str = include_str!("page.js");

pub(super) async fn style() -> Response {
    file("text/css; charset=utf-8", STYLE)
}

pub(super) async fn script() -> Response {
    file("text/javascript; charset=utf-8", SCRIPT)
}

fn file(kind: &'static str, text: &'static str) -> Response {
    let mut answer = Response::new(Body::from(text));
    let headers = answer.headers_mut();
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
    // Another program has another, and is asked for it soon.
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("max-age=60"));
    answer
}
