//! One step: everything that one command changes, with who, when and why.

use jiff::civil::Date;
use rusqlite::types::Value;
use rusqlite::{Connection, OptionalExtension, Transaction, params};

use super::error::BookError;
use super::field::Field;
use super::stamp::Stamp;
use crate::measure::Length;

/// Why a stick's length changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum MovementKind {
    Opened,
    Received,
    Rail,
    Spoiled,
    Joint,
    Trim,
    Scrap,
    Counted,
}

impl MovementKind {
    pub fn word(self) -> &'static str {
        match self {
            MovementKind::Opened => "opened",
            MovementKind::Received => "received",
            MovementKind::Rail => "rail",
            MovementKind::Spoiled => "spoiled",
            MovementKind::Joint => "joint",
            MovementKind::Trim => "trim",
            MovementKind::Scrap => "scrap",
            MovementKind::Counted => "counted",
        }
    }
}

/// A stick as it comes into the book.
#[derive(Debug, Clone, Default)]
pub(super) struct NewStick<'a> {
    pub name: &'a str,
    pub moulding: &'a str,
    pub lot: &'a str,
    pub parent: Option<i64>,
    pub place: &'a str,
    pub flaws: &'a str,
    pub since: Option<Date>,
    pub job: Option<i64>,
    /// The line of an order that it came for.
    pub line: Option<i64>,
}

/// A change that is being written.
pub(super) struct Step<'t> {
    pub tx: &'t Transaction<'t>,
    pub id: i64,
    /// The day on which it is made.
    pub date: Date,
}

