//! No frame holds what an earlier one lacks: as far as one stick shows it.
//!
//! Both checks are one-sided. A plan that fails them can be bettered as they say,
//! whatever else it holds; one that passes may still serve its dates badly, which
//! only a search could tell. They are for plans that claim to be the best: today's
//! cutting proven, and every kind of order compared.
//!
//! - *Not cut today.* A copy that waits, or is held since its sticks are taken,
//!   has all its layers still to be cut, of one moulding. A stick of the rack is
//!   cut today, and for copies wanted later alone; all the rails of the layers
//!   would lie in one clear run of it, which keeps every match. So the copy could
//!   be cut today in their place, and the date that is served better comes first.
//! - *Late.* A copy waits, and the last of its moulding comes later than is in time
//!   for the day on which it is wanted. All that comes so late is of one moulding. A stick that
//!   is there sooner would hold it in one clear run: one that nothing is cut from,
//!   one that is cut for copies wanted later alone, or one of the order that has
//!   room beside what is cut from it for copies wanted as early. So the copy could
//!   be there sooner and no copy that is wanted as early would be later.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::facts::{Facts, Urgency};
use super::{Fault, days, truth};
use crate::measure::{Length, Mitre};
use crate::plan::{CutStick, HoldReason, Part, PlacedRail};
use crate::shop::{Flaw, Frame, Supplied};

/// A stick that could be cut otherwise.
struct Within<'a> {
    name: &'a str,
    moulding: &'a str,
    length: Length,
    flaws: &'a [Flaw],
    /// The part of the plan that it is cut in, if it is.
    part: Option<Part>,
    /// What is cut from it, and from the offcuts that today leaves of it.
    rails: Vec<&'a PlacedRail>,
    /// The day from which it is there.
    day: Date,
}

pub(super) fn check(facts: &Facts, faults: &mut Vec<Fault>) {
    if !is_settled(facts) {
        return;
    }
    let sticks = sticks(facts);
    let taken = facts.plan.held.iter();
    let taken = taken.filter(|held| {
        matches!(held.reason, HoldReason::StickTaken { .. } | HoldReason::RandomLengths { .. })
    });
    let waiting = facts.plan.waiting.iter().map(|w| (w.frame.as_str(), w.copy));
    for (frame, copy) in waiting.chain(taken.map(|held| (held.frame.as_str(), held.copy))) {
        let Some(frame) = facts.frames.get(frame) else { continue };
        not_today(facts, (frame, copy), &sticks, faults);
    }
    if !facts.shop.offers.is_empty() && !facts.plan.wishes.rack_only {
        let days = days(facts);
        for waiting in &facts.plan.waiting {
            let Some(frame) = facts.frames.get(waiting.frame.as_str()) else { continue };
            late(facts, (frame, waiting.copy), &days, &sticks, faults);
        }
    }
}

/// Whether the plan claims to be the best: one that owns up to what it did not
/// compare may be shown though it could be bettered.
fn is_settled(facts: &Facts) -> bool {
    let account = facts.plan.order.account;
    let today = facts.plan.proof.iter().filter(|proof| proof.part == Part::Today);
    today.into_iter().all(|proof| proof.proven) && account.is_none_or(|account| account.whole)
}

/// Every stick of the rack, on order and bought, with what is cut from it.
fn sticks<'a>(facts: &Facts<'a>) -> Vec<Within<'a>> {
    let mut cut: BTreeMap<&str, (Part, &CutStick)> = BTreeMap::new();
    cut.extend(facts.sticks().map(|(part, stick)| (stick.stick.as_str(), (part, stick))));
    let today = facts.plan.date;
    let known = facts.shop.sticks().filter_map(|stick| {
        let known = cut.get(stick.id.as_str());
        // What comes on a day that nobody knows would help nobody for certain.
        let day = match facts.shop.coming_stick(&stick.id) {
            None => today,
            Some(coming) => known_day(today, coming.arrives)?,
        };
        Some(Within {
            name: &stick.id,
            moulding: &stick.moulding,
            length: stick.length,
            flaws: &stick.flaws,
            part: known.map(|(part, _)| *part),
            rails: known.map_or(Vec::new(), |(_, stick)| with_offcuts(facts, stick)),
            day,
        })
    });
    let new = facts.plan.order.sticks.iter().filter(|stick| stick.is_new);
    let new = new.filter_map(|stick| {
        Some(Within {
            name: &stick.stick,
            moulding: &stick.moulding,
            length: stick.length,
            flaws: &stick.flaws,
            part: Some(Part::Order),
            rails: stick.rails.iter().collect(),
            day: arrival(facts, &stick.supplier)?,
        })
    });
    known.chain(new).collect()
}

