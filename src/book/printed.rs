//! Which labels were printed already, so that a roll is not spent on them twice.

use rusqlite::{OptionalExtension, params};

use super::error::BookError;
use super::ledger::{Book, write};
use super::{OnRack, rack};
use crate::shop::SheetStock;

impl Book {
    /// Of these sticks, those whose label was never printed as it is now. A stick that
    /// came with a label of the shop's own has one.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn unprinted(&self, sticks: &[OnRack]) -> Result<Vec<OnRack>, BookError> {
        self.look(|db| {
            let mut own = db.prepare("SELECT 1 FROM label WHERE name = ?")?;
            let mut printed = db.prepare("SELECT what FROM printed WHERE stick = ?")?;
            let mut new = Vec::new();
            for on in sticks {
                let known: Option<String> =
                    printed.query_row([on.id], |row| row.get(0)).optional()?;
                let is_new = match known {
                    Some(known) => known != what(on),
                    None => own.exists([&on.stick.id])?,
                };
                new.extend(is_new.then(|| on.clone()));
            }
            Ok(new)
        })
    }

    /// The same of remnants of boards and glass.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn unprinted_sheets(&self, sheets: &[SheetStock]) -> Result<Vec<SheetStock>, BookError> {
        self.look(|db| {
            let mut own = db.prepare("SELECT 1 FROM label WHERE name = ?")?;
            let mut printed = db.prepare(
                "SELECT p.what FROM sheet_printed p JOIN sheet s ON s.id = p.sheet WHERE s.name = ?",
            )?;
            let mut new = Vec::new();
            for stock in sheets {
                let known: Option<String> =
                    printed.query_row([&stock.label], |row| row.get(0)).optional()?;
                let is_new = match known {
                    Some(known) => known != of_sheet(stock),
                    None => own.exists([&stock.label])?,
                };
                new.extend(is_new.then(|| stock.clone()));
            }
            Ok(new)
        })
    }

    /// Writes down that the labels of these sticks and sheets were printed.
    ///
    /// # Errors
    /// If the book cannot be written.
    pub fn printed(
        &mut self,
        (sticks, sheets): (&[OnRack], &[SheetStock]),
    ) -> Result<(), BookError> {
        let tx = write(&mut self.db)?;
        for stock in sheets {
            tx.execute(
                "INSERT INTO sheet_printed (sheet, what)
                 SELECT id, ?2 FROM sheet WHERE name = ?1
                 ON CONFLICT (sheet) DO UPDATE SET what = ?2",
                params![stock.label, of_sheet(stock)],
            )?;
        }
        for on in sticks {
            tx.execute(
                "INSERT INTO printed (stick, what) VALUES (?1, ?2)
                 ON CONFLICT (stick) DO UPDATE SET what = ?2",
                params![on.id, what(on)],
            )?;
        }
        Ok(tx.commit()?)
    }
}

/// What a label says of its stick, but for where it lies.
fn what(on: &OnRack) -> String {
    let stick = &on.stick;
    let flaws = rack::write_flaws(&stick.flaws);
    format!("{}|{}|{}|{flaws}", stick.moulding, stick.length.nm(), stick.lot)
}

/// The same of a sheet.
fn of_sheet(stock: &SheetStock) -> String {
    format!("{}|{}|{}", stock.material, stock.width.nm(), stock.height.nm())
}
