//! The layers of frames that suppliers chop: they need no stick.

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::Connection;

use super::error::BookError;
use super::field::Field;
use super::ledger::Book;
use super::step::Step;
use crate::shop::{Shop, Supplied};

/// A shop with what its open and received orders say of its frames.
pub(super) fn mark(db: &Connection, mut shop: Shop) -> Result<Shop, BookError> {
    let mut all = all(db)?;
    for frame in &mut shop.frames {
        frame.progress.supplied = all.remove(&frame.id).unwrap_or_default();
    }
    Ok(shop)
}

/// The open lines with a layer of one of these copies of a frame.
pub(super) fn lines(db: &Connection, frame: &str, copies: &[u32]) -> Result<Vec<i64>, BookError> {
    let mut query = db.prepare_cached(
        "SELECT l.id, c.copy FROM chop c JOIN line l ON l.id = c.line
         WHERE l.state = 'open' AND c.state IS NULL AND c.frame = ? ORDER BY 1",
    )?;
    let rows = query.query_map([frame], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let all = rows.collect::<Result<Vec<(i64, u32)>, _>>()?.into_iter();
    let mut lines: Vec<i64> =
        all.filter(|(_, copy)| copies.contains(copy)).map(|(line, _)| line).collect();
    lines.dedup();
    Ok(lines)
}

impl Book {
    /// By the number of a line that is open, the frame copies that are chopped for it.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn chopped_for_lines(&self) -> Result<BTreeMap<i64, BTreeSet<(String, u32)>>, BookError> {
        self.look(|db| {
            let mut query = db.prepare(
                "SELECT l.id, c.frame, c.copy FROM chop c JOIN line l ON l.id = c.line
                 WHERE l.state = 'open' AND c.state IS NULL AND NOT EXISTS
                   (SELECT 1 FROM copy p WHERE p.frame = c.frame AND p.number = c.copy
                    AND p.state = 'cancelled')",
            )?;
            let mut rows = query.query([])?;
            let mut all: BTreeMap<i64, BTreeSet<(String, u32)>> = BTreeMap::new();
            while let Some(row) = rows.next()? {
                all.entry(row.get(0)?).or_default().insert((row.get(1)?, row.get(2)?));
            }
            Ok(all)
        })
    }
}

/// A layer of a copy that came chopped.
pub(super) struct Chop {
    id: i64,
    pub copy: u32,
    pub layer: usize,
}

/// What came chopped of a frame and is good.
pub(super) fn here(db: &Connection, frame: &str) -> Result<Vec<Chop>, BookError> {
    let mut query = db.prepare_cached(
        "SELECT c.id, c.copy, c.layer FROM chop c JOIN line l ON l.id = c.line
         WHERE l.state = 'in' AND c.state IS NULL AND c.frame = ? ORDER BY c.copy, c.layer",
    )?;
    let read =
        |row: &rusqlite::Row| Ok(Chop { id: row.get(0)?, copy: row.get(1)?, layer: row.get(2)? });
    let rows = query.query_map([frame], read)?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// What came chopped turns out to be of no use: the layer is to be had again.
pub(super) fn spoil(step: &Step, chop: &Chop) -> Result<(), BookError> {
    step.set(Field::ChopState, chop.id, "spoiled".to_owned())
}

/// By copy and layer.
type SuppliedLayers = BTreeMap<(u32, usize), Supplied>;

/// The layers that were ordered chopped and are here or still to come, by frame.
fn all(db: &Connection) -> Result<BTreeMap<String, SuppliedLayers>, BookError> {
    // What is here comes last, so that it stands where both are.
    let mut query = db.prepare_cached(
        "SELECT c.frame, c.copy, c.layer, l.state = 'in', l.supplier, l.arrives
         FROM chop c JOIN line l ON l.id = c.line WHERE l.state IN ('in', 'open')
         AND c.state IS NULL ORDER BY 4",
    )?;
    let mut rows = query.query([])?;
    let mut all: BTreeMap<String, SuppliedLayers> = BTreeMap::new();
    while let Some(row) = rows.next()? {
        let arrives: Option<String> = row.get(5)?;
        let supplied = match row.get(3)? {
            true => Supplied::Here,
            false => Supplied::Coming {
                supplier: row.get(4)?,
                arrives: arrives.and_then(|day| day.parse().ok()),
            },
        };
        all.entry(row.get(0)?).or_default().insert((row.get(1)?, row.get(2)?), supplied);
    }
    Ok(all)
}
