//! Each copy of each frame is whole and in exactly one place.

use std::collections::{BTreeMap, BTreeSet};

use super::Fault;
use super::facts::Facts;
use crate::plan::Part;
use crate::rails::Side;

/// A frame's ticket number and which copy.
type CopyId<'a> = (&'a str, u32);

/// How often each layer and side of each copy is cut, by part.
type SidesCut<'a> = BTreeMap<(Part, CopyId<'a>), BTreeMap<(usize, Side), usize>>;

pub(super) fn check(facts: &Facts, faults: &mut Vec<Fault>) {
    let mut cut = SidesCut::new();
    for (part, stick) in facts.sticks() {
        for rail in &stick.rails {
            let copy = cut.entry((part, (rail.frame.as_str(), rail.copy))).or_default();
            *copy.entry((rail.layer, rail.side)).or_default() += 1;
        }
    }
    for chopped in &facts.plan.order.chops {
        let of = (chopped.frame.as_str(), chopped.copy);
        let rails = facts.rails.get(of.0).and_then(|l| l.get(chopped.layer.checked_sub(1)?));
        let copy = cut.entry((Part::Order, of)).or_default();
        for (side, _) in rails.into_iter().flatten() {
            *copy.entry((chopped.layer, *side)).or_default() += 1;
        }
    }
    let held: Vec<CopyId> = facts.plan.held.iter().map(|h| (h.frame.as_str(), h.copy)).collect();
    let waiting: Vec<CopyId> =
        facts.plan.waiting.iter().map(|w| (w.frame.as_str(), w.copy)).collect();
    let wanted: BTreeSet<CopyId> = facts
        .frames
        .values()
        .flat_map(|frame| frame.pending().map(|copy| (frame.id.as_str(), copy)))
        .collect();
    for copy in &wanted {
        places(facts, *copy, &cut, &waiting, &held, faults);
    }
    let named: BTreeSet<CopyId> =
        cut.keys().map(|(_, copy)| *copy).chain(held).chain(waiting).collect();
    for (frame, copy) in named.difference(&wanted) {
        faults.push(Fault::NoSuchCopy { frame: (*frame).to_owned(), copy: *copy });
    }
    for ((_, copy), rails) in &cut {
        if wanted.contains(copy) {
            whole(facts, *copy, rails, faults);
        }
    }
}

/// A copy is cut today, or ordered and waiting, or held; where nothing is to be
/// bought or all of it is on order already, it waits without an order.
fn places(
    facts: &Facts,
    of: CopyId,
    cut: &SidesCut,
    waiting: &[CopyId],
    held: &[CopyId],
    faults: &mut Vec<Fault>,
) {
    let (frame, copy) = (of.0.to_owned(), of.1);
    let times = |list: &[CopyId]| list.iter().filter(|other| **other == of).count();
    let today = usize::from(cut.contains_key(&(Part::Today, of)));
    let parts = [Part::Coming, Part::Order];
    let ordered = parts.into_iter().filter(|part| cut.contains_key(&(*part, of))).count();
    let waits = times(waiting);
    let frame_of = facts.frames.get(of.0);
    let (nothing_to_cut, comes) = frame_of.map_or((false, false), |frame| {
        (frame.to_cut(of.1).is_empty(), !frame.coming(of.1).is_empty())
    });
    if today > 0 && comes {
        faults.push(Fault::NotYetCome { frame, copy });
        return;
    }
    // What was ordered for waits for that, laid out or not, and is not ordered for again.
    let is_ordered = frame_of.is_some_and(|frame| frame.progress.ordered.contains(&of.1));
    if is_ordered && cut.contains_key(&(Part::Order, of)) {
        faults.push(Fault::Repeated { frame, copy, places: 2 });
        return;
    }
    let none_due = facts.plan.wishes.rack_only || nothing_to_cut || is_ordered && ordered == 0;
    let due = if none_due { 0 } else { waits };
    match today + ordered.max(waits) + times(held) {
        0 => faults.push(Fault::Forgotten { frame, copy }),
        1 if ordered != due => faults.push(Fault::WaitsInVain { frame, copy }),
        1 => {}
        places => faults.push(Fault::Repeated { frame, copy, places }),
    }
}

/// Every side of a copy's layers that are to be cut once, and no others.
fn whole(
    facts: &Facts,
    (frame, copy): CopyId,
    rails: &BTreeMap<(usize, Side), usize>,
    faults: &mut Vec<Fault>,
) {
    let layers = &facts.rails[frame];
    let to_cut = facts.frames[frame].to_cut(copy);
    let mut due = BTreeSet::new();
    for (index, layer) in layers.iter().enumerate().filter(|(i, _)| to_cut.contains(&(i + 1))) {
        let cut = facts.frames[frame].cut(copy, index + 1);
        let open = |place: usize| cut.is_none_or(|cut| !cut.contains(&place));
        for (_, (side, _)) in layer.iter().enumerate().filter(|(place, _)| open(*place)) {
            due.insert((index + 1, *side));
            let found = rails.get(&(index + 1, *side)).copied().unwrap_or(0);
            if found != 1 {
                let (frame, layer, side) = (frame.to_owned(), index + 1, *side);
                faults.push(Fault::NotWhole { frame, copy, layer, side, found });
            }
        }
    }
    for (layer, side) in rails.keys().filter(|rail| !due.contains(rail)) {
        faults.push(Fault::NoSuchRail { frame: frame.to_owned(), layer: *layer, side: *side });
    }
}
