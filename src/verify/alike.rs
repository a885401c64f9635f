//! The rails of a layer are as alike as the frame asks.

use std::collections::{BTreeMap, BTreeSet};

use super::Fault;
use super::facts::Facts;
use crate::measure::Length;
use crate::plan::{CutStick, PlacedRail};
use crate::shop::Match;

/// Where one rail of a layer lies.
struct RailPlace<'a> {
    /// Its place in the cutting order of its frame.
    order: usize,
    stick: &'a CutStick,
    /// Its place among the stick's rails.
    at: usize,
    /// The beginning of the clear run that it lies in.
    run: Option<Length>,
}

/// What two rails share if they are from one lot.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum SharedLot<'a> {
    /// All new sticks of a moulding from one supplier come as one.
    New(&'a str),
    Known(&'a str),
    /// Nothing is known to be like a stick whose lot is not recorded.
    Unknown(&'a str),
}

pub(super) fn check(facts: &Facts, faults: &mut Vec<Fault>) {
    for ((frame, copy, layer), mut rails) in places(facts) {
        let Some(match_) = facts.match_in_force(frame, layer) else { continue };
        let of = facts.frames.get(frame);
        if of.is_some_and(|frame| frame.cut(copy, layer).is_some()) {
            // What is owed of a layer that is cut in part comes from any stick, unless it
            // is bound to a lot.
            let like = of.and_then(|frame| frame.like(copy, layer));
            if like.is_some_and(|like| {
                rails.iter().any(|rail| lot(rail.stick) != SharedLot::Known(like))
            }) {
                let (frame, match_) = (frame.to_owned(), Match::Lot);
                faults.push(Fault::NotMatched { frame, copy, layer, match_ });
            }
            continue;
        }
        rails.sort_by_key(|rail| rail.order);
        let matched = match match_ {
            Match::Any => true,
            Match::Lot => one_lot(&rails),
            Match::Halves => one_lot(&rails) && rails.chunks(2).all(running),
            Match::Stick => rails.iter().all(|rail| rail.stick.stick == rails[0].stick.stick),
            Match::Wrap => running(&rails),
        };
        if !matched {
            faults.push(Fault::NotMatched { frame: frame.to_owned(), copy, layer, match_ });
        }
    }
}

/// The places of each layer's rails.
fn places<'a>(facts: &Facts<'a>) -> BTreeMap<(&'a str, u32, usize), Vec<RailPlace<'a>>> {
    let mut places: BTreeMap<_, Vec<RailPlace>> = BTreeMap::new();
    for (part, stick) in facts.sticks() {
        let Some(moulding) = facts.moulding(stick) else { continue };
        let runs = facts.runs(part, stick, moulding);
        for (at, rail) in stick.rails.iter().enumerate() {
            let Some(order) = order(facts, rail) else { continue };
            let holds = |(from, to): &&(Length, Length)| *from <= rail.from && rail.to <= *to;
            let run = runs.iter().find(holds).map(|(from, _)| *from);
            let layer = (rail.frame.as_str(), rail.copy, rail.layer);
            places.entry(layer).or_default().push(RailPlace { order, stick, at, run });
        }
    }
    places
}

fn order(facts: &Facts, rail: &PlacedRail) -> Option<usize> {
    let layers = facts.rails.get(rail.frame.as_str())?;
    let rails = layers.get(rail.layer.checked_sub(1)?)?;
    rails.iter().position(|(side, _)| *side == rail.side)
}

fn one_lot(rails: &[RailPlace]) -> bool {
    rails.iter().map(|rail| lot(rail.stick)).collect::<BTreeSet<SharedLot>>().len() <= 1
}

fn lot(stick: &CutStick) -> SharedLot<'_> {
    match (stick.is_new, stick.lot.as_str()) {
        (true, _) => SharedLot::New(&stick.supplier),
        (false, "") => SharedLot::Unknown(&stick.stick),
        (false, lot) => SharedLot::Known(lot),
    }
}

/// Whether rails follow one another in their order in one clear run.
fn running(rails: &[RailPlace]) -> bool {
    rails.windows(2).all(|pair| {
        pair[0].stick.stick == pair[1].stick.stick
            && pair[0].at + 1 == pair[1].at
            && pair[0].run.is_some()
            && pair[0].run == pair[1].run
    })
}
