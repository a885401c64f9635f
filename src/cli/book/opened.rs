//! A book opened, planned on, and what it says in the words of the command line.

use std::io::Write;
use std::path::Path;

use jiff::civil::{Date, Time};

use crate::book::{Book, BookError, Snapshot, Stamp, TRIES};
use crate::cli::exit::{WrongInput, plan_stands};
use crate::cli::{clock, effort, progress, threads};
use crate::morning::plan_telling;
use crate::plan::{Plan, Wishes};
use crate::report::text::paged;
use crate::shop::Shop;
use crate::verify::Verified;

/// Writes words in lines of at most eighty columns.
pub(super) fn say(out: &mut dyn Write, text: &str) -> anyhow::Result<()> {
    out.write_all(paged(text).as_bytes())?;
    Ok(())
}

/// What the book says, in the words of the command line.
///
/// # Errors
/// [`WrongInput`] where the user is to mend something.
pub(in crate::cli) fn done<T>(result: Result<T, BookError>) -> anyhow::Result<T> {
    result.map_err(|error| match error.is_wrong_input() {
        true => WrongInput(error.to_string()).into(),
        false => error.into(),
    })
}

/// Opens a book, and says so if it was an older one.
pub(in crate::cli) fn open_book(path: &Path) -> anyhow::Result<Book> {
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

/// Plans a day, from a time of it on where one is known, on a snapshot, while others may
/// write, and tries again as long as somebody did.
pub(super) fn on_snapshot<T>(
    book: &mut Book,
    wishes: &dyn Fn(&Snapshot) -> anyhow::Result<Wishes>,
    ((date, time), search): ((Date, Option<Time>), effort::SearchOptions),
    mut then: impl FnMut(&mut Book, &Snapshot, Verified<Plan>) -> Result<T, BookError>,
) -> anyhow::Result<T> {
    while_others_write(book, |book| {
        let mut snapshot = done(book.snapshot())?;
        snapshot.shop = clock::at(snapshot.shop, date, time);
        let wishes = wishes(&snapshot)?;
        let plan = planned(&snapshot, date, &wishes, search)?;
        Ok(then(book, &snapshot, plan))
    })
}

/// Does what rests on a look at the book, and does it anew as long as somebody
/// wrote since that look.
pub(in crate::cli) fn while_others_write<T>(
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

pub(super) fn planned(
    snapshot: &Snapshot,
    date: Date,
    wishes: &Wishes,
    search: effort::SearchOptions,
) -> anyhow::Result<Verified<Plan>> {
    let shop = &snapshot.shop;
    let pool = threads::pool(None)?;
    let plan = progress::by_moulding(|told| {
        pool.install(|| plan_telling(shop, date, wishes, search.limits(), told))
    });
    plan_stands(plan)
}

/// The plan of what stands in the book at the time of a step, and its shop.
pub(super) fn morning(
    book: &Book,
    stamp: &Stamp,
    search: effort::SearchOptions,
) -> anyhow::Result<(Shop, Verified<Plan>)> {
    let mut snapshot = done(book.snapshot())?;
    snapshot.shop = snapshot.shop.at(stamp.at.date(), stamp.at.time());
    let plan = planned(&snapshot, stamp.at.date(), &Wishes::default(), search)?;
    Ok((snapshot.shop, plan))
}
