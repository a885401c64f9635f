//! What giving up a line of an order costs, in words.

use crate::plan::{PushedBack, WhenMade};
use crate::shop::Shop;

/// Whom it makes wait, or wait longer, beside those with whom it was still to come.
pub fn given_up_words(shop: &Shop, later: &[PushedBack]) -> String {
    if later.is_empty() {
        return "Without it nothing comes later.\n".to_owned();
    }
    let mut text = "Without it, as it would be ordered anew now:\n".to_owned();
    for of in later {
        let all = shop.frame(&of.frame).map_or(1, |frame| frame.copies);
        let copies = match of.copies {
            some if some == all => String::new(),
            some => format!(" ({some} of {all})"),
        };
        let word = if of.promised { "PROMISED for" } else { "due" };
        let due = of.due.map(|due| format!(", {word} {due},")).unwrap_or_default();
        let stands = match of.after {
            WhenMade::Today => "is cut today".to_owned(),
            WhenMade::Arrives(day) => match of.before {
                WhenMade::Arrives(before) => {
                    format!("has its moulding on {day} in place of {before}")
                }
                _ => format!("waits for moulding that comes on {day}"),
            },
            WhenMade::Waits => "waits, and nothing is known to come for it".to_owned(),
            WhenMade::Held => "cannot be made".to_owned(),
        };
        let late = if of.is_late { ": NOT IN TIME" } else { "" };
        text += &format!("  {}{copies}{due} {stands}{late}\n", of.frame);
    }
    text
}
