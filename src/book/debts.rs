//! What is owed of frames whose day is over: it is planned before anything else.
//!
//! A copy that is cut in part goes back to the pile as what it is. What it is owed is
//! packed here into sticks that are free, of the lot of the others where it must match
//! them, and those sticks are kept for it. Where there is none, a rail of any stick is
//! for the planner, which waits and buys for that rail alone; a layer that must match
//! is cut anew as a whole, and the planner sees all of it.
//!
//! # Why before the plan
//!
//! A rail that splits at the underpinner must come from the lot of its frame, and the
//! planner knows lots of whole layers only. So what copies are owed whose day is over
//! is packed by itself, by the code that plans the rest of a day, into sticks that
//! are free, and those sticks are kept out of the plan. That loses what packing both
//! together could win, which is little, and keeps a promise: what is owed comes
//! first, and nobody else gets its stick. Where there is none, the planner has the
//! rail, or the whole layer where it must match; so it waits and is ordered for like
//! anything else, and only when the layer is laid out again are its good rails set
//! aside.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use rusqlite::Connection;

use super::error::BookError;
use super::lays::{self, BenchRail, StickLayout, place_of};
use super::ledger::Book;
use super::replan::{Group, Stays, rest};
use super::step::Step;
use super::{OwedRail, bench, source_files, spare};
use crate::book::error::unsound;
use crate::book::laying::{label, lay};
use crate::morning::remake::remake;
use crate::plan::{self, CutStick, PlacedRail, SpareUse, Wishes};
use crate::planner::serving;
use crate::rails::{Rail, frame_rails};
use crate::shop::{Match, Shop, Spare, Stick};
use crate::solve::Limits;
use crate::verify::{self, Verified};

/// How long it is searched for sticks that match: enough for a handful of rails.
const LIMITS: Limits<'static> = Limits { work: 20_000, deadline: None, stop: None, watch: None };

/// What is cut before anything else: it is owed of another day.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Debts {
    /// What is owed.
    pub rails: Vec<plan::Owed>,
    /// The sticks that it is cut from.
    pub sticks: Verified<Vec<CutStick>>,
    /// The spare rails that are taken in place of what is owed.
    pub spares: Verified<Vec<SpareUse>>,
    /// Those sticks as they are on the rack.
    from: Vec<Stick>,
    /// Those spare rails.
    spare: Vec<Spare>,
}

impl Debts {
    /// Whether some of it is of this frame.
    pub fn are_of(&self, frame: &str) -> bool {
        self.rails.iter().any(|owed| owed.frame == frame)
            || self.spares.iter().any(|of| of.frame == frame)
    }

    /// As much of it as is cut under these wishes: where a few frames alone are
    /// planned, the sticks with nothing for any other.
    pub(super) fn wished(
        &self,
        db: &Connection,
        shop: &Shop,
        wishes: &Wishes,
    ) -> Result<Debts, BookError> {
        let Some(only) = &wishes.only else { return Ok(self.clone()) };
        let of: BTreeMap<&str, bool> = self
            .sticks
            .iter()
            .map(|stick| {
                let all = self.sticks.iter().filter(|other| other.moulding == stick.moulding);
                let mut rails = all.flat_map(|stick| &stick.rails);
                (stick.moulding.as_str(), rails.all(|rail| only.contains(&rail.frame)))
            })
            .collect();
        let is_cut = |stick: &&CutStick| of[stick.moulding.as_str()];
        let sticks: Vec<CutStick> = self.sticks.iter().filter(is_cut).cloned().collect();
        let is_there = |owed: &&plan::Owed| {
            let mut rails = sticks.iter().flat_map(|stick| &stick.rails);
            rails.any(|rail| {
                (&rail.frame, rail.copy, rail.layer) == (&owed.frame, owed.copy, owed.layer)
            })
        };
        let rails: Vec<plan::Owed> = self.rails.iter().filter(is_there).cloned().collect();
        let is_wished = |of: &&SpareUse| only.contains(&of.frame);
        let spares = self.spares.iter().filter(is_wished).cloned().collect();
        let sticks = cut(&self.with_rack(shop), sticks, &rails)?;
        let spares = paid(db, (shop, &self.spare), spares)?;
        Ok(Debts { rails, sticks, spares, from: self.from.clone(), spare: self.spare.clone() })
    }

    /// The shop with the sticks that it is cut from.
    fn with_rack(&self, shop: &Shop) -> Shop {
        let rack = [shop.rack.as_slice(), &self.from].concat();
        Shop { rack, ..shop.clone() }
    }

    /// Gives the spare rails to what they pay, checked.
    pub(super) fn pay(
        &self,
        step: &Step,
        shop: &Shop,
    ) -> Result<Verified<Vec<SpareUse>>, BookError> {
        spare::pay(step, (shop, &self.spare), &asked(shop, &self.spares))
    }

