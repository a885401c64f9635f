//! `longpoint cancel`: a ticket is not made any more.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::{Signed, code};
use crate::book::words::cancelled_words;

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
    signed: Signed,
}

/// Cancels it, and says what is left of it.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if there is nothing to cancel.
pub fn run(args: &CancelArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let cancelled = done(book.cancel(&args.frame, args.copy, &args.signed.stamp()?))?;
    say(out, &cancelled_words((&args.book, &args.frame), &done(book.shop())?, &cancelled))
}
