//! Boards and glass that were cut: a sheet goes, its pieces are noted, its remnants come.

use std::collections::BTreeMap;

use rusqlite::{Connection, params};

use super::error::{BookError, wrong};
use super::field::Field;
use super::ledger::{Book, version};
use super::sheet_rack::{self, SheetMove};
use super::snapshot::Snapshot;
use super::stamp::Stamp;
use super::step::Step;
use crate::measure::Length;
use crate::sheets::{NamedPiece, PlannedSheet, SheetFrom, SheetPlan};
use crate::shop::{SheetPiece, SheetStock, piece_word};

/// A piece by its ticket, material, what it is, and its size.
type PieceKey = (String, String, String, Length, Length);

impl Book {
    /// Writes down that everything of these plans was cut, which were made on that snapshot,
    /// but for what would be cut from sheets that are still to be bought. What is kept gets
    /// its labels, what falls out of windows too: they stand in what is given back.
    ///
    /// # Errors
    /// [`BookError::Moved`] if somebody wrote since; or if there is nothing to cut.
    pub fn cut_sheets(
        &mut self,
        (snapshot, plans): (&Snapshot, &[SheetPlan]),
        stamp: &Stamp,
    ) -> Result<Vec<SheetPlan>, BookError> {
        let mut plans = plans.to_vec();
        self.change("cut", stamp, |step| {
            // The step itself is the only one since.
            if version(step.db())? != snapshot.version + 1 {
                return Err(BookError::Moved);
            }
            let all = || plans.iter().flat_map(|plan| &plan.sheets);
            if all().all(|sheet| matches!(sheet.cut.from, SheetFrom::ToBuy(_))) {
                return wrong(match all().next() {
                    None => "there is nothing to cut",
                    Some(_) => {
                        "there is nothing to cut from: the sheets are still to be bought (receive \
                         them first)"
                    }
                });
            }
            for plan in &mut plans {
                let rules = plan.rules;
                for piece in &mut plan.pieces {
                    piece.drop_out.take_if(|(size, _)| !rules.keeps(size.0, size.1));
                }
                let SheetPlan { material, sheets, pieces, .. } = plan;
                for sheet in sheets {
                    cut(step, material, sheet, pieces)?;
                }
            }
            Ok(())
        })?;
        Ok(plans)
    }

    /// Marks of each wanted piece how many are cut already.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn mark_cut(&self, pieces: &mut [SheetPiece]) -> Result<(), BookError> {
        let mut there = self.look(good_pieces)?;
        for piece in pieces {
            let key = (
                piece.ticket.clone(),
                piece.material.clone(),
                piece_word(&piece.what),
                piece.width,
                piece.height,
            );
            if let Some(left) = there.get_mut(&key) {
                piece.cut = (*left).min(piece.count);
                *left -= piece.cut;
            }
        }
        Ok(())
    }

    /// What was cut for a ticket and is good, those alike together.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn cut_pieces(&self, ticket: &str) -> Result<Vec<SheetPiece>, BookError> {
        self.look(|db| cut_for(db, ticket))
    }

    /// Writes down that the piece of a ticket that was cut last broke: it is wanted again.
    /// Gives its material and size.
    ///
    /// # Errors
    /// If none of it was cut.
    pub fn spoil_piece(
        &mut self,
        (ticket, what): (&str, &str),
        stamp: &Stamp,
    ) -> Result<(String, (Length, Length)), BookError> {
        self.change("spoil", stamp, |step| {
            let sql = "SELECT p.id, s.material, p.width, p.height, p.what FROM sheet_piece p
                 JOIN sheet_cut c ON c.id = p.cut JOIN sheet s ON s.id = c.sheet
                 WHERE p.ticket = ? AND p.state = 'cut' ORDER BY p.id DESC";
            let mut query = step.db().prepare(sql)?;
            let rows = query.query_map(params![ticket], |row| {
                let size = (row.get::<_, Length>(2)?, row.get::<_, Length>(3)?);
                let of = (row.get::<_, i64>(0)?, row.get::<_, String>(1)?, size);
                Ok((of, row.get::<_, String>(4)?))
            })?;
            let rows = rows.collect::<Result<Vec<_>, _>>()?;
            let is_meant = |other: &str| piece_word(other) == piece_word(what);
            let found = rows.into_iter().find(|(_, other)| is_meant(other));
            let Some(((id, material, size), _)) = found else {
                return wrong(format!(
                    "no {what} was cut for {ticket} (write what it is as the list of pieces has it)"
                ));
            };
            step.set(Field::SheetPieceState, id, "spoiled".to_owned())?;
            Ok((material, size))
        })
    }
}

