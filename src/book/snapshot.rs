//! The shop as the book has it at one moment: what a plan is made from.
//!
//! # Why a plan is made outside of the transaction
//!
//! A plan takes seconds, and a ledger that is locked for seconds keeps everybody
//! waiting. So a plan is made on a look at the book and taken only if no step came
//! since; else it is made anew.

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::Connection;

use super::debts::{self, Debts};
use super::error::BookError;
use super::ledger::{Book, version};
use super::source_files::typed;
use super::{monthly, on_order, purchase, rack, remains, sheet_rack, spare};
use crate::shop::Shop;

/// The shop as the book has it at one moment.
#[derive(Debug, Clone)]
pub struct Snapshot {
    /// What a plan is made from: frames that are neither cut nor at the bench,
    /// sticks that no plan at the bench has taken, and what is on order.
    pub shop: Shop,
    /// What is cut before anything else, since it is owed of another day; its sticks
    /// are not in the shop.
    pub debts: Debts,
    /// The book's version at that moment.
    pub(super) version: i64,
}

impl Book {
    /// The shop as it is now.
    ///
    /// # Errors
    /// If the book cannot be read or is empty.
    pub fn snapshot(&self) -> Result<Snapshot, BookError> {
        self.look(snapshot)
    }
}

pub(super) fn snapshot(db: &Connection) -> Result<Snapshot, BookError> {
    let mut shop = typed(db)?;
    monthly::fill_in(db, &mut shop)?;
    let mut gone = gone(db)?;
    for frame in &mut shop.frames {
        frame.progress.gone = gone.remove(&frame.id).unwrap_or_default();
    }
    shop.rack = rack::free(db)?;
    shop.spare = spare::free(db)?;
    shop.sheets = sheet_rack::all(db)?.into_iter().map(|row| row.stock).collect();
    let debts = debts::settle(db, &mut shop)?;
    shop.frames.retain(|frame| frame.left() > 0 || debts.are_of(&frame.id));
    shop.coming = remains::coming(db)?;
    shop.coming.extend(on_order::coming(db, &shop.rack)?);
    purchase::mark(db, &mut shop)?;
    Ok(Snapshot { shop, debts, version: version(db)? })
}

/// The copies that left the pile, by frame. One that is owed something is back on it.
fn gone(db: &Connection) -> Result<BTreeMap<String, BTreeSet<u32>>, BookError> {
    let mut query = db.prepare_cached(
        "SELECT frame, number FROM copy WHERE state IS NOT NULL AND state <> 'owed'",
    )?;
    let rows = query.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let mut gone: BTreeMap<String, BTreeSet<u32>> = BTreeMap::new();
    for row in rows {
        let (frame, number) = row?;
        gone.entry(frame).or_default().insert(number);
    }
    Ok(gone)
}
