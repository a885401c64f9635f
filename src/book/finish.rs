//! The end of the day: offcuts go to the rack, scrap is written off, frames are
//! chopped.

use std::collections::BTreeSet;

use super::error::wrong;
use super::field::Field;
use super::lays::{self, State};
use super::step::{Kind, NewStick, Step};
use super::{Book, BookError, Stamp, back, bench, papers, rack};
use crate::measure::Length;
use crate::shop::{Shop, Stick};

/// What a day came to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Finished {
    /// The plan's number.
    pub job: i64,
    /// The frame copies that are chopped.
    pub chopped: Vec<(String, u32)>,
    /// The frame copies that went back to the pile, uncut.
    pub back: Vec<(String, u32)>,
    /// The offcuts that go to the rack with a label each.
    pub racked: Vec<Stick>,
    /// The sticks that go back as they were.
    pub untouched: Vec<String>,
    /// What was too short to keep, beside what was scrap while cutting.
    pub scrap: Length,
}

impl Book {
    /// Finishes the plan at the bench. With `rest_back`, what is not begun goes
    /// back; without it, everything must be cut.
    ///
    /// # Errors
    /// If something is still to be cut or owed; all of it is named.
    pub fn finish(
        &mut self,
        job: Option<i64>,
        (place, rest_back): (&str, bool),
        stamp: &Stamp,
    ) -> Result<Finished, BookError> {
        self.change("finish", stamp, |step| {
            let job = lays::job(step.db(), job)?;
            let shop = papers::typed(step.db())?;
            let mut finished = Finished { job, ..Finished::default() };
            if rest_back {
                finished.back = back::unbegun(step, job)?;
            }
            whole(step, &shop, job)?;
            for (frame, number) in bench::copies(step.db(), job)? {
                step.set(Field::CopyState, step.copy(&frame, number)?, "chopped".to_owned())?;
                finished.chopped.push((frame, number));
            }
            rack_all(step, &shop, place, &mut finished)?;
            step.set(Field::JobState, job, "done".to_owned())?;
            Ok(finished)
        })
    }
}

/// Whether every rail of the plan's frames is cut; what is not is named.
fn whole(step: &Step, shop: &Shop, job: i64) -> Result<(), BookError> {
    let mut faults = Vec::new();
    for lay in lays::on(step.db(), job)? {
        let open = lay.rails.iter().filter(|rail| rail.state == State::ToCut).count();
        if open > 0 {
            let rails = if open == 1 { "rail is" } else { "rails are" };
            faults.push(format!("stick {}: {open} {rails} still to be cut", lay.stick));
        }
    }
    let at = bench::at_bench(step.db(), shop, job)?;
    faults.extend(at.owed.iter().map(|owed| {
        format!(
            "frame {}: its {} in {} is owed",
            owed.frame,
            crate::report::name::side(owed.side),
            owed.moulding
        )
    }));
    if faults.is_empty() {
        return Ok(());
    }
    faults.push(
        "(tick off what is cut, replan what is owed, or put back what is not begun with --rest-back)"
            .to_owned(),
    );
    wrong(faults.join("\n"))
}

/// Everything of the plan that is in hand goes to the rack or is scrap.
fn rack_all(
    step: &Step,
    shop: &Shop,
    place: &str,
    finished: &mut Finished,
) -> Result<(), BookError> {
    let job = finished.job;
    let lays = lays::ever(step.db(), job)?;
    let cut: BTreeSet<i64> =
        lays.iter().filter(|lay| lay.is_begun()).map(|lay| lay.stick_id).collect();
    let laid: BTreeSet<i64> = lays.iter().map(|lay| lay.stick_id).collect();
    for on in rack::of_job(step.db(), job)? {
        if cut.contains(&on.id) {
            // Its label went with its marked end.
            rest(step, shop, &on, place, finished)?;
        } else if laid.contains(&on.id) && !was_made(step, on.id, job)? {
            finished.untouched.push(on.stick.id.clone());
            step.set(Field::StickJob, on.id, None::<i64>)?;
        } else {
            step.set(Field::StickJob, on.id, None::<i64>)?;
            step.set(Field::StickPlace, on.id, place.to_owned())?;
            step.set(Field::StickSince, on.id, step.date.to_string())?;
            finished.racked.push(rack::named(step.db(), &on.stick.id)?.stick);
        }
    }
    Ok(())
}

/// Whether a stick is an offcut of this very plan.
fn was_made(step: &Step, stick: i64, job: i64) -> Result<bool, BookError> {
    Ok(step
        .db()
        .prepare_cached(
            "SELECT 1 FROM stick s JOIN lay l ON l.stick = s.parent WHERE s.id = ? AND l.job = ?
             AND l.state IS NOT NULL",
        )?
        .exists([stick, job])?)
}

/// What remains of a stick that was begun and is cut no further.
fn rest(
    step: &Step,
    shop: &Shop,
    on: &rack::OnRack,
    place: &str,
    finished: &mut Finished,
) -> Result<(), BookError> {
    step.set(Field::StickJob, on.id, None::<i64>)?;
    let length = on.stick.length;
    if length < shop.settings.keep {
        finished.scrap += length;
        return step.moved(on.id, Kind::Scrap, -length, None);
    }
    let label = step.label()?;
    let new = NewStick {
        name: &label,
        moulding: &on.stick.moulding,
        lot: &on.stick.lot,
        parent: Some(on.id),
        place,
        flaws: &rack::write_flaws(&on.stick.flaws),
        since: Some(step.date),
        job: None,
    };
    let child = step.stick(&new)?;
    step.parted((on.id, child), length, None)?;
    finished.racked.push(rack::named(step.db(), &label)?.stick);
    Ok(())
}
