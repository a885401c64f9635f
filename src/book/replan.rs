//! The rest of a day planned again around what was spoiled or found flawed.
//!
//! What is cut stays cut. The rails that are still to be cut of the mouldings
//! concerned are packed anew by the planner; among the ways that use up least,
//! as many sticks as possible keep the cuts that they have.

mod drop;
mod groups;
mod look;
mod settle;
mod spares;

use std::collections::BTreeSet;

use jiff::civil::Date;

use super::error::{BookError, wrong};
use super::field::Field;
use super::lays::{self, BenchRail, RailState, StickLayout};
use super::ledger::{Book, version};
use super::stamp::Stamp;
use super::step::Step;
use super::{back, bench, cut, rack, source_files, spare, spoil};
use crate::book::error::unsound;
use crate::book::laying::{label, lay};
use crate::measure::Worth;
use crate::plan::{CutStick, PlacedRail, SpareUse, Told};
use crate::shop::{Match, Shop};
use crate::solve::Limits;
use crate::verify::{self, Verified};
pub(super) use groups::{Group, Stays, rest};

use super::bench::OwedRail;

/// A new plan for the rest of the day, made on one look at the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Draft {
    job: i64,
    version: i64,
    shop: Shop,
    /// The mouldings that are planned again.
    pub mouldings: Vec<Again>,
    /// The frame copies that go back to the pile, since there is not enough.
    pub dropped: BTreeSet<(String, u32)>,
    /// The rails for which there is nothing, of frames that are begun.
    pub short: Vec<OwedRail>,
    /// Rails that are good, and of no use any more: their frame is cut anew from
    /// one stick or running round.
    pub set_aside: Vec<(String, BenchRail)>,
    /// The spare rails that are taken for what is owed, and how alike their layers are.
    paid: Vec<spares::PaidSpare>,
}

/// One moulding planned again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Again {
    /// Which.
    pub moulding: String,
    /// The sticks that keep the cuts that they have.
    pub kept: Vec<String>,
    /// The sticks whose cards hold no more: some have new cuts, some none.
    pub replaced: Vec<String>,
    /// The sticks with other cuts than before.
    pub sticks: Verified<Vec<CutStick>>,
    /// The worth used up from here on.
    pub used_up: Worth,
    /// Whether no way uses up less.
    pub proven: bool,
    /// Whether no way that uses up as little changes fewer sticks.
    pub fewest: bool,
    groups: Vec<Group>,
    /// The lays that are not cut as they were.
    off: Vec<i64>,
}

/// What was planned again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Replanned {
    /// The plan's number.
    pub job: i64,
    /// As in the draft, with the labels that the book gives.
    pub draft: Draft,
    /// The spare rails that are taken for what is owed: nothing is cut for it.
    pub spares: Verified<Vec<SpareUse>>,
}

/// A day at the bench as it was at one moment: enough to plan its rest without
/// the book, while others write to it.
pub struct Day {
    look: look::DayLook,
    /// The spare rails, each with the stick that it was cut from.
    spare: Vec<StickLayout>,
}

impl Day {
    /// Plans the rest of the day again.
    ///
    /// # Errors
    /// If nothing is owed, nothing lies on a flaw and no stick measures otherwise.
    pub fn draft(self, limits: &Limits) -> Result<Draft, BookError> {
        self.draft_telling(limits, &|_, _| {})
    }

    /// The same, telling how many mouldings are done and of how many.
    ///
    /// # Errors
    /// As [`draft`](Self::draft).
    pub fn draft_telling(self, limits: &Limits, told: Told) -> Result<Draft, BookError> {
        let Day { mut look, spare } = self;
        let paid = spares::pay(&mut look, &spare);
        drop::draft(look, paid, limits, told)
    }
}

