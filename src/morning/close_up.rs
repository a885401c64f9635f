//! A stick from which some rails are not cut any more: the others move up to where those
//! were, each in its clear run and in its order, and more is left.

use crate::cutting::{LaidStick, Remnant, Source, clear_runs};
use crate::measure::Length;
use crate::offcuts::Labels;
use crate::plan::{CutStick, PlacedRail};
use crate::planner::feasible::bench;
use crate::planner::sheet::cut_stick;
use crate::shop::{Shop, Stick};

/// A stick with these rails and no other, in this order, as near its marked end as they
/// can be cut; what is to be kept of it is labelled as a plan labels it. Nobody has
/// checked it yet. `None` if a rail is in no clear run.
///
/// # Panics
/// If the shop has not the stick's moulding.
pub fn close_up(shop: &Shop, stick: &Stick, rails: &[PlacedRail]) -> Option<CutStick> {
    let bench = bench(shop, shop.moulding(&stick.moulding));
    let joint = |rail: &PlacedRail| bench.joint_loss(rail.mitre);
    let widest = rails.iter().map(joint).max()?;
    let (length, flaws) = (stick.length, stick.flaws.clone());
    let source = Source { length, flaws, lot: 0, is_new: false, paid: None };
    let (mut placed, mut remnants): (Vec<PlacedRail>, Vec<Remnant>) = (Vec::new(), Vec::new());
    for run in clear_runs(&bench, &source, widest) {
        if placed.len() == rails.len() {
            break;
        }
        let is_in = |rail: &&PlacedRail| run.from <= rail.from && rail.to <= run.to;
        let (mut at, mut before): (Length, Option<&PlacedRail>) = (run.from, None);
        for rail in rails[placed.len()..].iter().take_while(is_in) {
            let from = before.map_or(at, |before| {
                let overlap = match before.turned == rail.turned {
                    true => Length::ZERO,
                    false => bench.overlap(rail.mitre),
                };
                at - joint(before) + joint(before).max(joint(rail)) - overlap
            });
            let to = from + rail.long_point;
            placed.push(PlacedRail { from, to, ..rail.clone() });
            (at, before) = (to + joint(rail), Some(rail));
        }
        let end = if placed.len() == rails.len() { length } else { run.to };
        remnants.push(Remnant { from: at, length: (end - at).max(Length::ZERO) });
    }
    if placed.len() < rails.len() {
        return None;
    }
    let left = remnants.pop()?;
    let laid =
        LaidStick { source: 0, rails: Vec::new(), blocks: Vec::new(), left, between: remnants };
    let mut labels = Labels::new([stick.id.as_str()].into_iter());
    Some(cut_stick((&bench, &source), (stick.id.clone(), Some(stick)), &laid, placed, &mut labels))
}
