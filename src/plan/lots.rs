//! Lots as numbers: which sticks are alike in colour and profile.

use std::collections::{BTreeMap, BTreeSet};

use crate::cutting::Source;
use crate::shop::Stick;

/// The lot of a stick that is still to be bought: one delivery is one lot.
pub(super) const NEW_LOT: u32 = u32::MAX;

/// A source and its place in the rack, unless it is still to be bought.
pub(super) type Placed = (Option<usize>, Source);

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
        (
            Some(index),
            Source { length: stick.length, flaws, lot: lots[&index], is_new: false, paid: None },
        )
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
pub(super) fn distinct(sources: &[Source]) -> Vec<u32> {
    let lots: BTreeSet<u32> = sources.iter().map(|source| source.lot).collect();
    lots.into_iter().collect()
}

/// One way to share frames out: so many of an ask from a lot, as a place in the
/// list of lots.
pub(super) type Share = Vec<(usize, usize, u32)>;

/// Every way to share out (ask, count, number of lots) over the lots; false,
/// with the first few, if there are more than `most`.
pub(super) fn shares(wanted: &[(usize, u32, usize)], most: usize) -> (Vec<Share>, bool) {
    let mut shares: Vec<Share> = vec![Vec::new()];
    let mut whole = true;
    for &(ask, count, lots) in wanted {
        let splits =
            if ways(count, lots) <= most { splits(count, lots) } else { unsplit(count, lots) };
        whole &= ways(count, lots) <= most && shares.len() * splits.len() <= most;
        let extend = |share: &Share| -> Vec<Share> {
            let with = |split: &Vec<u32>| {
                let picked = split.iter().enumerate().filter(|(_, count)| **count > 0);
                share.iter().copied().chain(picked.map(|(lot, count)| (ask, lot, *count))).collect()
            };
            splits.iter().map(with).collect()
        };
        shares = shares.iter().flat_map(extend).take(most).collect();
    }
    (shares, whole)
}

/// Every way to split `count` over `parts`, as the count of each part.
fn splits(count: u32, parts: usize) -> Vec<Vec<u32>> {
    match parts {
        0 | 1 => vec![vec![count; parts]],
        _ => (0..=count)
            .rev()
            .flat_map(|first| {
                splits(count - first, parts - 1)
                    .into_iter()
                    .map(move |rest| [vec![first], rest].concat())
            })
            .collect(),
    }
}

/// All of `count` to one of the parts, for each of them.
fn unsplit(count: u32, parts: usize) -> Vec<Vec<u32>> {
    let all_to = |part| (0..parts).map(|other| if other == part { count } else { 0 }).collect();
    (0..parts).map(all_to).collect()
}

/// How many ways there are to split `count` over `parts`: (count + parts - 1)
/// over (parts - 1), or the largest number if that is too large.
fn ways(count: u32, parts: usize) -> usize {
    let step =
        |ways: usize, part: usize| ways.checked_mul(count as usize + part).map(|ways| ways / part);
    (1..parts).try_fold(1, step).unwrap_or(usize::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_way_to_split_is_there_once() {
        assert_eq!(splits(2, 2), vec![vec![2, 0], vec![1, 1], vec![0, 2]]);
        assert_eq!(splits(3, 3).len(), 10);
        assert_eq!(ways(3, 3), 10);
        assert_eq!(ways(100, 5), 4_598_126);
        assert_eq!(ways(7, 1), 1);
    }

    #[test]
    fn shares_that_are_too_many_are_cut_short_and_said_to_be() {
        let (shares, whole) = shares(&[(0, 2, 2), (1, 1, 1)], 10);
        assert!(whole);
        assert_eq!(shares[0], vec![(0, 0, 2), (1, 0, 1)]);
        assert_eq!(shares.len(), 3);
        let (shares, whole) = super::shares(&[(0, 100, 5)], 10);
        assert!(!whole);
        assert_eq!(shares.len(), 5);
    }
}
