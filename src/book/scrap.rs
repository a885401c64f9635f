//! Sticks written off: broken, warped, given away.

use super::error::wrong;
use super::lays::{LaidRail, Lay};
use super::step::Kind;
use super::{Book, BookError, Stamp, rack, spare, spelt, spoil};
use crate::shop::Stick;

/// A stick that is written off, or a spare rail, as it was.
pub type Scrapped = Stick;

impl Book {
    /// Writes off all that is left of these sticks, and spare rails under theirs.
    ///
    /// # Errors
    /// If one is not there, or is at the bench; then none is written off.
    pub fn scrap(&mut self, sticks: &[String], stamp: &Stamp) -> Result<Vec<Scrapped>, BookError> {
        self.change("scrap", stamp, |step| {
            let mut gone = Vec::new();
            for name in sticks {
                if let Some((lay, rail)) = spare::named(step.db(), name)? {
                    spoil::mark(step, &rail)?;
                    gone.push(as_stick(lay, &rail));
                    continue;
                }
                let on = rack::named(step.db(), &spelt::label(step.db(), name)?)?;
                if on.job.is_some() {
                    return wrong(format!(
                        "stick {name} is at the bench (put its plan back first)"
                    ));
                }
                step.moved(on.id, Kind::Scrap, -on.stick.length, None)?;
                gone.push(on.stick);
            }
            Ok(gone)
        })
    }
}

/// A spare rail as it was.
fn as_stick(lay: Lay, rail: &LaidRail) -> Stick {
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
