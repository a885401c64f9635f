//! `longpoint count`: takes stock of one place.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;

use super::{Signed, done, open, say};
use crate::book::{Book, Counted, Difference, Wanted};
use crate::cli::WrongInput;
use crate::measure::{Length, parse_length};
use crate::shop::Shop;

/// What `longpoint count` is told.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The book
    pub book: PathBuf,
    /// The place that is walked past
    #[arg(value_parser = super::words)]
    pub place: String,
    /// Every stick that was found there: its label, and, where it was measured,
    /// its length: S-201 or S-202=96 1/2; without any, the list to walk with
    pub found: Vec<String>,
    /// Nothing at all was found there
    #[arg(long)]
    pub empty: bool,
    /// Only say what is different, and change nothing
    #[arg(long)]
    pub check: bool,
    #[command(flatten)]
    signed: Signed,
}

/// Compares, corrects and reports.
///
/// # Errors
/// [`WrongInput`] if a stick was never in the book or a length is none.
pub fn run(args: &Args, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open(&args.book)?;
    let shop = done(book.shop())?;
    if args.found.is_empty() && !args.empty {
        return list(&book, &shop, &args.place, out);
    }
    let found = found(args, &shop)?;
    let counted = done(book.count(&args.place, &found, (&args.signed.stamp(), !args.check)))?;
    say(out, &count_words(&shop, &counted, args))?;
    Ok(())
}

fn list(book: &Book, shop: &Shop, place: &str, out: &mut dyn Write) -> anyhow::Result<()> {
    let wanted = Wanted { place: Some(place.to_owned()), ..Wanted::default() };
    let there = done(book.rack(&wanted))?;
    say(out, &format!("{place}: {} in the book", there.len()))?;
    for on in there.iter().filter(|on| on.job.is_none()) {
        let length = shop.settings.style().show_unit(on.stick.length);
        say(out, &format!("  [ ] {:<8} {:<10} {length}", on.stick.id, on.stick.moulding))?;
    }
    Ok(())
}

fn found(args: &Args, shop: &Shop) -> Result<BTreeMap<String, Option<Length>>, WrongInput> {
    let mut faults = Vec::new();
    let mut found = BTreeMap::new();
    for text in &args.found {
        let (name, length) = match text.rsplit_once('=') {
            None => (text.as_str(), None),
            Some((name, length)) => match parse_length(length, shop.settings.unit) {
                Ok(length) if length.is_positive() => (name, Some(length)),
                Ok(_) => {
                    faults.push(format!("{text}: a stick is longer than nothing (leave it out)"));
                    continue;
                }
                Err(fault) => {
                    faults.push(format!("{name}: {length:?} {fault}"));
                    continue;
                }
            },
        };
        if found.insert(name.to_owned(), length).is_some() {
            faults.push(format!("{name}: stands there twice (name it once)"));
        }
    }
    if faults.is_empty() { Ok(found) } else { Err(WrongInput(faults.join("\n"))) }
}

fn count_words(shop: &Shop, counted: &Counted, args: &Args) -> String {
    let show = |length: Length| shop.settings.style().show_unit(length);
    let mut text = format!("{}: {} as in the book", args.place, counted.as_written);
    text += &format!(", {} different.\n", counted.differences.len());
    for difference in &counted.differences {
        text += &match difference {
            Difference::Missing { stick, length } => {
                format!("  {stick}: not there, {} in the book\n", show(*length))
            }
            Difference::Length { stick, was, is } => {
                format!("  {stick}: {}, {} in the book\n", show(*is), show(*was))
            }
            Difference::Elsewhere { stick, was } if was.is_empty() => {
                format!("  {stick}: here, nowhere in the book\n")
            }
            Difference::Elsewhere { stick, was } => {
                format!("  {stick}: here, at {was} in the book\n")
            }
            Difference::FoundAgain { stick, length } => {
                format!("  {stick}: here, {}, nothing left in the book\n", show(*length))
            }
        };
    }
    text + if args.check { "Nothing was changed.\n" } else { "The book is as you found it.\n" }
}
