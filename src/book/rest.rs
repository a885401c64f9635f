//! What is left of a stick in hand from which nothing more is cut: it stays at the bench
//! until it is kept under its label, or thrown away.

use super::cut::TickedStick;
use super::error::{BookError, wrong};
use super::laying::lay;
use super::lays::{self, StickLayout};
use super::ledger::Book;
use super::stamp::Stamp;
use super::step::{MovementKind, NewStick, Step};
use super::{rack, source_files, spelt};
use crate::measure::{Length, Worth};
use crate::plan::{CutStick, Left};
use crate::shop::Match;

impl Book {
    /// Keeps what is left of a stick from which nothing more is cut, or writes it off if it
    /// is too short.
    ///
    /// # Errors
    /// If the stick is not at the bench, something is still to be cut from it, or nothing is
    /// left of it.
    pub fn keep_rest(&mut self, stick: &str, stamp: &Stamp) -> Result<TickedStick, BookError> {
        self.change("cut", stamp, |step| {
            let (job, laid) = lays::of_stick(step.db(), &spelt::label(step.db(), stick)?)?;
            match is_all(step, &laid)? {
                true => settle(step, job, &laid),
                false if laid.is_done() => wrong(format!(
                    "the rest of stick {stick} is off the bench already (look at the list)"
                )),
                false => wrong(format!(
                    "of stick {stick} there are still cuts to make (look at the stick again)"
                )),
            }
        })
    }
}

/// Lays a stick out for its rest alone, if it is begun and nothing is laid out on it any more.
/// Returns the stick, how much is left of it and its label, which is empty if it is scrap.
pub(super) fn left_of(
    step: &Step,
    job: i64,
    was: &StickLayout,
    ever: &[StickLayout],
) -> Result<Option<(String, Length, String)>, BookError> {
    let mut own = ever.iter().filter(|lay| lay.stick_id == was.stick_id);
    let length = rack::length(step.db(), was.stick_id)?;
    let is_begun = own.any(StickLayout::is_begun);
    if !is_begun || !length.is_positive() || lays::laid(step.db(), was.stick_id)?.is_some() {
        return Ok(None);
    }
    let shop = source_files::typed(step.db())?;
    let label = match length >= shop.settings.keep {
        false => String::new(),
        true if was.label.is_empty() => step.label()?,
        true => was.label.clone(),
    };
    let keep = !label.is_empty();
    let left = Left { from: Length::ZERO, length, keep, label: label.clone(), worth: Worth(0) };
    let rest = CutStick {
        stick: was.stick.clone(),
        is_new: false,
        moulding: was.moulding.clone(),
        length,
        lot: was.lot.clone(),
        place: was.place.clone(),
        flaws: Vec::new(),
        first_trim: Length::ZERO,
        rails: Vec::new(),
        left,
        between: Vec::new(),
        worth: Worth(0),
        supplier: String::new(),
    };
    lay(step, (&shop, job), &rest, &|_| Match::Any)?;
    Ok(Some((was.stick.clone(), length, label)))
}

/// Whether of a stick at the bench only the rest is to be kept.
pub(super) fn is_all(step: &Step, lay: &StickLayout) -> Result<bool, BookError> {
    Ok(lay.rails.is_empty() && rack::length(step.db(), lay.stick_id)?.is_positive())
}

/// What is left becomes a stick of its own, or is scrap.
pub(super) fn settle(step: &Step, job: i64, lay: &StickLayout) -> Result<TickedStick, BookError> {
    let left = rack::length(step.db(), lay.stick_id)?;
    let (stick, rails) = (lay.stick.clone(), Vec::new());
    let mut done = TickedStick { stick, rails, to_cut: 0, kept: Vec::new(), scrap: Length::ZERO };
    if lay.label.is_empty() {
        step.moved(lay.stick_id, MovementKind::Scrap, -left, None)?;
        done.scrap = left;
        return Ok(done);
    }
    let flaws = rack::write_flaws(&rack::flaws_of(step.db(), lay.stick_id)?);
    let child = step.stick(&NewStick {
        name: &lay.label,
        moulding: &lay.moulding,
        lot: &lay.lot,
        parent: Some(lay.stick_id),
        flaws: &flaws,
        job: Some(job),
        ..NewStick::default()
    })?;
    step.parted((lay.stick_id, child), left, None)?;
    done.kept.push((lay.label.clone(), left));
    Ok(done)
}
