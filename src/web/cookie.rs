//! The cookie by which a device is known: no script reads it, and no other site's page
//! has it sent.

use axum::http::{HeaderMap, HeaderValue, header};

const COOKIE: &str = "longpoint";

/// The secret that a device shows.
pub(super) fn cookie(headers: &HeaderMap) -> Option<&str> {
    let all = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
    let mut each = all.flat_map(|value| value.split(';'));
    each.find_map(|one| one.trim().strip_prefix(COOKIE)?.strip_prefix('='))
}

/// The header that makes a device known by its secret.
pub(super) fn set_cookie(secret: &str, is_private: bool) -> HeaderValue {
    let secure = if is_private { "; Secure" } else { "" };
    // A year and a bit: browsers forget it sooner or later by themselves.
    let cookie =
        format!("{COOKIE}={secret}; Path=/; HttpOnly; SameSite=Strict; Max-Age=34000000{secure}");
    HeaderValue::try_from(cookie).expect("figures and plain words")
}
