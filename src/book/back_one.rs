//! What was done last to a stick at the bench, and whether it can be taken back.

use rusqlite::{Connection, OptionalExtension, params};

use super::error::BookError;
use super::journal::{LoggedStep, STANDS, last_step, step};
use super::lays;
use super::ledger::Book;

/// The last cut, chip or flaw of a stick that stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LastOnStick {
    /// The step that it was.
    pub step: LoggedStep,
    /// The numbers of the stick's cuts that it changed; none if it was a flaw.
    pub cuts: Vec<usize>,
    /// Whether it was of this stick alone.
    pub alone: bool,
    /// What was done last of all since, and stands, so that this is not the last.
    pub since: Option<LoggedStep>,
}

impl Book {
    /// What was done last to a stick at the bench since its plan was taken there: a cut, a
    /// chip or a flaw.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn last_on(&self, stick: &str) -> Result<Option<LastOnStick>, BookError> {
        self.look(|db| {
            let Ok((job, lay)) = lays::of_stick(db, stick) else { return Ok(None) };
            let Some(number) = number(db, job, lay.stick_id)? else { return Ok(None) };
            let Some(done) = step(db, number)? else { return Ok(None) };
            let mut query = db.prepare_cached(
                "SELECT r.id, l.stick FROM note n JOIN rail r ON r.id = n.row
                 JOIN lay l ON l.id = r.lay WHERE n.step = ? AND n.field = 'rail.state'
                 ORDER BY r.id",
            )?;
            let rows = query.query_map([number], |row| Ok((row.get(0)?, row.get(1)?)))?;
            let changed = rows.collect::<Result<Vec<(i64, i64)>, _>>()?;
            let is_changed = |id: i64| changed.iter().any(|(rail, _)| *rail == id);
            let cuts = lay.rails.iter().filter(|rail| is_changed(rail.id)).map(|rail| rail.number);
            Ok(Some(LastOnStick {
                step: done,
                cuts: cuts.collect(),
                alone: changed.iter().all(|(_, stick)| *stick == lay.stick_id),
                since: last_step(db)?.filter(|last| last.done.number != number),
            }))
        })
    }
}

fn number(db: &Connection, job: i64, stick: i64) -> Result<Option<i64>, BookError> {
    let mut query = db.prepare_cached(&format!(
        "SELECT s.id FROM step s JOIN job j ON j.id = ?1 AND s.id > j.step
         WHERE s.what IN ('cut', 'spoil', 'flaw') AND {STANDS}
         AND EXISTS (SELECT 1 FROM note n WHERE n.step = s.id
           AND (n.field = 'stick.flaws' AND n.row = ?2 OR n.field = 'rail.state'
             AND n.row IN (SELECT r.id FROM rail r JOIN lay l ON l.id = r.lay WHERE l.stick = ?2)))
         ORDER BY s.id DESC LIMIT 1"
    ))?;
    Ok(query.query_row(params![job, stick], |row| row.get(0)).optional()?)
}
