//! A book begun from a shop folder.

use std::fs;
use std::path::Path;

use rusqlite::{Connection, OpenFlags, Transaction};

use super::backup::{self, Journal};
use super::error::{BookError, wrong};
use super::ledger::{Book, connect, write};
use super::source_files::{self, Files};
use super::stamp::Stamp;
use super::step::{MovementKind, NewStick, Step};
use super::{migrate, rack};
use crate::shop::Shop;

impl Book {
    /// Begins a book in a new file, or fills one whose beginning was undone.
    /// `shop` is what `files` were read as.
    ///
    /// A new book has its name only once all of it is on the disk.
    ///
    /// # Errors
    /// If there is a book with something in it, or it cannot be written.
    pub fn begin(
        path: &Path,
        (shop, files): (&Shop, &Files),
        stamp: &Stamp,
    ) -> Result<Book, BookError> {
        if is_blank(path) {
            // What an older program was broken off in is as good as none.
            for end in ["-wal", "-shm", ""] {
                let mut name = path.as_os_str().to_owned();
                name.push(end);
                let _ = fs::remove_file(Path::new(&name));
            }
        }
        if !path.exists() {
            let mut new = Connection::open_in_memory()?;
            let tx = new.transaction()?;
            migrate::create(&tx)?;
            fill(&tx, (shop, files), stamp)?;
            tx.commit()?;
            backup::copy(&new, path, Journal::Wal)?;
            return Book::open(path);
        }
        let mut book = Book::open(path)?;
        let tx = write(&mut book.db)?;
        if !source_files::files(&tx)?.is_empty() {
            return wrong(format!(
                "{} is a book already, and nothing is overwritten (take over changed files with \
                 \"longpoint refresh\", or name a new file)",
                path.display()
            ));
        }
        fill(&tx, (shop, files), stamp)?;
        tx.commit()?;
        Ok(book)
    }
}

/// The first step of a book: the files as they were typed, and the rack.
fn fill(tx: &Transaction, (shop, files): (&Shop, &Files), stamp: &Stamp) -> Result<(), BookError> {
    let step = Step::begin(tx, "open", stamp, None)?;
    source_files::keep(&step, files)?;
    for stick in &shop.rack {
        let new = NewStick {
            name: &stick.id,
            moulding: &stick.moulding,
            lot: &stick.lot,
            place: &stick.place,
            flaws: &rack::write_flaws(&stick.flaws),
            since: stick.since,
            ..NewStick::default()
        };
        step.moved(step.stick(&new)?, MovementKind::Opened, stick.length, None)?;
    }
    step.open_sheets(&shop.sheets)
}

/// Whether there is a database with nothing in it at all.
fn is_blank(path: &Path) -> bool {
    let tables = "SELECT count(*) FROM sqlite_schema";
    let count = |db: Connection| db.query_row(tables, [], |row| row.get::<_, i64>(0));
    let reads = OpenFlags::SQLITE_OPEN_READ_WRITE;
    path.is_file() && connect(path, reads).is_ok_and(|db| matches!(count(db), Ok(0)))
}
