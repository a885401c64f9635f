//! `longpoint cancel`: a ticket is not made any more.

use std::io::Write;
use std::path::{Path, PathBuf};

use super::opened::{done, open_book, say};
use super::signed::{Signed, code};
use crate::book::Cancelled;
use crate::book::words;
use crate::shop::Shop;

/// What `longpoint cancel` is told.
#[derive(Debug, clap::Args)]
pub struct CancelArgs {
    /// The book
    pub book: PathBuf,
    /// The ticket
    #[arg(value_parser = code)]
    pub frame: String,
    /// Only this copy
    #[arg(long, value_name = "N")]
    pub copy: Option<u32>,
    #[command(flatten)]
    signed: Signed,
}

/// Cancels it, and says what is left of it.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if there is nothing to cancel.
pub fn run(args: &CancelArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let cancelled = done(book.cancel(&args.frame, args.copy, &args.signed.stamp()?))?;
    say(out, &cancelled_words(&args.book, &done(book.shop())?, &args.frame, &cancelled))
}

fn cancelled_words(book: &Path, shop: &Shop, frame: &str, cancelled: &Cancelled) -> String {
    let all = |copies: &[u32]| -> Vec<(String, u32)> {
        copies.iter().map(|copy| (frame.to_owned(), *copy)).collect()
    };
    let mut text = format!("Cancelled: {}.\n", words::tickets(shop, &all(&cancelled.copies)));
    if !cancelled.done.is_empty() {
        text += &format!("Chopped already: {}.\n", words::tickets(shop, &all(&cancelled.done)));
    }
    for line in &cancelled.lines {
        text += &format!(
            "Line {line} is on order, chopped, and was for it: ask the supplier; \"longpoint order {} \
             --drop {line}\" gives it up, --drop {line}=1 one frame of it, first what nobody waits for.\n",
            book.display()
        );
    }
    text + &words::left_behind(shop, &cancelled.spare, &cancelled.replaced)
}
