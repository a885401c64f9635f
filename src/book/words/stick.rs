//! What became of a stick that was corrected or written off, in words.

use std::path::Path;

use super::doubt::{taken_back, too_far};
use super::rail;
use crate::book::{AtBench, BenchRail, Corrected, Scrapped};
use crate::measure::Length;
use crate::report::either::either;
use crate::shop::Shop;

/// How long it is now, what that leaves, and what is owed for it.
pub fn corrected_words((book, stick): (&Path, &str), shop: &Shop, corrected: &Corrected) -> String {
    let style = shop.settings.style();
    let show = |length: Length| style.show_unit(length);
    let mut text = format!("{stick}: corrected.");
    if corrected.is != corrected.was {
        text = format!(
            "{stick}: {} left, {} in the book before.",
            show(corrected.is),
            show(corrected.was)
        );
    }
    if let Some((left, label)) = &corrected.remains {
        let left = style.show_down_unit(*left);
        text += &match label.as_str() {
            "" => format!(" At the end scrap {left}."),
            label => format!(" At the end keep {left}, label it {label}."),
        };
    }
    text.push('\n');
    if let Some(doubt) = too_far(shop, stick, (corrected.is, corrected.was)) {
        text += &taken_back(&doubt);
    }
    let owed = owed(book, shop, &corrected.off);
    match (&owed, &corrected.again) {
        (Some(owed), None) => text += &format!("{owed}\n"),
        (Some(owed), Some(of)) => {
            text += &format!("{owed} Nothing more of {of} is cut before.\n");
        }
        (None, Some(of)) => {
            text += &format!("{}: nothing more of {of} is cut before.\n", again(book));
        }
        (None, None) => {}
    }
    text
}

/// That of a moulding nothing more is cut since a stick measures otherwise than it was planned.
pub fn measured_words((moulding, stick): &(String, String)) -> String {
    format!(
        "{stick} measures otherwise: nothing more of {moulding} is cut before the rest is planned again"
    )
}

/// What a printed sheet of a plan at the bench begins with.
pub fn sheet_note(at: &AtBench) -> String {
    let each = at.measured.iter().map(|one| format!(" {}.", measured_words(one)));
    format!("As it stands at the bench now.{}", each.collect::<String>())
}

/// What was written off, and what is owed for it.
pub fn scrapped_words(book: &Path, shop: &Shop, scrapped: &Scrapped) -> String {
    let Scrapped { stick, off } = scrapped;
    let length = shop.settings.style().show_unit(stick.length);
    let mut text = format!("{}: {length} of {} written off.", stick.id, stick.moulding);
    if let Some(owed) = owed(book, shop, off) {
        text += &format!(" {owed}");
    }
    text
}

/// What is owed for it, and the way on; nothing where nothing is.
fn owed(book: &Path, shop: &Shop, off: &[BenchRail]) -> Option<String> {
    let rails: Vec<String> = off.iter().map(|of| rail(shop, of)).collect();
    (!rails.is_empty()).then(|| {
        format!("Not cut from it any more, and owed: {}. {}.", rails.join(", "), again(book))
    })
}

/// Plan the rest again, and how.
pub(super) fn again(book: &Path) -> String {
    let with = either(&format!(" with \"longpoint replan {}\"", book.display()), "");
    format!("Plan the rest again{with}")
}
