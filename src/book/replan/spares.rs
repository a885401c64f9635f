//! Spare rails that pay what is owed at the bench: nothing is cut for it.

use std::collections::BTreeMap;

use super::super::lays::{BenchRail, RailState, StickLayout};
use super::groups::LayerOf;
use super::look::DayLook;
use crate::plan::SpareUse;
use crate::planner::serving;
use crate::rails::{Rail, Side, frame_rails};
use crate::shop::{Match, Spare};

/// A spare rail that a frame at the bench takes, and how alike its layer is.
pub(super) type PaidSpare = (SpareUse, Match);

/// Takes spare rails for what is owed, the most urgent frame first: from now on they
/// are rails of theirs that are cut.
pub(super) fn pay(look: &mut DayLook, spare: &[StickLayout]) -> Vec<PaidSpare> {
    let mut paid: Vec<PaidSpare> = Vec::new();
    for (layer, sides) in by_layer(look) {
        let (uses, cut) = of_layer(look, &paid, (&layer, &sides), spare);
        let is_paid = |side: &Side| uses.iter().any(|(of, _)| of.side == *side);
        look.at.owed.retain(|owed| {
            let own = (&owed.frame, owed.copy, owed.layer) == (&layer.0, layer.1, layer.2);
            !own || !is_paid(&owed.side)
        });
        paid.extend(uses);
        look.lays.extend(cut);
    }
    paid
}

/// What is owed of each layer, the most urgent frame first.
fn by_layer(look: &DayLook) -> Vec<(LayerOf, Vec<Side>)> {
    let mut owed: BTreeMap<_, Vec<Side>> = BTreeMap::new();
    for of in &look.at.owed {
        let due = look.shop.frame(&of.frame).and_then(|frame| frame.due);
        let layer = (of.frame.clone(), of.copy, of.layer);
        owed.entry(((due.is_none(), due), layer)).or_default().push(of.side);
    }
    owed.into_iter().map(|((_, layer), sides)| (layer, sides)).collect()
}

/// The spare rails that these sides of a layer take, and the same as rails that are cut.
fn of_layer(
    look: &DayLook,
    paid: &[PaidSpare],
    ((id, copy, number), sides): (&LayerOf, &[Side]),
    spare: &[StickLayout],
) -> (Vec<PaidSpare>, Vec<StickLayout>) {
    let Some(frame) = look.shop.frame(id) else { return (Vec::new(), Vec::new()) };
    let rails = &frame_rails(&look.shop, frame)[number - 1].rails;
    let rails: Vec<Rail> =
        rails.iter().filter(|rail| sides.contains(&rail.side)).copied().collect();
    let own = |lay: &&StickLayout, rail: &&BenchRail| {
        (&rail.frame, rail.copy, rail.layer) == (id, *copy, *number)
            && lay.moulding == frame.layers[number - 1].moulding
    };
    let all = look.lays.iter().flat_map(StickLayout::each);
    let ever: Vec<(&StickLayout, &BenchRail)> = all.filter(|(lay, rail)| own(lay, rail)).collect();
    let asked = ever.last().map_or(frame.layers[number - 1].match_, |(_, rail)| rail.alike);
    let mut there =
        ever.iter().filter(|(_, rail)| matches!(rail.state, RailState::Cut | RailState::ToCut));
    let beside = there.next().map(|(lay, _)| (lay.lot.as_str(), lay.stick.as_str()));
    let is_free = |spare: &&Spare| paid.iter().all(|(of, _)| of.label != spare.label);
    let free: Vec<&Spare> = look.shop.spare.iter().filter(is_free).collect();
    let mitre = look.shop.mitre_of(frame, *number);
    let of = (frame.layers[number - 1].moulding.as_str(), mitre);
    let served = serving(of, &rails, (asked, beside), &free).into_iter();
    let one = |(rail, spare_rail): (Rail, &Spare)| {
        let label = spare_rail.label.clone();
        let (frame, copy, layer, side) = (id.clone(), *copy, *number, rail.side);
        let cut = as_cut(spare, &label, (id, copy, layer, side, asked))?;
        Some(((SpareUse { label, frame, copy, layer, side }, asked), cut))
    };
    served.filter_map(one).unzip()
}

/// A spare rail by itself, as the rail that it becomes: on no stick of this day.
fn as_cut(
    spare: &[StickLayout],
    label: &str,
    (id, copy, layer, side, alike): (&str, u32, usize, Side, Match),
) -> Option<StickLayout> {
    let (lay, rail) =
        spare.iter().flat_map(StickLayout::each).find(|(_, rail)| rail.spare_label() == label)?;
    let rail = BenchRail { frame: id.to_owned(), copy, layer, side, alike, ..rail.clone() };
    Some(StickLayout { id: NO_LAY, rails: vec![rail], ..lay.clone() })
}

/// The number of no lay.
const NO_LAY: i64 = 0;