impl<'t> Step<'t> {
    pub fn begin(
        tx: &'t Transaction<'t>,
        what: &str,
        stamp: &Stamp,
        undoes: Option<i64>,
    ) -> Result<Step<'t>, BookError> {
        let at = stamp.at.strftime("%Y-%m-%dT%H:%M:%S").to_string();
        let token = Some(&stamp.token).filter(|token| !token.is_empty());
        tx.execute(
            "INSERT INTO step (at, who, what, why, undoes, token) VALUES (?, ?, ?, ?, ?, ?)",
            params![at, stamp.by, what, stamp.why, undoes, token],
        )?;
        Ok(Step { tx, id: tx.last_insert_rowid(), date: stamp.at.date() })
    }

    /// The book as it is within this step.
    pub fn db(&self) -> &Connection {
        self.tx
    }

    /// Sets a column that has a state, and notes what it was.
    pub fn set(&self, field: Field, row: i64, value: impl Into<Value>) -> Result<(), BookError> {
        let (table, column) = field.column();
        let value = value.into();
        let was: Value = self
            .tx
            .prepare_cached(&format!("SELECT {column} FROM {table} WHERE id = ?"))?
            .query_row([row], |found| found.get(0))?;
        if was == value {
            return Ok(());
        }
        self.tx
            .prepare_cached(&format!("UPDATE {table} SET {column} = ? WHERE id = ?"))?
            .execute(params![value, row])?;
        self.tx
            .prepare_cached(
                "INSERT INTO note (step, field, row, was, is_now) VALUES (?, ?, ?, ?, ?)",
            )?
            .execute(params![self.id, field.name(), row, was, value])?;
        Ok(())
    }

    /// Notes that the step is of a row, of which this may stay as it is.
    pub fn again(&self, field: Field, row: i64) -> Result<(), BookError> {
        let (table, column) = field.column();
        self.tx.execute(
            &format!(
                "INSERT INTO note (step, field, row, was, is_now)
                 SELECT ?, ?, id, {column}, {column} FROM {table} WHERE id = ?"
            ),
            params![self.id, field.name(), row],
        )?;
        Ok(())
    }

    /// Writes down that length came to a stick, or, below zero, went from it.
    pub fn moved(
        &self,
        stick: i64,
        kind: MovementKind,
        length: Length,
        rail: Option<i64>,
    ) -> Result<(), BookError> {
        if length != Length::ZERO {
            self.tx
                .prepare_cached(
                    "INSERT INTO movement (step, stick, kind, nm, rail) VALUES (?, ?, ?, ?, ?)",
                )?
                .execute(params![self.id, stick, kind.word(), length.nm(), rail])?;
        }
        Ok(())
    }

    /// Enters a stick that has no length yet. One whose step was undone may come
    /// again under its own name.
    pub fn stick(&self, new: &NewStick) -> Result<i64, BookError> {
        let known = self
            .tx
            .prepare_cached("SELECT id, moulding, lot, parent FROM stick WHERE name = ?")?
            .query_row([new.name], |row| {
                let of: (String, String, Option<i64>) = (row.get(1)?, row.get(2)?, row.get(3)?);
                Ok((row.get::<_, i64>(0)?, of))
            })
            .optional()?;
        let id = match known {
            Some((id, (moulding, lot, parent))) => {
                let same = (moulding.as_str(), lot.as_str(), parent)
                    == (new.moulding, new.lot, new.parent);
                if !same || !self.never_was(id)? {
                    return super::error::wrong(format!(
                        "{:?} is the label of another stick, and labels are never used again \
                         (choose another)",
                        new.name
                    ));
                }
                id
            }
            None => {
                self.tx
                    .prepare_cached(
                        "INSERT INTO stick (name, moulding, lot, parent, step, line)
                         VALUES (?, ?, ?, ?, ?, ?)",
                    )?
                    .execute(params![
                        new.name,
                        new.moulding,
                        new.lot,
                        new.parent,
                        self.id,
                        new.line
                    ])?;
                self.tx.last_insert_rowid()
            }
        };
        self.set(Field::StickPlace, id, new.place.to_owned())?;
        self.set(Field::StickFlaws, id, new.flaws.to_owned())?;
        self.set(Field::StickSince, id, new.since.map(|date| date.to_string()))?;
        self.set(Field::StickJob, id, new.job)?;
        Ok(id)
    }

    /// Whether every movement of a stick was undone.
    fn never_was(&self, stick: i64) -> Result<bool, BookError> {
        let left: i64 = self.tx.query_row(
            "SELECT count(*) FROM (SELECT 1 FROM movement WHERE stick = ?
             GROUP BY kind, rail HAVING sum(nm) <> 0)",
            [stick],
            |row| row.get(0),
        )?;
        Ok(left == 0)
    }

    /// Writes down that so much of one stick became another.
    pub fn parted(
        &self,
        (from, to): (i64, i64),
        length: Length,
        rail: Option<i64>,
    ) -> Result<(), BookError> {
        let mut insert = self.tx.prepare_cached(
            "INSERT INTO movement (step, stick, kind, nm, rail, other) VALUES (?, ?, 'offcut', ?, ?, ?)",
        )?;
        insert.execute(params![self.id, from, -length.nm(), rail, to])?;
        insert.execute(params![self.id, to, length.nm(), None::<i64>, from])?;
        Ok(())
    }

    /// A label that no stick and no sheet ever had and no offcut was promised.
    pub fn label(&self) -> Result<String, BookError> {
        let mut number: i64 =
            self.tx
                .query_row("SELECT coalesce(max(number), 0) FROM label", [], |row| row.get(0))?;
        let mut taken = self.tx.prepare_cached(
            "SELECT 1 FROM stick WHERE name = ?1 UNION ALL SELECT 1 FROM sheet WHERE name = ?1",
        )?;
        loop {
            number += 1;
            let name = format!("B{number}");
            if !taken.exists([&name])? {
                self.tx
                    .prepare_cached("INSERT INTO label (number, name, step) VALUES (?, ?, ?)")?
                    .execute(params![number, name, self.id])?;
                return Ok(name);
            }
        }
    }

    /// The row of a frame copy, which is made if the copy never left the pile.
    pub fn copy(&self, frame: &str, number: u32) -> Result<i64, BookError> {
        self.tx
            .prepare_cached(
                "INSERT INTO copy (frame, number) VALUES (?, ?) ON CONFLICT DO NOTHING",
            )?
            .execute(params![frame, number])?;
        Ok(self
            .tx
            .prepare_cached("SELECT id FROM copy WHERE frame = ? AND number = ?")?
            .query_row(params![frame, number], |row| row.get(0))?)
    }
}
