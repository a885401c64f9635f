//! `longpoint undo`: undoes the last step.

use std::io::Write;
use std::path::PathBuf;

use super::{BOOK, Signed, done, open_book, say};

/// What `longpoint undo` is told.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The book
    #[arg(default_value = BOOK)]
    pub book: PathBuf,
    #[command(flatten)]
    signed: Signed,
}

/// Undoes the last step that is not undone yet.
///
/// # Errors
/// [`WrongInput`](crate::cli::WrongInput) if there is none.
pub fn run(args: &Args, out: &mut dyn Write) -> anyhow::Result<()> {
    let done = done(open_book(&args.book)?.undo(&args.signed.stamp()))?;
    let by = if done.who.is_empty() { String::new() } else { format!(" by {}", done.who) };
    say(out, &format!("Undone: {} of {}{by} (step {}).", done.what, done.at, done.number))?;
    Ok(())
}
