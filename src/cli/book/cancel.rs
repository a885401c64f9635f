//! `longpoint cancel`: a ticket is not made any more.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;

use jiff::civil::Date;

use super::opened::{done, open_book, planned, say};
use super::signed::{Signed, code};
use crate::book::words::{cancelled_words, idle_words};
use crate::book::{Book, PlacedLine, line_of};
use crate::cli::effort;
use crate::plan::Wishes;

/// What `longpoint cancel` is told.
#[derive(Debug, clap::Args)]
pub struct CancelArgs {
    /// The book
    pub book: PathBuf,
    /// The ticket
    #[arg(value_parser = code)]
    pub frame: String,
    /// Only this copy
    #[arg(long, value_name = "N")]
    pub copy: Option<u32>,
    #[command(flatten)]
    search: effort::SearchOptions,
    #[command(flatten)]
    signed: Signed,
}

/// Cancels it, and says what is left of it.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if there is nothing to cancel.
pub fn run(args: &CancelArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let (stamp, of) = (args.signed.stamp()?, (args.signed.date(None)?, args.search));
    let lines = sticks_on_order(&book, &args.frame)?;
    // Only what is on order of its mouldings is worth the time of a plan with it and without.
    let used = |book: &Book| match lines.is_empty() {
        true => Ok(BTreeMap::new()),
        false => used_of_lines(book, of),
    };
    let before = used(&book)?;
    let cancelled = done(book.cancel(&args.frame, args.copy, &stamp))?;
    let after = used(&book)?;
    let shop = done(book.shop())?;
    say(out, &cancelled_words((&args.book, &args.frame), &shop, &cancelled))?;
    let fewer = |line: &PlacedLine| {
        let used = |of: &BTreeMap<i64, u32>| of.get(&line.line).copied().unwrap_or(0);
        used(&before).saturating_sub(used(&after))
    };
    for line in &lines {
        if let Some(words) = idle_words(&args.book, &shop, (line, fewer(line))) {
            say(out, &words)?;
        }
    }
    Ok(())
}

/// The lines of sticks that are on order of a ticket's mouldings.
fn sticks_on_order(book: &Book, frame: &str) -> anyhow::Result<Vec<PlacedLine>> {
    let shop = done(book.shop())?;
    let Some(frame) = shop.frame(frame) else { return Ok(Vec::new()) };
    let is_of_it = |line: &PlacedLine| {
        matches!(line.form.as_str(), "length" | "box")
            && frame.layers.iter().any(|layer| layer.moulding == line.moulding)
    };
    let mut lines = done(book.open_lines())?;
    lines.retain(is_of_it);
    Ok(lines)
}

/// How many sticks of each line that is on order a plan of today cuts.
fn used_of_lines(
    book: &Book,
    (today, search): (Date, effort::SearchOptions),
) -> anyhow::Result<BTreeMap<i64, u32>> {
    let plan = planned(&done(book.snapshot())?, today, &Wishes::default(), search)?;
    let mut used = BTreeMap::new();
    for line in plan.order.coming.iter().filter_map(|stick| line_of(&stick.stick)) {
        *used.entry(line).or_default() += 1;
    }
    Ok(used)
}