impl Book {
    /// A look at the plan at the bench.
    ///
    /// # Errors
    /// If there is none, or several and it was not said which.
    pub fn day(&self, job: Option<i64>) -> Result<Day, BookError> {
        self.look(|db| {
            let job = lays::job(db, job)?;
            let mut shop = source_files::typed(db)?;
            let at = bench::at_bench(db, &shop, job)?;
            let free: BTreeSet<String> =
                rack::free(db)?.into_iter().map(|stick| stick.id).collect();
            let ours = |on: &rack::OnRack| on.job == Some(job) || free.contains(&on.stick.id);
            shop.rack = rack::all(db)?.into_iter().filter(ours).map(|on| on.stick).collect();
            shop.spare = spare::free(db)?;
            let on = lays::on(db, job)?;
            let mut hit = BTreeSet::new();
            for lay in &on {
                for rail in lay.rails.iter().filter(|rail| rail.state == RailState::ToCut) {
                    if cut::hit(db, lay, rail)? {
                        hit.insert(lay.id);
                    }
                }
            }
            let lays = [lays::earlier(db, job)?, lays::ever(db, job)?].concat();
            let pieces = look::pieces(db, job)?;
            let on = on.into_iter().map(|lay| lay.id).collect();
            let version = version(db)?;
            let look = look::DayLook { job, version, shop, at, lays, on, hit, pieces };
            Ok(Day { look, spare: lays::spare(db)? })
        })
    }

    /// Puts a draft in force.
    ///
    /// # Errors
    /// [`BookError::Moved`] if the book changed since it was made.
    pub fn replan(
        &mut self,
        draft: &Draft,
        date: Date,
        stamp: &Stamp,
    ) -> Result<Replanned, BookError> {
        self.change("replan", stamp, |step| {
            if version(step.db())? != step.id || draft.version != step.id - 1 {
                return Err(BookError::Moved);
            }
            step.again(Field::JobState, draft.job)?;
            let mut draft = draft.clone();
            let ever = lays::ever(step.db(), draft.job)?;
            let spares = spare::pay(step, (&draft.shop, &draft.shop.spare), &draft.paid)?;
            for (_, rail) in &draft.set_aside {
                spoil::mark(step, rail)?;
            }
            back::leave(step, &ever, &draft.dropped)?;
            for again in &mut draft.mouldings {
                in_force(step, (&draft.shop, draft.job), date, again, &ever)?;
            }
            release(step, draft.job)?;
            Ok(Replanned { job: draft.job, draft, spares })
        })
    }
}

/// Lays out one moulding anew.
fn in_force(
    step: &Step,
    (shop, job): (&Shop, i64),
    date: Date,
    again: &mut Again,
    ever: &[StickLayout],
) -> Result<(), BookError> {
    for lay in ever.iter().filter(|lay| again.off.contains(&lay.id)) {
        for rail in lay.rails.iter().filter(|rail| rail.state == RailState::ToCut) {
            step.set(Field::RailState, rail.id, RailState::Off.word().to_owned())?;
        }
        step.set(Field::LayState, lay.id, "off".to_owned())?;
    }
    let mut sticks = again.sticks.to_vec();
    for stick in &mut sticks {
        label(step, stick)?;
    }
    let owed: Vec<_> = again.groups.iter().map(Group::owed).collect();
    let sticks = verify::remade(shop, date, sticks, &owed);
    again.sticks = sticks.map_err(|faults| unsound(&faults))?;
    let groups = &again.groups;
    for stick in again.sticks.iter() {
        let alike = |rail: &PlacedRail| {
            let of = groups.iter().find(|g| g.frame == rail.frame && g.layer == rail.layer);
            of.map_or(Match::Any, |group| group.asked)
        };
        lay(step, (shop, job), stick, &alike)?;
    }
    Ok(())
}

/// Lets go of sticks that the plan has no use for any more, if they are whole. Returns them
/// with their places.
pub(super) fn release(step: &Step, job: i64) -> Result<Vec<(String, String)>, BookError> {
    let mut freed = Vec::new();
    let ever = lays::ever(step.db(), job)?;
    let on: BTreeSet<i64> = lays::on(step.db(), job)?.iter().map(|lay| lay.stick_id).collect();
    for on_rack in rack::of_job(step.db(), job)? {
        let mut own = ever.iter().filter(|lay| lay.stick_id == on_rack.id);
        let was_laid = own.clone().next().is_some();
        let is_made = ever.iter().any(|lay| on_rack.parent.as_ref() == Some(&lay.stick));
        let is_whole = !own.any(StickLayout::is_begun);
        if !on.contains(&on_rack.id) && was_laid && is_whole && !is_made {
            step.set(Field::StickJob, on_rack.id, None::<i64>)?;
            freed.push((on_rack.stick.id, on_rack.stick.place));
        }
    }
    Ok(freed)
}

/// Nothing is to be planned again.
fn nothing_owed<T>() -> Result<T, BookError> {
    wrong(
        "nothing is owed, no cut lies on a flaw and every stick measures as it was planned, so there \
         is nothing to plan again",
    )
}
