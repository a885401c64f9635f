//! A book opened: the right file, of a version that is known.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;

use rusqlite::OpenFlags;

use super::error::BookError;
use super::ledger::{Book, connect};
use super::{migrate, read_only};

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
        Ok(Book { db, path: path.to_owned(), backed_up, is_pressed: false })
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
