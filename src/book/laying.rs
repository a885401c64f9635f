//! A stick laid out for a plan, and the labels of what is kept of it.

use rusqlite::params;

use super::error::BookError;
use super::field::Field;
use super::lays::{self, RailState};
use super::rack;
use super::step::Step;
use crate::plan::{CutStick, PlacedRail};
use crate::shop::{Match, Shop};

/// Gives what is kept of a stick labels that the book never gave before.
pub(super) fn label(step: &Step, stick: &mut CutStick) -> Result<(), BookError> {
    for left in stick.between.iter_mut().chain([&mut stick.left]).filter(|left| left.keep) {
        left.label = step.label()?;
    }
    Ok(())
}

/// Lays out one stick of a plan: from now on it is that plan's.
pub(super) fn lay(
    step: &Step,
    (shop, job): (&Shop, i64),
    stick: &CutStick,
    alike: &dyn Fn(&PlacedRail) -> Match,
) -> Result<(), BookError> {
    let on = rack::named(step.db(), &stick.stick)?;
    step.set(Field::StickJob, on.id, job)?;
    // Of which only the rest was to be kept.
    if let Some(was) = lays::laid(step.db(), on.id)? {
        step.set(Field::LayState, was.id, "off".to_owned())?;
    }
    step.db().execute(
        "INSERT INTO lay (job, stick, length, trim, remains, label) VALUES (?, ?, ?, ?, ?, ?)",
        params![
            job,
            on.id,
            stick.length.nm(),
            stick.first_trim.nm(),
            stick.left.length.nm(),
            stick.left.label
        ],
    )?;
    let lay = step.db().last_insert_rowid();
    step.set(Field::LayState, lay, "on".to_owned())?;
    for piece in &stick.between {
        step.db().execute(
            "INSERT INTO piece (lay, start, length, label) VALUES (?, ?, ?, ?)",
            params![lay, piece.from.nm(), piece.length.nm(), piece.label],
        )?;
    }
    let cutter = shop.cutter_of(shop.moulding(&stick.moulding));
    for (index, rail) in stick.rails.iter().enumerate() {
        let joint = cutter.joint_loss(rail.mitre).min(stick.length - rail.to);
        step.db()
            .prepare_cached(
                "INSERT INTO rail (lay, number, frame, copy, layer, side, sides, start, stop, joint, alike,
                  turned) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            )?
            .execute(params![
                lay,
                index + 1,
                rail.frame,
                rail.copy,
                rail.layer,
                lays::place_of(rail.side, rail.mitre),
                lays::sides_of(rail.mitre),
                rail.from.nm(),
                rail.to.nm(),
                joint.nm(),
                alike(rail).word(),
                rail.turned,
            ])?;
        step.set(
            Field::RailState,
            step.db().last_insert_rowid(),
            RailState::ToCut.word().to_owned(),
        )?;
        let copy = step.copy(&rail.frame, rail.copy)?;
        step.set(Field::CopyState, copy, "bench".to_owned())?;
        step.set(Field::CopyMade, copy, None::<String>)?;
        step.set(Field::CopyJob, copy, job)?;
    }
    Ok(())
}
