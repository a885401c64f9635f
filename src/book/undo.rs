//! The last step undone, by adding its opposite.

use rusqlite::types::Value;
use rusqlite::{Connection, OptionalExtension, Transaction, params};

use super::done::{DONE, Done, once, read};
use super::error::{BookError, THIS_BOOK, wrong};
use super::field::Field;
use super::journal::STANDS;
use super::ledger::{Book, write};
use super::stamp::Stamp;
use super::step::Step;

impl Book {
    /// Undoes the last step that is neither undone nor an undoing itself; with
    /// `asked`, that step must be it. Without, it must be one of whoever undoes
    /// it: with several people at one book the last step may be another's. Nor is
    /// the beginning of the book undone unless it is named. The step stays in the book, and
    /// so does its undoing.
    ///
    /// # Errors
    /// If there is none, it is not the last or another's, or the book cannot be
    /// written.
    pub fn undo(&mut self, asked: Option<i64>, stamp: &Stamp) -> Result<Done, BookError> {
        let undone = undo(write(&mut self.db)?, asked, stamp);
        undone.map_err(|error| error.told(&self.path, self.is_pressed))
    }
}

fn undo(tx: Transaction, asked: Option<i64>, stamp: &Stamp) -> Result<Done, BookError> {
    once(&tx, stamp)?;
    let mut later = standing(&tx, asked)?;
    let Some(done) = later.pop() else { return none_to_undo(&tx, asked) };
    if !later.is_empty() {
        let later: Vec<String> = later.iter().map(Done::to_string).collect();
        return wrong(format!(
            "{done} is not the last; after it came, the latest first: {} (undo those before it)",
            later.join("; ")
        ));
    }
    if asked.is_none() && done.is_beginning() {
        return wrong(format!(
            "the last step is the beginning of the book, without which nothing is left in it: {done} \
             (if it is meant, name it: longpoint undo {THIS_BOOK} {})",
            done.number
        ));
    }
    if asked.is_none() && done.who != stamp.by {
        return wrong(format!(
            "the last step is somebody else's: {done} (if it is meant, name it: longpoint undo \
                 {THIS_BOOK} {})",
            done.number
        ));
    }
    let step = Step::begin(&tx, "undo", stamp, Some(done.number))?;
    tx.execute(
        "INSERT INTO movement (step, stick, kind, nm, rail, other)
             SELECT ?, stick, kind, -nm, rail, other FROM movement WHERE step = ? ORDER BY id DESC",
        params![step.id, done.number],
    )?;
    tx.execute(
        "INSERT INTO sheet_movement (step, sheet, kind, count, width, height, cut)
             SELECT ?, sheet, kind, -count, width, height, cut FROM sheet_movement
             WHERE step = ? ORDER BY id DESC",
        params![step.id, done.number],
    )?;
    put_back(&step, done.number)?;
    tx.commit()?;
    Ok(done)
}

/// The steps that are neither undone nor an undoing, the last first: down to the
/// one that is asked for, or the last alone.
fn standing(db: &Connection, asked: Option<i64>) -> Result<Vec<Done>, BookError> {
    let sql = format!("{DONE} WHERE {STANDS} AND id >= ?1 ORDER BY id DESC LIMIT ?2");
    let mut query = db.prepare(&sql)?;
    let most = if asked.is_some() { -1 } else { 1 };
    let rows = query.query_map(params![asked.unwrap_or(0), most], read)?;
    let steps: Vec<Done> = rows.collect::<Result<_, _>>()?;
    let stands = asked.is_none_or(|asked| steps.last().is_some_and(|step| step.number == asked));
    Ok(if stands { steps } else { Vec::new() })
}

fn none_to_undo<T>(db: &Connection, asked: Option<i64>) -> Result<T, BookError> {
    let Some(asked) = asked else { return wrong("there is no step to undo") };
    let known = db.query_row(&format!("{DONE} WHERE id = ?"), [asked], read).optional()?;
    match known {
        None => wrong(format!("there is no step {asked} in the book")),
        Some(done) if done.what == "undo" => wrong(format!("{done} is an undoing and stays")),
        Some(done) => wrong(format!("{done} is undone already")),
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
