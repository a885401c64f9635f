//! How much of each moulding the shop uses in a month: what was really cut of it.
//!
//! Counted are the last months that the book has seen, up to six, back from its last
//! step; a book that is younger than a month has seen one.

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::DateTime;
use rusqlite::{Connection, params};

use super::error::BookError;
use crate::measure::Length;
use crate::shop::Shop;

/// Days of a month, and of six.
const MONTH: i64 = 30;
const MOST: i64 = 6 * MONTH;

/// Fills in the mouldings of which the files do not say it and something was cut.
pub(super) fn fill_in(db: &Connection, shop: &mut Shop) -> Result<(), BookError> {
    let ends: (Option<String>, Option<String>) =
        db.query_row("SELECT min(at), max(at) FROM step", [], |row| {
            Ok((row.get(0)?, row.get(1)?))
        })?;
    let read = |at: Option<String>| at.and_then(|at| at.parse::<DateTime>().ok());
    let Some((first, last)) = read(ends.0).zip(read(ends.1)) else { return Ok(()) };
    let seen = i64::from((last.date() - first.date()).get_days()) + 1;
    let days = seen.clamp(MONTH, MOST);
    let used = used(db, last.saturating_sub(days.days()))?;
    for (id, length) in used.into_iter().filter(|(_, length)| length.is_positive()) {
        let moulding = shop.mouldings.get_mut(&id);
        let Some(moulding) = moulding.filter(|moulding| moulding.monthly.is_none()) else {
            continue;
        };
        let thousandths = i128::from(length.nm()) * i128::from(MONTH) * 1000
            / (i128::from(moulding.stick.nm()) * i128::from(days));
        moulding.monthly = Some(u32::try_from(thousandths).unwrap_or(u32::MAX));
    }
    Ok(())
}

/// How much of each moulding was cut after a time: rails, joints, trims and scrap.
fn used(db: &Connection, since: DateTime) -> Result<BTreeMap<String, Length>, BookError> {
    let mut query = db.prepare_cached(
        "SELECT s.moulding, -sum(m.nm) FROM movement m JOIN stick s ON s.id = m.stick
         JOIN step t ON t.id = m.step WHERE t.at > ?
         AND m.kind IN ('rail', 'spoiled', 'joint', 'trim', 'scrap') GROUP BY 1",
    )?;
    let since = since.strftime("%Y-%m-%dT%H:%M:%S").to_string();
    let rows = query.query_map(params![since], |row| Ok((row.get(0)?, row.get(1)?)))?;
    Ok(rows.collect::<Result<_, _>>()?)
}
