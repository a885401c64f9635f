//! `longpoint finish`: the end of the day at the bench.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::{BOOK, Signed};
use crate::book::words::finish_words;

/// What `longpoint finish` is told.
#[derive(Debug, clap::Args)]
pub struct FinishArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// Where the offcuts are put
    #[arg(long, value_name = "PLACE", default_value = "offcuts", value_parser = super::signed::words)]
    pub place: String,
    /// Send what is still to be cut back to the pile
    #[arg(long)]
    pub rest_back: bool,
    /// Which plan, where several are at the bench
    #[arg(long, value_name = "N")]
    pub plan: Option<i64>,
    #[command(flatten)]
    signed: Signed,
}

/// Finishes the day.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) with all that is still to be cut.
pub fn run(args: &FinishArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let how = (args.place.as_str(), args.rest_back);
    let finished = done(book.finish(args.plan, how, &args.signed.stamp()?))?;
    let shop = done(book.shop())?;
    say(out, &finish_words(&shop, &finished))?;
    Ok(())
}