/// The rails of a stick, and those that what is left of it is cut into later.
fn with_offcuts<'a>(facts: &Facts<'a>, stick: &'a CutStick) -> Vec<&'a PlacedRail> {
    let left = || stick.between.iter().chain([&stick.left]).filter(|left| left.keep);
    let is_of_it = |other: &&CutStick| left().any(|left| left.label == other.stick);
    let later = facts.plan.order.all_sticks().filter(is_of_it);
    stick.rails.iter().chain(later.flat_map(|later| &later.rails)).collect()
}

fn not_today(
    facts: &Facts,
    (frame, copy): (&Frame, u32),
    sticks: &[Within],
    faults: &mut Vec<Fault>,
) {
    let to_cut = frame.to_cut(copy);
    if to_cut.is_empty() || !frame.coming(copy).is_empty() {
        return;
    }
    let turn = facts.urgency(frame);
    let today = sticks.iter().filter(|stick| stick.part == Some(Part::Today));
    let in_place = today.filter(|stick| {
        let mut others = stick.rails.iter();
        others.all(|rail| is_later(facts, rail, turn)) && !stick.rails.is_empty()
    });
    let mut in_place = in_place.filter(|stick| fits(facts, frame, &to_cut, stick, &[]));
    if let Some(stick) = in_place.next() {
        let (frame, stick) = (frame.id.clone(), stick.name.to_owned());
        faults.push(Fault::NotToday { frame, copy, stick });
    }
}

fn late(
    facts: &Facts,
    (frame, copy): (&Frame, u32),
    days: &BTreeMap<(&str, u32, usize), Date>,
    sticks: &[Within],
    faults: &mut Vec<Fault>,
) {
    let rushed = facts.plan.wishes.rushes(frame).then_some(facts.plan.date);
    let needed = || frame.due.map(|due| days::needed_by(facts.shop, due));
    let Some(wanted) = rushed.or_else(needed) else { return };
    let layers = (1..=frame.layers.len()).filter_map(|layer| {
        let day = days.get(&(frame.id.as_str(), copy, layer))?;
        Some((*day, layer))
    });
    let layers: Vec<(Date, usize)> = layers.collect();
    let Some(day) = layers.iter().map(|(day, _)| *day).max().filter(|day| *day > wanted) else {
        return;
    };
    let last: Vec<usize> =
        layers.iter().filter(|(other, _)| *other == day).map(|(_, layer)| *layer).collect();
    // What a supplier chops under an order that was placed is not cut again.
    let is_ordered = |layer| !frame.to_cut(copy).contains(layer);
    if last.iter().any(is_ordered) {
        return;
    }
    let turn = facts.urgency(frame);
    for stick in sticks.iter().filter(|stick| stick.day < day) {
        let kept: Vec<&PlacedRail> =
            stick.rails.iter().copied().filter(|rail| !is_later(facts, rail, turn)).collect();
        // Beside what is cut today, or from what comes, nothing is laid anew.
        if !kept.is_empty() && stick.part != Some(Part::Order) {
            continue;
        }
        if fits(facts, frame, &last, stick, &kept) {
            let (frame, stick) = (frame.id.clone(), stick.name.to_owned());
            faults.push(Fault::Late { frame, copy, stick });
            return;
        }
    }
}

