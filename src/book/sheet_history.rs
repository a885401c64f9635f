//! What ever happened to a pile of sheets or a remnant, and what it came from and became.

use rusqlite::{Connection, Row};

use super::error::BookError;
use super::family::Event;
use super::ledger::Book;
use super::sheet_rack;
use crate::measure::Length;
use crate::shop::SheetStock;

/// The history of a pile or a remnant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetHistory {
    /// As it is now.
    pub stock: SheetStock,
    /// The sheets that it was cut from, the nearest first.
    pub parents: Vec<String>,
    /// What came and went, in order, with how many sheets.
    pub events: Vec<(Event, i64)>,
    /// The pieces that were cut from it and are good: ticket, what it is, size.
    pub pieces: Vec<(String, String, (Length, Length))>,
    /// The remnants that were cut from it and are there.
    pub remnants: Vec<String>,
}

impl Book {
    /// The history of a board or of glass; `None` if no sheet has that label.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn sheet_history(&self, label: &str) -> Result<Option<SheetHistory>, BookError> {
        self.look(|db| {
            let Some(row) = sheet_rack::found(db, label)? else { return Ok(None) };
            let names = |sql: &str| -> Result<Vec<String>, BookError> {
                let mut query = db.prepare(sql)?;
                let rows = query.query_map([row.id], |row| row.get(0))?;
                Ok(rows.collect::<Result<_, _>>()?)
            };
            Ok(Some(SheetHistory {
                parents: names(
                    "WITH RECURSIVE up(id, name, depth) AS (
                       SELECT p.id, p.name, 1 FROM sheet c JOIN sheet p ON p.id = c.parent
                         WHERE c.id = ?
                       UNION ALL SELECT p.id, p.name, depth + 1 FROM up
                         JOIN sheet c ON c.id = up.id JOIN sheet p ON p.id = c.parent)
                     SELECT name FROM up ORDER BY depth",
                )?,
                remnants: names(
                    "SELECT s.name FROM sheet s WHERE s.parent = ? AND s.state = 'known'
                     AND (SELECT sum(m.count) FROM sheet_movement m WHERE m.sheet = s.id) > 0
                     ORDER BY s.id",
                )?,
                events: events(db, row.id)?,
                pieces: pieces(db, row.id)?,
                stock: row.stock,
            }))
        })
    }
}

fn events(db: &Connection, sheet: i64) -> Result<Vec<(Event, i64)>, BookError> {
    let mut query = db.prepare(
        "SELECT t.at, t.who, t.what, t.why, m.kind, sum(m.count) FROM sheet_movement m
         JOIN step t ON t.id = m.step WHERE m.sheet = ? GROUP BY t.id, m.kind
         ORDER BY min(m.id)",
    )?;
    let read = |row: &Row| {
        let event = Event {
            at: row.get(0)?,
            who: row.get(1)?,
            what: row.get(2)?,
            why: row.get(3)?,
            kind: row.get(4)?,
            length: Length::ZERO,
            what_for: String::new(),
        };
        Ok((event, row.get(5)?))
    };
    let rows = query.query_map([sheet], read)?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// A piece: its ticket, what it is, and its size.
type CutPiece = (String, String, (Length, Length));

fn pieces(db: &Connection, sheet: i64) -> Result<Vec<CutPiece>, BookError> {
    let mut query = db.prepare(
        "SELECT p.ticket, p.what, p.width, p.height FROM sheet_piece p
         JOIN sheet_cut c ON c.id = p.cut WHERE c.sheet = ? AND p.state = 'cut' ORDER BY p.id",
    )?;
    let read = |row: &Row| Ok((row.get(0)?, row.get(1)?, (row.get(2)?, row.get(3)?)));
    let rows = query.query_map([sheet], read)?;
    Ok(rows.collect::<Result<_, _>>()?)
}
