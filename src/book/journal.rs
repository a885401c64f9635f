//! The steps of the book, to look at, and how far it is.

use rusqlite::{Connection, OptionalExtension, Row, params};

use super::done::{DONE, Done, read};
use super::error::BookError;
use super::ledger::{Book, version};

/// A step as the book lists it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoggedStep {
    /// What was done, when and by whom.
    pub done: Done,
    /// Why; empty if nobody said.
    pub why: String,
    /// The step that it undoes.
    pub undoes: Option<i64>,
    /// The step that undid it.
    pub undone_by: Option<i64>,
}

/// In a query of `step s`: neither undone nor an undoing.
pub(super) const STANDS: &str =
    "s.undoes IS NULL AND NOT EXISTS (SELECT 1 FROM step u WHERE u.undoes = s.id)";

const LOGGED: &str = "SELECT s.id, s.what, s.at, s.who, s.why, s.undoes,
    (SELECT u.id FROM step u WHERE u.undoes = s.id) FROM step s";

fn logged(row: &Row) -> Result<LoggedStep, rusqlite::Error> {
    let (done, why) = (read(row)?, row.get(4)?);
    Ok(LoggedStep { done, why, undoes: row.get(5)?, undone_by: row.get(6)? })
}

impl LoggedStep {
    /// Whether it can be undone once it is the last that can.
    pub fn stands(&self) -> bool {
        self.undoes.is_none() && self.undone_by.is_none()
    }
}

impl Book {
    /// How many steps the book has: as long as that is the same, so is the shop.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn version(&self) -> Result<i64, BookError> {
        version(&self.db)
    }

    /// A number that is another one whenever somebody else wrote to the file.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn others_wrote(&self) -> Result<i64, BookError> {
        Ok(self.db.pragma_query_value(None, "data_version", |row| row.get(0))?)
    }

    /// So many of the last steps, the last first; those of one day, if one is said.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn steps(&self, day: Option<&str>, most: u32) -> Result<Vec<LoggedStep>, BookError> {
        self.look(|db| {
            let sql = format!(
                "{LOGGED} WHERE ?1 IS NULL OR substr(s.at, 1, 10) = ?1 ORDER BY s.id DESC LIMIT ?2"
            );
            let mut query = db.prepare_cached(&sql)?;
            let rows = query.query_map(params![day, most], logged)?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// A step by its number.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn step(&self, number: i64) -> Result<Option<LoggedStep>, BookError> {
        self.look(|db| step(db, number))
    }

    /// The last step that stands.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn last_step(&self) -> Result<Option<LoggedStep>, BookError> {
        self.look(last_step)
    }

    /// The step that was made with a token, if any was.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn step_of(&self, token: &str) -> Result<Option<Done>, BookError> {
        self.look(|db| {
            let mut query = db.prepare_cached(&format!("{DONE} WHERE token = ?"))?;
            Ok(query.query_row([token], read).optional()?)
        })
    }
}

/// A step by its number.
pub(super) fn step(db: &Connection, number: i64) -> Result<Option<LoggedStep>, BookError> {
    let mut query = db.prepare_cached(&format!("{LOGGED} WHERE s.id = ?"))?;
    Ok(query.query_row([number], logged).optional()?)
}

/// The last step that stands.
pub(super) fn last_step(db: &Connection) -> Result<Option<LoggedStep>, BookError> {
    let sql = format!("{LOGGED} WHERE {STANDS} ORDER BY s.id DESC LIMIT 1");
    Ok(db.prepare_cached(&sql)?.query_row([], logged).optional()?)
}