/// How many of each piece are cut and good.
fn good_pieces(db: &Connection) -> Result<BTreeMap<PieceKey, u32>, BookError> {
    let mut query = db.prepare(
        "SELECT p.ticket, s.material, p.what, p.width, p.height, count(*) FROM sheet_piece p
         JOIN sheet_cut c ON c.id = p.cut JOIN sheet s ON s.id = c.sheet
         WHERE p.state = 'cut' GROUP BY 1, 2, 3, 4, 5",
    )?;
    let rows = query.query_map([], |row| {
        let what: String = row.get(2)?;
        let key = (row.get(0)?, row.get(1)?, piece_word(&what), row.get(3)?, row.get(4)?);
        Ok((key, row.get::<_, u32>(5)?))
    })?;
    // What has two words is one piece.
    let mut good = BTreeMap::new();
    for row in rows {
        let (key, count): (PieceKey, u32) = row?;
        *good.entry(key).or_default() += count;
    }
    Ok(good)
}

/// What was cut for a ticket and is good.
pub(super) fn cut_for(db: &Connection, ticket: &str) -> Result<Vec<SheetPiece>, BookError> {
    let own = good_pieces(db)?.into_iter().filter(|((of, ..), _)| of == ticket);
    let piece = |((ticket, material, what, width, height), count): (PieceKey, u32)| {
        let (cut, turn, drop_out) = (count, true, None);
        SheetPiece { ticket, material, what, width, height, count, cut, turn, drop_out }
    };
    Ok(own.map(piece).collect())
}

fn cut(
    step: &Step,
    material: &str,
    sheet: &mut PlannedSheet,
    pieces: &mut [NamedPiece],
) -> Result<(), BookError> {
    if matches!(sheet.cut.from, SheetFrom::ToBuy(_)) {
        return Ok(());
    }
    let from = sheet_rack::named(step.db(), &sheet.label)?;
    step.db()
        .execute("INSERT INTO sheet_cut (step, sheet) VALUES (?, ?)", params![step.id, from.id])?;
    let cut = step.tx.last_insert_rowid();
    step.set(Field::SheetCutState, cut, "cut".to_owned())?;
    step.sheets_moved((from.id, &from.stock), SheetMove::Cut, -1, Some(cut))?;
    for (number, ..) in &sheet.cut.pieces {
        let piece = &mut pieces[*number];
        let (width, height) = piece.size;
        step.db().execute(
            "INSERT INTO sheet_piece (cut, ticket, what, width, height) VALUES (?, ?, ?, ?, ?)",
            params![cut, piece.ticket, piece.what, width.nm(), height.nm()],
        )?;
        let id = step.tx.last_insert_rowid();
        step.set(Field::SheetPieceState, id, "cut".to_owned())?;
        if let Some((size, label)) = &mut piece.drop_out {
            *label = step.label()?;
            let note = format!("fell out of {} {}", piece.ticket, piece.what);
            let stock = remnant((label, material, *size), &from.stock.place, note);
            let id = step.sheet(&stock, Some(from.id))?;
            // Its mat counts whole among the pieces, so this was found beside them.
            step.sheets_moved((id, &stock), SheetMove::Counted, 1, Some(cut))?;
        }
    }
    for (pane, kept) in sheet.cut.left.iter().zip(&mut sheet.kept) {
        let Some(label) = kept else { continue };
        *label = step.label()?;
        let of = (label.as_str(), material, (pane.width, pane.height));
        let stock = remnant(of, &from.stock.place, String::new());
        let id = step.sheet(&stock, Some(from.id))?;
        step.sheets_moved((id, &stock), SheetMove::Remnant, 1, Some(cut))?;
    }
    Ok(())
}

fn remnant(
    (label, material, (width, height)): (&str, &str, (Length, Length)),
    place: &str,
    note: String,
) -> SheetStock {
    let (label, material, place) = (label.to_owned(), material.to_owned(), place.to_owned());
    SheetStock { label, material, width, height, whole: false, count: 1, place, note }
}
