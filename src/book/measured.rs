//! A stick at the bench that measures otherwise than it was planned: the rest of its moulding
//! is planned again before more of it is cut.
//!
//! # Why what still fits waits too
//!
//! A longer stick may have room for what another was to be opened for, and a shorter one may
//! be better cut otherwise: once a rail is off, that is past. It is the moulding that waits and
//! not the shop, since planning again moves nothing of another.

use rusqlite::{Connection, params};

use super::error::{BookError, wrong};
use super::journal::STANDS;
use crate::report::either::either;

/// The sticks that measure otherwise than a plan was made for, or made again last, each
/// after its moulding. One that was measured back to what it was is none of them.
pub(super) fn measured(db: &Connection, job: i64) -> Result<Vec<(String, String)>, BookError> {
    let planned: i64 = db
        .prepare_cached(&format!(
            "SELECT ifnull(max(s.id), 0) FROM step s JOIN note n ON n.step = s.id
             WHERE s.what IN ('take', 'replan') AND {STANDS}
             AND (n.field = 'job.state' AND n.row = ?1
               OR n.field = 'lay.state' AND n.row IN (SELECT id FROM lay WHERE job = ?1))"
        ))?
        .query_row([job], |row| row.get(0))?;
    // Of each what it was before it was measured first; its other columns are of that note too.
    let mut query = db.prepare_cached(&format!(
        "SELECT DISTINCT moulding, name FROM (
           SELECT k.moulding, k.name, n.was, l.length AS is_now, min(n.id)
           FROM step s JOIN note n ON n.step = s.id
           JOIN lay l ON l.id = n.row JOIN stick k ON k.id = l.stick
           WHERE s.what = 'correct' AND {STANDS} AND s.id > ?2
           AND n.field = 'lay.length' AND l.job = ?1
           AND EXISTS (SELECT 1 FROM rail r WHERE r.lay = l.id) GROUP BY l.id)
         WHERE was IS NOT is_now ORDER BY 1, 2"
    ))?;
    let rows = query.query_map(params![job, planned], |row| Ok((row.get(0)?, row.get(1)?)))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// Nothing of a moulding is cut before its rest is planned as its sticks measure.
pub(super) fn none_measured(db: &Connection, job: i64, moulding: &str) -> Result<(), BookError> {
    match measured(db, job)?.into_iter().find(|(own, _)| own == moulding) {
        None => Ok(()),
        Some((_, stick)) => wrong(format!(
            "{stick} measures otherwise than it was planned: nothing more of {moulding} is cut \
             before the rest is planned again ({})",
            either("longpoint replan", "PLAN THE REST AGAIN")
        )),
    }
}
