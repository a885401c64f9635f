//! A ticket that is taken at the counter: a step of the book by itself.
//!
//! # Why the book remembers which they are
//!
//! A folder that is taken over later knows nothing of them, and a job that a customer was
//! promised is not to go by that. So what was taken here and is still to be made stays,
//! whatever the folder says, until it is cancelled.

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::{Connection, OptionalExtension, params};

use super::error::{BookError, THIS_BOOK, wrong};
use super::ledger::Book;
use super::source_files::{Files, NO_RACK, files, keep, typed};
use super::stamp::Stamp;
use super::step::Step;
use crate::report::either::either;
use crate::shop::write::{Keeper, files_with_ticket};
use crate::shop::{Frame, FrameProgress, Shop, shown};

/// How a copy of a ticket stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CopyStand {
    /// Which copy.
    pub copy: u32,
    /// Where it is: empty on the pile, else `bench`, `owed`, `chopped`, `bought` or
    /// `cancelled`.
    pub state: String,
    /// How far it is made: empty, `joined` or `fitted`.
    pub made: String,
    /// The plan that it was cut by.
    pub job: Option<i64>,
}

impl CopyStand {
    /// Whether its rails are joined.
    pub fn is_made(&self) -> bool {
        !self.made.is_empty()
    }
}

impl Book {
    /// Writes a ticket into the book's own `frames.csv`.
    ///
    /// # Errors
    /// If there is one of that number, or ever was one that was begun, or it would not read
    /// back as it is.
    pub fn take_ticket(&mut self, frame: &Frame, stamp: &Stamp) -> Result<(), BookError> {
        self.change("ticket", stamp, |step| {
            let shop = typed(step.db())?;
            if shop.frame(&frame.id).is_some() || known(step.db())?.contains(&frame.id) {
                return wrong(format!(
                    "there is a ticket \"{}\" already (write another number, such as {})",
                    shown(&frame.id),
                    next(step.db(), &shop)?
                ));
            }
            // Where frames wait for one another, it counts since when.
            let came = shop.settings.days.patience.map(|_| stamp.at.date());
            let frame = Frame { came, ..frame.clone() };
            let files = with_ticket(files(step.db())?, &frame, &shop)?;
            keep(step, &files)?;
            step.db().execute(
                "INSERT INTO ticket (step, frame) VALUES (?, ?)",
                params![step.id, frame.id],
            )?;
            Ok(())
        })
    }

    /// The ticket that a step took at the counter, if it took one.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn ticket_of(&self, step: i64) -> Result<Option<String>, BookError> {
        self.look(|db| {
            let mut query = db.prepare_cached("SELECT frame FROM ticket WHERE step = ?")?;
            Ok(query.query_row([step], |row| row.get(0)).optional()?)
        })
    }

    /// The number of the next ticket: one more than the highest of those that are
    /// numbered like most.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn next_ticket(&self) -> Result<String, BookError> {
        self.look(|db| next(db, &typed(db)?))
    }

    /// How each copy of a ticket stands.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn copies_of(&self, frame: &Frame) -> Result<Vec<CopyStand>, BookError> {
        self.look(|db| {
            let mut query =
                db.prepare_cached("SELECT number, state, made, job FROM copy WHERE frame = ?")?;
            let mut rows = query.query([&frame.id])?;
            let mut known = BTreeMap::new();
            while let Some(row) = rows.next()? {
                let (state, made): (Option<String>, Option<String>) = (row.get(1)?, row.get(2)?);
                let (state, made) = (state.unwrap_or_default(), made.unwrap_or_default());
                let copy: u32 = row.get(0)?;
                known.insert(copy, CopyStand { copy, state, made, job: row.get(3)? });
            }
            let fresh = |copy| {
                let none = String::new();
                CopyStand { copy, state: none.clone(), made: none, job: None }
            };
            let one = |copy: u32| known.remove(&copy).unwrap_or_else(|| fresh(copy));
            Ok((1..=frame.copies).map(one).collect())
        })
    }
}

fn with_ticket(mut files: Files, frame: &Frame, shop: &Shop) -> Result<Files, BookError> {
    files.insert("rack.csv".to_owned(), NO_RACK.to_vec());
    let frame = Frame { progress: FrameProgress::default(), ..frame.clone() };
    files_with_ticket(files, &frame, (shop, Keeper::Book))
        .or_else(|why| wrong(format!("frames.csv is as it was: {why}")))
}

