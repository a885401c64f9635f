//! What can be cut from the rack now, in plain words.

use std::collections::BTreeSet;

use crate::fits::{FitQuestion, FitVerdict, Made, StickYield, Untouched};
use crate::measure::{Length, LengthStyle};
use crate::shop::Shop;

use super::either::either;
use super::text::Page;
use super::words;

/// Whether one frame fits, and from which sticks.
pub fn one(
    shop: &Shop,
    question: &FitQuestion,
    asked: (Length, Length),
    found: &FitVerdict,
    untouched: &Untouched,
) -> String {
    let style = shop.settings.style();
    let mut page = Page::new();
    let what = format!("{} of {}", size(asked, &style), question.moulding.id);
    let matched = format!("match {}", question.match_.word());
    match found {
        FitVerdict::Fits(made) => {
            page.line("", &format!("Yes, {what} with {matched} can be cut now:"));
            cuts(&mut page, made, untouched, &style);
        }
        FitVerdict::WithMatch(match_, made) => {
            let weaker = format!("but with match {} it can be:", match_.word());
            page.line("", &format!("No, {what} with {matched} cannot be cut now, {weaker}"));
            cuts(&mut page, made, untouched, &style);
        }
        FitVerdict::Lacks => {
            page.line("", &format!("No, {what} with {matched} cannot be cut now: there is not enough that today's plan does not use."));
        }
        FitVerdict::Never(reason) => {
            page.line(
                "",
                &format!(
                    "No, {what} with {matched} cannot be made: {}",
                    words::held(reason, &style)
                ),
            );
        }
    }
    page.line("", &there_is(question, untouched));
    page.into_text()
}

/// What each stick can make by itself.
pub fn each(
    shop: &Shop,
    question: &FitQuestion,
    pieces: &[StickYield],
    untouched: &Untouched,
) -> String {
    let style = shop.settings.style();
    let mut page = Page::new();
    page.line("", &there_is(question, untouched));
    if !pieces.is_empty() {
        let matched = question.match_.word();
        page.line(
            "",
            &format!("The largest frames, match {matched}, that each can make by itself:"),
        );
    }
    for piece in pieces {
        page.gap();
        let stick = &piece.stick;
        let mut head = format!("{}  {}", stick.id, style.show_unit(stick.length));
        for (word, value) in [("at", &stick.place), ("lot", &stick.lot)] {
            if !value.is_empty() {
                head += &format!("  {word} {value}");
            }
        }
        page.line("", &head);
        for flaw in &stick.flaws {
            page.line(
                "  ",
                &format!("flaw from {} to {}", style.show(flaw.from), style.show(flaw.to)),
            );
        }
        wanted(&mut page, "  ", &stick.id, untouched);
        if piece.usual.is_empty() && piece.proportions.is_empty() {
            page.line("  ", "no frame of a usual size or proportion");
            continue;
        }
        let usual: Vec<String> = piece.usual.iter().map(|size| plain(*size, &style)).collect();
        if !usual.is_empty() {
            page.line("  usual sizes: ", &usual.join(", "));
        }
        let proportions = piece
            .proportions
            .iter()
            .map(|((short, long), size)| format!("{short}:{long} up to {}", plain(*size, &style)));
        page.line("  proportions: ", &proportions.collect::<Vec<_>>().join(", "));
    }
    page.into_text()
}

fn cuts(page: &mut Page, made: &Made, untouched: &Untouched, style: &LengthStyle) {
    if !made.spare.is_empty() {
        page.line("* ", &format!("spare rails: {}", words::and(&made.spare)));
    }
    for stick in &made.sticks {
        let rails =
            stick.rails.iter().map(|rail| format!("{} {}", rail.side, style.show(rail.long_point)));
        let rails: Vec<String> = rails.collect();
        let place =
            if stick.place.is_empty() { String::new() } else { format!(" at {}", stick.place) };
        let length = style.show_unit(stick.length);
        let long = rails.join(", ");
        page.line("* ", &format!("{} ({length}{place}): {long}, long points", stick.stick));
        wanted(page, "  ", &stick.stick, untouched);
    }
}

/// Says of a stick that a waiting frame will be cut from it.
fn wanted(page: &mut Page, indent: &str, stick: &str, untouched: &Untouched) {
    if let Some(frames) = untouched.wanted.get(stick) {
        let frames = words::and(frames);
        page.line(indent, &format!("! wanted for {frames}, waiting for more moulding"));
    }
}

/// How much there is of the moulding.
fn there_is(question: &FitQuestion, untouched: &Untouched) -> String {
    let sticks: BTreeSet<&str> = untouched.sticks.iter().map(|stick| stick.id.as_str()).collect();
    let (moulding, cut) = (&question.moulding.id, untouched.cut);
    let left = match sticks.len() {
        0 => format!("No stick of {moulding} is left untouched"),
        1 => format!("1 stick of {moulding} is left untouched"),
        many => format!("{many} sticks of {moulding} are left untouched"),
    };
    format!("{left}; today's plan cuts {cut}.")
}

fn size(size: (Length, Length), style: &LengthStyle) -> String {
    format!("{} {}", plain(size, style), style.unit.symbol())
}

fn plain((width, height): (Length, Length), style: &LengthStyle) -> String {
    format!("{} x {}", style.show(width), style.show(height))
}

/// What a stick makes by itself, where that was asked of it.
pub fn makes_words(sizes: Option<&[(Length, Length)]>, at_bench: bool, shop: &Shop) -> String {
    let style = shop.settings.style();
    match sizes {
        Some([]) => "makes no usual size by itself".to_owned(),
        Some(sizes) => {
            let sizes = sizes.iter();
            let sizes: Vec<String> = sizes
                .map(|(short, long)| format!("{} x {}", style.show(*short), style.show(*long)))
                .collect();
            format!("makes {} {}", sizes.join(" or "), style.unit.symbol())
        }
        None if at_bench => "is at the bench".to_owned(),
        None => {
            let says = either("; longpoint fits says what it makes", "");
            format!("is for floaters{says}")
        }
    }
}
