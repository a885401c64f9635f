//! `longpoint labels`: labels to print for sticks and offcuts.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use crate::book::words;
use crate::book::{OnRack, RackQuery, pages};
use crate::cli::exit::WrongInput;
use crate::cli::interrupt;
use crate::report::folder;

/// What `longpoint labels` is told.
#[derive(Debug, clap::Args)]
pub struct LabelsArgs {
    /// The book
    pub book: PathBuf,
    /// The page to write, such as labels.html
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// The sticks; without any, everything that is not at the bench and whose label was
    /// not printed as it is now
    #[arg(value_parser = super::signed::code)]
    pub sticks: Vec<String>,
    /// Only what lies here
    #[arg(long, value_name = "PLACE")]
    pub place: Option<String>,
    /// All again, those too that were printed
    #[arg(long)]
    pub all: bool,
    /// One label a page, for a label printer
    #[arg(long)]
    pub single: bool,
}

/// Writes the page.
///
/// # Errors
/// [`WrongInput`] if a stick is not there; another error if the page cannot be
/// written.
pub fn run(args: &LabelsArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let wanted = RackQuery { place: args.place.clone(), ..RackQuery::default() };
    let mut rack = done(book.rack(&wanted))?;
    let is_it = |on: &OnRack, id: &String| on.stick.id.eq_ignore_ascii_case(id.trim());
    let unknown: Vec<&String> =
        args.sticks.iter().filter(|id| !rack.iter().any(|on| is_it(on, id))).collect();
    if !unknown.is_empty() {
        let names: Vec<&str> = unknown.into_iter().map(String::as_str).collect();
        let words = format!("not on the rack: {} (longpoint rack lists what is)", names.join(", "));
        return Err(WrongInput(words).into());
    }
    match args.sticks.is_empty() {
        true => {
            rack.retain(|on| on.job.is_none());
            if !args.all {
                rack = done(book.unprinted(&rack))?;
            }
        }
        false => rack.retain(|on| args.sticks.iter().any(|id| is_it(on, id))),
    }
    if rack.is_empty() {
        say(out, "Every label is printed already (--all prints them again).")?;
        return Ok(());
    }
    let page = pages::labels(&done(book.shop())?, &rack, args.single);
    interrupt::whole(|| folder::write_page(&args.out, &page))?;
    done(book.printed(&rack))?;
    let labels = words::count(rack.len(), "label", "labels");
    say(out, &format!("Wrote {labels} to {}.", args.out.display()))?;
    Ok(())
}
