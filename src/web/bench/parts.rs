//! What the bench's pages have in common: addresses, the edge that is read, a stick's name.

use maud::{Markup, PreEscaped, html};

use super::hand::InHand;
use crate::chop::MachineSheet;
use crate::report::escape::figure;
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

/// A length in figures of 25 mm. A phone is not wide enough for many of them: it shows those
/// as large as they go beside each other.
pub(super) fn reading(shown: &str) -> Markup {
    let class = match wide(shown) {
        ..=277 => "reading",
        278..=323 => "reading most30",
        324..=373 => "reading most26",
        374..=440 => "reading most22",
        _ => "reading most18",
    };
    html! { span class=(class) { (PreEscaped(figure(shown))) } }
}

/// About how wide a length is, in hundredths of its letter's size: a fraction is set smaller.
fn wide(shown: &str) -> usize {
    let (whole, part) = match shown.rsplit_once(' ') {
        Some((whole, part)) => (whole, part),
        None if shown.contains('/') => ("", shown),
        None => (shown, ""),
    };
    let each = |text: &str, figure: usize| -> usize {
        text.chars().map(|c| if c.is_ascii_digit() { figure } else { figure / 2 }).sum()
    };
    each(whole, 64) + each(part, 34) + 10
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_phone_is_too_narrow_for_is_set_smaller() {
        for (shown, class) in [
            ("24 1/8", "reading"),
            ("2745", "reading"),
            ("45 15/16", "reading most30"),
            ("412.5", "reading most30"),
            ("107 15/16", "reading most26"),
            ("2745.5", "reading most26"),
        ] {
            let markup = reading(shown).into_string();
            assert!(markup.contains(&format!("class=\"{class}\"")), "{shown}: {markup}");
        }
    }
}
