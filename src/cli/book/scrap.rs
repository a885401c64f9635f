//! `longpoint scrap`: writes off sticks.

use std::io::Write;
use std::path::PathBuf;

use super::{Signed, done, open_book, say};

/// What `longpoint scrap` is told.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The book
    pub book: PathBuf,
    /// The sticks, and spare rails by their labels
    #[arg(required = true, value_parser = super::code)]
    pub sticks: Vec<String>,
    #[command(flatten)]
    signed: Signed,
}

/// Writes them off, all or none.
///
/// # Errors
/// [`WrongInput`](crate::cli::WrongInput) if one is not there or is at the bench.
pub fn run(args: &Args, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let style = done(book.shop())?.settings.style();
    for stick in done(book.scrap(&args.sticks, &args.signed.stamp()?))? {
        let length = style.show_unit(stick.length);
        say(out, &format!("{}: {} of {} written off.", stick.id, length, stick.moulding))?;
    }
    Ok(())
}
