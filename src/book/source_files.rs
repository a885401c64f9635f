//! The shop's files as they were typed.
//!
//! # Why they are kept as typed
//!
//! Then there is one reader for them, a new column needs nothing in the book, and
//! what is exported is what was typed, comments and all. Only what changes at the
//! bench, frames left to cut and the rack, is written anew.

use std::collections::BTreeMap;

use rusqlite::{Connection, params};

use super::error::{BookError, THIS_BOOK, wrong};
use super::field::Field;
use super::ledger::Book;
use super::step::Step;
use super::supplied;
use crate::shop::{Faults, Shop, read_files, shown};

/// The files as bytes by name.
pub(super) type Files = BTreeMap<String, Vec<u8>>;

/// The files that the book does not keep, since it knows better what is there.
const COUNTED: [&str; 2] = ["rack.csv", "sheets.csv"];

/// The rack of a shop whose rack is in the book.
pub(super) const NO_RACK: &[u8] = b"stick,moulding,length\n";

impl Book {
    /// The shop with every copy of every frame in its files, wherever they are,
    /// and nothing on its rack.
    ///
    /// # Errors
    /// If the book cannot be read or is empty.
    pub fn shop(&self) -> Result<Shop, BookError> {
        self.look(typed)
    }

    /// The files with other texts of some of them, by their names, and how they read then.
    ///
    /// # Errors
    /// If the book cannot be read, or keeps no such file.
    pub fn files_with(
        &self,
        texts: &[(&str, &str)],
    ) -> Result<(Files, Result<Shop, Faults>), BookError> {
        self.look(|db| with(db, texts))
    }

    /// The files as they were typed, all but the rack.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn files(&self) -> Result<Files, BookError> {
        self.look(files)
    }
}

/// The shop with every copy of every frame, the layers that a supplier chops
/// marked, and nothing on its rack.
pub(super) fn typed(db: &Connection) -> Result<Shop, BookError> {
    let files = files(db)?;
    if files.is_empty() {
        return wrong(format!(
            "the book is empty (fill it with \"longpoint open {THIS_BOOK} --from DIR\")"
        ));
    }
    let shop = without_rack(&files).map_err(|faults| BookError::Damaged(faults.to_string()))?;
    supplied::mark(db, shop)
}

/// The files with other texts of some of them, and how they read then.
pub(super) fn with(
    db: &Connection,
    texts: &[(&str, &str)],
) -> Result<(Files, Result<Shop, Faults>), BookError> {
    let mut files = files(db)?;
    for (name, text) in texts {
        let is_file = name.ends_with(".csv") || *name == "shop.toml";
        if *name == "rack.csv" || !is_file || name.contains(['/', '\\']) {
            return wrong(format!("the book keeps no file {:?} that is typed", shown(name)));
        }
        files.insert((*name).to_owned(), text.as_bytes().to_vec());
    }
    let read = without_rack(&files);
    Ok((files, read))
}

/// The shop of these files, which have no rack.
pub(super) fn without_rack(files: &Files) -> Result<Shop, Faults> {
    let mut files = files.clone();
    files.insert("rack.csv".to_owned(), NO_RACK.to_vec());
    read_files(&files)
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
    for (name, bytes) in files.iter().filter(|(name, _)| !COUNTED.contains(&name.as_str())) {
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
