//! What somebody typed, repeated in a fault: on one line, and not too long.

use super::cells::is_invisible;

/// Longer texts are cut when they are repeated.
const MOST_SHOWN: usize = 60;

/// A text that somebody typed, on one line and not too long.
pub(crate) fn shown(text: &str) -> String {
    cut(text, MOST_SHOWN)
}

/// The text on one line and no longer than that.
pub(super) fn cut(text: &str, most: usize) -> String {
    let mut chars = text.chars();
    let mut shown: String = chars.by_ref().take(most).collect();
    if chars.next().is_some() {
        shown.push('\u{2026}');
    }
    on_one_line(&shown)
}

/// The text with a blank for whatever would move a terminal's cursor.
pub(super) fn on_one_line(text: &str) -> String {
    text.chars().map(|c| if is_invisible(c) { ' ' } else { c }).collect()
}
