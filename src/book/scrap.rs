//! Sticks written off: broken, warped, given away.

use super::error::wrong;
use super::step::Kind;
use super::{Book, BookError, Stamp, rack, spelt};
use crate::shop::Stick;

/// A stick that is written off, as it was.
pub type Scrapped = Stick;

impl Book {
    /// Writes off all that is left of these sticks.
    ///
    /// # Errors
    /// If one is not there, or is at the bench; then none is written off.
    pub fn scrap(&mut self, sticks: &[String], stamp: &Stamp) -> Result<Vec<Scrapped>, BookError> {
        self.change("scrap", stamp, |step| {
            let mut gone = Vec::new();
            for name in sticks {
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
