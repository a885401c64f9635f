//! The sticks of a plan as it was planned last: their order at the bench follows from that.
//!
//! # Why not from what is to be cut now
//!
//! Where a ticket is cancelled, what is left to cut could be ordered anew, with fewer
//! settings of the stop. But sticks are fetched and cards hang at the bench in the order that
//! there was: what is left keeps it until the day is planned again.

use rusqlite::{Connection, OptionalExtension};

use super::error::BookError;
use super::journal::STANDS;
use super::{card, lays};
use crate::plan::CutStick;
use crate::shop::Shop;

/// The cards that a plan had when it was made or made again last, in its order; none where
/// they are those of the layouts that are in force.
pub(super) fn planned(
    db: &Connection,
    (shop, job): (&Shop, i64),
    on: &[i64],
) -> Result<Vec<CutStick>, BookError> {
    let last: Option<i64> = db
        .prepare_cached(&format!(
            "SELECT max(s.id) FROM step s JOIN note n ON n.step = s.id JOIN lay l ON l.id = n.row
             WHERE n.field = 'lay.state' AND l.job = ? AND s.what IN ('take', 'replan') AND {STANDS}"
        ))?
        .query_row([job], |row| row.get(0))
        .optional()?
        .flatten();
    let mut query = db.prepare_cached(
        "SELECT l.id FROM lay l WHERE l.job = ?1 AND EXISTS (SELECT 1 FROM note n
           WHERE n.field = 'lay.state' AND n.row = l.id AND n.is_now = 'on' AND n.step <= ?2)
         AND (l.state = 'on' OR l.state = 'off' AND ?2 < (SELECT max(n.step) FROM note n
           WHERE n.field = 'lay.state' AND n.row = l.id AND n.is_now = 'off'))
         ORDER BY l.id",
    )?;
    let rows = query.query_map((job, last), |row| row.get(0))?;
    let ids = rows.collect::<Result<Vec<i64>, _>>()?;
    if ids == on {
        return Ok(Vec::new());
    }
    let ever = lays::ever(db, job)?;
    let laid = ever.iter().filter(|lay| ids.contains(&lay.id));
    laid.map(|lay| card::of_lay(db, shop, lay)).collect()
}
