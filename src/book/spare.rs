//! Spare rails: cut, good, and nobody's until a plan gives them to a frame.

use std::collections::BTreeMap;

use rusqlite::{Connection, OptionalExtension};

use super::error::{BookError, wrong};
use super::field::Field;
use super::lays::{self, BenchRail, StickLayout, place_of};
use super::ledger::Book;
use super::owing::back;
use super::step::Step;
use crate::book::error::unsound;
use crate::plan::SpareUse;
use crate::shop::{Match, Shop, Spare};
use crate::verify::{self, There, Verified};

/// A rail that was spare and is a frame's now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    /// What it goes by.
    pub label: String,
    /// The stick that it was cut from.
    pub stick: String,
    /// The rail as the frame has it.
    pub rail: BenchRail,
}

impl Book {
    /// The rails that are cut and good of tickets that were cancelled, with the sticks
    /// that they were cut from.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn spare(&self) -> Result<Vec<(StickLayout, BenchRail)>, BookError> {
        Ok(each(self.look(lays::spare)?))
    }
}

impl BenchRail {
    /// What it goes by once it is spare.
    pub fn spare_label(&self) -> String {
        format!("R{}", self.id)
    }
}

/// Rails one by one, each with its stick.
fn each(lays: Vec<StickLayout>) -> Vec<(StickLayout, BenchRail)> {
    let rails = lays.into_iter().flat_map(|lay| {
        let rails = lay.rails.clone();
        rails.into_iter().map(move |rail| (lay.clone(), rail))
    });
    rails.collect()
}

/// The spare rails as the planner takes them.
pub(super) fn free(db: &Connection) -> Result<Vec<Spare>, BookError> {
    let spare = |(lay, rail): (StickLayout, BenchRail)| Spare {
        label: rail.spare_label(),
        moulding: lay.moulding,
        mitre: rail.mitre,
        long_point: rail.to - rail.from,
        lot: lay.lot,
        stick: lay.stick,
        of: (rail.frame, rail.copy, rail.layer),
        side: place_of(rail.side, rail.mitre),
        alike: rail.alike,
    };
    Ok(each(lays::spare(db)?).into_iter().map(spare).collect())
}

/// The spare rail of this name, whatever its capitals, unless it is a stick's name.
pub(super) fn named(
    db: &Connection,
    name: &str,
) -> Result<Option<(StickLayout, BenchRail)>, BookError> {
    if db.prepare_cached("SELECT 1 FROM stick WHERE name = ?")?.exists([name])? {
        return Ok(None);
    }
    let is_it = |rail: &BenchRail| rail.spare_label().eq_ignore_ascii_case(name.trim());
    Ok(each(lays::spare(db)?).into_iter().find(|(_, rail)| is_it(rail)))
}

/// From this number on, a copy is no copy that is to be made: its rails were cut of one
/// whose ticket is another now. No ticket has so many copies.
pub(super) const CAST_OFF: u32 = 1_000_000;

/// What is cut of a copy is not that copy's any more: it is spare. Returns it, with the
/// sticks that it was cut from.
pub(super) fn cast_off(
    step: &Step,
    frame: &str,
    number: u32,
) -> Result<Vec<(String, BenchRail)>, BookError> {
    let good = lays::of_copy(step.db(), step.copy(frame, number)?)?;
    let rails: Vec<i64> = good.iter().flat_map(|lay| &lay.rails).map(|rail| rail.id).collect();
    let own = nobodys(step, frame, &rails)?;
    let spare = own.map_or(Ok(Vec::new()), |own| lays::of_copy(step.db(), own));
    Ok(each(spare?).into_iter().map(|(lay, rail)| (lay.stick, rail)).collect())
}

/// The spare rails that a plan took are spare again.
pub(super) fn restore(step: &Step, job: i64) -> Result<(), BookError> {
    let mut copies: BTreeMap<(String, u32), Vec<i64>> = BTreeMap::new();
    for Given { rail, .. } in given(step.db(), job)? {
        copies.entry((rail.frame, rail.copy)).or_default().push(rail.id);
    }
    for ((frame, _), rails) in copies {
        nobodys(step, &frame, &rails)?;
    }
    Ok(())
}

