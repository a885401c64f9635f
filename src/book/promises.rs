//! Promises to customers that the plan at the bench does not keep: they stand until they
//! are answered or planned anew.
//!
//! # Why the book keeps the words
//!
//! What a plan says of a frame that waits hangs on the whole rack and every order of that
//! morning, and to say it again would take another plan. It stands as it was said, as long as
//! the ticket is promised for that day and is still to be made.

use rusqlite::{Connection, params};

use super::error::BookError;
use super::field::Field;
use super::ledger::Book;
use super::source_files::typed;
use super::step::Step;
use crate::plan::Plan;
use crate::report::words::not_kept;
use crate::shop::Shop;

/// Writes down which promises a plan does not keep. What an earlier one said of the frames
/// that it concerns is past.
pub(super) fn note(step: &Step, job: i64, shop: &Shop, plan: &Plan) -> Result<(), BookError> {
    for (id, frame) in standing(step.db())? {
        if shop.frame(&frame).is_none_or(|frame| plan.wishes.concerns(frame)) {
            step.set(Field::PromiseState, id, "past".to_owned())?;
        }
    }
    for broken in plan.broken_promises(shop) {
        step.db().execute(
            "INSERT INTO promise (job, frame, due, words) VALUES (?, ?, ?, ?)",
            params![job, broken.frame, broken.due.to_string(), not_kept(&broken)],
        )?;
        let id = step.db().last_insert_rowid();
        step.set(Field::PromiseState, id, "stands".to_owned())?;
    }
    Ok(())
}

fn standing(db: &Connection) -> Result<Vec<(i64, String)>, BookError> {
    let mut query =
        db.prepare_cached("SELECT id, frame FROM promise WHERE state = 'stands' ORDER BY id")?;
    let rows = query.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

impl Book {
    /// The tickets whose promise the plan that was taken last does not keep, each with what
    /// it said; without those that are made, cancelled, or promised for that day no more.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn broken_promises(&self) -> Result<Vec<(String, String)>, BookError> {
        self.look(|db| {
            let mut query = db.prepare_cached(
                "SELECT frame, due, words, (SELECT count(*) FROM copy c WHERE c.frame = p.frame
                   AND c.state IN ('chopped', 'bought', 'cancelled'))
                 FROM promise p WHERE state = 'stands' ORDER BY id",
            )?;
            let rows = query.query_map([], |row| {
                let (frame, due): (String, String) = (row.get(0)?, row.get(1)?);
                Ok((frame, due, row.get::<_, String>(2)?, row.get::<_, u32>(3)?))
            })?;
            let all = rows.collect::<Result<Vec<_>, _>>()?;
            if all.is_empty() {
                return Ok(Vec::new());
            }
            let shop = typed(db)?;
            let stands = |(frame, due, words, over): (String, String, String, u32)| {
                let own = shop.frame(&frame).filter(|own| own.promised && over < own.copies)?;
                let is_it = own.due.is_some_and(|day| day.to_string() == due);
                is_it.then_some((frame, words))
            };
            Ok(all.into_iter().filter_map(stands).collect())
        })
    }
}
