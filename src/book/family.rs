//! What ever happened to one stick, and the sticks that it came from and became.

use rusqlite::{Connection, OptionalExtension, Row};

use super::error::{BookError, wrong};
use super::field::Field;
use super::ledger::Book;
use super::{rack, source_files, spelt};
use crate::measure::Length;
use crate::shop::Settings;

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
    /// What came and went, who planned with it and where it was put, in order.
    pub events: Vec<Event>,
    /// What is left of it.
    pub left: Length,
}

/// What one step did to a stick: one kind of movement, or one thing about it.
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
    /// Which kind: `received`, `rail`, `joint`, ..., or `planned`, `returned`, `placed` and
    /// `flawed`.
    pub kind: String,
    /// What came, or, below zero, went; zero where nothing did.
    pub length: Length,
    /// The plan that it was planned for, the place where it was put, or the flaws that it
    /// has since then.
    pub what_for: String,
}

impl Book {
    /// The history of a stick that was ever in the book.
    ///
    /// # Errors
    /// If it never was.
    pub fn history(&self, stick: &str) -> Result<History, BookError> {
        self.look(|db| {
            let stick = &spelt::label(db, stick)?;
            let sql = "SELECT id, moulding, lot FROM stick WHERE name = ?";
            let found = db
                .query_row(sql, [stick], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))
                .optional()?;
            let Some((id, moulding, lot)) = found else {
                return wrong(rack::missing(db, stick)?);
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
            let of = |row: &Row| Ok((row.get(0)?, row.get::<_, Length>(1)?));
            let offcuts = query.query_map([id], of)?.collect::<Result<_, _>>()?;
            let events = events(db, id, &source_files::typed(db)?.settings)?;
            let left = super::rack::length(db, id)?;
            Ok(History { stick: stick.to_owned(), moulding, lot, parents, offcuts, events, left })
        })
    }
}

/// The movements of a stick, step by step, and what else each step changed.
fn events(db: &Connection, stick: i64, settings: &Settings) -> Result<Vec<Event>, BookError> {
    let mut query = db.prepare(
        "SELECT t.id, t.at, t.who, t.what, t.why, m.kind, sum(m.nm) FROM movement m
         JOIN step t ON t.id = m.step WHERE m.stick = ? GROUP BY t.id, m.kind ORDER BY min(m.id)",
    )?;
    let rows = query.query_map([stick], |row| {
        let (kind, length) = (row.get(5)?, row.get::<_, Length>(6)?);
        Ok((row.get::<_, i64>(0)?, event(row, kind, length, String::new())?))
    })?;
    let mut events = rows.collect::<Result<Vec<_>, _>>()?;
    let mut query = db.prepare(
        "SELECT t.id, t.at, t.who, t.what, t.why, n.field, n.is_now, n.was FROM note n
         JOIN step t ON t.id = n.step WHERE n.row = ? AND n.field IN (?, ?, ?) ORDER BY n.id",
    )?;
    let (place, flawed) = (Field::StickPlace.name(), Field::StickFlaws.name());
    let fields = (stick, Field::StickJob.name(), &place, &flawed);
    let mut rows = query.query(fields)?;
    while let Some(row) = rows.next()? {
        let step: i64 = row.get(0)?;
        let field: String = row.get(5)?;
        let (kind, what_for) = if field == place {
            ("placed", row.get::<_, String>(6)?)
        } else if field == flawed {
            // What is cut off takes its flaws along, which is told already.
            let is_cut = events.iter().any(|(of, event)| {
                *of == step && ["rail", "spoiled"].contains(&event.kind.as_str())
            });
            let (now, was) = (row.get::<_, Option<String>>(6)?, row.get::<_, Option<String>>(7)?);
            let [now, was] = [now, was].map(Option::unwrap_or_default);
            if is_cut || now == was {
                continue;
            }
            ("flawed", rack::shown_flaws(&now, settings))
        } else {
            match row.get::<_, Option<i64>>(6)? {
                Some(job) => ("planned", format!("plan {job}")),
                None => ("returned", String::new()),
            }
        };
        // An offcut that a plan makes is in its hands from the start, and what is
        // cut up does not return.
        let moved = events.iter().any(|(of, event)| *of == step && event.kind == "offcut");
        if !moved || kind != "returned" && kind != "planned" {
            events.push((step, event(row, kind.to_owned(), Length::ZERO, what_for)?));
        }
    }
    events.sort_by_key(|(step, _)| *step);
    Ok(events.into_iter().map(|(_, event)| event).collect())
}

fn event(
    row: &Row,
    kind: String,
    length: Length,
    what_for: String,
) -> Result<Event, rusqlite::Error> {
    let (at, who, what, why) = (row.get(1)?, row.get(2)?, row.get(3)?, row.get(4)?);
    Ok(Event { at, who, what, why, kind, length, what_for })
}