/// The tickets of which something was done, whether they stand in a file still or not.
fn known(db: &Connection) -> Result<BTreeSet<String>, BookError> {
    let mut query = db.prepare_cached("SELECT DISTINCT frame FROM copy WHERE state IS NOT NULL")?;
    let rows = query.query_map([], |row| row.get(0))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// What stands before a ticket's figures, the figures, and how many they are.
fn parted(id: &str) -> Option<(&str, u64, usize)> {
    let figures = id.len() - id.trim_end_matches(|c: char| c.is_ascii_digit()).len();
    let (before, number) = id.split_at(id.len() - figures);
    Some((before, number.parse().ok()?, figures))
}

fn next(db: &Connection, shop: &Shop) -> Result<String, BookError> {
    let mut all = known(db)?;
    all.extend(shop.frames.iter().map(|frame| frame.id.clone()));
    let mut kinds: BTreeMap<&str, (usize, u64, usize)> = BTreeMap::new();
    for (before, number, figures) in all.iter().filter_map(|id| parted(id)) {
        let (count, most, wide) = kinds.entry(before).or_default();
        *count += 1;
        if number >= *most {
            (*most, *wide) = (number, figures);
        }
    }
    let usual = kinds.into_iter().max_by_key(|(_, (count, ..))| *count);
    let (before, (_, most, wide)) = usual.unwrap_or_default();
    Ok(format!("{before}{:0wide$}", most.saturating_add(1)))
}

/// The folder's shop and files with the tickets that were taken at the counter and are
/// still to be made, where it has none of that number; and what is said of each that it
/// does not have, or has as somebody else's.
pub(super) type WithTaken = (Shop, Files, BTreeMap<String, String>, Vec<String>);

/// See [`WithTaken`]. Of those that are somebody else's there, by number, the book's own
/// stays.
pub(super) fn with_taken(
    step: &Step,
    old: &Shop,
    (shop, files): (&Shop, &Files),
) -> Result<WithTaken, BookError> {
    let (mut shop, mut files) = (shop.clone(), files.clone());
    let (mut others, mut said) = (BTreeMap::new(), Vec::new());
    for id in taken(step.db())? {
        let Some(frame) = old.frame(&id) else { continue };
        match shop.frame(&id) {
            Some(other) if other.note == frame.note => {}
            Some(_) => {
                let why = format!(
                    "frames.csv: {id} was taken at the counter for somebody else (write the one of \
                     the folder under another number)"
                );
                others.insert(id, why);
            }
            None if is_over(step.db(), frame)? => {}
            None => {
                let plain = Frame { progress: FrameProgress::default(), ..frame.clone() };
                files = files_with_ticket(files, &plain, (&shop, Keeper::Book)).or_else(|why| {
                    wrong(format!("frames.csv: {id} was taken at the counter, and {why}"))
                })?;
                shop.frames.push(plain);
                let cancel = format!("longpoint cancel {THIS_BOOK} {id} ends it");
                said.push(format!(
                    "frames.csv has no {id}, which was taken at the counter: it stays ({})",
                    either(&cancel, "cancelled under Tickets it ends")
                ));
            }
        }
    }
    Ok((shop, files, others, said))
}

/// The tickets that were taken at the counter, as far as that was not undone.
fn taken(db: &Connection) -> Result<Vec<String>, BookError> {
    let mut query = db.prepare_cached(
        "SELECT t.frame FROM ticket t WHERE NOT EXISTS
           (SELECT 1 FROM step u WHERE u.undoes = t.step) ORDER BY t.id",
    )?;
    let rows = query.query_map([], |row| row.get(0))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// Whether nothing of a ticket is still to be made.
fn is_over(db: &Connection, frame: &Frame) -> Result<bool, BookError> {
    let sql = "SELECT count(*) FROM copy WHERE frame = ? AND number <= ?
               AND state IN ('chopped', 'bought', 'cancelled')";
    let over: u32 =
        db.prepare_cached(sql)?.query_row(params![frame.id, frame.copies], |row| row.get(0))?;
    Ok(over >= frame.copies)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_what_a_ticket_ends_in() {
        assert_eq!(parted("4150"), Some(("", 4150, 4)));
        assert_eq!(parted("W-0099"), Some(("W-", 99, 4)));
        assert_eq!(parted("Halloran"), None);
    }
}
