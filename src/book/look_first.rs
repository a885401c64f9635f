//! What a plan at the bench has to be looked at for, before it is cut.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::bench::BenchStick;
use crate::plan::Warning;
use crate::rails::Side;
use crate::shop::{Match, Shop};

/// The warnings of a plan that has these sticks and copies, in the order of its copies.
pub(super) fn warnings(
    shop: &Shop,
    date: Date,
    sticks: &[BenchStick],
    copies: &[(String, u32)],
) -> Vec<Warning> {
    let mut laid: BTreeMap<(&str, u32, usize), (BTreeSet<Side>, Match)> = BTreeMap::new();
    for rail in sticks.iter().flat_map(|stick| &stick.lay.rails) {
        let of = (rail.frame.as_str(), rail.copy, rail.layer);
        let (sides, given) = laid.entry(of).or_insert((BTreeSet::new(), Match::Any));
        sides.insert(rail.side);
        // One that is cut anew may be less like the others than they are.
        *given = rail.alike.max(*given);
    }
    let (mut seen, mut relaxed) = (BTreeSet::new(), BTreeSet::new());
    let mut all = Vec::new();
    for (id, copy) in copies {
        let Some(frame) = shop.frame(id) else { continue };
        if seen.insert(id) {
            all.extend(Warning::of_frame(shop, frame, date));
        }
        for (layer, asked) in (1..).zip(frame.layers.iter().map(|layer| layer.match_)) {
            let Some((sides, given)) = laid.get(&(id.as_str(), *copy, layer)) else { continue };
            // What a layer that was cut on another day is owed comes from any stick.
            let is_whole = sides.len() >= Side::all(frame.mitre).len();
            if is_whole && *given < asked && relaxed.insert((id, layer, *given)) {
                let (frame, given) = (id.clone(), *given);
                all.push(Warning::Relaxed { frame, layer, asked, given });
            }
        }
    }
    all
}
