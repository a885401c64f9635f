//! The promises that the plan in the book does not keep, wherever they are shown.

use maud::{Markup, html};

use super::form::spelt;
use super::today::Today;
use super::visit::Visit;
use crate::report::either::pressed;
use crate::report::words::promise_mend;

/// More of them than these would push what is below them out of sight.
const MOST_LINES: usize = 2;

/// Each in its words; with the way to its ticket, where another day is written down, if it is
/// for whoever does that. Many are behind a line that says how many.
pub(super) fn not_kept(visit: &Visit, today: &Today, has_ways: bool) -> Markup {
    let lines = html! {
        @for (frame, words) in &today.broken {
            p { (pressed(&promise_mend(frame, words))) }
            @if has_ways && visit.may_see("/ticket") {
                p { a.big href=(format!("/ticket/{}", spelt(frame))) { "TICKET " (frame) } }
            }
        }
    };
    html! {
        @match today.broken.len() {
            0 => {},
            1..=MOST_LINES => section.framed role="alert" { (lines) },
            many => details.framed.first {
                summary { span role="alert" { "PROMISED, NOT KEPT: " (many) } }
                (lines)
            },
        }
    }
}
