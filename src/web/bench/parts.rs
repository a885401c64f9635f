//! What the bench's pages have in common: addresses, the edge that is read, a stick's name.

use maud::{Markup, html};

use super::hand::InHand;
use crate::chop::MachineSheet;
use crate::shop::Stop;
use crate::web::form::spelt;

/// Where a stick's pages are.
pub(super) fn way(label: &str, page: &str) -> String {
    let page = if page.is_empty() { String::new() } else { format!("/{page}") };
    format!("/bench/stick/{}{page}", spelt(label))
}

/// What the machine's scale reads, in large letters.
pub(super) fn edge(sheet: &MachineSheet) -> &'static str {
    match sheet.stop {
        Stop::Long => "LONG POINT",
        Stop::Rabbet => "RABBET",
        Stop::Sight => "SIGHT EDGE",
    }
}

/// The stick's name plate: label, moulding, lot, place.
pub(super) fn plate(hand: &InHand) -> Markup {
    let steps = hand.steps;
    html! {
        span.plate {
            b.label { (steps.stick) }
            " " (steps.moulding)
            @if !steps.lot.is_empty() { " lot " (steps.lot) }
        }
    }
}
