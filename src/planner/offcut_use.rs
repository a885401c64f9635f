//! What the offcuts on the rack are good for: what is saved by cutting them
//! before whole sticks, and which of them nothing calls for.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use super::effort::Effort;
use super::feasible::bench;
use super::lots::{NEW_LOT, Placed};
use super::packing::{Counts, GLANCE, Packing};
use super::stage::Batch;
use super::work::Work;
use crate::cutting::Source;
use crate::measure::Worth;
use crate::plan::{CutStick, OffcutUse};
use crate::shop::{Moulding, Shop, Stick};

/// Whether a stick is shorter than its moulding is sold.
fn is_offcut(moulding: &Moulding, stick: &Stick) -> bool {
    stick.length < moulding.stick
}

/// What is known of each moulding of which there is an offcut on the rack.
pub(crate) fn offcuts(
    shop: &Shop,
    work: &Work,
    today: &[Batch],
    sticks: &[&CutStick],
    effort: Effort,
) -> Vec<OffcutUse> {
    let taken: BTreeSet<&str> = sticks.iter().map(|stick| stick.stick.as_str()).collect();
    let effort = effort.with_purse(effort.purse() / (shop.mouldings.len() as u64).max(1));
    let mut offcuts: BTreeMap<&str, Vec<&Stick>> = BTreeMap::new();
    for stick in shop.rack.iter().filter(|of| is_offcut(shop.moulding(&of.moulding), of)) {
        offcuts.entry(&stick.moulding).or_default().push(stick);
    }
    let of = |(id, offcuts): (&str, Vec<&Stick>)| {
        let moulding = shop.moulding(id);
        let idle = offcuts.iter().filter(|stick| !taken.contains(stick.id.as_str()));
        let batch = today.iter().find(|batch| batch.moulding == moulding.id);
        OffcutUse {
            moulding: moulding.id.clone(),
            saved: batch.map_or(Worth(0), |batch| saved(shop, work, batch, effort)),
            idle: idle.map(|stick| stick.id.clone()).collect(),
            priced: moulding.price.is_some(),
        }
    };
    offcuts.into_par_iter().map(of).collect()
}

/// The least that is saved today: what the same frames use up at least if they
/// are cut from whole sticks, on the rack or bought, less what they use up. Match
/// rules could only make whole sticks dearer, so they are left out: to share the
/// frames out over lots once more would take longer than the plan itself.
fn saved(shop: &Shop, work: &Work, batch: &Batch, effort: Effort) -> Worth {
    let moulding = shop.moulding(&batch.moulding);
    let is_whole =
        |place: &Option<usize>| place.is_none_or(|place| !is_offcut(moulding, &shop.rack[place]));
    let mut used = batch.fit.posed.touched(&batch.fit.solution);
    if used.all(|source| is_whole(&batch.places[source])) {
        return Worth(0);
    }
    let all = batch.places.iter().copied().zip(batch.sources.iter().cloned());
    let mut whole: Vec<Placed> = all.filter(|(place, _)| is_whole(place)).collect();
    // One more of the usual length, as if it could always be had.
    let length = moulding.stick;
    let new = Source { length, flaws: Vec::new(), lot: NEW_LOT, is_new: true, paid: None };
    whole.push((None, new));
    let mut counts = Counts::new();
    for (ask, demand) in batch.fit.of.iter().zip(&batch.fit.demands) {
        *counts.entry(*ask).or_default() += demand.count;
    }
    let asks = &work.asks[&batch.moulding];
    let packing = Packing::new(bench(shop, moulding), asks, whole, effort.at_most(GLANCE));
    let least = packing.least(&counts).unwrap_or_default();
    (least - batch.fit.used_up).max(Worth(0))
}
