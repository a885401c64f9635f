//! `longpoint spoil`: a rail was spoiled.

use std::io::Write;
use std::path::PathBuf;

use super::{Signed, done, open_book, say, words};

/// What `longpoint spoil` is told.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The book
    pub book: PathBuf,
    /// The stick that it was cut from
    #[arg(value_parser = super::code)]
    pub stick: String,
    /// The number of the cut on the stick's sheet
    pub cut: usize,
    #[command(flatten)]
    signed: Signed,
}

/// Writes it down.
///
/// # Errors
/// [`WrongInput`](crate::cli::WrongInput) if there is no such cut to spoil.
pub fn run(args: &Args, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let rail = done(book.spoil(&args.stick, args.cut, &args.signed.stamp()))?;
    let shop = done(book.shop())?;
    say(
        out,
        &format!(
            "{} is spoiled and owed. Plan the rest again with \"longpoint replan {}\".",
            words::rail(&shop, &rail),
            args.book.display()
        ),
    )?;
    Ok(())
}
