//! What is at the bench: which sticks, what is cut and what is owed.

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::Connection;

use super::error::BookError;
use super::lays::{self, RailState, StickLayout};
use super::ledger::Book;
use super::{Given, card, cut, look_first, measured, planned, rack, source_files, spare};
use crate::measure::Length;
use crate::plan::{CutStick, Warning};
use crate::rails::Side;
use crate::shop::Shop;

/// A plan at the bench as it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AtBench {
    /// The plan's number.
    pub job: i64,
    /// The morning that it was made for.
    pub date: String,
    /// Its sticks, in the order of the bench.
    pub sticks: Vec<BenchStick>,
    /// Its frame copies.
    pub copies: Vec<(String, u32)>,
    /// The spare rails that it took in place of rails to be cut.
    pub given: Vec<Given>,
    /// The rails that no stick is laid out for any more: they were spoiled.
    pub owed: Vec<OwedRail>,
    /// The sticks that measure otherwise than they were planned, each after its moulding: of
    /// that nothing more is cut before the rest is planned again.
    pub measured: Vec<(String, String)>,
    /// How many cuts were made of each moulding on sticks that are laid out otherwise now, or
    /// not any more.
    pub cut_before: BTreeMap<String, usize>,
    /// What to look at before cutting, as the plan had it.
    pub warnings: Vec<Warning>,
    /// The cards as they were planned last, from which the order of the bench follows; none
    /// where its sticks are still cut as they were planned.
    pub planned: Vec<CutStick>,
}

/// A stick at the bench.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BenchStick {
    /// What is cut from it.
    pub lay: StickLayout,
    /// The same as it stands on the sheet, from the marked end as it was.
    pub card: CutStick,
    /// How much of it is left now.
    pub left: Length,
    /// Whether something was cut from it for this plan, however it was laid out then: its
    /// marked end is gone.
    pub is_cut: bool,
    /// The numbers of the cuts that lie on a flaw that was found since.
    pub on_flaw: Vec<usize>,
}

/// A rail that is to be cut anew.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct OwedRail {
    /// The frame's ticket number.
    pub frame: String,
    /// Which copy.
    pub copy: u32,
    /// Which layer.
    pub layer: usize,
    /// Which side.
    pub side: Side,
    /// Its moulding.
    pub moulding: String,
}

impl BenchStick {
    /// Whether nothing is to be cut from it, and what is left is still to be kept or thrown
    /// away.
    pub fn is_rest(&self) -> bool {
        self.lay.rails.is_empty() && self.left.is_positive()
    }

    /// Whether nothing is to be done to it any more.
    pub fn is_over(&self) -> bool {
        self.lay.is_done() && !self.is_rest()
    }
}

impl Book {
    /// The plans at the bench.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn bench(&self) -> Result<Vec<AtBench>, BookError> {
        self.look(|db| {
            let jobs = lays::at_bench(db)?;
            if jobs.is_empty() {
                return Ok(Vec::new());
            }
            let shop = source_files::typed(db)?;
            jobs.into_iter().map(|job| at_bench(db, &shop, job)).collect()
        })
    }
}

/// So many cuts are looked at to see how a machine was left.
const LAST: u32 = 200;