/// Whether layers of a frame, all of the stick's moulding, lie in one clear run of
/// it, one after the other, beside rails that stay and have the run to themselves.
fn fits(
    facts: &Facts,
    frame: &Frame,
    layers: &[usize],
    stick: &Within,
    kept: &[&PlacedRail],
) -> bool {
    let own = |layer: &usize| frame.layers[layer - 1].moulding == stick.moulding;
    let Some(moulding) = facts.shop.mouldings.get(stick.moulding) else { return false };
    if !layers.iter().all(own) || !kept.is_empty() && !stick.flaws.is_empty() {
        return false;
    }
    let cutter = facts.shop.cutter_of(moulding);
    let rails = &facts.rails[frame.id.as_str()];
    let rails: Vec<Length> = layers
        .iter()
        .flat_map(|layer| &rails[layer - 1])
        .map(|(_, rail)| rail.long_point)
        .collect();
    if !cutter.cuts(truth::true_mitre(moulding, frame))
        || rails.iter().any(|rail| *rail < cutter.shortest)
    {
        return false;
    }
    let joint = widest(facts, stick.moulding);
    let taken: Length = rails.iter().map(|rail| *rail + joint).sum();
    let beside: Length = kept.iter().map(|rail| rail.long_point + joint).sum();
    let runs = truth::runs(cutter, stick.length, stick.flaws, joint);
    runs.into_iter().any(|(from, to)| taken + beside - joint <= to - from)
}

/// The widest joint between rails of any frame of a moulding: no plan loses more.
fn widest(facts: &Facts, moulding: &str) -> Length {
    let of = facts.frames.values().filter(|f| f.layers.iter().any(|l| l.moulding == moulding));
    let moulding = facts.shop.moulding(moulding);
    let mitres = of.map(|frame| truth::true_mitre(moulding, frame));
    let mitres = mitres.collect::<std::collections::BTreeSet<Mitre>>();
    let cutter = facts.shop.cutter_of(moulding);
    mitres.into_iter().map(|mitre| truth::joint_loss(cutter, mitre)).max().unwrap_or_default()
}

fn is_later(facts: &Facts, rail: &PlacedRail, than: Urgency) -> bool {
    let frame = facts.frames.get(rail.frame.as_str());
    frame.is_some_and(|frame| facts.urgency(frame) > than)
}

fn arrival(facts: &Facts, supplier: &str) -> Option<Date> {
    days::arrival(facts.shop.suppliers.get(supplier)?, facts.plan.date)
}

/// When something that is on order is there; of what is overdue nobody knows when.
fn known_day(today: Date, arrives: Option<Date>) -> Option<Date> {
    arrives.filter(|day| *day >= today)
}

/// The day on which the last of each waiting layer is there.
fn days<'a>(facts: &Facts<'a>) -> BTreeMap<(&'a str, u32, usize), Date> {
    let mut days: BTreeMap<(&str, u32, usize), Date> = BTreeMap::new();
    let mut there = |layer, day: Option<Date>| {
        let Some(day) = day else { return };
        let known = days.entry(layer).or_insert(day);
        *known = (*known).max(day);
    };
    for (_, stick) in facts.sticks().filter(|(part, _)| *part != Part::Today) {
        let day = match facts.shop.coming_stick(&stick.stick) {
            Some(coming) => known_day(facts.plan.date, coming.arrives),
            None if stick.is_new => arrival(facts, &stick.supplier),
            None => Some(facts.plan.date),
        };
        for rail in &stick.rails {
            there((rail.frame.as_str(), rail.copy, rail.layer), day);
        }
    }
    for chopped in &facts.plan.order.chops {
        let layer = (chopped.frame.as_str(), chopped.copy, chopped.layer);
        there(layer, arrival(facts, &chopped.supplier));
    }
    for frame in facts.frames.values() {
        for ((copy, layer), supplied) in &frame.progress.supplied {
            if let Supplied::Coming { arrives, .. } = supplied {
                let day = known_day(facts.plan.date, *arrives);
                there((frame.id.as_str(), *copy, *layer), day);
            }
        }
    }
    days
}
