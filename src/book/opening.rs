//! A book opened: the right file, of a version that is known.
//!
//! # Why the file is asked for nothing while it is a book
//!
//! A process that opens a file and closes it lets go of every lock that it has on it
//! (POSIX), those of its other connections too: then another program that comes and goes
//! takes away what stands beside the book and is not yet in it. So the beginning of the
//! file is looked at only where the database could not make anything of it.

use std::fs::File;
use std::io::Read;
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
        if std::fs::metadata(path).is_ok_and(|file| file.len() == 0) {
            return Err(BookError::NotABook(path.to_owned()));
        }
        let opened = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE).and_then(|mut db| {
            let backed_up = migrate::check(&mut db, path, migrate::VERSIONS)?;
            Ok((db, backed_up))
        });
        let (db, backed_up) = match opened {
            Err(BookError::ReadOnly) => (read_only::connect(path)?, None),
            Err(BookError::Damaged(_)) if is_something_else(path) => {
                return Err(BookError::NotABook(path.to_owned()));
            }
            other => other?,
        };
        Ok(Book { db, path: path.to_owned(), backed_up, is_pressed: false })
    }
}

/// Whether a file does not begin as databases do, damaged ones too.
fn is_something_else(path: &Path) -> bool {
    const BEGINS: &[u8; 16] = b"SQLite format 3\0";
    let mut begins = Vec::new();
    let read = File::open(path).and_then(|file| file.take(16).read_to_end(&mut begins));
    read.is_ok() && begins != BEGINS
}
