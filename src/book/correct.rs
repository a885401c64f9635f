//! A stick as it really is: its length as it was measured, its lot, place, flaws or
//! moulding as they should have been written.

use super::cut::fits_no_more;
use super::error::{BookError, wrong};
use super::field::Field;
use super::lays::{self, BenchRail, RailState, StickLayout};
use super::ledger::Book;
use super::stamp::Stamp;
use super::step::{MovementKind, Step};
use super::{bench, measured, rack, source_files, spelt};
use crate::measure::Length;
use crate::report::either::either;
use crate::shop::{Flaw, Shop};

/// What was found to be otherwise; what is `None` is as the book has it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Correction {
    /// How much is left of it, tip to tip along the back edge.
    pub length: Option<Length>,
    /// Its lot; empty if it is not known.
    pub lot: Option<String>,
    /// Where it lies.
    pub place: Option<String>,
    /// All its flaws, from the end that is the marked one now.
    pub flaws: Option<Vec<Flaw>>,
    /// Its moulding.
    pub moulding: Option<String>,
}

/// What followed from a correction.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Corrected {
    /// How much of the stick was left in the book.
    pub was: Length,
    /// How much is left.
    pub is: Length,
    /// The rails that are not cut from it any more: they are owed. Of a stick that measures
    /// as it was planned, after all, those that fell off it before.
    pub off: Vec<BenchRail>,
    /// What remains beyond its last cut, where it is at the bench: how long, and with
    /// which label; an empty one if it is scrap.
    pub remains: Option<(Length, String)>,
    /// The moulding of which nothing more is cut before the rest is planned again, since the
    /// stick measures otherwise than it was planned.
    pub again: Option<String>,
}

impl Book {
    /// Corrects a stick, on the rack or at the bench, before it is cut, between cuts
    /// or after. Rails that have no room on it any more, or are not its rails since
    /// it is of another lot or moulding, are owed. Where it has another length at the bench,
    /// the rest is planned again before more of its moulding is cut.
    ///
    /// # Errors
    /// If nothing is left of the stick, a flaw would lie beyond its end, or the
    /// moulding is not known.
    pub fn correct(
        &mut self,
        stick: &str,
        correction: &Correction,
        stamp: &Stamp,
    ) -> Result<Corrected, BookError> {
        self.change("correct", stamp, |step| {
            let on = rack::named(step.db(), &spelt::label(step.db(), stick)?)?;
            let shop = source_files::typed(step.db())?;
            let lay = lays::laid(step.db(), on.id)?;
            let was = on.stick.length;
            let is = correction.length.unwrap_or(was);
            if !is.is_positive() {
                let off = either("write it off with longpoint scrap", "or WRITE it OFF");
                return wrong(format!("a stick is longer than nothing ({off})"));
            }
            step.moved(on.id, MovementKind::Counted, is - was, None)?;
            let flaws = correction.flaws.clone().unwrap_or(on.stick.flaws.clone());
            if correction.flaws.is_some() && flaws.iter().any(|f| f.to > is || f.from > f.to) {
                return wrong("a flaw lies beyond the end of the stick");
            }
            let flaws = rack::flaws_beyond(&flaws, Length::ZERO, is);
            step.set(Field::StickFlaws, on.id, rack::write_flaws(&flaws))?;
            if let Some(place) = &correction.place {
                step.set(Field::StickPlace, on.id, spelt::place(step.db(), place)?)?;
            }
            let is_other = other(step, &shop, (on.id, &on.stick), correction)?;
            let mut corrected = Corrected { was, is, off: Vec::new(), remains: None, again: None };
            if let Some(lay) = lay {
                corrected.off = off(step, &shop, &lay, (is - was, is_other))?;
                if let Some(job) = on.job.filter(|_| is != was && !lay.rails.is_empty()) {
                    let otherwise = measured::measured(step.db(), job)?;
                    let waits = otherwise.iter().any(|(_, stick)| *stick == lay.stick);
                    corrected.again = waits.then(|| lay.moulding.clone());
                    if !waits {
                        corrected.off.extend(off_before(step, &shop, (job, &lay))?);
                    }
                }
                corrected.remains = remains(step, &shop, &lay)?;
            }
            Ok(corrected)
        })
    }
}

/// Writes down another lot or moulding; whether it is another.
fn other(
    step: &Step,
    shop: &Shop,
    (id, stick): (i64, &crate::shop::Stick),
    correction: &Correction,
) -> Result<bool, BookError> {
    let lot = correction.lot.as_ref().filter(|lot| **lot != stick.lot);
    let moulding = correction.moulding.as_ref().filter(|other| **other != stick.moulding);
    if let Some(lot) = lot {
        step.set(Field::StickLot, id, lot.clone())?;
    }
    if let Some(moulding) = moulding {
        shop.find_moulding(moulding)?;
        step.set(Field::StickMoulding, id, moulding.clone())?;
    }
    Ok(lot.is_some() || moulding.is_some())
}

/// Takes rails off a stick that is so much longer: those that have no room, or all
/// that are to be cut if it is not the stick that was meant. They are owed.
fn off(
    step: &Step,
    shop: &Shop,
    lay: &StickLayout,
    (longer, is_other): (Length, bool),
) -> Result<Vec<BenchRail>, BookError> {
    let length = lay.length + longer;
    step.set(Field::LayLength, lay.id, length.nm())?;
    let goes = |rail: &&BenchRail| {
        rail.state == RailState::ToCut && (is_other || fits_no_more(shop, lay, rail, length))
    };
    let off: Vec<BenchRail> = lay.rails.iter().filter(goes).cloned().collect();
    for rail in &off {
        step.set(Field::RailState, rail.id, RailState::Off.word().to_owned())?;
    }
    Ok(off)
}

/// The rails that had no room on a stick while it was measured otherwise, and are owed yet.
fn off_before(
    step: &Step,
    shop: &Shop,
    (job, lay): (i64, &StickLayout),
) -> Result<Vec<BenchRail>, BookError> {
    let owed = bench::at_bench(step.db(), shop, job)?.owed;
    let is_owed = |rail: &&BenchRail| {
        let own = (&rail.frame, rail.copy, rail.layer, rail.side);
        rail.state == RailState::Off
            && owed.iter().any(|of| (&of.frame, of.copy, of.layer, of.side) == own)
    };
    Ok(lay.rails.iter().filter(is_owed).cloned().collect())
}

/// What is left beyond the last rail of a stick now; the stick is laid out no more if
/// nothing is to be cut from it.
fn remains(
    step: &Step,
    shop: &Shop,
    lay: &StickLayout,
) -> Result<Option<(Length, String)>, BookError> {
    let Some(lay) = lays::laid(step.db(), lay.stick_id)? else { return Ok(None) };
    if lay.is_done() && !lay.rails.is_empty() {
        step.set(Field::LayState, lay.id, "off".to_owned())?;
        return Ok(None);
    }
    let stays = lay.rails.iter().filter(|rail| rail.state != RailState::Off);
    let end = stays.map(|rail| rail.to + rail.joint).max().unwrap_or(lay.trim);
    let left = (lay.length - end).max(Length::ZERO);
    let keeps = left >= shop.settings.keep;
    let label = match (keeps, lay.label.is_empty()) {
        (false, _) => String::new(),
        (true, false) => lay.label.clone(),
        (true, true) => step.label()?,
    };
    step.set(Field::LayRemains, lay.id, left.nm())?;
    step.set(Field::LayLabel, lay.id, label.clone())?;
    Ok(Some((left, label)))
}
