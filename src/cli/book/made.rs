//! `longpoint joined` and `longpoint fitted`: what becomes of a frame after the cutting.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::Signed;
use crate::book::{Assembly, words};
use crate::ticket::{fitted_early, loaded};

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
    let more = match made {
        Assembly::Joined => shop.jobs.contains_key(&frame).then(|| loaded(stamp.at, &shop)),
        Assembly::Fitted => done(book.joined_at(&frame, copy))?
            .and_then(|joined| fitted_early(&shop, &frame, (joined, stamp.at))),
    };
    say(out, &words::made_words(&shop, (&frame, copy), made, more))
}
