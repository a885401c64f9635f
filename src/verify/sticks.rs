//! Each stick is a true one, taken once, and every rail lies on it as it may.

use std::collections::BTreeSet;

use super::facts::{Facts, name};
use super::{Fault, truth};
use crate::measure::Length;
use crate::plan::{CutStick, Part, PlacedRail};
use crate::shop::{Kind, Match, Moulding};

pub(super) fn check(facts: &Facts, faults: &mut Vec<Fault>) {
    let mut taken = BTreeSet::new();
    for (part, stick) in facts.sticks() {
        if !taken.insert(stick.stick.as_str()) {
            faults.push(Fault::StickTwice { stick: stick.stick.clone() });
        }
        if stick.rails.is_empty() {
            faults.push(Fault::Idle { stick: stick.stick.clone() });
        }
        let Some(moulding) = facts.moulding(stick) else {
            let (stick, what) = (stick.stick.clone(), "moulding");
            faults.push(Fault::FalseStick { stick, what });
            continue;
        };
        identity(facts, part, stick, moulding, faults);
        for rail in &stick.rails {
            measures(facts, stick, rail, faults);
        }
        layout(facts, part, stick, moulding, faults);
    }
}

/// The stick is as the rack has it, or as it is sold.
fn identity(
    facts: &Facts,
    part: Part,
    stick: &CutStick,
    moulding: &Moulding,
    faults: &mut Vec<Fault>,
) {
    let offcut = facts.offcuts.get(stick.stick.as_str()).filter(|_| part != Part::Today);
    let on_rack = facts.rack.get(stick.stick.as_str()).or(offcut);
    let truth = match (on_rack, stick.is_new) {
        (Some(_), true) => {
            faults.push(Fault::NameTaken { stick: stick.stick.clone() });
            return;
        }
        (None, false) => {
            faults.push(Fault::NoSuchStick { stick: stick.stick.clone() });
            return;
        }
        (Some(rack), false) => [
            ("moulding", stick.moulding == rack.moulding),
            ("length", stick.length == rack.length),
            ("lot", stick.lot == rack.lot),
            ("place", stick.place == rack.place),
            ("flaws", stick.flaws == rack.flaws),
        ],
        (None, true) => [
            ("moulding", true),
            ("length", is_sold(facts, stick, moulding)),
            ("lot", stick.lot.is_empty()),
            ("place", stick.place.is_empty()),
            ("flaws", stick.flaws.is_empty()),
        ],
    };
    let trim = ("first trim", stick.first_trim == facts.shop.cutter_of(moulding).first_trim);
    for (what, _) in truth.into_iter().chain([trim]).filter(|(_, is_true)| !is_true) {
        faults.push(Fault::FalseStick { stick: stick.stick.clone(), what });
    }
    let is_to_come = stick.is_new || facts.shop.coming_stick(&stick.stick).is_some();
    if is_to_come && part == Part::Today || stick.is_new && part == Part::Coming {
        faults.push(Fault::NotYetBought { stick: stick.stick.clone() });
    }
}

/// A new stick is as long as its supplier sells it, or as it is usually sold
/// where the shop has no offers.
fn is_sold(facts: &Facts, stick: &CutStick, moulding: &Moulding) -> bool {
    if facts.shop.offers.is_empty() {
        return stick.length == moulding.stick && stick.supplier.is_empty();
    }
    let offers = facts
        .shop
        .offers
        .iter()
        .filter(|offer| offer.moulding == moulding.id && offer.supplier == stick.supplier);
    let mut pieces = offers.flat_map(|offer| truth::pieces(facts.shop, offer, facts.plan.date));
    pieces.any(|piece| piece.length == stick.length)
}