impl Book {
    /// The cuts that were made last, of whatever plan, the last first, by their numbers in
    /// the book, and whether each still counts as made: what was undone was cut all the same,
    /// or pressed by mistake.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn last_cuts(&self) -> Result<Vec<(i64, bool)>, BookError> {
        self.look(|db| {
            let mut query = db.prepare_cached(
                "SELECT n.row, ifnull(r.state IN ('cut', 'spoiled'), 0) FROM note n
                 JOIN rail r ON r.id = n.row
                 WHERE n.field = 'rail.state' AND n.was = 'to cut'
                 AND n.is_now IN ('cut', 'spoiled') ORDER BY n.id DESC LIMIT ?",
            )?;
            let rows = query.query_map([LAST], |row| Ok((row.get(0)?, row.get(1)?)))?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }
}

pub(super) fn at_bench(db: &Connection, shop: &Shop, job: i64) -> Result<AtBench, BookError> {
    let ever = lays::ever(db, job)?;
    let cut: BTreeSet<i64> =
        ever.iter().filter(|lay| lay.is_begun()).map(|lay| lay.stick_id).collect();
    let mut sticks = Vec::new();
    for lay in lays::on(db, job)? {
        let mut on_flaw = Vec::new();
        for rail in lay.rails.iter().filter(|rail| rail.state == RailState::ToCut) {
            if cut::hit(db, &lay, rail)? {
                on_flaw.push(rail.number);
            }
        }
        let card = card::of_lay(db, shop, &lay)?;
        let left = rack::length(db, lay.stick_id)?;
        let is_cut = cut.contains(&lay.stick_id);
        sticks.push(BenchStick { lay, card, left, is_cut, on_flaw });
    }
    let copies = copies(db, job)?;
    let mut cut_before = BTreeMap::new();
    for lay in ever.iter().filter(|lay| sticks.iter().all(|own| own.lay.id != lay.id)) {
        let made = lay.made();
        if made > 0 {
            *cut_before.entry(lay.moulding.clone()).or_default() += made;
        }
    }
    let laid = [lays::earlier(db, job)?, ever].concat();
    let owed = owed(shop, &copies, &laid);
    let mut measured = measured::measured(db, job)?;
    measured.retain(|(moulding, _)| {
        let is_open = |own: &BenchStick| own.lay.moulding == *moulding && !own.lay.is_done();
        sticks.iter().any(is_open) || owed.iter().any(|rail| rail.moulding == *moulding)
    });
    let date: String =
        db.query_row("SELECT date FROM job WHERE id = ?", [job], |row| row.get(0))?;
    let day = date.parse().map_err(|_| BookError::Damaged(format!("{date:?} is no day")))?;
    let warnings = look_first::warnings(shop, day, &sticks, &copies);
    let on: Vec<i64> = sticks.iter().map(|stick| stick.lay.id).collect();
    let (given, planned) = (spare::given(db, job)?, planned::planned(db, (shop, job), &on)?);
    Ok(AtBench { job, date, sticks, copies, given, owed, measured, cut_before, warnings, planned })
}

/// The frame copies of a plan at the bench.
pub(super) fn copies(db: &Connection, job: i64) -> Result<Vec<(String, u32)>, BookError> {
    let mut query = db.prepare_cached(
        "SELECT frame, number FROM copy WHERE job = ? AND state = 'bench' ORDER BY id",
    )?;
    let rows = query.query_map([job], |row| Ok((row.get(0)?, row.get(1)?)))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// The rails that these copies need and that are neither cut nor laid out.
pub(super) fn owed(shop: &Shop, copies: &[(String, u32)], lays: &[StickLayout]) -> Vec<OwedRail> {
    let rails = lays.iter().flat_map(|lay| &lay.rails);
    let there = rails.filter(|rail| matches!(rail.state, RailState::ToCut | RailState::Cut));
    let there: BTreeSet<(&str, u32, usize, Side)> =
        there.map(|rail| (rail.frame.as_str(), rail.copy, rail.layer, rail.side)).collect();
    let mut owed = Vec::new();
    for (id, copy) in copies {
        let Some(frame) = shop.frame(id) else { continue };
        for layer in frame.to_cut(*copy) {
            let sides = Side::all(frame.mitre).into_iter();
            let missing = sides.filter(|s| !there.contains(&(id.as_str(), *copy, layer, *s)));
            owed.extend(missing.map(|side| OwedRail {
                frame: id.clone(),
                copy: *copy,
                layer,
                side,
                moulding: frame.layers[layer - 1].moulding.clone(),
            }));
        }
    }
    owed
}
