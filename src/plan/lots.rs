//! Lots as numbers: which sticks are alike in colour and profile.

use std::collections::{BTreeMap, BTreeSet};

use super::packing::Placed;
use crate::cutting::Source;
use crate::shop::Stick;

/// The lot of a stick that is still to be bought: one delivery is one lot.
pub(super) const NEW_LOT: u32 = u32::MAX;

/// The sticks of one moulding with their places in the rack, in the order in
/// which like sticks are to be used: longest on the rack first.
///
/// A stick whose lot is not recorded is a lot of its own: nothing is known to
/// be like it.
pub(super) fn sources(rack: &[Stick], moulding: &str) -> Vec<Placed> {
    let mut sticks: Vec<(usize, &Stick)> =
        rack.iter().enumerate().filter(|(_, stick)| stick.moulding == moulding).collect();
    let lots = numbers(&sticks);
    sticks.sort_by_key(|(index, stick)| (stick.since.is_none(), stick.since, *index));
    let placed = |(index, stick): (usize, &Stick)| {
        let flaws = stick.flaws.clone();
        (Some(index), Source { length: stick.length, flaws, lot: lots[&index], is_new: false })
    };
    sticks.into_iter().map(placed).collect()
}

/// A number for the lot of each stick.
fn numbers(sticks: &[(usize, &Stick)]) -> BTreeMap<usize, u32> {
    let mut known: BTreeMap<&str, u32> = BTreeMap::new();
    let mut numbers = BTreeMap::new();
    let mut next = 0;
    for (index, stick) in sticks {
        let old = known.get(stick.lot.as_str()).filter(|_| !stick.lot.is_empty());
        let number = old.copied().unwrap_or(next);
        next = next.max(number + 1);
        known.insert(&stick.lot, number);
        numbers.insert(*index, number);
    }
    numbers
}

/// The different lots among the sources, in order.
pub(super) fn lots(sources: &[Source]) -> Vec<u32> {
    let lots: BTreeSet<u32> = sources.iter().map(|source| source.lot).collect();
    lots.into_iter().collect()
}
