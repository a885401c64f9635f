//! `longpoint refresh`: takes over changed files of a shop folder.

use std::io::Write;
use std::path::{Path, PathBuf};

use super::opened::{done, open_book, say};
use super::signed::{BOOK, Signed};
use crate::book::Stamp;
use crate::book::words;
use crate::cli::shop;

/// What `longpoint refresh` is told.
#[derive(Debug, clap::Args)]
pub struct RefreshArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// The shop folder; everything but its rack is taken over
    #[arg(long, value_name = "DIR")]
    pub from: PathBuf,
    #[command(flatten)]
    signed: Signed,
}

/// Takes the files over.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) with every fault in the folder, or
/// with what in the book would hang in the air.
pub fn run(args: &RefreshArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    take_over(&args.book, &args.from, &args.signed.stamp()?, out)
}

/// Takes a folder's files over into a book, and says what came of it.
///
/// # Errors
/// As [`run`].
pub(in crate::cli) fn take_over(
    book: &Path,
    from: &Path,
    stamp: &Stamp,
    out: &mut dyn Write,
) -> anyhow::Result<()> {
    let (shop, files) = shop::files(from)?;
    let was = done(open_book(book)?.shop())?;
    let refreshed = done(open_book(book)?.refresh((&shop, &files), stamp))?;
    let book = open_book(book)?;
    let now = done(book.shop())?;
    words::refresh_lines(&now, &refreshed).iter().try_for_each(|line| say(out, line))?;
    done(words::recut_lines(&book, &was, &now))?.iter().try_for_each(|line| say(out, line))
}
