//! What a stock-take came to, in words.

use super::count as number;
use super::doubt::{taken_back, too_far, too_long};
use crate::book::{Counted, Difference};
use crate::measure::{Length, Worth};
use crate::morning::remake::worth;
use crate::report::either::either;
use crate::shop::{Shop, Stick};

/// What was changed in the book, in a line.
pub fn count_corrected(counted: &Counted) -> String {
    let of = |is: fn(&Difference) -> bool| counted.differences.iter().filter(|d| is(d)).count();
    let changes = [
        (of(|d| matches!(d, Difference::Length { .. })), "length changed", "lengths changed"),
        (of(|d| matches!(d, Difference::Sheets { .. })), "number changed", "numbers changed"),
        (of(|d| matches!(d, Difference::Elsewhere { .. })), "place changed", "places changed"),
        (
            of(|d| matches!(d, Difference::FoundAgain { .. })),
            "stick found again",
            "sticks found again",
        ),
        (of(|d| matches!(d, Difference::Missing(_))), "stick written off", "sticks written off"),
    ];
    let changes = changes.iter().filter(|(count, ..)| *count > 0);
    let changes: Vec<String> =
        changes.map(|(count, one, many)| number(*count, one, many)).collect();
    match changes.as_slice() {
        [] => "Nothing had to be changed.".to_owned(),
        some => format!("Book corrected: {}.", some.join(", ")),
    }
}

/// How much is as the book had it, and each thing that is not.
pub fn count_words(shop: &Shop, counted: &Counted) -> String {
    let show = |length: Length| shop.settings.style().show_unit(length);
    let (as_written, different) = (counted.as_written, counted.differences.len());
    let mut text = format!("{as_written} as in the book, {different} different.\n");
    for difference in &counted.differences {
        text += &match difference {
            Difference::Missing(stick) => {
                format!("  {}: gone, {} in the book\n", stick.id, show(stick.length))
            }
            Difference::Length { stick, was, is } => {
                format!("  {stick}: {}, {} in the book\n", show(*is), show(*was))
            }
            Difference::Elsewhere { stick, was } if was.is_empty() => {
                format!("  {stick}: here, nowhere in the book\n")
            }
            Difference::Elsewhere { stick, was } => {
                format!("  {stick}: here, at {was} in the book\n")
            }
            Difference::Sheets { sheet, was, is } => {
                format!("  {sheet}: {is}, {was} in the book\n")
            }
            Difference::FoundAgain { stick, length, .. } => {
                format!("  {stick}: here, {}, nothing left in the book\n", show(*length))
            }
        };
        let doubt = match difference {
            Difference::Length { stick, was, is } => too_far(shop, stick, (*is, *was)),
            Difference::FoundAgain { stick, moulding, length } => {
                let doubt = too_long(shop, moulding, (*length, None));
                doubt.map(|doubt| format!("{stick}: {doubt}"))
            }
            _ => None,
        };
        text += &doubt.map_or(String::new(), |doubt| taken_back(&doubt));
    }
    let gone = counted.differences.iter().filter_map(|difference| match difference {
        Difference::Missing(stick) => Some(stick),
        _ => None,
    });
    text += &worth_words(shop, &gone.collect::<Vec<_>>());
    let sticks = counted.not_named.iter().map(|stick| stick.id.as_str());
    let names: Vec<&str> =
        sticks.chain(counted.sheets_not_named.iter().map(String::as_str)).collect();
    if !names.is_empty() {
        text += &format!("Not named, and left as they are: {}.\n", names.join(", "));
    }
    text
}

/// What is written off, and what that is worth.
fn worth_words(shop: &Shop, gone: &[&Stick]) -> String {
    if gone.is_empty() {
        return String::new();
    }
    let priced = gone.iter().filter(|stick| shop.moulding(&stick.moulding).price.is_some());
    let worths = priced.map(|stick| worth(shop, &stick.moulding, stick.length).0);
    let settings = &shop.settings;
    let worth = settings.currency.show(Worth(worths.sum()).to_money());
    format!(
        "To write off: {}, {}{}.\n",
        number(gone.len(), "stick", "sticks"),
        settings.style().show_unit(gone.iter().map(|stick| stick.length).sum()),
        // Whoever walks past a place is not told what things are worth.
        either(&format!(", worth {worth} {}", settings.currency.code()), "")
    )
}
