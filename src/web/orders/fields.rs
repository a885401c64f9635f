//! What the fields of these forms say.

use jiff::civil::Date;

use crate::book::BookError;
use crate::shop::shown;
use crate::web::press::Press;

/// What a field says; nothing if it is empty.
pub(super) fn said(press: &Press, name: &str) -> Option<String> {
    Some(press.text(name).trim().to_owned()).filter(|text| !text.is_empty())
}

/// A day in a field; nothing if it is empty.
pub(super) fn day(press: &Press, name: &str) -> Result<Option<Date>, BookError> {
    let read = |text: String| {
        let odd =
            || format!("\"{}\" is not a day (write it as 2026-12-04, year first)", shown(&text));
        text.parse().map_err(|_| BookError::Wrong(odd()))
    };
    said(press, name).map(read).transpose()
}
