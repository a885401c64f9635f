//! What can go wrong with a book, each with what to do about it.

use std::path::{Path, PathBuf};

use rusqlite::{Error, ErrorCode};

use super::done::Done;
use crate::report::either::{pressed, typed};
use crate::shop::Unknown;
use crate::verify::Fault;

/// Why a book could not be read or changed. It is then as it was before.
#[derive(Debug, thiserror::Error)]
pub enum BookError {
    /// What was asked does not fit what the book has.
    #[error("{0}")]
    Wrong(String),
    /// There is no such file.
    #[error(
        "{}: there is no such book (the book is named first; begin one with \"longpoint open {} --from DIR\")",
        .0.display(), .0.display()
    )]
    Missing(PathBuf),
    /// The file is something else.
    #[error("{}: is not a book of Longpoint (is it the right file?)", .0.display())]
    NotABook(PathBuf),
    /// The book is of a later version.
    #[error(
        "{}: was written by a newer Longpoint (book version {found}, this one reads up to {known}; \
         use the newer program)", path.display()
    )]
    Newer {
        /// The book's file.
        path: PathBuf,
        /// Its version.
        found: i64,
        /// The latest that this program reads.
        known: i64,
    },
    /// The file is damaged.
    #[error(
        "the book is damaged: {0} (set the file aside, take your last backup in its place, and \
         enter again what was done since; nothing was changed)"
    )]
    Damaged(String),
    /// A step with the same token is in the book already; nothing was done again.
    #[error("that was done already: {0}; nothing was done again")]
    Repeated(Done),
    /// Somebody else changed the book since it was looked at.
    #[error("somebody else changed the book in the meantime, again and again; try once more")]
    Moved,
    /// Somebody else holds the book.
    #[error("the book is in use by another program for too long (close it, or try again)")]
    Busy,
    /// There is no room for the change, or the disk fails.
    #[error(
        "the book cannot be written, the disk is full or fails; nothing was changed (make room, or \
         lay the book on another disk, and try again)"
    )]
    Full,
    /// The book may not be written to.
    #[error(
        "the book or its folder may not be written to; nothing was changed (it lies on a \
         read-only disk, or belongs to somebody else)"
    )]
    ReadOnly,
    /// Anything else that the disk or the database says.
    #[error("the book cannot be used: {0}; nothing was changed")]
    Database(Error),
}

impl BookError {
    /// The same, naming the book's file in its mend, or what is pressed on the page.
    pub(super) fn told(self, path: &Path, is_pressed: bool) -> BookError {
        match self {
            BookError::Wrong(words) if is_pressed => BookError::Wrong(pressed(&words)),
            BookError::Wrong(words) => BookError::Wrong(naming(&typed(&words), path)),
            other => other,
        }
    }

    /// Whether it is for the user to mend what was given.
    pub fn is_wrong_input(&self) -> bool {
        use BookError::{Damaged, Missing, Newer, NotABook, Wrong};
        matches!(self, Wrong(_) | Missing(_) | NotABook(_) | Newer { .. } | Damaged(_))
    }
}

impl From<Unknown> for BookError {
    fn from(unknown: Unknown) -> BookError {
        BookError::Wrong(unknown.to_string())
    }
}

impl From<Error> for BookError {
    fn from(error: Error) -> BookError {
        match error.sqlite_error_code() {
            // What this program asks is always the same: if the database cannot follow,
            // it holds what was never written by us.
            Some(
                ErrorCode::DatabaseCorrupt
                | ErrorCode::NotADatabase
                | ErrorCode::ConstraintViolation
                | ErrorCode::Unknown,
            ) => BookError::Damaged(in_short(&error)),
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => BookError::Busy,
            Some(ErrorCode::DiskFull | ErrorCode::TooBig | ErrorCode::SystemIoFailure) => {
                BookError::Full
            }
            Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => {
                BookError::ReadOnly
            }
            _ => match error {
                Error::SqliteFailure(..) => BookError::Database(error),
                other => BookError::Damaged(in_short(&other)),
            },
        }
    }
}

/// What the database says, without the question that it was asked.
fn in_short(error: &Error) -> String {
    const MOST: usize = 120;
    error.to_string().lines().next().unwrap_or_default().chars().take(MOST).collect()
}

/// Stands in what is said for the book's file, as it is named where it was opened:
/// [`BookError::told`] sets that in. No word that is typed has it.
pub(super) const THIS_BOOK: char = '\u{1}';

/// Words with the book's file in the place that is left for it.
pub(super) fn naming(words: &str, path: &Path) -> String {
    words.replace(THIS_BOOK, &path.display().to_string())
}

/// What was asked is wrong.
pub(super) fn wrong<T>(words: impl Into<String>) -> Result<T, BookError> {
    Err(BookError::Wrong(words.into()))
}

/// A plan that its own check refuses is never taken.
pub(crate) fn unsound(faults: &[Fault]) -> BookError {
    let words: Vec<String> = faults.iter().map(ToString::to_string).collect();
    BookError::Damaged(format!(
        "a plan from it does not stand up to its check, which may be a mistake in Longpoint: {}",
        words.join("; ")
    ))
}
