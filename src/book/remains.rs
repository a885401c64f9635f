//! What the plans at the bench will leave: offcuts that have their labels already, and
//! are not cut yet. Nothing can be cut from them today, and nothing is bought that they
//! give.

use rusqlite::Connection;

use super::error::BookError;
use super::lays::{self, StickLayout};
use super::{cut, rack};
use crate::measure::Length;
use crate::shop::{Coming, Stick};

pub(super) fn coming(db: &Connection) -> Result<Vec<Coming>, BookError> {
    let mut query = db.prepare_cached("SELECT id FROM job WHERE state = 'bench' ORDER BY id")?;
    let jobs = query.query_map([], |row| row.get(0))?.collect::<Result<Vec<i64>, _>>()?;
    let mut coming = Vec::new();
    for job in jobs {
        let open = |lay: &&StickLayout| !lay.is_done() || lay.rails.is_empty();
        for lay in lays::on(db, job)?.iter().filter(open) {
            coming.extend(of(db, lay)?);
        }
    }
    Ok(coming)
}

/// What is kept of one stick from here on: before flaws, and at its end.
fn of(db: &Connection, lay: &StickLayout) -> Result<Vec<Coming>, BookError> {
    let at = lay.length - rack::length(db, lay.stick_id)?;
    let flaws = rack::flaws_of(db, lay.stick_id)?;
    let mut kept = cut::pieces(db, lay, (at, lay.length))?;
    if !lay.label.is_empty() {
        kept.push((lay.label.clone(), lay.length - lay.remains, lay.remains));
    }
    let one = |(id, from, length): (String, Length, Length)| Coming {
        stick: Stick {
            id,
            moulding: lay.moulding.clone(),
            length,
            lot: lay.lot.clone(),
            place: rack::AT_BENCH.to_owned(),
            flaws: rack::flaws_beyond(&flaws, from - at, length),
            since: None,
        },
        supplier: String::new(),
        arrives: None,
        at_bench: true,
    };
    Ok(kept.into_iter().filter(|(.., length)| length.is_positive()).map(one).collect())
}
