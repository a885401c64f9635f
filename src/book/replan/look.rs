//! One look at a day that is to be planned again.

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::Connection;

use crate::book::bench::AtBench;
use crate::book::error::BookError;
use crate::book::lays::StickLayout;
use crate::measure::Length;
use crate::shop::Shop;

/// One look at a day that is to be planned again.
pub(super) struct DayLook {
    pub job: i64,
    pub version: i64,
    /// All frames, and the sticks that the day may use.
    pub shop: Shop,
    pub at: AtBench,
    /// Everything that was ever laid out for it.
    pub lays: Vec<StickLayout>,
    /// Those that are laid out now.
    pub on: BTreeSet<i64>,
    /// Those with a cut on a flaw.
    pub hit: BTreeSet<i64>,
    /// The pieces kept before flaws, by lay: where they begin and how long.
    pub pieces: BTreeMap<i64, Vec<(Length, Length)>>,
}

/// The pieces of a plan's lays.
pub(super) fn pieces(
    db: &Connection,
    job: i64,
) -> Result<BTreeMap<i64, Vec<(Length, Length)>>, BookError> {
    let mut query = db.prepare(
        "SELECT p.lay, p.start, p.length FROM piece p JOIN lay l ON l.id = p.lay WHERE l.job = ?",
    )?;
    let rows = query.query_map([job], |row| {
        Ok((row.get::<_, i64>(0)?, row.get::<_, Length>(1)?, row.get::<_, Length>(2)?))
    })?;
    let mut pieces: BTreeMap<i64, Vec<(Length, Length)>> = BTreeMap::new();
    for row in rows {
        let (lay, start, length) = row?;
        pieces.entry(lay).or_default().push((start, length));
    }
    Ok(pieces)
}
