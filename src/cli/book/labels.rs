//! `longpoint labels`: labels to print for sticks and offcuts.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use crate::book::words;
use crate::book::{OnRack, RackQuery, pages};
use crate::cli::exit::WrongInput;
use crate::cli::interrupt;
use crate::measure::Length;
use crate::report::folder;
use crate::shop::{SheetStock, Shop, shown};

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
    /// One label a page, for a label printer; if its labels are not 89 x 50 mm, their size
    #[arg(long, value_name = "WxH", num_args = 0..=1, require_equals = true, default_missing_value = "89x50mm")]
    pub single: Option<String>,
}

/// Writes the page.
///
/// # Errors
/// [`WrongInput`] if a stick is not there; another error if the page cannot be
/// written.
pub fn run(args: &LabelsArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let shop = done(book.shop())?;
    let single = args.single.as_deref().map(|text| label_size(text, &shop)).transpose();
    let single = single.map_err(|fault| WrongInput(format!("--single: {fault}")))?;
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
    let page = pages::labels(&shop, (&rack, &sheets), single);
    interrupt::whole(|| folder::write_page(&args.out, &page))?;
    done(book.printed((&rack, &sheets)))?;
    let labels = words::count(rack.len() + sheets.len(), "label", "labels");
    say(out, &format!("Wrote {labels} to {}.", args.out.display()))?;
    Ok(())
}

/// A label's width and height; one too small to be read is none.
fn label_size(text: &str, shop: &Shop) -> Result<(Length, Length), String> {
    let (width, height) = shop.settings.read_size(text)?;
    let (narrow, wide) = (Length::from_mm(40), Length::from_mm(300));
    let (low, high) = (Length::from_mm(20), Length::from_mm(300));
    match (narrow..=wide).contains(&width) && (low..=high).contains(&height) {
        true => Ok((width, height)),
        false => {
            let style = shop.settings.style();
            Err(format!(
                "{:?} is no label that can be read: {} x {} (40 x 20 mm at the least and 300 mm at the \
                 most; write the unit, such as 60x40mm)",
                shown(text),
                style.show(width),
                style.show_unit(height)
            ))
        }
    }
}
