//! The commands of the book: one file a command.

pub mod audit;
pub mod backup;
pub mod bench;
pub mod cancel;
mod clear;
pub mod correct;
pub mod count;
pub mod cut;
pub mod export;
pub mod figures;
pub mod finish;
pub mod flaw;
pub mod labels;
pub mod open;
pub mod order;
pub mod put_back;
pub mod rack;
pub mod receive;
pub mod refresh;
pub mod replan;
pub mod scrap;
pub mod spoil;
pub mod stick;
pub mod take;
pub mod undo;
mod words;

use std::io::Write;
use std::path::Path;

use jiff::civil::{Date, DateTime};

use super::{WrongInput, effort, plan, threads};
use crate::book::{Book, BookError, Snapshot, Stamp};
use crate::cli::clock;
use crate::morning::plan_as_wished;
use crate::plan::{Plan, Wishes};
use crate::report::text::paged;
use crate::shop::{read_code, read_words};
use crate::verify::Verified;

/// The book where none is named.
const BOOK: &str = "shop.book";

/// How often a plan is made anew because somebody else changed the book.
const TRIES: usize = 20;

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
    fn stamp(&self) -> anyhow::Result<Stamp> {
        let at = self.at.map_or_else(clock::now, Ok)?;
        Ok(Stamp { at, by: self.by.clone(), why: self.why.clone(), token: self.token.clone() })
    }

    /// The day that is planned: the one asked for, or that of the step.
    fn date(&self, today: Option<Date>) -> anyhow::Result<Date> {
        today.map_or_else(|| Ok(self.stamp()?.at.date()), Ok)
    }
}

fn time(read: &str) -> Result<DateTime, String> {
    let time: Option<DateTime> = read.parse().ok();
    time.filter(|time| plan::in_range(time.year()))
        .ok_or_else(|| "write it as 2026-11-25T08:30".to_owned())
}

fn words(read: &str) -> Result<String, String> {
    read_words(read).map_err(|problem| problem.to_string())
}

fn code(read: &str) -> Result<String, String> {
    read_code(read).map_err(|problem| problem.to_string())
}

/// Writes words in lines of at most eighty columns.
fn say(out: &mut dyn Write, text: &str) -> anyhow::Result<()> {
    out.write_all(paged(text).as_bytes())?;
    Ok(())
}

/// What the book says, in the words of the command line.
///
/// # Errors
/// [`WrongInput`] where the user is to mend something.
pub(super) fn done<T>(result: Result<T, BookError>) -> anyhow::Result<T> {
    result.map_err(|error| match error.is_wrong_input() {
        true => WrongInput(error.to_string()).into(),
        false => error.into(),
    })
}

/// Opens a book, and says so if it was an older one.
pub(super) fn open_book(path: &Path) -> anyhow::Result<Book> {
    let book = done(Book::open(path))?;
    if let Some(copy) = book.backed_up() {
        eprintln!(
            "{} was written by an older Longpoint and was upgraded; the original is kept in {}.",
            path.display(),
            copy.display()
        );
    }
    Ok(book)
}

/// Plans on a snapshot, while others may write, and tries again as long as
/// somebody did.
fn on_snapshot<T>(
    book: &mut Book,
    wishes: &dyn Fn(&Snapshot) -> anyhow::Result<Wishes>,
    (date, search): (Date, effort::Search),
    mut then: impl FnMut(&mut Book, &Snapshot, Verified<Plan>) -> Result<T, BookError>,
) -> anyhow::Result<T> {
    while_others_write(book, |book| {
        let snapshot = done(book.snapshot())?;
        let wishes = wishes(&snapshot)?;
        let plan = planned(&snapshot, date, &wishes, search)?;
        Ok(then(book, &snapshot, plan))
    })
}

/// Does what rests on a look at the book, and does it anew as long as somebody
/// wrote since that look.
fn while_others_write<T>(
    book: &mut Book,
    mut attempt: impl FnMut(&mut Book) -> anyhow::Result<Result<T, BookError>>,
) -> anyhow::Result<T> {
    for _ in 0..TRIES {
        match attempt(book)? {
            Err(BookError::Moved) => {}
            other => return done(other),
        }
    }
    done(Err(BookError::Moved))
}

fn planned(
    snapshot: &Snapshot,
    date: Date,
    wishes: &Wishes,
    search: effort::Search,
) -> anyhow::Result<Verified<Plan>> {
    let shop = &snapshot.shop;
    let plan = threads::pool(None)?.install(|| plan_as_wished(shop, date, wishes, search.limits()));
    plan.or_else(|faults| plan::wrong(&faults))
}
