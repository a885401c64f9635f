//! `longpoint scrap`: writes off sticks.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::Signed;
use super::words;
use crate::book::Scrapped;

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
    for Scrapped { stick, off } in done(book.scrap(&args.sticks, &args.signed.stamp()?))? {
        let length = shop.settings.style().show_unit(stick.length);
        let mut text = format!("{}: {length} of {} written off.", stick.id, stick.moulding);
        if !off.is_empty() {
            let rails: Vec<String> = off.iter().map(|rail| words::rail(&shop, rail)).collect();
            text += &format!(
                " Not cut from it any more, and owed: {}. Plan the rest again with \"longpoint \
                 replan {}\".",
                rails.join(", "),
                args.book.display()
            );
        }
        say(out, &text)?;
    }
    Ok(())
}
