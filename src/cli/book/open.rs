//! `longpoint open`: begins a book from a shop folder.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, say};
use super::signed::{BOOK, Signed};
use super::words;
use crate::book::Book;
use crate::cli::{interrupt, shop};

/// What `longpoint open` is told.
#[derive(Debug, clap::Args)]
pub struct OpenArgs {
    /// The book's file, such as shop.book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// The shop folder to begin from
    #[arg(long, value_name = "DIR")]
    pub from: PathBuf,
    #[command(flatten)]
    signed: Signed,
}

/// Begins the book.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) with every fault in the folder, or if
/// there is a book already.
pub fn run(args: &OpenArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let (shop, files) = shop::files(&args.from)?;
    let stamp = args.signed.stamp()?;
    done(interrupt::whole(|| Book::begin(&args.book, (&shop, &files), &stamp)))?;
    say(
        out,
        &format!(
            "Created {}: {}, {}. From now on the book keeps the rack; the folder's {} not read again.",
            args.book.display(),
            words::count(shop.rack.len(), "stick or offcut", "sticks and offcuts"),
            words::count(shop.frames.len(), "ticket", "tickets"),
            match shop.sheets.is_empty() {
                true => "rack.csv is",
                false => "rack.csv and sheets.csv are",
            }
        ),
    )?;
    Ok(())
}
