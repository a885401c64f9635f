//! A plan, or what is not begun of it, put back unused.

use std::collections::BTreeSet;

use super::error::{BookError, wrong};
use super::field::Field;
use super::lays::{self, RailState, StickLayout};
use super::ledger::Book;
use super::owing::back;
use super::stamp::Stamp;
use super::step::{MovementKind, Step};
use super::{bench, rack, spare};
use crate::measure::Length;
use crate::report::either::either;

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
                    "stick {} is cut already (finish the day{}, or undo the cuts)",
                    begun.stick,
                    either(" with --rest-back", "")
                ));
            }
            let copies = bench::copies(step.db(), job)?.into_iter().collect();
            restore(step, job, &copies)?;
            spare::restore(step, job)?;
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

/// Rails that were set aside when these copies were taken to the bench, to be cut anew
/// as a whole, are good again: nothing was cut instead of them.
pub(super) fn restore(
    step: &Step,
    job: i64,
    copies: &BTreeSet<(String, u32)>,
) -> Result<(), BookError> {
    let mut query = step.db().prepare(
        "SELECT r.id, l.stick, r.frame, r.copy, m.nm FROM movement m JOIN rail r ON r.id = m.rail
         JOIN lay l ON l.id = r.lay JOIN job j ON j.step = m.step
         WHERE j.id = ? AND m.kind = 'spoiled' AND r.state = 'spoiled' ORDER BY m.id",
    )?;
    let rows = query.query_map([job], |row| {
        let of: (String, u32) = (row.get(2)?, row.get(3)?);
        Ok((row.get::<_, i64>(0)?, row.get::<_, i64>(1)?, of, row.get::<_, Length>(4)?))
    })?;
    for (rail, stick, of, moved) in rows.collect::<Result<Vec<_>, _>>()? {
        if copies.contains(&of) {
            step.moved(stick, MovementKind::Spoiled, -moved, Some(rail))?;
            step.moved(stick, MovementKind::Rail, moved, Some(rail))?;
            step.set(Field::RailState, rail, RailState::Cut.word().to_owned())?;
        }
    }
    Ok(())
}

/// Takes frame copies off the bench: what is to be cut of them is not cut any more,
/// and a stick from which nothing else is to be cut is not laid out any more. Of
/// copies that are cut in part, the rest is owed.
pub(super) fn leave(
    step: &Step,
    lays: &[StickLayout],
    copies: &BTreeSet<(String, u32)>,
) -> Result<(), BookError> {
    for lay in lays {
        let goes = |rail: &&lays::BenchRail| copies.contains(&(rail.frame.clone(), rail.copy));
        let open = || lay.rails.iter().filter(|rail| rail.state == RailState::ToCut);
        for rail in open().filter(goes) {
            step.set(Field::RailState, rail.id, RailState::Off.word().to_owned())?;
        }
        let any_goes = open().any(|rail| goes(&rail));
        if any_goes && open().all(|rail| goes(&rail)) {
            step.set(Field::LayState, lay.id, "off".to_owned())?;
        }
    }
    for (frame, number) in copies {
        back(step, frame, *number)?;
    }
    Ok(())
}
