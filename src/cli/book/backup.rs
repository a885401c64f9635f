//! `longpoint backup`: copies a book.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use crate::cli::interrupt;

/// What `longpoint backup` is told.
#[derive(Debug, clap::Args)]
pub struct BackupArgs {
    /// The book
    pub book: PathBuf,
    /// The file to write, which must not be there yet
    pub to: PathBuf,
}

/// Copies it, and checks the copy.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if the file is there already or the
/// book is damaged.
pub fn run(args: &BackupArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let book = open_book(&args.book)?;
    done(interrupt::whole(|| book.backup(&args.to)))?;
    say(out, &format!("{} is a whole copy of {}.", args.to.display(), args.book.display()))?;
    Ok(())
}
