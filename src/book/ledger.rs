//! The open book: one look at it, one change of it.

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags, Transaction, TransactionBehavior};

use super::done::once;
use super::error::BookError;
use super::stamp::Stamp;
use super::step::Step;

/// How long a change waits for others who are writing.
const PATIENCE: Duration = Duration::from_secs(120);

/// An open book.
#[derive(Debug)]
pub struct Book {
    pub(super) db: Connection,
    pub(super) path: PathBuf,
    pub(super) backed_up: Option<PathBuf>,
    /// Whether who asks presses a page, and types no commands.
    pub(super) is_pressed: bool,
}

impl Book {
    /// The copy of the book as it was, if it was of an older version when it was
    /// opened and was upgraded.
    pub fn backed_up(&self) -> Option<&Path> {
        self.backed_up.as_deref()
    }

    /// Where it lies.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The same for the shop's page: what it refuses says what to press.
    #[must_use]
    pub fn for_page(self) -> Book {
        Book { is_pressed: true, ..self }
    }

    /// One look at the book, the same for all that is read during it.
    pub(super) fn look<T>(
        &self,
        work: impl FnOnce(&Connection) -> Result<T, BookError>,
    ) -> Result<T, BookError> {
        let tx = self.db.unchecked_transaction()?;
        work(&tx).map_err(|error| error.told(&self.path, self.is_pressed))
    }

    /// One change: all of it is in the book afterwards, or nothing.
    pub(super) fn change<T>(
        &mut self,
        what: &str,
        stamp: &Stamp,
        work: impl FnOnce(&Step) -> Result<T, BookError>,
    ) -> Result<T, BookError> {
        let tx = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        once(&tx, stamp)?;
        let step = Step::begin(&tx, what, stamp, None)?;
        let done = work(&step).map_err(|error| error.told(&self.path, self.is_pressed))?;
        tx.commit()?;
        Ok(done)
    }
}

/// How many steps the book has: it is the same book as long as this is the same.
pub(super) fn version(db: &Connection) -> Result<i64, BookError> {
    Ok(db.query_row("SELECT coalesce(max(id), 0) FROM step", [], |row| row.get(0))?)
}

pub(super) fn connect(path: &Path, flags: OpenFlags) -> Result<Connection, BookError> {
    let db = Connection::open_with_flags(path, flags | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    db.busy_timeout(PATIENCE)?;
    db.pragma_update(None, "foreign_keys", true)?;
    db.pragma_update(None, "synchronous", "FULL")?;
    Ok(db)
}

/// Rolls back unless it is committed.
pub(super) fn write(db: &mut Connection) -> Result<Transaction<'_>, BookError> {
    Ok(db.transaction_with_behavior(TransactionBehavior::Immediate)?)
}
