//! The plan is as it was wished: nobody is served before their turn by taking
//! the place of one who is alike, and nothing is bought where nothing was to be.

use std::collections::BTreeMap;

use super::Fault;
use super::facts::{Facts, Urgency};
use crate::measure::{Length, Mitre};
use crate::plan::Part;
use crate::shop::{Frame, Match};

/// All that matters when frames are cut: those that agree in it could change
/// places. First, whether a layer is on order.
type FrameKind<'a> = (bool, Mitre, Vec<(&'a str, Match, Vec<Length>)>);

/// How well a copy is served: cut today, ordered for, or held although alike to
/// those that are not.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Served {
    Today,
    Waits,
    Held,
}

pub(super) fn check(facts: &Facts, faults: &mut Vec<Fault>) {
    let wishes = &facts.plan.wishes;
    let named = wishes.rush.iter().chain(wishes.only.iter().flatten());
    for frame in named.filter(|id| !facts.frames.contains_key(id.as_str())) {
        faults.push(Fault::NoSuchWish { frame: frame.clone() });
    }
    let order = &facts.plan.order;
    let uses = order.all_sticks().next().is_some();
    let buys = uses || !(order.lines.is_empty() && order.chops.is_empty());
    if wishes.rack_only && (buys || order.account.is_some()) {
        faults.push(Fault::Bought);
    }
    turns(facts, faults);
}

/// Of frames that are alike, none is served better than a more urgent one.
fn turns(facts: &Facts, faults: &mut Vec<Fault>) {
    let mut alike: BTreeMap<FrameKind, Vec<(Urgency, Served, &Frame, u32)>> = BTreeMap::new();
    for (served, id, copy) in copies(facts) {
        let Some(frame) = facts.frames.get(id) else { continue };
        let turn = facts.urgency(frame);
        alike.entry(kind(facts, frame, copy)).or_default().push((turn, served, frame, copy));
    }
    for mut copies in alike.into_values() {
        copies.sort_by_key(|(turn, served, ..)| (*turn, *served));
        let pairs = copies.windows(2).filter(|pair| pair[1].1 < pair[0].1);
        for pair in pairs.filter(|pair| pair[0].0 != pair[1].0) {
            let ((_, _, early, _), (_, _, late, copy)) = (pair[0], pair[1]);
            let (frame, before) = (late.id.clone(), early.id.clone());
            faults.push(Fault::OutOfTurn { frame, copy, before });
        }
    }
}

/// Every copy that is possible at all, with how well it is served.
fn copies<'a>(facts: &Facts<'a>) -> Vec<(Served, &'a str, u32)> {
    let mut copies: Vec<(Served, &str, u32)> = Vec::new();
    for (_, stick) in facts.sticks().filter(|(part, _)| *part == Part::Today) {
        copies.extend(stick.rails.iter().map(|r| (Served::Today, r.frame.as_str(), r.copy)));
    }
    copies.sort();
    copies.dedup();
    let waiting = facts.plan.waiting.iter();
    copies.extend(waiting.map(|w| (Served::Waits, w.frame.as_str(), w.copy)));
    let held = facts.plan.held.iter();
    copies.extend(held.map(|h| (Served::Held, h.frame.as_str(), h.copy)));
    copies
}

fn kind<'a>(facts: &Facts<'a>, frame: &'a Frame, copy: u32) -> FrameKind<'a> {
    let rails = &facts.rails[frame.id.as_str()];
    let to_cut = frame.to_cut(copy);
    let layers = frame.layers.iter().zip(rails).enumerate();
    let layers = layers.filter(|(index, _)| to_cut.contains(&(index + 1)));
    let layers = layers.map(|(index, (layer, rails))| {
        let asked = facts.match_in_force(&frame.id, index + 1).unwrap_or(layer.match_);
        let cut = frame.cut(copy, index + 1);
        let open = |place: usize| cut.is_none_or(|cut| !cut.contains(&place));
        let open = rails.iter().enumerate().filter(|(place, _)| open(*place));
        let points = open.map(|(_, (_, rail))| rail.long_point).collect();
        (layer.moulding.as_str(), if cut.is_some() { Match::Any } else { asked }, points)
    });
    (!frame.coming(copy).is_empty(), frame.mitre, layers.collect())
}
