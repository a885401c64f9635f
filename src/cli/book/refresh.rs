//! `longpoint refresh`: takes over changed files of a shop folder.

use std::io::Write;
use std::path::PathBuf;

use super::{BOOK, Signed, done, open_book, say};
use crate::cli::shop;

/// What `longpoint refresh` is told.
#[derive(Debug, clap::Args)]
pub struct Args {
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
/// [`WrongInput`](crate::cli::WrongInput) with every fault in the folder, or
/// with what in the book would hang in the air.
pub fn run(args: &Args, out: &mut dyn Write) -> anyhow::Result<()> {
    let (shop, files) = shop::files(&args.from)?;
    let refreshed = done(open_book(&args.book)?.refresh((&shop, &files), &args.signed.stamp()))?;
    say(
        out,
        &format!("Taken over: {}. The rack stays as the book has it.", refreshed.files.join(", ")),
    )?;
    if !refreshed.new.is_empty() {
        say(out, &format!("New: {}.", refreshed.new.join(", ")))?;
    }
    for why in &refreshed.kept {
        say(out, &format!("Not taken over: {why}"))?;
    }
    for (frame, all, left) in &refreshed.begun {
        say(
            out,
            &format!(
                "{frame}: {all} in the file, {} of them at the bench or done, {left} still to be cut.",
                all - left
            ),
        )?;
    }
    Ok(())
}
