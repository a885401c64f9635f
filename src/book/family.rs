//! What ever happened to one stick, and the sticks that it came from and became.

use rusqlite::{OptionalExtension, params};

use super::error::wrong;
use super::{Book, BookError};
use crate::measure::Length;

/// One stick's history.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct History {
    /// Its label.
    pub stick: String,
    /// Its moulding.
    pub moulding: String,
    /// Its lot.
    pub lot: String,
    /// The sticks that it was cut from, the nearest first.
    pub parents: Vec<String>,
    /// The offcuts that were cut from it, with what is left of each.
    pub offcuts: Vec<(String, Length)>,
    /// What came and went, in order.
    pub events: Vec<Event>,
    /// What is left of it.
    pub left: Length,
}

/// What one step did to a stick, as one kind of movement.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// When.
    pub at: String,
    /// Who; empty if nobody said.
    pub who: String,
    /// The command.
    pub what: String,
    /// Why; empty if nobody said.
    pub why: String,
    /// Which kind: `received`, `rail`, `joint`, ...
    pub kind: String,
    /// What came, or, below zero, went.
    pub length: Length,
}

impl Book {
    /// The history of a stick that was ever in the book.
    ///
    /// # Errors
    /// If it never was.
    pub fn history(&self, stick: &str) -> Result<History, BookError> {
        self.look(|db| {
            let sql = "SELECT id, moulding, lot FROM stick WHERE name = ?";
            let found = db
                .query_row(sql, [stick], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))
                .optional()?;
            let Some((id, moulding, lot)) = found else {
                return wrong(format!("there is no stick {stick:?} in the book and never was"));
            };
            let id: i64 = id;
            let mut query = db.prepare(
                "WITH RECURSIVE up(id, name, depth) AS (
                   SELECT p.id, p.name, 1 FROM stick c JOIN stick p ON p.id = c.parent WHERE c.id = ?
                   UNION ALL SELECT p.id, p.name, depth + 1 FROM up
                     JOIN stick c ON c.id = up.id JOIN stick p ON p.id = c.parent)
                 SELECT name FROM up ORDER BY depth",
            )?;
            let parents = query.query_map([id], |row| row.get(0))?.collect::<Result<_, _>>()?;
            let mut query = db.prepare(
                "SELECT s.name, coalesce(sum(m.nm), 0) FROM stick s
                 LEFT JOIN movement m ON m.stick = s.id
                 WHERE s.parent = ? GROUP BY s.id ORDER BY s.id",
            )?;
            let of = |row: &rusqlite::Row| Ok((row.get(0)?, Length::from_nm(row.get(1)?)));
            let offcuts = query.query_map([id], of)?.collect::<Result<_, _>>()?;
            let mut query = db.prepare(
                "SELECT t.at, t.who, t.what, t.why, m.kind, sum(m.nm) FROM movement m
                 JOIN step t ON t.id = m.step WHERE m.stick = ? GROUP BY t.id, m.kind ORDER BY min(m.id)",
            )?;
            let event = |row: &rusqlite::Row| {
                Ok(Event {
                    at: row.get(0)?,
                    who: row.get(1)?,
                    what: row.get(2)?,
                    why: row.get(3)?,
                    kind: row.get(4)?,
                    length: Length::from_nm(row.get(5)?),
                })
            };
            let events = query.query_map(params![id], event)?.collect::<Result<_, _>>()?;
            let left = super::rack::length(db, id)?;
            Ok(History { stick: stick.to_owned(), moulding, lot, parents, offcuts, events, left })
        })
    }
}
