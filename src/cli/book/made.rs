//! `longpoint joined` and `longpoint fitted`: what becomes of a frame after the cutting.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::Signed;
use crate::book::{Assembly, words};
use crate::ticket::glue_words;

/// What `longpoint joined` and `longpoint fitted` are told.
#[derive(Debug, clap::Args)]
pub struct MadeArgs {
    /// The book
    pub book: PathBuf,
    /// The ticket
    #[arg(value_parser = super::signed::code)]
    pub frame: String,
    /// Which copy, where several wait
    #[arg(long, value_name = "N")]
    pub copy: Option<u32>,
    #[command(flatten)]
    signed: Signed,
}

/// Writes it down.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if its rails are not all cut, or that was
/// said already.
pub fn run(args: &MadeArgs, made: Assembly, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let stamp = args.signed.stamp()?;
    let (frame, copy) = done(book.make(&args.frame, args.copy, made, &stamp))?;
    let shop = done(book.shop())?;
    let fitted = (made == Assembly::Fitted).then_some(stamp.at);
    let joined = done(book.joined_at(&frame, copy))?;
    let more = glue_words(&shop, &frame, joined, fitted);
    say(out, &words::made_words(&shop, (&frame, copy), made, more))
}
