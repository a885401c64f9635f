//! The book: the shop's ledger of sticks and offcuts, frames and orders.
//!
//! One SQLite file. What people typed is kept as they typed it; each
//! stick's length is the sum of its movements, which are only ever added to; the
//! few columns that have a state note every change. So every command is one
//! step in one transaction, and any step can be undone by adding
//! its opposite.

mod audit;
mod back;
mod backup;
mod begin;
mod bench;
mod cancel;
mod card;
mod correct;
mod count;
mod cut;
mod debts;
mod error;
mod export;
mod family;
mod field;
mod figures;
mod finish;
mod flaw;
mod lays;
mod length;
mod migrate;
pub mod pages;
mod papers;
mod printed;
mod purchase;
mod rack;
mod read_only;
mod receive;
mod refresh;
mod remains;
mod replan;
mod scrap;
mod spare;
mod spelt;
mod spoil;
mod step;
mod supplied;
mod take;
mod undo;

pub use audit::Audit;
pub use bench::{AtBench, BenchStick, Owed};
pub use cancel::Cancelled;
pub use correct::{Corrected, Correction};
pub use count::{Counted, Difference, Found};
pub use cut::Cut;
pub use debts::Debts;
pub use error::BookError;
pub use family::{Event, History};
pub use figures::{Figures, Month, Use};
pub use finish::Finished;
pub use lays::{LaidRail, Lay, State};
pub use papers::Snapshot;
pub use purchase::{OpenLine, Ordered, Pages, pages as order_pages};
pub use rack::{OnRack, Wanted};
pub use receive::{Came, Delivery};
pub use refresh::Refreshed;
pub use replan::{Again, Day, Draft, Replanned};
pub use scrap::Scrapped;
pub use spare::Given;
pub use spoil::{Spoilt, Which};
pub use take::Taken;
pub use undo::Done;

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::time::Duration;

use jiff::civil::DateTime;
use rusqlite::{Connection, OpenFlags, Transaction, TransactionBehavior};

use step::Step;

/// How long a change waits for others who are writing.
const PATIENCE: Duration = Duration::from_secs(120);

/// Who makes a change, when and why. The time comes from the caller.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamp {
    /// When, by the shop's own clock.
    pub at: DateTime,
    /// Who; empty if nobody said.
    pub by: String,
    /// Why; empty if nobody said.
    pub why: String,
    /// A token of whoever asks: what carries one that the book knows already is
    /// not done again. Empty if none was given.
    pub token: String,
}

/// An open book.
#[derive(Debug)]
pub struct Book {
    db: Connection,
    path: PathBuf,
    backed_up: Option<PathBuf>,
}

impl Book {
    /// Opens a book that is there; one that may not be written to, to read it.
    ///
    /// # Errors
    /// If there is none, or the file is something else, damaged, or written by a
    /// newer program.
    pub fn open(path: &Path) -> Result<Book, BookError> {
        if !path.is_file() {
            return Err(BookError::Missing(path.to_owned()));
        }
        if !is_database(path) {
            return Err(BookError::NotABook(path.to_owned()));
        }
        let opened = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE).and_then(|mut db| {
            let backed_up = migrate::check(&mut db, path, migrate::VERSIONS)?;
            Ok((db, backed_up))
        });
        let (db, backed_up) = match opened {
            Err(BookError::ReadOnly) => (read_only::connect(path)?, None),
            other => other?,
        };
        Ok(Book { db, path: path.to_owned(), backed_up })
    }

    /// The copy of the book as it was, if it was of an older version when it was
    /// opened and is led on now.
    pub fn backed_up(&self) -> Option<&Path> {
        self.backed_up.as_deref()
    }

    /// Where it lies.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// One look at the book, the same for all that is read during it.
    fn look<T>(
        &self,
        work: impl FnOnce(&Connection) -> Result<T, BookError>,
    ) -> Result<T, BookError> {
        let tx = self.db.unchecked_transaction()?;
        work(&tx).map_err(|error| error.naming(&self.path))
    }

    /// One change: all of it is in the book afterwards, or nothing.
    fn change<T>(
        &mut self,
        what: &str,
        stamp: &Stamp,
        work: impl FnOnce(&Step) -> Result<T, BookError>,
    ) -> Result<T, BookError> {
        let tx = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        undo::once(&tx, stamp)?;
        let step = Step::begin(&tx, what, stamp, None)?;
        let done = work(&step).map_err(|error| error.naming(&self.path))?;
        tx.commit()?;
        Ok(done)
    }
}

/// Whether a file begins as databases do, damaged ones too. One that cannot be
/// read is for the database to name.
fn is_database(path: &Path) -> bool {
    const BEGINS: &[u8; 16] = b"SQLite format 3\0";
    let mut begins = [0; BEGINS.len()];
    let read = File::open(path).and_then(|mut file| file.read_exact(&mut begins));
    match read {
        Ok(()) => begins == *BEGINS,
        Err(error) => error.kind() != ErrorKind::UnexpectedEof,
    }
}

/// How many steps the book has: it is the same book as long as this is the same.
fn version(db: &Connection) -> Result<i64, BookError> {
    Ok(db.query_row("SELECT coalesce(max(id), 0) FROM step", [], |row| row.get(0))?)
}

fn connect(path: &Path, flags: OpenFlags) -> Result<Connection, BookError> {
    let db = Connection::open_with_flags(path, flags | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    db.busy_timeout(PATIENCE)?;
    db.pragma_update(None, "foreign_keys", true)?;
    db.pragma_update(None, "synchronous", "FULL")?;
    Ok(db)
}

/// Rolls back unless it is committed.
fn write(db: &mut Connection) -> Result<Transaction<'_>, BookError> {
    Ok(db.transaction_with_behavior(TransactionBehavior::Immediate)?)
}
