//! What the fields of these forms say.

use jiff::civil::Date;
use maud::Markup;

use crate::book::{BookError, PlacedLine, words};
use crate::shop::{Shop, shown};
use crate::web::press::{self, Press};
use crate::web::visit::Visit;

/// What was typed into a form that is shown again, by the name of its field.
#[derive(Clone, Copy)]
pub(super) struct FilledIn<'a>(pub Option<&'a Press>);

impl<'a> FilledIn<'a> {
    /// What a field says: as it was typed, else what it begins with.
    pub fn or(self, name: &'a str, first: &'a str) -> &'a str {
        self.nth(name, 0, first)
    }

    /// The same of the fields that go by one name.
    pub fn nth(self, name: &'a str, at: usize, first: &'a str) -> &'a str {
        self.0.map_or(first, |press| press.all(name).nth(at).unwrap_or_default())
    }

    /// What was wrong with it stands above it.
    pub fn head(self, words: &str, head: Markup) -> Markup {
        if self.0.is_some() { press::faults(words) } else { head }
    }
}

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

/// A line as a device may see it: what it costs is the office's.
pub(super) fn line_seen(visit: &Visit, shop: &Shop, line: &PlacedLine) -> String {
    match visit.may_see("/order/basket") {
        true => words::what(shop, line),
        false => words::goods(shop, line),
    }
}
