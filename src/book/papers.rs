//! The shop's files as they were typed, and the shop that they make with the rack.

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::{Connection, params};

use super::debts::{self, Debts};
use super::error::BookError;
use super::error::{THIS_BOOK, wrong};
use super::field::Field;
use super::ledger::{Book, version};
use super::step::Step;
use super::{purchase, rack, remains, spare, supplied};
use crate::shop::{Shop, read_files};

/// The files as bytes by name.
pub(super) type Files = BTreeMap<String, Vec<u8>>;

/// The rack of a shop whose rack is in the book.
const NO_RACK: &[u8] = b"stick,moulding,length\n";

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

    /// The shop with every copy of every frame in its files, wherever they are,
    /// and nothing on its rack.
    ///
    /// # Errors
    /// As [`snapshot`](Self::snapshot).
    pub fn shop(&self) -> Result<Shop, BookError> {
        self.look(typed)
    }

    /// The files as they were typed, all but the rack.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn files(&self) -> Result<Files, BookError> {
        self.look(files)
    }
}

pub(super) fn snapshot(db: &Connection) -> Result<Snapshot, BookError> {
    let mut shop = typed(db)?;
    let mut gone = gone(db)?;
    for frame in &mut shop.frames {
        frame.progress.gone = gone.remove(&frame.id).unwrap_or_default();
    }
    shop.rack = rack::free(db)?;
    shop.spare = spare::free(db)?;
    let debts = debts::settle(db, &mut shop)?;
    shop.frames.retain(|frame| frame.left() > 0 || debts.are_of(&frame.id));
    shop.coming = remains::coming(db)?;
    shop.coming.extend(purchase::coming(db, &shop.rack)?);
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

/// The shop with every copy of every frame, the layers that a supplier chops
/// marked, and nothing on its rack.
pub(super) fn typed(db: &Connection) -> Result<Shop, BookError> {
    let mut files = files(db)?;
    if files.is_empty() {
        return wrong(format!(
            "the book is empty (fill it with \"longpoint open {THIS_BOOK} --from DIR\")"
        ));
    }
    files.insert("rack.csv".to_owned(), NO_RACK.to_vec());
    let shop = read_files(&files).map_err(|faults| BookError::Damaged(faults.to_string()))?;
    supplied::mark(db, shop)
}

/// The files as they were typed, without the rack.
pub(super) fn files(db: &Connection) -> Result<Files, BookError> {
    let mut query = db.prepare_cached("SELECT name, text FROM paper WHERE text IS NOT NULL")?;
    let rows =
        query.query_map([], |row| Ok((row.get(0)?, row.get::<_, String>(1)?.into_bytes())))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// Takes the files into the book; those that are not there any more go.
pub(super) fn keep(step: &Step, files: &Files) -> Result<(), BookError> {
    let mut texts = BTreeMap::new();
    for (name, bytes) in files.iter().filter(|(name, _)| *name != "rack.csv") {
        match String::from_utf8(bytes.clone()) {
            Ok(text) => texts.insert(name.clone(), text),
            Err(_) => return wrong(format!("{name} is not UTF-8 (save it as CSV UTF-8)")),
        };
    }
    for name in texts.keys() {
        step.db().execute("INSERT INTO paper (name) VALUES (?) ON CONFLICT DO NOTHING", [name])?;
    }
    let mut query = step.db().prepare("SELECT id, name FROM paper")?;
    let rows = query.query_map(params![], |row| Ok((row.get(0)?, row.get(1)?)))?;
    for (id, name) in rows.collect::<Result<Vec<(i64, String)>, _>>()? {
        step.set(Field::PaperText, id, texts.remove(&name))?;
    }
    Ok(())
}
