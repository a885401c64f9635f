//! What is answered: a page of words, or the way to another page.

use axum::body::Body;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::Response;
use maud::{DOCTYPE, Markup, html};

/// A page without a device: little more than words.
pub(super) fn bare(status: StatusCode, title: &str, main: &Markup) -> Response {
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            (head(title, (true, None)))
            // Nobody knows where it stands: at the chopper nothing else can be read.
            body.bright { main #main { (main) } }
        }
    };
    answer(status, markup.into_string())
}

/// Why something was not done, and the way back.
pub(super) fn plain(status: StatusCode, words: &str) -> Response {
    bare(
        status,
        "Longpoint",
        &html! {
            h1 { "Not done" }
            p.words { (words) }
            p { a.big href="/" { "GO ON" } }
        },
    )
}

/// There is no such page.
pub(super) fn nothing() -> Response {
    plain(StatusCode::NOT_FOUND, "There is no such page.")
}

/// The head of every page, whether it is black on white whatever the device prefers; one that
/// turns by itself does so without scripts too.
pub(super) fn head(title: &str, (bright, turns): (bool, Option<&(u32, String)>)) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width, initial-scale=1";
            meta name="color-scheme" content=(if bright { "light" } else { "light dark" });
            title { (title) }
            link rel="stylesheet" href="/style.css";
            script src="/page.js" defer {}
            @if let Some((seconds, to)) = turns {
                noscript { meta http-equiv="refresh" content=(format!("{seconds};url={to}")); }
            }
        }
    }
}

pub(super) fn answer(status: StatusCode, page: String) -> Response {
    let mut answer = Response::new(Body::from(page));
    *answer.status_mut() = status;
    let html = HeaderValue::from_static("text/html; charset=utf-8");
    answer.headers_mut().insert(header::CONTENT_TYPE, html);
    answer
}

/// A sheet to print, which has its style in itself and may do nothing else.
pub(super) fn sheet(html: String) -> Response {
    let mut answer = Response::new(Body::from(html));
    let headers = answer.headers_mut();
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static("text/html; charset=utf-8"));
    let nothing_else = HeaderValue::from_static(
        "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; \
         frame-ancestors 'none'",
    );
    headers.insert(header::CONTENT_SECURITY_POLICY, nothing_else);
    answer
}

/// The way to another page, or back to the same: what is posted is not posted again when
/// a page is loaded anew.
pub(super) fn go(to: &str) -> Response {
    let mut answer = Response::new(Body::empty());
    *answer.status_mut() = StatusCode::SEE_OTHER;
    let to = HeaderValue::try_from(within(to)).unwrap_or(HeaderValue::from_static("/"));
    answer.headers_mut().insert(header::LOCATION, to);
    answer
}

/// A path of this server, whatever was asked for.
pub(super) fn within(path: &str) -> &str {
    let is_ours = path.starts_with('/') && !path.starts_with("//");
    let is_plain = path.bytes().all(|byte| byte.is_ascii_graphic() && byte != b'\\');
    if is_ours && is_plain { path } else { "/" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nobody_is_led_elsewhere() {
        assert_eq!(within("/bench/S-1?step=3"), "/bench/S-1?step=3");
        for other in ["", "bench", "//evil.example", "http://evil.example", "/\\evil", "/a\r\nb: c"]
        {
            assert_eq!(within(other), "/", "{other:?}");
        }
    }
}
