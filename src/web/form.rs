//! Forms with a press in them, and the addresses that they go to.

use maud::{Markup, html};

use super::visit::Visit;
pub(super) use crate::report::escape::spelt;

/// A form with a press in it: it carries a token of its own. Where the device may not press
/// it, there is none.
pub fn form(visit: &Visit, action: &str, inner: &Markup) -> Markup {
    html! {
        @if visit.may_press(action) {
            form method="post" action=(action) autocomplete="off" {
                input type="hidden" name="token" value=(visit.token());
                (inner)
            }
        }
    }
}
