//! The promises that the plan in the book does not keep, wherever they are shown.

use maud::{Markup, html};

use super::form::spelt;
use super::today::Today;
use super::visit::Visit;
use crate::report::either::pressed;
use crate::report::words::promise_mend;

/// Each in its words; with the way to its ticket, where another day is written down, if it is
/// for whoever does that.
pub(super) fn not_kept(visit: &Visit, today: &Today, has_ways: bool) -> Markup {
    html! {
        @if !today.broken.is_empty() {
            section.framed role="alert" {
                @for (frame, words) in &today.broken {
                    p { (pressed(&promise_mend(frame, words))) }
                    @if has_ways && visit.may_see("/ticket") {
                        p { a.big href=(format!("/ticket/{}", spelt(frame))) { "TICKET " (frame) } }
                    }
                }
            }
        }
    }
}
