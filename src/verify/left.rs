//! What remains of each stick, whether it is kept, its label and its worth.

use std::collections::BTreeSet;

use super::facts::Facts;
use super::{Fault, truth};
use crate::measure::{Length, Worth};
use crate::plan::{CutStick, Left, Part, Plan};
use crate::shop::{Flaw, Moulding, Stick};

pub(super) fn check(facts: &Facts, faults: &mut Vec<Fault>) {
    let mut labels: BTreeSet<&str> = facts.rack.keys().copied().collect();
    let offcuts = &facts.offcuts;
    let named = facts.sticks().map(|(_, stick)| stick.stick.as_str());
    labels.extend(named.filter(|id| !offcuts.contains_key(id)));
    for (part, stick) in facts.sticks() {
        let Some(moulding) = facts.moulding(stick) else { continue };
        worth(facts, stick, moulding, faults);
        let beyond = beyond(facts, stick, moulding);
        piece(facts, stick, moulding, &stick.left, beyond, faults);
        between(facts, part, stick, moulding, faults);
        for left in stick.between.iter().chain([&stick.left]).filter(|left| left.keep) {
            if left.label.is_empty() || !labels.insert(&left.label) {
                let (stick, label) = (stick.stick.clone(), left.label.clone());
                faults.push(Fault::FalseLabel { stick, label });
            }
        }
    }
}

/// What today's sticks leave on the rack, as it is told from their labels on.
pub(super) fn racked(plan: &Plan) -> Vec<Stick> {
    let mut racked = Vec::new();
    for stick in &plan.today {
        for left in stick.between.iter().chain([&stick.left]).filter(|left| left.keep) {
            let end = left.from + left.length;
            let on = stick.flaws.iter().filter(|flaw| flaw.to > left.from && flaw.from < end);
            let moved = on.map(|flaw| Flaw {
                from: flaw.from.max(left.from) - left.from,
                to: flaw.to.min(end) - left.from,
            });
            racked.push(Stick {
                id: left.label.clone(),
                moulding: stick.moulding.clone(),
                length: left.length,
                lot: stick.lot.clone(),
                place: stick.place.clone(),
                flaws: moved.collect(),
                since: None,
            });
        }
    }
    racked
}

fn worth(facts: &Facts, stick: &CutStick, moulding: &Moulding, faults: &mut Vec<Fault>) {
    let right = if stick.is_new {
        truth::price(moulding, stick.length)
    } else {
        truth::worth(facts.shop, moulding, stick.length)
    };
    if stick.worth != right {
        let (stick, found) = (stick.stick.clone(), stick.worth);
        faults.push(Fault::FalseWorth { stick, found, right });
    }
}

/// What remains beyond the last rail and its joint: where, and how long.
fn beyond(facts: &Facts, stick: &CutStick, moulding: &Moulding) -> (Length, Length) {
    let cutter = facts.shop.cutter_of(moulding);
    let from = match stick.rails.last() {
        Some(last) => last.to + truth::joint_loss(cutter, last.mitre),
        None => Length::ZERO,
    };
    (from, (stick.length - from).max(Length::ZERO))
}

/// The pieces worth keeping before flaws that a later rail lies beyond.
fn between(
    facts: &Facts,
    part: Part,
    stick: &CutStick,
    moulding: &Moulding,
    faults: &mut Vec<Fault>,
) {
    let cutter = facts.shop.cutter_of(moulding);
    let Some(last) = stick.rails.last() else { return };
    let mut kept = Vec::new();
    for (begin, end) in facts.runs(part, stick, moulding) {
        if last.to <= end {
            break;
        }
        let inside = stick.rails.iter().rfind(|rail| begin <= rail.from && rail.to <= end);
        let from = inside.map_or(begin, |rail| rail.to + truth::joint_loss(cutter, rail.mitre));
        let length = (end - from).max(Length::ZERO);
        if is_kept(facts, length) {
            kept.push((from, length));
        }
    }
    if kept.len() != stick.between.len() {
        let (found, right) = (stick.between.len(), kept.len());
        faults.push(Fault::FalseBetween { stick: stick.stick.clone(), found, right });
    }
    for (left, right) in stick.between.iter().zip(kept) {
        piece(facts, stick, moulding, left, right, faults);
    }
}

/// A piece is what it should be.
fn piece(
    facts: &Facts,
    stick: &CutStick,
    moulding: &Moulding,
    left: &Left,
    (from, length): (Length, Length),
    faults: &mut Vec<Fault>,
) {
    let keep = is_kept(facts, length);
    let worth = if keep { truth::worth(facts.shop, moulding, length) } else { Worth(0) };
    let truths = [
        ("beginning", left.from == from),
        ("length", left.length == length),
        ("verdict", left.keep == keep),
        ("label", keep || left.label.is_empty()),
        ("worth", left.worth == worth),
    ];
    for (what, _) in truths.into_iter().filter(|(_, is_true)| !is_true) {
        faults.push(Fault::FalseLeft { stick: stick.stick.clone(), at: left.from, what });
    }
}

fn is_kept(facts: &Facts, length: Length) -> bool {
    length.is_positive() && length >= facts.shop.settings.keep
}
