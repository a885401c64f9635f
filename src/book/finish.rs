//! The end of the day: offcuts go to the rack, scrap is written off, frames are
//! chopped.

use std::collections::BTreeSet;

use super::error::{BookError, wrong};
use super::field::Field;
use super::lays::{self, RailState};
use super::ledger::Book;
use super::stamp::Stamp;
use super::step::{MovementKind, NewStick, Step};
use super::{OwedRail, back, bench, rack, source_files, spelt};
use crate::measure::Length;
use crate::report::either::either;
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
    /// The rails that are owed, of copies that are cut in part: they are on the
    /// pile.
    pub owed: Vec<OwedRail>,
    /// The offcuts that go to the rack with a label each.
    pub racked: Vec<Stick>,
    /// The sticks that go back as they were.
    pub untouched: Vec<String>,
    /// What was too short to keep, beside what was scrap while cutting.
    pub scrap: Length,
}

impl Book {
    /// Finishes the plan at the bench. What is owed goes to the pile; with
    /// `rest_back`, so does what is still to be cut.
    ///
    /// # Errors
    /// Without `rest_back`, if something is still to be cut; all of it is named.
    pub fn finish(
        &mut self,
        job: Option<i64>,
        (place, rest_back): (&str, bool),
        stamp: &Stamp,
    ) -> Result<Finished, BookError> {
        self.change("finish", stamp, |step| {
            let job = lays::job(step.db(), job)?;
            let shop = source_files::typed(step.db())?;
            let mut finished = Finished { job, ..Finished::default() };
            if !rest_back {
                all_cut(step, job)?;
            }
            to_pile(step, &shop, &mut finished)?;
            for (frame, number) in bench::copies(step.db(), job)? {
                step.set(Field::CopyState, step.copy(&frame, number)?, "chopped".to_owned())?;
                finished.chopped.push((frame, number));
            }
            rack_all(step, &shop, &spelt::place(step.db(), place)?, &mut finished)?;
            step.set(Field::JobState, job, "done".to_owned())?;
            Ok(finished)
        })
    }
}

/// Whether everything that is laid out is cut; what is not is named.
fn all_cut(step: &Step, job: i64) -> Result<(), BookError> {
    let mut faults = Vec::new();
    for lay in lays::on(step.db(), job)? {
        let open = lay.rails.iter().filter(|rail| rail.state == RailState::ToCut).count();
        if open > 0 {
            let rails = if open == 1 { "rail is" } else { "rails are" };
            faults.push(format!("stick {}: {open} {rails} still to be cut", lay.stick));
        }
    }
    if faults.is_empty() {
        return Ok(());
    }
    let rest = either("with --rest-back", "under FINISH THE DAY");
    faults.push(format!("(tick off what is cut, or send to the pile what is not {rest})"));
    wrong(faults.join("\n"))
}

/// Sends to the pile what is not cut of the plan's frames: copies that are not begun
/// as they were, of the others what they are owed.
fn to_pile(step: &Step, shop: &Shop, finished: &mut Finished) -> Result<(), BookError> {
    let job = finished.job;
    let at = bench::at_bench(step.db(), shop, job)?;
    let open = at.sticks.iter().flat_map(|stick| &stick.lay.rails);
    let open = open.filter(|rail| rail.state == RailState::ToCut);
    let lacking: BTreeSet<(String, u32)> = open
        .map(|rail| (rail.frame.clone(), rail.copy))
        .chain(at.owed.iter().map(|owed| (owed.frame.clone(), owed.copy)))
        .collect();
    let laid = [lays::earlier(step.db(), job)?, lays::ever(step.db(), job)?].concat();
    let cut = laid.iter().flat_map(|lay| &lay.rails).filter(|rail| rail.state == RailState::Cut);
    let cut: BTreeSet<(&str, u32)> = cut.map(|rail| (rail.frame.as_str(), rail.copy)).collect();
    let is_uncut = |(frame, copy): &&(String, u32)| !cut.contains(&(frame.as_str(), *copy));
    back::restore(step, job, &lacking.iter().filter(is_uncut).cloned().collect())?;
    back::leave(step, &laid, &lacking)?;
    let good = lays::of_owed(step.db())?;
    let rails = good.iter().flat_map(|lay| &lay.rails);
    let begun: BTreeSet<(&str, u32)> = rails.map(|rail| (rail.frame.as_str(), rail.copy)).collect();
    let (begun, back): (Vec<_>, Vec<_>) =
        lacking.into_iter().partition(|(frame, copy)| begun.contains(&(frame.as_str(), *copy)));
    (finished.owed, finished.back) = (bench::owed(shop, &begun, &good), back);
    Ok(())
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
    let said = lays::laid(step.db(), on.id)?.filter(|lay| lay.rails.is_empty());
    let said = said.map(|lay| lay.label).filter(|label| !label.is_empty());
    if said.is_none() && length < shop.settings.keep {
        finished.scrap += length;
        return step.moved(on.id, MovementKind::Scrap, -length, None);
    }
    let label = said.map_or_else(|| step.label(), Ok)?;
    let new = NewStick {
        name: &label,
        moulding: &on.stick.moulding,
        lot: &on.stick.lot,
        parent: Some(on.id),
        place,
        flaws: &rack::write_flaws(&on.stick.flaws),
        since: Some(step.date),
        job: None,
        line: None,
    };
    let child = step.stick(&new)?;
    step.parted((on.id, child), length, None)?;
    finished.racked.push(rack::named(step.db(), &label)?.stick);
    Ok(())
}
