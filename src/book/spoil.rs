//! A rail that was spoiled: it is off its stick and of no use.

use super::cut::{Cut, on_no_flaw, take_off};
use super::error::wrong;
use super::field::Field;
use super::lays::{self, LaidRail, State};
use super::step::{Kind, Step};
use super::{Book, BookError, Stamp};
use crate::measure::Length;

impl Book {
    /// Writes down that a cut of a stick was spoiled. If it is the next one, it
    /// is ticked off with that.
    ///
    /// # Errors
    /// If there is no such cut, it is spoiled already, or cuts before it are
    /// still to be made.
    pub fn spoil(
        &mut self,
        stick: &str,
        number: usize,
        stamp: &Stamp,
    ) -> Result<LaidRail, BookError> {
        self.change("spoil", stamp, |step| {
            let (job, lay) = lays::of_stick(step.db(), stick)?;
            let found = number.checked_sub(1).and_then(|at| lay.rails.get(at)).cloned();
            let Some(rail) = found else {
                return wrong(format!("stick {stick} has the cuts 1 to {}", lay.rails.len()));
            };
            match rail.state {
                State::Cut => mark(step, &rail)?,
                State::Spoiled => return wrong(format!("cut {number} of {stick} is spoiled already")),
                State::Off => return wrong(format!("cut {number} of {stick} is not made any more")),
                State::ToCut => {
                    let mut before = lay.rails[..number - 1].iter();
                    if before.any(|rail| rail.state == State::ToCut) {
                        return wrong(format!(
                            "cut {number} of {stick} is not the next (tick off those before it first)"
                        ));
                    }
                    on_no_flaw(step.db(), &lay, std::slice::from_ref(&rail))?;
                    take_off(step, (job, &lay), &rail, State::Spoiled, &mut nothing(stick))?;
                }
            }
            Ok(rail)
        })
    }
}

/// A rail that was ticked off as good turns out not to be.
pub(super) fn mark(step: &Step, rail: &LaidRail) -> Result<(), BookError> {
    let stick: i64 = step.db().query_row(
        "SELECT l.stick FROM rail r JOIN lay l ON l.id = r.lay WHERE r.id = ?",
        [rail.id],
        |row| row.get(0),
    )?;
    let length = rail.to - rail.from;
    step.moved(stick, Kind::Rail, length, Some(rail.id))?;
    step.moved(stick, Kind::Spoiled, -length, Some(rail.id))?;
    step.set(Field::RailState, rail.id, State::Spoiled.word().to_owned())
}

fn nothing(stick: &str) -> Cut {
    let (rails, kept) = (Vec::new(), Vec::new());
    Cut { stick: stick.to_owned(), rails, to_cut: 0, kept, scrap: Length::ZERO }
}
