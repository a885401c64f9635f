//! A stick of a plan at the bench as the planner laid it out: all that a sheet shows.

use rusqlite::{Connection, params};

use super::error::BookError;
use super::lays::{BenchRail, StickLayout};
use super::rack;
use crate::measure::{Length, Worth};
use crate::plan::{CutStick, Left, PlacedRail};
use crate::rails::{Rail, frame_rails};
use crate::shop::{Flaw, Shop};

/// The stick with its rails, flaws and pieces to keep. Its worth is not known here,
/// and no sheet shows it.
pub(super) fn of_lay(
    db: &Connection,
    shop: &Shop,
    lay: &StickLayout,
) -> Result<CutStick, BookError> {
    let gone = lay.length - rack::length(db, lay.stick_id)?;
    let moved = |flaw: &Flaw| Flaw { from: flaw.from + gone, to: flaw.to + gone };
    let beyond = lay.rails.last().map_or(lay.trim, |rail| rail.to + rail.joint);
    let left = (beyond, lay.remains, lay.label.clone());
    Ok(CutStick {
        stick: lay.stick.clone(),
        is_new: false,
        moulding: lay.moulding.clone(),
        length: lay.length,
        lot: lay.lot.clone(),
        place: lay.place.clone(),
        flaws: rack::flaws_of(db, lay.stick_id)?.iter().map(moved).collect(),
        first_trim: lay.trim,
        rails: lay.rails.iter().map(|rail| placed(shop, rail)).collect(),
        left: piece(left),
        between: pieces(db, lay)?.into_iter().map(piece).collect(),
        worth: Worth(0),
        supplier: String::new(),
    })
}

fn piece((from, length, label): (Length, Length, String)) -> Left {
    Left { from, length, keep: !label.is_empty(), label, worth: Worth(0) }
}

/// The pieces that are kept before flaws.
fn pieces(db: &Connection, lay: &StickLayout) -> Result<Vec<(Length, Length, String)>, BookError> {
    let sql = "SELECT start, length, label FROM piece WHERE lay = ? ORDER BY start";
    let mut query = db.prepare_cached(sql)?;
    let rows = query.query_map(params![lay.id], |row| {
        Ok((row.get::<_, Length>(0)?, row.get::<_, Length>(1)?, row.get(2)?))
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// A rail with what it measures along its rabbet and its sight edge.
fn placed(shop: &Shop, rail: &BenchRail) -> PlacedRail {
    let long_point = rail.to - rail.from;
    let layers = shop.frame(&rail.frame).map(|frame| frame_rails(shop, frame)).unwrap_or_default();
    let own = layers.iter().find(|layer| layer.layer == rail.layer);
    let own = own.and_then(|layer| layer.rails.iter().find(|own| own.side == rail.side));
    // A ticket that is gone says nothing of them; the long point was cut by. One that has
    // another size now still says how much shorter they are.
    let shorter = |of: Length, own: &Rail| long_point - (own.long_point - of);
    let (rabbet, sight) = own.map_or((long_point, long_point), |own| {
        (shorter(own.rabbet, own), shorter(own.sight, own))
    });
    let frame = rail.frame.clone();
    let (copy, layer, side, mitre) = (rail.copy, rail.layer, rail.side, rail.mitre);
    let (from, to, turned) = (rail.from, rail.to, rail.turned);
    PlacedRail { frame, copy, layer, side, mitre, from, to, long_point, rabbet, sight, turned }
}
