//! A flaw that was found on a stick, on the rack or at the bench.

use super::error::{BookError, wrong};
use super::field::Field;
use super::ledger::Book;
use super::stamp::Stamp;
use super::{rack, source_files, spelt};
use crate::shop::Flaw;

impl Book {
    /// Writes down flaws, measured from the end that is the marked one now.
    /// Returns the flaws that the stick has then.
    ///
    /// # Errors
    /// If there is no such stick, or a flaw does not lie on it.
    pub fn flaw(
        &mut self,
        stick: &str,
        found: &[Flaw],
        stamp: &Stamp,
    ) -> Result<Vec<Flaw>, BookError> {
        self.change("flaw", stamp, |step| {
            let on = rack::named(step.db(), &spelt::label(step.db(), stick)?)?;
            if found.iter().any(|flaw| flaw.to > on.stick.length || flaw.from > flaw.to) {
                let style = source_files::typed(step.db())?.settings.style();
                return wrong(format!(
                    "a flaw lies beyond the end of stick {}, of which {} is left (measure from the \
                     end that is the marked one now)",
                    on.stick.id,
                    style.show_unit(on.stick.length)
                ));
            }
            let mut all = [on.stick.flaws.as_slice(), found].concat();
            all.sort_by_key(|flaw| (flaw.from, flaw.to));
            let mut apart: Vec<Flaw> = Vec::new();
            for flaw in all {
                match apart.last_mut() {
                    Some(last) if flaw.from <= last.to => last.to = last.to.max(flaw.to),
                    _ => apart.push(flaw),
                }
            }
            step.set(Field::StickFlaws, on.id, rack::write_flaws(&apart))?;
            Ok(apart)
        })
    }
}
