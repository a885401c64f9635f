//! `longpoint joined` and `longpoint fitted`: what becomes of a frame after the cutting.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::Signed;
use crate::book::{Assembly, words};
use crate::ticket::{fitted_early, job_sheet, loaded};

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
    let ticket = words::ticket(&shop, &frame, copy);
    let sets = match made {
        Assembly::Joined if shop.jobs.contains_key(&frame) => {
            format!(" {}", loaded(stamp.at, &shop))
        }
        Assembly::Joined => String::new(),
        Assembly::Fitted => {
            let joined = done(book.joined_at(&frame, copy))?;
            // A job that does not stand up to its check is said of where it is shown.
            let of = shop.frame(&frame).map(|of| job_sheet(&shop, (of, 1), stamp.at.date()));
            let sheet = of.and_then(|of| of.ok().flatten());
            let early = joined.zip(sheet);
            let early = early.and_then(|(at, sheet)| fitted_early(&sheet, (at, stamp.at), &shop));
            early.map(|early| format!(" {early}")).unwrap_or_default()
        }
    };
    say(out, &format!("{ticket} is {}.{sets}", made.word()))
}
