//! `longpoint stick`: the history and the family of a stick.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use crate::book::{Event, History, SheetHistory};
use crate::measure::Length;
use crate::shop::Shop;

/// What `longpoint stick` is told.
#[derive(Debug, clap::Args)]
pub struct StickArgs {
    /// The book
    pub book: PathBuf,
    /// The stick's label, or that of a board or of glass
    #[arg(value_parser = super::signed::code)]
    pub stick: String,
}

/// Tells it.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if it never was in the book.
pub fn run(args: &StickArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let book = open_book(&args.book)?;
    if let Some(history) = done(book.sheet_history(&args.stick))? {
        return say(out, &sheet_told(&done(book.shop())?, &history));
    }
    let history = done(book.history(&args.stick))?;
    say(out, &told(&done(book.shop())?, &history))?;
    Ok(())
}

fn told(shop: &Shop, history: &History) -> String {
    let style = shop.settings.style();
    let lot = if history.lot.is_empty() { String::new() } else { format!(", lot {}", history.lot) };
    let mut text = format!("{}: {}{lot}, ", history.stick, history.moulding);
    text += &match history.left.is_positive() {
        true => format!("{} left\n", style.show_down_unit(history.left)),
        false => "nothing left\n".to_owned(),
    };
    if !history.parents.is_empty() {
        text += &format!("cut from {}\n", history.parents.join(", which was cut from "));
    }
    for event in &history.events {
        let sign = if event.length.is_positive() { "+" } else { "" };
        let moved = match event.length == Length::ZERO {
            true => event.what_for.clone(),
            false => format!("{sign}{}", style.show_unit(event.length)),
        };
        text += &event_line(event, &moved);
    }
    for (name, left) in &history.offcuts {
        text += &match left.is_positive() {
            true => format!("became {name}, {} left\n", style.show_down_unit(*left)),
            false => format!("became {name}, nothing left\n"),
        };
    }
    text
}

fn event_line(event: &Event, moved: &str) -> String {
    let by = if event.who.is_empty() { String::new() } else { format!(" by {}", event.who) };
    let why = if event.why.is_empty() { String::new() } else { format!(": {}", event.why) };
    let line = format!(
        "  {}  {:<9} {:<9} {moved:>12}{by}{why}",
        event.at.replace('T', " "),
        event.what,
        event.kind,
    );
    line.trim_end().to_owned() + "\n"
}

fn sheet_told(shop: &Shop, history: &SheetHistory) -> String {
    let style = shop.settings.style();
    let size = |(width, height): (Length, Length)| {
        format!("{} x {}", style.show_down(width), style.show_down_unit(height))
    };
    let stock = &history.stock;
    let there = match (stock.whole, stock.count) {
        (true, count) => format!("whole sheets of {}, {count} there", stock.material),
        (false, 0) => format!("remnant of {}, nothing left", stock.material),
        (false, _) => format!("remnant of {}, there", stock.material),
    };
    let shown = size((stock.width, stock.height));
    let mut text = format!("{}: {there}, {shown}\n", stock.label);
    if !history.parents.is_empty() {
        text += &format!("cut from {}\n", history.parents.join(", which was cut from "));
    }
    for (event, count) in &history.events {
        text += &event_line(event, &format!("{count:+}"));
    }
    for (ticket, what, piece) in &history.pieces {
        text += &format!("became {}, {}\n", format!("{ticket} {what}").trim_end(), size(*piece));
    }
    if !history.remnants.is_empty() {
        text += &format!("became {}\n", history.remnants.join(", "));
    }
    text
}
