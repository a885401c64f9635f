//! A plan, or what is not begun of it, put back unused.

use std::collections::BTreeSet;

use super::error::wrong;
use super::field::Field;
use super::lays::{self, Lay, State};
use super::step::Step;
use super::{Book, BookError, Stamp, bench, rack};

impl Book {
    /// Puts a plan back from which nothing was cut: its sticks are free again,
    /// its frames on the pile. Returns its number and the labels of its sticks.
    ///
    /// # Errors
    /// If something was cut already.
    pub fn put_back(
        &mut self,
        job: Option<i64>,
        stamp: &Stamp,
    ) -> Result<(i64, Vec<String>), BookError> {
        self.change("put-back", stamp, |step| {
            let job = lays::job(step.db(), job)?;
            let lays = lays::ever(step.db(), job)?;
            if let Some(begun) = lays.iter().find(|lay| lay.is_begun()) {
                return wrong(format!(
                    "stick {} is cut already (finish the day with --rest-back, or undo the cuts)",
                    begun.stick
                ));
            }
            let copies = bench::copies(step.db(), job)?.into_iter().collect();
            leave(step, &lays, &copies)?;
            let sticks = rack::of_job(step.db(), job)?;
            for on in &sticks {
                step.set(Field::StickJob, on.id, None::<i64>)?;
            }
            step.set(Field::JobState, job, "back".to_owned())?;
            Ok((job, sticks.into_iter().map(|on| on.stick.id).collect()))
        })
    }
}

/// Sends the frame copies of which no rail was cut back to the pile.
pub(super) fn unbegun(step: &Step, job: i64) -> Result<Vec<(String, u32)>, BookError> {
    let lays = lays::ever(step.db(), job)?;
    let rails = lays.iter().flat_map(|lay| &lay.rails);
    let begun: BTreeSet<(&str, u32)> = rails
        .filter(|rail| rail.state == State::Cut)
        .map(|rail| (rail.frame.as_str(), rail.copy))
        .collect();
    let copies = bench::copies(step.db(), job)?.into_iter();
    let back: BTreeSet<(String, u32)> =
        copies.filter(|(frame, copy)| !begun.contains(&(frame.as_str(), *copy))).collect();
    leave(step, &lays, &back)?;
    Ok(back.into_iter().collect())
}

/// Takes frame copies off the bench: their rails are not cut any more, and a
/// stick from which nothing else is to be cut is not laid out any more.
pub(super) fn leave(
    step: &Step,
    lays: &[Lay],
    copies: &BTreeSet<(String, u32)>,
) -> Result<(), BookError> {
    for lay in lays {
        let goes = |rail: &&lays::LaidRail| copies.contains(&(rail.frame.clone(), rail.copy));
        let open = || lay.rails.iter().filter(|rail| rail.state == State::ToCut);
        for rail in open().filter(goes) {
            step.set(Field::RailState, rail.id, State::Off.word().to_owned())?;
        }
        let any_goes = open().any(|rail| goes(&rail));
        if any_goes && open().all(|rail| goes(&rail)) {
            step.set(Field::LayState, lay.id, "off".to_owned())?;
        }
    }
    for (frame, number) in copies {
        let copy = step.copy(frame, *number)?;
        step.set(Field::CopyState, copy, None::<String>)?;
        step.set(Field::CopyJob, copy, None::<i64>)?;
    }
    Ok(())
}
