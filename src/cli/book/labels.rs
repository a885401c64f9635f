//! `longpoint labels`: labels to print for sticks and offcuts.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::words;
use crate::book::{OnRack, RackQuery, pages};
use crate::cli::exit::WrongInput;
use crate::cli::interrupt;
use crate::report::folder;
use crate::shop::SheetStock;

/// What `longpoint labels` is told.
#[derive(Debug, clap::Args)]
pub struct LabelsArgs {
    /// The book
    pub book: PathBuf,
    /// The page to write, such as labels.html
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// The sticks, boards and glass; without any, everything that is not at the bench and whose label was
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
    let mut sheets = done(book.sheets())?;
    sheets.retain(|stock| stock.count > 0 && args.place.as_ref().is_none_or(|p| *p == stock.place));
    let is_it = |on: &OnRack, id: &String| on.stick.id.eq_ignore_ascii_case(id.trim());
    let is_sheet = |stock: &SheetStock, id: &String| stock.label.eq_ignore_ascii_case(id.trim());
    let is_known = |id: &&String| {
        rack.iter().any(|on| is_it(on, id)) || sheets.iter().any(|stock| is_sheet(stock, id))
    };
    let unknown: Vec<&String> = args.sticks.iter().filter(|id| !is_known(id)).collect();
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
                sheets = done(book.unprinted_sheets(&sheets))?;
            }
        }
        false => {
            rack.retain(|on| args.sticks.iter().any(|id| is_it(on, id)));
            sheets.retain(|stock| args.sticks.iter().any(|id| is_sheet(stock, id)));
        }
    }
    if rack.is_empty() && sheets.is_empty() {
        say(out, "Every label is printed already (--all prints them again).")?;
        return Ok(());
    }
    let page = pages::labels(&done(book.shop())?, (&rack, &sheets), args.single);
    interrupt::whole(|| folder::write_page(&args.out, &page))?;
    done(book.printed((&rack, &sheets)))?;
    let labels = words::count(rack.len() + sheets.len(), "label", "labels");
    say(out, &format!("Wrote {labels} to {}.", args.out.display()))?;
    Ok(())
}
