//! `longpoint refresh`: takes over changed files of a shop folder.

use std::io::Write;
use std::path::{Path, PathBuf};

use super::opened::{done, open_book, say};
use super::signed::{BOOK, Signed};
use crate::book::words;
use crate::book::{Cancelled, Stamp};
use crate::cli::shop;
use crate::shop::Shop;

/// What `longpoint refresh` is told.
#[derive(Debug, clap::Args)]
pub struct RefreshArgs {
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
/// [`WrongInput`](crate::cli::exit::WrongInput) with every fault in the folder, or
/// with what in the book would hang in the air.
pub fn run(args: &RefreshArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    take_over(&args.book, &args.from, &args.signed.stamp()?, out)
}

/// Takes a folder's files over into a book, and says what came of it.
///
/// # Errors
/// As [`run`].
pub(in crate::cli) fn take_over(
    book: &Path,
    from: &Path,
    stamp: &Stamp,
    out: &mut dyn Write,
) -> anyhow::Result<()> {
    let (shop, files) = shop::files(from)?;
    let refreshed = done(open_book(book)?.refresh((&shop, &files), stamp))?;
    say(
        out,
        &format!("Taken over: {}. The rack stays as the book has it.", refreshed.files.join(", ")),
    )?;
    if !refreshed.new.is_empty() {
        say(out, &format!("New: {}.", refreshed.new.join(", ")))?;
    }
    if !refreshed.changed.is_empty() {
        let now = done(open_book(book)?.shop())?;
        for (frame, what) in &refreshed.changed {
            say(out, changed_words(&now, frame, what).trim_end())?;
        }
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

/// What became of the copies of a ticket that changed while they were cut.
fn changed_words(shop: &Shop, frame: &str, what: &Cancelled) -> String {
    let all = shop.frame(frame).map_or(0, |frame| frame.copies);
    let copies = |is_wanted: &dyn Fn(&u32) -> bool| -> Vec<(String, u32)> {
        let own = what.copies.iter().filter(|copy| is_wanted(copy));
        own.map(|copy| (frame.to_owned(), *copy)).collect()
    };
    let (back, gone) = (copies(&|copy| *copy <= all), copies(&|copy| *copy > all));
    let mut text = String::new();
    if !back.is_empty() {
        text += &format!("Changed, back on the pile: {}.\n", words::tickets(shop, &back));
    }
    if !gone.is_empty() {
        let gone = words::count(gone.len(), "copy is", "copies are");
        text += &format!("{frame}: {gone} not made any more.\n");
    }
    text + &words::left_behind(shop, &what.spare, &what.replaced)
}
