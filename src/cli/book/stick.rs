//! `longpoint stick`: the history and the family of a stick.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use crate::book::History;
use crate::measure::Length;
use crate::shop::Shop;

/// What `longpoint stick` is told.
#[derive(Debug, clap::Args)]
pub struct StickArgs {
    /// The book
    pub book: PathBuf,
    /// The stick's label
    #[arg(value_parser = super::signed::code)]
    pub stick: String,
}

/// Tells it.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if it never was in the book.
pub fn run(args: &StickArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let book = open_book(&args.book)?;
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
        let by = if event.who.is_empty() { String::new() } else { format!(" by {}", event.who) };
        let why = if event.why.is_empty() { String::new() } else { format!(": {}", event.why) };
        let sign = if event.length.is_positive() { "+" } else { "" };
        let moved = match event.length == Length::ZERO {
            true => event.what_for.clone(),
            false => format!("{sign}{}", style.show_unit(event.length)),
        };
        let line = format!(
            "  {}  {:<9} {:<9} {moved:>12}{by}{why}",
            event.at.replace('T', " "),
            event.what,
            event.kind,
        );
        text += line.trim_end();
        text.push('\n');
    }
    for (name, left) in &history.offcuts {
        text += &match left.is_positive() {
            true => format!("became {name}, {} left\n", style.show_down_unit(*left)),
            false => format!("became {name}, nothing left\n"),
        };
    }
    text
}
