//! `longpoint scrap`: writes off sticks.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::Signed;
use crate::book::words;

/// What `longpoint scrap` is told.
#[derive(Debug, clap::Args)]
pub struct ScrapArgs {
    /// The book
    pub book: PathBuf,
    /// The sticks, and spare rails by their labels; or boards and glass by theirs
    #[arg(required = true, value_parser = super::signed::code)]
    pub sticks: Vec<String>,
    #[command(flatten)]
    signed: Signed,
}

/// Writes them off, all or none.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if one is not there.
pub fn run(args: &ScrapArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let shop = done(book.shop())?;
    if super::sheets::are_sheets(&book, &args.sticks)? {
        let gone = done(book.scrap_sheets(&args.sticks, &args.signed.stamp()?))?;
        return say(out, &super::sheets::scrapped_words(&shop, &gone));
    }
    for scrapped in done(book.scrap(&args.sticks, &args.signed.stamp()?))? {
        say(out, &words::scrapped_words(&args.book, &shop, &scrapped))?;
    }
    Ok(())
}