/// These rails of one copy of a frame go by a number that no copy has. Returns the row
/// of that.
fn nobodys(step: &Step, frame: &str, rails: &[i64]) -> Result<Option<i64>, BookError> {
    if rails.is_empty() {
        return Ok(None);
    }
    let last: u32 = step.db().query_row(
        "SELECT coalesce(max(number), ?2) FROM copy WHERE frame = ?1 AND number > ?2",
        (frame, CAST_OFF),
        |row| row.get(0),
    )?;
    let own = step.copy(frame, last + 1)?;
    step.set(Field::CopyState, own, "cancelled".to_owned())?;
    for rail in rails {
        step.set(Field::RailCopy, *rail, i64::from(last) + 1)?;
    }
    Ok(Some(own))
}

/// Gives spare rails to what they pay of frames, checked; each with how alike its layer
/// is to be.
pub(super) fn pay(
    step: &Step,
    of: (&Shop, &[Spare]),
    uses: &[(SpareUse, Match)],
) -> Result<Verified<Vec<SpareUse>>, BookError> {
    let (paid, alike) = paid(step.db(), of, uses)?;
    let mut each = paid.iter().zip(alike);
    each.try_for_each(|(of, alike)| give(step, of, alike))?;
    Ok(paid)
}

/// Spare rails that pay what is owed, checked beside what is there of their layers; and
/// how alike each layer is, which is as asked where nothing of it is there.
pub(super) fn paid(
    db: &Connection,
    of: (&Shop, &[Spare]),
    uses: &[(SpareUse, Match)],
) -> Result<(Verified<Vec<SpareUse>>, Vec<Match>), BookError> {
    let mut there: BTreeMap<(String, u32, usize), There> = BTreeMap::new();
    let mut alike = Vec::new();
    let mut query = db.prepare_cached("SELECT id FROM copy WHERE frame = ? AND number = ?")?;
    for (of, asked) in uses {
        let copy = query.query_row((&of.frame, of.copy), |row| row.get(0)).optional()?;
        let good = copy.map_or(Ok(Vec::new()), |copy| lays::of_copy(db, copy))?;
        let own = |rail: &BenchRail| rail.layer == of.layer;
        let rails = good.iter().flat_map(|lay| &lay.rails);
        let asked = rails.filter(|rail| own(rail)).map(|rail| rail.alike).next().unwrap_or(*asked);
        let from = good.iter().filter(|lay| lay.rails.iter().any(&own));
        let from = from.map(|lay| (lay.lot.clone(), lay.stick.clone())).collect();
        there.insert((of.frame.clone(), of.copy, of.layer), (asked, from));
        alike.push(asked);
    }
    let uses = uses.iter().map(|(of, _)| of.clone()).collect();
    let paid = verify::paid(of, uses, &there).map_err(|faults| unsound(&faults))?;
    Ok((paid, alike))
}

/// Gives a spare rail to a frame: from now on it is as if it had been cut for it.
pub(super) fn give(step: &Step, of: &SpareUse, alike: Match) -> Result<(), BookError> {
    let spare = each(lays::spare(step.db())?);
    let Some((_, rail)) = spare.into_iter().find(|(_, rail)| rail.spare_label() == of.label) else {
        return wrong(format!("{} is no spare rail any more", of.label));
    };
    let number = |number: usize| i64::try_from(number).expect("a handful of layers and sides");
    step.set(Field::RailFrame, rail.id, of.frame.clone())?;
    step.set(Field::RailCopy, rail.id, i64::from(of.copy))?;
    step.set(Field::RailLayer, rail.id, number(of.layer))?;
    step.set(Field::RailSide, rail.id, number(place_of(of.side, rail.mitre)))?;
    step.set(Field::RailAlike, rail.id, alike.word().to_owned())
}

/// Gives a spare rail to a frame that waits, since the rest of its layer is ordered: it
/// is owed no more than that.
pub(super) fn keep(step: &Step, of: &SpareUse, alike: Match) -> Result<(), BookError> {
    give(step, of, alike)?;
    back(step, &of.frame, of.copy)
}

/// Of the rails that were cut on other days for copies at this plan, those that were
/// spare before it took them.
pub(super) fn given(db: &Connection, job: i64) -> Result<Vec<Given>, BookError> {
    let mut query = db.prepare_cached(
        "SELECT max(n.id) FROM note n JOIN job j ON j.id = ?1 AND n.step >= j.step
         WHERE n.field IN ('rail.frame', 'rail.copy') AND n.row = ?2",
    )?;
    let mut given = Vec::new();
    for (lay, rail) in each(lays::given(db, job)?) {
        let noted: Option<i64> = query.query_row((job, rail.id), |row| row.get(0))?;
        if noted.is_some() {
            given.push(Given { label: rail.spare_label(), stick: lay.stick, rail });
        }
    }
    Ok(given)
}
