//! Which book, and who changes it, when and why.

use jiff::civil::{Date, DateTime};

use crate::book::Stamp;
use crate::cli::clock;
use crate::shop::{read_code, read_words};

/// The book where none is named.
pub(in crate::cli) const BOOK: &str = "shop.book";

/// Who makes a change, when and why.
#[derive(Debug, clap::Args)]
pub struct Signed {
    /// Who does this; it stands in the book beside the step
    #[arg(
        long,
        value_name = "NAME",
        env = "LONGPOINT_BY",
        default_value = "",
        value_parser = words
    )]
    pub by: String,
    /// Why; it stands in the book beside the step
    #[arg(long, value_name = "TEXT", default_value = "", value_parser = words)]
    pub why: String,
    /// When; without it, now by this computer's clock
    #[arg(long, value_name = "YYYY-MM-DDTHH:MM", value_parser = time)]
    pub at: Option<DateTime>,
    /// A token of your own for this step: said again with the same token, it is
    /// not done again
    #[arg(long, value_name = "TOKEN", default_value = "", value_parser = code)]
    pub token: String,
}

impl Signed {
    /// The only place that asks the clock for the book.
    pub(in crate::cli) fn stamp(&self) -> anyhow::Result<Stamp> {
        let at = self.at.map_or_else(clock::now, Ok)?;
        Ok(Stamp { at, by: self.by.clone(), why: self.why.clone(), token: self.token.clone() })
    }

    /// The day that is planned: the one asked for, or that of the step.
    pub(in crate::cli) fn date(&self, today: Option<Date>) -> anyhow::Result<Date> {
        today.map_or_else(|| Ok(self.stamp()?.at.date()), Ok)
    }
}

pub(in crate::cli) fn time(read: &str) -> Result<DateTime, String> {
    let time: Option<DateTime> = read.parse().ok();
    time.filter(|time| clock::in_range(time.year()))
        .ok_or_else(|| "write it as 2026-11-25T08:30".to_owned())
}

pub(in crate::cli) fn words(read: &str) -> Result<String, String> {
    read_words(read).map_err(|problem| problem.to_string())
}

pub(in crate::cli) fn code(read: &str) -> Result<String, String> {
    read_code(read).map_err(|problem| problem.to_string())
}
