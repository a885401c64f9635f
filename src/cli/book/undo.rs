//! `longpoint undo`: undoes the last step.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::{BOOK, Signed};

/// What `longpoint undo` is told.
#[derive(Debug, clap::Args)]
pub struct UndoArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// The step to undo, by its number: it must be the last. Without it, the last
    /// step is undone if it was made by the same person
    pub step: Option<i64>,
    #[command(flatten)]
    signed: Signed,
}

/// Undoes the last step that is not undone yet.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if there is none.
pub fn run(args: &UndoArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let done = done(open_book(&args.book)?.undo(args.step, &args.signed.stamp()?))?;
    say(out, &format!("Undone: {done}."))?;
    Ok(())
}
