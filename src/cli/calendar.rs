//! `longpoint calendar`: due dates for the shop's own calendar.

use std::io::Write;
use std::path::PathBuf;

use jiff::civil::Date;

use super::book::opened::{done, open_book};
use super::{clock, shop};
use crate::report::calendar_ics;

/// What `longpoint calendar` is told.
#[derive(Debug, clap::Args)]
pub struct CalendarArgs {
    /// The shop folder, or a book
    pub dir: PathBuf,
    /// The day; without it, today by this computer's clock
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = clock::date)]
    pub today: Option<Date>,
}

/// Prints them as a file that calendars read.
///
/// # Errors
/// [`WrongInput`](super::exit::WrongInput) with every fault in the folder; another
/// error if `out` cannot be written to.
pub fn run(args: &CalendarArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let today = clock::day(args.today)?;
    let shop = match args.dir.is_file() {
        true => done(open_book(&args.dir)?.unfinished(today))?,
        false => shop::open(&args.dir)?,
    };
    out.write_all(calendar_ics::due_dates(&shop, today).as_bytes())?;
    Ok(())
}