/// The rail is measured as its frame asks, and of the right moulding.
fn measures(facts: &Facts, stick: &CutStick, rail: &PlacedRail, faults: &mut Vec<Fault>) {
    let Some(frame) = facts.frames.get(rail.frame.as_str()) else { return };
    let layer = rail.layer.checked_sub(1);
    let Some(layer) = layer.and_then(|layer| frame.layers.get(layer)) else { return };
    let rails = &facts.rails[rail.frame.as_str()][rail.layer - 1];
    let Some((_, right)) = rails.iter().find(|(side, _)| *side == rail.side) else { return };
    let named = || name(stick, rail);
    let lengths = [
        ("long point", rail.long_point, right.long_point),
        ("length on the stick", rail.to - rail.from, right.long_point),
        ("rabbet", rail.rabbet, right.rabbet),
        ("sight", rail.sight, right.sight),
    ];
    for (what, found, right) in lengths.into_iter().filter(|(_, found, right)| found != right) {
        faults.push(Fault::FalseRail { rail: named(), what, found, right });
    }
    let mitre = truth::true_mitre(&facts.shop.mouldings[&layer.moulding], frame);
    if rail.mitre != mitre {
        let (found, right) = (rail.mitre, mitre);
        faults.push(Fault::FalseMitre { rail: named(), found, right });
    }
    if stick.moulding != layer.moulding {
        let (found, right) = (stick.moulding.clone(), layer.moulding.clone());
        faults.push(Fault::FalseMoulding { rail: named(), found, right });
    }
}

/// The rails lie in clear runs, far enough apart.
fn layout(
    facts: &Facts,
    part: Part,
    stick: &CutStick,
    moulding: &Moulding,
    faults: &mut Vec<Fault>,
) {
    let cutter = facts.shop.cutter_of(moulding);
    let runs = facts.runs(part, stick, moulding);
    let run_of =
        |rail: &PlacedRail| runs.iter().position(|(from, to)| *from <= rail.from && rail.to <= *to);
    for (index, rail) in stick.rails.iter().enumerate() {
        let run = run_of(rail);
        if run.is_none() {
            faults.push(Fault::NotClear { rail: name(stick, rail) });
        }
        if rail.long_point < cutter.shortest {
            faults.push(Fault::TooShort { rail: name(stick, rail), shortest: cutter.shortest });
        }
        if !cutter.cuts(rail.mitre) {
            faults.push(Fault::NoMitre { rail: name(stick, rail), cutter: cutter.name.clone() });
        }
        if rail.turned && !may_turn(stick, moulding) {
            faults.push(Fault::Turned { rail: name(stick, rail) });
        }
        let Some(before) = index.checked_sub(1).map(|before| &stick.rails[before]) else {
            continue;
        };
        let joint =
            truth::joint_loss(cutter, rail.mitre).max(truth::joint_loss(cutter, before.mitre));
        let nested = rail.turned != before.turned && run.is_some() && run == run_of(before);
        let overlap = if nested { truth::overlap(moulding, rail.mitre) } else { Length::ZERO };
        let earliest = before.to + joint - overlap;
        if rail.from < earliest {
            faults.push(Fault::TooClose { rail: name(stick, rail), by: earliest - rail.from });
        }
        if nested && kept_together(facts, before, rail) {
            faults.push(Fault::Turned { rail: name(stick, rail) });
        }
    }
}

/// Head to tail only where the stock is the same both ways and all that is cut
/// from the stick has one mitre.
fn may_turn(stick: &CutStick, moulding: &Moulding) -> bool {
    let first = stick.rails.first().map(|rail| rail.mitre);
    moulding.kind == Kind::Reversible && stick.rails.iter().all(|rail| Some(rail.mitre) == first)
}

/// Whether two neighbours belong to one block that is cut as it grew.
fn kept_together(facts: &Facts, before: &PlacedRail, rail: &PlacedRail) -> bool {
    let same = (&before.frame, before.copy, before.layer) == (&rail.frame, rail.copy, rail.layer);
    let Some(match_) = facts.match_in_force(&rail.frame, rail.layer).filter(|_| same) else {
        return false;
    };
    let Some(sides) = facts.rails.get(rail.frame.as_str()) else { return false };
    let place = |side| sides[rail.layer - 1].iter().position(|(other, _)| *other == side);
    match (match_, place(before.side), place(rail.side)) {
        (Match::Wrap, ..) => true,
        (Match::Halves, Some(before), Some(after)) => before / 2 == after / 2,
        _ => false,
    }
}
