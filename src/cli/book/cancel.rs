//! `longpoint cancel`: a ticket is not made any more.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, morning, open_book, say};
use super::signed::{Signed, code};
use crate::book::Book;
use crate::book::words::{cancelled_words, idle_words};
use crate::cli::effort;

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
    let stamp = args.signed.stamp()?;
    let lines = done(book.lines_for(&args.frame))?;
    let plan = |book: &Book| morning(book, &stamp, args.search);
    // Only what is on order of its mouldings is worth the time of a plan with it and without.
    let before = if lines.is_empty() { None } else { Some(plan(&book)?) };
    let cancelled = done(book.cancel(&args.frame, args.copy, &stamp))?;
    let shop = done(book.shop())?;
    say(out, &cancelled_words((&args.book, &args.frame), &shop, &cancelled))?;
    if let Some((_, before)) = before {
        let (_, after) = plan(&book)?;
        say(out, &idle_words((&args.book, &shop), &lines, (&before, &after)))?;
    }
    Ok(())
}