    /// Lays it out for a plan at the bench, checked; returns the sticks with the
    /// labels that the book gives.
    pub(super) fn lay(
        self,
        step: &Step,
        (shop, job): (&Shop, i64),
    ) -> Result<Verified<Vec<CutStick>>, BookError> {
        let shop = self.with_rack(shop);
        let mut sticks = self.sticks.into_inner();
        for stick in &mut sticks {
            label(step, stick)?;
        }
        let sticks = cut(&shop, sticks, &self.rails)?;
        let asked = |rail: &PlacedRail| {
            let is_own = |owed: &&plan::Owed| owed.frame == rail.frame && owed.layer == rail.layer;
            let own = self.rails.iter().find(is_own);
            own.map_or(Match::Any, |owed| owed.match_)
        };
        for stick in sticks.iter() {
            lay(step, (&shop, job), stick, &asked)?;
        }
        Ok(sticks)
    }
}

/// Sticks that what is owed is cut from, checked.
fn cut(
    shop: &Shop,
    sticks: Vec<CutStick>,
    owed: &[plan::Owed],
) -> Result<Verified<Vec<CutStick>>, BookError> {
    // No date matters to what is owed.
    verify::remade(shop, Date::ZERO, sticks, owed).map_err(|faults| unsound(&faults))
}

/// Spare rails that pay what is owed, checked.
fn paid(
    db: &Connection,
    (shop, spare): (&Shop, &[Spare]),
    uses: Vec<SpareUse>,
) -> Result<Verified<Vec<SpareUse>>, BookError> {
    Ok(spare::paid(db, (shop, spare), &asked(shop, &uses))?.0)
}

/// Each with how alike its layer is to be.
fn asked(shop: &Shop, uses: &[SpareUse]) -> Vec<(SpareUse, Match)> {
    let asked = |of: &SpareUse| {
        shop.frame(&of.frame).map_or(Match::Any, |frame| frame.layers[of.layer - 1].match_)
    };
    uses.iter().map(|of| (of.clone(), asked(of))).collect()
}

impl Book {
    /// What is owed of frame copies that are at no plan: their day is over.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn owed(&self) -> Result<Vec<OwedRail>, BookError> {
        self.look(|db| {
            let copies = copies(db)?;
            match copies.is_empty() {
                true => Ok(Vec::new()),
                false => Ok(bench::owed(&source_files::typed(db)?, &copies, &lays::of_owed(db)?)),
            }
        })
    }
}

