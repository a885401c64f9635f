//! The last step undone, by adding its opposite.

use rusqlite::types::Value;
use rusqlite::{OptionalExtension, params};

use super::error::wrong;
use super::field::Field;
use super::step::Step;
use super::{Book, BookError, Stamp, write};

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

impl Book {
    /// Undoes the last step that is neither undone nor an undoing itself. The
    /// step stays in the book, and so does its undoing.
    ///
    /// # Errors
    /// If there is none, or the book cannot be written.
    pub fn undo(&mut self, stamp: &Stamp) -> Result<Done, BookError> {
        let tx = write(&mut self.db)?;
        let last = tx
            .query_row(
                "SELECT id, what, at, who FROM step s WHERE undoes IS NULL AND NOT EXISTS
                   (SELECT 1 FROM step u WHERE u.undoes = s.id) ORDER BY id DESC LIMIT 1",
                [],
                |row| {
                    let (number, what) = (row.get(0)?, row.get(1)?);
                    Ok(Done { number, what, at: row.get(2)?, who: row.get(3)? })
                },
            )
            .optional()?;
        let Some(done) = last else { return wrong("there is no step to undo") };
        let step = Step::begin(&tx, "undo", stamp, Some(done.number))?;
        tx.execute(
            "INSERT INTO movement (step, stick, kind, nm, rail, other)
             SELECT ?, stick, kind, -nm, rail, other FROM movement WHERE step = ? ORDER BY id DESC",
            params![step.id, done.number],
        )?;
        put_back(&step, done.number)?;
        tx.commit()?;
        Ok(done)
    }
}

/// Sets every column that the step changed to what it was, the last first.
fn put_back(step: &Step, undone: i64) -> Result<(), BookError> {
    let sql = "SELECT field, row, was FROM note WHERE step = ? ORDER BY id DESC";
    let mut query = step.db().prepare(sql)?;
    let notes = query.query_map([undone], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
    for (field, row, was) in notes.collect::<Result<Vec<(String, i64, Value)>, _>>()? {
        let Some(field) = Field::named(&field) else {
            return Err(BookError::Damaged(format!("a note names no column: {field:?}")));
        };
        step.set(field, row, was)?;
    }
    Ok(())
}
