//! A step that was done, as the book tells it.

use std::fmt;

use rusqlite::{Connection, OptionalExtension, Row};

use super::error::BookError;
use super::stamp::Stamp;

/// A step as it stands in the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Done {
    /// Its number.
    pub number: i64,
    /// The command that made it.
    pub what: String,
    /// When.
    pub at: String,
    /// Who made it.
    pub who: String,
}

impl Done {
    /// Whether it is the step that put everything into the book.
    pub fn is_beginning(&self) -> bool {
        self.what == "open"
    }
}

impl fmt::Display for Done {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        let by = if self.who.is_empty() { String::new() } else { format!(" by {}", self.who) };
        write!(f, "{} of {}{by} (step {})", self.what, self.at, self.number)
    }
}

pub(super) const DONE: &str = "SELECT id, what, at, who FROM step s";

pub(super) fn read(row: &Row) -> Result<Done, rusqlite::Error> {
    let (number, what) = (row.get(0)?, row.get(1)?);
    Ok(Done { number, what, at: row.get(2)?, who: row.get(3)? })
}

/// What carries a token that the book knows is not done again.
pub(super) fn once(db: &Connection, stamp: &Stamp) -> Result<(), BookError> {
    if stamp.token.is_empty() {
        return Ok(());
    }
    let known = format!("{DONE} WHERE token = ?");
    match db.query_row(&known, [&stamp.token], read).optional()? {
        None => Ok(()),
        Some(done) => Err(BookError::Repeated(done)),
    }
}
