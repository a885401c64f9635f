//! `longpoint count`: takes stock of one place.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;

use super::{Signed, done, open_book, say};
use crate::book::{Book, Counted, Difference, Wanted};
use crate::cli::WrongInput;
use crate::measure::{Length, parse_length};
use crate::shop::{Shop, shown};

/// What `longpoint count` is told.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The book
    pub book: PathBuf,
    /// The place that is walked past; without one, the places that there are
    #[arg(value_parser = super::words)]
    pub place: Option<String>,
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
    let mut book = open_book(&args.book)?;
    let shop = done(book.shop())?;
    let Some(place) = &args.place else { return places(&book, out) };
    if args.found.is_empty() && !args.empty {
        return list(&book, &shop, place, out);
    }
    let found = found(args, &shop)?;
    let counted = done(book.count(place, &found, (&args.signed.stamp(), !args.check)))?;
    let words = count_words(&shop, &counted);
    let kept = if args.check { "Nothing was changed." } else { "The book is as you found it." };
    say(out, &format!("{}: {words}{kept}", named(place)))?;
    Ok(())
}

/// The places that there are, to walk past one after the other.
fn places(book: &Book, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    for on in done(book.rack(&Wanted::default()))?.into_iter().filter(|on| on.job.is_none()) {
        *places.entry(on.stick.place).or_default() += 1;
    }
    say(out, "Places to walk past, and how many sticks and offcuts the book has there:")?;
    for (place, sticks) in places {
        say(out, &format!("  [ ] {:<20} {sticks}", named(&place)))?;
    }
    Ok(())
}

/// A place as it is typed: without a name, a pair of quotes.
fn named(place: &str) -> &str {
    if place.is_empty() { "\"\"" } else { place }
}

fn list(book: &Book, shop: &Shop, place: &str, out: &mut dyn Write) -> anyhow::Result<()> {
    let wanted = Wanted { place: Some(place.to_owned()), ..Wanted::default() };
    let mut there = done(book.rack(&wanted))?;
    there.retain(|on| on.job.is_none());
    say(out, &format!("{}: {} in the book", named(place), there.len()))?;
    for on in &there {
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
                    faults.push(format!(
                        "{}: a stick is longer than nothing (leave it out)",
                        shown(text)
                    ));
                    continue;
                }
                Err(fault) => {
                    faults.push(format!("{}: {:?} {fault}", shown(name), shown(length)));
                    continue;
                }
            },
        };
        if found.insert(name.to_owned(), length).is_some() {
            faults.push(format!("{}: stands there twice (name it once)", shown(name)));
        }
    }
    if faults.is_empty() { Ok(found) } else { Err(WrongInput(faults.join("\n"))) }
}

fn count_words(shop: &Shop, counted: &Counted) -> String {
    let show = |length: Length| shop.settings.style().show_unit(length);
    let (as_written, different) = (counted.as_written, counted.differences.len());
    let mut text = format!("{as_written} as in the book, {different} different.\n");
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
    text
}
