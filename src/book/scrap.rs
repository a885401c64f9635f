//! Sticks written off: broken, warped, given away.

use super::error::BookError;
use super::field::Field;
use super::lays::{self, BenchRail, RailState, StickLayout};
use super::ledger::Book;
use super::stamp::Stamp;
use super::step::{MovementKind, Step};
use super::{rack, spare, spelt, spoil};
use crate::shop::Stick;

/// What was written off.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scrapped {
    /// The stick, or a spare rail as one, as it was.
    pub stick: Stick,
    /// The rails that were still to be cut from it: they are owed.
    pub off: Vec<BenchRail>,
}

impl Book {
    /// Writes off all that is left of these sticks, on the rack or at the bench, and
    /// spare rails under theirs. What was still to be cut from one is owed.
    ///
    /// # Errors
    /// If one is not there; then none is written off.
    pub fn scrap(&mut self, sticks: &[String], stamp: &Stamp) -> Result<Vec<Scrapped>, BookError> {
        self.change("scrap", stamp, |step| {
            let mut gone = Vec::new();
            for name in sticks {
                if let Some((lay, rail)) = spare::named(step.db(), name)? {
                    spoil::mark(step, &rail)?;
                    gone.push(Scrapped { stick: as_stick(lay, &rail), off: Vec::new() });
                    continue;
                }
                let on = rack::named(step.db(), &spelt::label(step.db(), name)?)?;
                step.moved(on.id, MovementKind::Scrap, -on.stick.length, None)?;
                let off = match lays::laid(step.db(), on.id)? {
                    Some(lay) => nothing_left(step, &lay)?,
                    None => Vec::new(),
                };
                gone.push(Scrapped { stick: on.stick, off });
            }
            Ok(gone)
        })
    }
}

/// Nothing is cut from a stick any more, since nothing is left of it.
fn nothing_left(step: &Step, lay: &StickLayout) -> Result<Vec<BenchRail>, BookError> {
    let open = lay.rails.iter().filter(|rail| rail.state == RailState::ToCut);
    let off: Vec<BenchRail> = open.cloned().collect();
    for rail in &off {
        step.set(Field::RailState, rail.id, RailState::Off.word().to_owned())?;
    }
    step.set(Field::LayState, lay.id, "off".to_owned())?;
    Ok(off)
}

/// A spare rail as it was.
fn as_stick(lay: StickLayout, rail: &BenchRail) -> Stick {
    Stick {
        id: rail.spare_label(),
        moulding: lay.moulding,
        length: rail.to - rail.from,
        lot: lay.lot,
        place: String::new(),
        flaws: Vec::new(),
        since: None,
    }
}
