//! `longpoint figures`: yield, offcuts, scrap and spoiled rails.

use std::io::Write;
use std::path::PathBuf;

use jiff::civil::Date;

use super::opened::{done, open_book};
use super::signed::BOOK;
use crate::book::{Figures, pages};
use crate::cli::clock::date;
use crate::cli::{clock, interrupt};
use crate::report::{folder, workbook};
use crate::shop::Shop;

/// What `longpoint figures` is told.
#[derive(Debug, clap::Args)]
pub struct FiguresArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// Boards and glass alone, material by material
    #[arg(long, conflicts_with = "html")]
    pub sheets: bool,
    /// Write a table for a spreadsheet to standard output instead
    #[arg(long, conflicts_with = "html")]
    pub csv: bool,
    /// Also write a page with charts here
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
    /// Also write the table as a workbook here
    #[arg(long, value_name = "FILE.xlsx")]
    pub xlsx: Option<PathBuf>,
    /// The day that the workbook says it is of; without it, today by this computer's clock
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = date, requires = "xlsx")]
    pub today: Option<Date>,
}

/// The table that is asked for.
fn table(args: &FiguresArgs, figures: &Figures, shop: &Shop) -> String {
    match args.sheets {
        true => pages::sheet_figures_csv(figures, shop),
        false => pages::figures_csv(figures, shop),
    }
}

/// Shows the figures.
///
/// # Errors
/// If the book cannot be read or the page cannot be written.
pub fn run(args: &FiguresArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let book = open_book(&args.book)?;
    let (figures, shop) = (done(book.figures())?, done(book.shop())?);
    if let Some(path) = &args.html {
        let page = pages::figures_html(&figures, &shop);
        interrupt::whole(|| folder::write_page(path, &page))?;
    }
    if let Some(path) = &args.xlsx {
        let table = table(args, &figures, &shop);
        let book = workbook::workbook("figures", &table, clock::day(args.today)?)?;
        interrupt::whole(|| folder::write_workbook(path, &book))?;
    }
    let text = match args.csv {
        true => table(args, &figures, &shop),
        false if args.sheets => pages::sheet_figures_text(&figures, &shop),
        false => pages::figures_text(&figures, &shop),
    };
    out.write_all(text.as_bytes())?;
    Ok(())
}