/// The frame copies that are owed something and are at no plan.
fn copies(db: &Connection) -> Result<Vec<(String, u32)>, BookError> {
    let sql = "SELECT frame, number FROM copy WHERE state = 'owed' ORDER BY id";
    let mut query = db.prepare_cached(sql)?;
    let rows = query.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// Marks in a shop what is cut of copies that are owed the rest, and takes the sticks
/// out of its rack that it is cut from.
pub(super) fn settle(db: &Connection, shop: &mut Shop) -> Result<Debts, BookError> {
    let mut copies = copies(db)?;
    if copies.is_empty() {
        return Ok(Debts::default());
    }
    let lays = lays::of_owed(db)?;
    let mut spares = Spares { lays: lays::spare(db)?, uses: Vec::new() };
    copies.sort_by_key(|(id, copy)| {
        let frame = shop.frame(id);
        let due = frame.and_then(|frame| frame.due);
        (due.is_none(), due, frame.map(|frame| frame.row), *copy)
    });
    let mut first_of_all = First::default();
    for (id, copy) in &copies {
        let Some(at) = shop.frames.iter().position(|frame| frame.id == *id) else { continue };
        for layer in shop.frames[at].to_cut(*copy) {
            one(shop, (at, *copy, layer), &lays, (&mut spares, &mut first_of_all))?;
        }
        let frame = &mut shop.frames[at];
        if frame.to_cut(*copy).is_empty() {
            frame.progress.gone.insert(*copy);
        }
    }
    let First { rails, sticks } = first_of_all;
    let rails: Vec<plan::Owed> = rails.into_values().flatten().collect();
    let sticks = sticks.into_values().flat_map(Verified::into_inner).collect();
    let sticks = cut(shop, sticks, &rails)?;
    let used: BTreeSet<&str> = sticks.iter().map(|stick| stick.stick.as_str()).collect();
    let is_used = |stick: &Stick| used.contains(stick.id.as_str());
    let (from, rack) = std::mem::take(&mut shop.rack).into_iter().partition(is_used);
    shop.rack = rack;
    let is_used = |spare: &Spare| spares.uses.iter().any(|of| of.label == spare.label);
    let (spare, free) = std::mem::take(&mut shop.spare).into_iter().partition(is_used);
    shop.spare = free;
    let spares = paid(db, (shop, &spare), spares.uses)?;
    Ok(Debts { rails, sticks, spares, from, spare })
}

/// What is cut first, by moulding, and how.
#[derive(Default)]
struct First {
    rails: BTreeMap<String, Vec<plan::Owed>>,
    sticks: BTreeMap<String, Verified<Vec<CutStick>>>,
}

impl First {
    /// Whether this can be cut as well; then it is.
    fn takes(&mut self, shop: &Shop, moulding: &str, owed: plan::Owed) -> Result<bool, BookError> {
        let before = self.rails.get(moulding).map_or(&[][..], Vec::as_slice);
        let with = [before, &[owed]].concat();
        let remade = remake(shop, moulding, &with, &LIMITS);
        let Some(remade) = remade.map_err(|faults| unsound(&faults))? else {
            return Ok(false);
        };
        self.rails.insert(moulding.to_owned(), with);
        self.sticks.insert(moulding.to_owned(), remade.sticks);
        Ok(true)
    }
}

/// One layer of a copy that is owed something: what of it is cut stays, or the layer
/// is cut anew.
fn one(
    shop: &mut Shop,
    (at, copy, layer): (usize, u32, usize),
    lays: &[StickLayout],
    (spares, all): (&mut Spares, &mut First),
) -> Result<(), BookError> {
    let frame = &shop.frames[at];
    let of = (frame.id.as_str(), copy, layer);
    let mut stay: Vec<Stays> = lays
        .iter()
        .flat_map(StickLayout::each)
        .filter(|(_, rail)| (rail.frame.as_str(), rail.copy, rail.layer) == of)
        .collect();
    let Some(&(_, first)) = stay.first() else { return Ok(()) };
    let found = spares.fitting(shop, (at, copy, layer), &stay);
    stay.extend(found.iter().map(|(lay, rail)| (lay, rail)));
    let asks = &frame.layers[layer - 1];
    let whole = Group::whole(frame, copy, layer, first.alike);
    let cut = stay.iter().map(|(_, rail)| place_of(rail.side, frame.mitre)).collect();
    let every: BTreeSet<usize> = (0..usize::from(frame.mitre.sides())).collect();
    let marked = match rest(whole, &stay, asks.match_floor, false) {
        None => Some(every),
        Some(group) if group.match_ == Match::Any || group.like.is_some() => {
            let any = group.match_.min(asks.match_floor) == Match::Any;
            match all.takes(shop, &asks.moulding, group.owed())? {
                true => Some(every),
                false => any.then_some(cut),
            }
        }
        Some(_) => None,
    };
    if let Some(marked) = marked {
        spares.take(found);
        shop.frames[at].progress.cut.insert((copy, layer), marked);
    }
    Ok(())
}

/// The spare rails that are not with anybody yet, and those that are.
struct Spares {
    lays: Vec<StickLayout>,
    uses: Vec<SpareUse>,
}

impl Spares {
    /// For the sides that are owed of a layer, spare rails that can be them beside those
    /// that are there, named as what they become.
    fn fitting(
        &self,
        shop: &Shop,
        (at, copy, number): (usize, u32, usize),
        stay: &[Stays],
    ) -> Vec<(StickLayout, BenchRail)> {
        let frame = &shop.frames[at];
        let (layer, alike) = (&frame.layers[number - 1], stay[0].1.alike);
        let is_owed = |rail: &&Rail| stay.iter().all(|(_, there)| there.side != rail.side);
        let rails = &frame_rails(shop, frame)[number - 1].rails;
        let rails: Vec<Rail> = rails.iter().filter(is_owed).copied().collect();
        let is_free = |spare: &&Spare| self.uses.iter().all(|of| of.label != spare.label);
        let free: Vec<&Spare> = shop.spare.iter().filter(is_free).collect();
        let beside = Some((stay[0].0.lot.as_str(), stay[0].0.stick.as_str()));
        let of = (layer.moulding.as_str(), shop.mitre_of(frame, number));
        let served = serving(of, &rails, (alike, beside), &free).into_iter();
        let named = served.filter_map(|(rail, spare)| {
            let is_it = |(_, own): &Stays| own.spare_label() == spare.label;
            let (lay, own) = self.lays.iter().flat_map(StickLayout::each).find(is_it)?;
            let (frame, side) = (frame.id.clone(), rail.side);
            Some((lay.clone(), BenchRail { frame, copy, layer: number, side, ..own.clone() }))
        });
        named.collect()
    }

    /// These are with the frames that they are named for.
    fn take(&mut self, found: Vec<(StickLayout, BenchRail)>) {
        self.uses.extend(found.into_iter().map(|(_, rail)| SpareUse {
            label: rail.spare_label(),
            frame: rail.frame,
            copy: rail.copy,
            layer: rail.layer,
            side: rail.side,
        }));
    }
}
