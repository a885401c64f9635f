//! `longpoint expect`: what is on order comes later than was said, or nobody knows when.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;

use jiff::civil::Date;

use super::opened::{done, open_book, say};
use super::signed::{BOOK, Signed};
use crate::book::words::{far_off, listing};
use crate::cli::clock;

/// What `longpoint expect` is told.
#[derive(Debug, clap::Args)]
pub struct ExpectArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// The lines that come later, by their numbers
    #[arg(long, value_name = "LINE", num_args = 1.., required = true)]
    pub line: Vec<i64>,
    /// The day on which they come now
    #[arg(
        long,
        value_name = "YYYY-MM-DD",
        value_parser = clock::date,
        required_unless_present = "not_known",
        conflicts_with = "not_known"
    )]
    pub on: Option<Date>,
    /// Nobody knows when they come
    #[arg(long)]
    pub not_known: bool,
    #[command(flatten)]
    signed: Signed,
}

/// Writes it down, and says how these lines stand.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if a line is not open.
pub fn run(args: &ExpectArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let lines = done(book.expect((&args.line, args.on), &args.signed.stamp()?))?;
    let today = args.signed.date(None)?;
    let far = far_off(args.on, today).unwrap_or_default();
    say(out, &(listing(&done(book.shop())?, &lines, (today, &BTreeMap::new())) + &far))
}
