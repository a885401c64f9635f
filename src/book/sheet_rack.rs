//! Boards and glass: what the movements of each pile and remnant add up to.

use rusqlite::{Connection, OptionalExtension, Row, params};

use super::error::{BookError, wrong};
use super::field::Field;
use super::step::Step;
use crate::shop::{SheetStock, nearest};

/// Why there are more or fewer of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum SheetMove {
    Opened,
    Received,
    Cut,
    Remnant,
    Scrap,
    Counted,
}

impl SheetMove {
    pub fn word(self) -> &'static str {
        match self {
            SheetMove::Opened => "opened",
            SheetMove::Received => "received",
            SheetMove::Cut => "cut",
            SheetMove::Remnant => "remnant",
            SheetMove::Scrap => "scrap",
            SheetMove::Counted => "counted",
        }
    }
}

/// A pile or a remnant with its row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct SheetRow {
    pub id: i64,
    pub stock: SheetStock,
}

const SELECT: &str = "SELECT s.id, s.name, s.material, s.whole, s.width, s.height, s.place, s.note,
    coalesce((SELECT sum(m.count) FROM sheet_movement m WHERE m.sheet = s.id), 0) AS there
    FROM sheet s";

fn read(row: &Row) -> Result<SheetRow, rusqlite::Error> {
    Ok(SheetRow {
        id: row.get(0)?,
        stock: SheetStock {
            label: row.get(1)?,
            material: row.get(2)?,
            whole: row.get(3)?,
            width: row.get(4)?,
            height: row.get(5)?,
            place: row.get(6)?,
            note: row.get(7)?,
            count: row.get(8)?,
        },
    })
}

/// Every size that is bought, and every remnant that is there, in the order in which they
/// came.
pub(super) fn all(db: &Connection) -> Result<Vec<SheetRow>, BookError> {
    let sql = format!("{SELECT} WHERE s.state = 'known' AND (s.whole OR there > 0) ORDER BY s.id");
    let mut query = db.prepare_cached(&sql)?;
    let rows = query.query_map([], read)?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// The pile or remnant with this label as it was typed, whatever is left of it; `None` if
/// there never was one.
pub(super) fn found(db: &Connection, typed: &str) -> Result<Option<SheetRow>, BookError> {
    let label = super::spelt::sheet_label(db, typed)?;
    let sql = format!("{SELECT} WHERE s.name = ? AND s.state IS NOT NULL");
    Ok(db.prepare_cached(&sql)?.query_row([label], read).optional()?)
}

/// As [`found`], where something must be left of it or a size is still bought.
pub(super) fn named(db: &Connection, typed: &str) -> Result<SheetRow, BookError> {
    match found(db, typed)? {
        Some(row) if row.stock.whole || row.stock.count > 0 => Ok(row),
        Some(row) => wrong(format!("nothing is left of remnant {}", row.stock.label)),
        None => {
            let known = all(db)?;
            let near = nearest(typed, known.iter().map(|row| row.stock.label.as_str()));
            let mend = match near {
                Some(near) => format!("did you mean {near}?"),
                None => "longpoint sheets lists what is there".to_owned(),
            };
            wrong(format!("there is no board and no glass {typed:?} in the book ({mend})"))
        }
    }
}

impl Step<'_> {
    /// Enters a pile or a remnant of which there is none yet, as it is. One whose step was
    /// undone may come again under its own name.
    pub fn sheet(&self, new: &SheetStock, parent: Option<i64>) -> Result<i64, BookError> {
        let known = self
            .tx
            .prepare_cached("SELECT id, material, whole, parent, state FROM sheet WHERE name = ?")?
            .query_row([&new.label], |row| {
                let of: (String, bool, Option<i64>) = (row.get(1)?, row.get(2)?, row.get(3)?);
                Ok((row.get::<_, i64>(0)?, of, row.get::<_, Option<String>>(4)?))
            })
            .optional()?;
        let id = match known {
            Some((id, of, None)) if of == (new.material.clone(), new.whole, parent) => id,
            Some(_) => {
                return wrong(format!(
                    "{:?} is the label of another sheet, and labels are never used again (choose \
                     another)",
                    new.label
                ));
            }
            None => {
                self.tx
                    .prepare_cached(
                        "INSERT INTO sheet (name, material, whole, parent, step, width, height)
                         VALUES (?, ?, ?, ?, ?, ?, ?)",
                    )?
                    .execute(params![
                        new.label,
                        new.material,
                        new.whole,
                        parent,
                        self.id,
                        new.width.nm(),
                        new.height.nm()
                    ])?;
                self.tx.last_insert_rowid()
            }
        };
        self.set(Field::SheetWidth, id, new.width.nm())?;
        self.set(Field::SheetHeight, id, new.height.nm())?;
        self.set(Field::SheetPlace, id, new.place.clone())?;
        self.set(Field::SheetNote, id, new.note.clone())?;
        self.set(Field::SheetSince, id, self.date.to_string())?;
        self.set(Field::SheetState, id, "known".to_owned())?;
        Ok(id)
    }

    /// Writes down that so many came to a pile, or, below zero, went from it; `of` is as they
    /// are, and `cut` is what they were cut in or came of.
    pub fn sheets_moved(
        &self,
        (id, of): (i64, &SheetStock),
        kind: SheetMove,
        count: i64,
        cut: Option<i64>,
    ) -> Result<(), BookError> {
        if count != 0 {
            self.tx
                .prepare_cached(
                    "INSERT INTO sheet_movement (step, sheet, kind, count, width, height, cut)
                     VALUES (?, ?, ?, ?, ?, ?, ?)",
                )?
                .execute(params![
                    self.id,
                    id,
                    kind.word(),
                    count,
                    of.width.nm(),
                    of.height.nm(),
                    cut
                ])?;
        }
        Ok(())
    }

    /// Takes in sheets as a folder has them.
    pub fn open_sheets(&self, sheets: &[SheetStock]) -> Result<(), BookError> {
        for sheet in sheets {
            let id = self.sheet(sheet, None)?;
            self.sheets_moved((id, sheet), SheetMove::Opened, i64::from(sheet.count), None)?;
        }
        Ok(())
    }
}
