//! Lots as numbers: which sticks are alike in colour and profile.

use std::collections::BTreeMap;

use crate::cutting::Source;
use crate::shop::{Shop, Stick};

/// The lot of a stick that is still to be bought: one delivery is one lot.
pub(crate) const NEW_LOT: u32 = u32::MAX;

/// A source and its place in the rack, unless it is still to be bought.
pub(crate) type Placed = (Option<usize>, Source);

/// The sticks of one moulding with their places in the rack, in the order in
/// which like sticks are to be used: longest on the rack first.
///
/// A stick whose lot is not recorded is a lot of its own: nothing is known to
/// be like it.
pub(crate) fn sources(rack: &[Stick], moulding: &str) -> Vec<Placed> {
    let of_moulding = rack.iter().enumerate().filter(|(_, stick)| stick.moulding == moulding);
    placed(of_moulding.collect())
}

/// The [`sources`] of every moulding of which there are some.
pub(crate) fn all_sources(rack: &[Stick]) -> BTreeMap<&str, Vec<Placed>> {
    by_moulding(rack.iter()).into_iter().map(|(id, sticks)| (id, placed(sticks))).collect()
}

/// The sticks of each moulding that are on order, where some are. Their lots have no
/// number in common with those of the rack, unless they are the same.
pub(crate) fn coming(shop: &Shop) -> BTreeMap<&str, Vec<Placed>> {
    let is_coming = |(place, _): &Placed| place.is_some_and(|place| place >= shop.rack.len());
    let mut all = by_moulding(shop.sticks());
    all.retain(|_, sticks| sticks.iter().any(|(place, _)| *place >= shop.rack.len()));
    let coming = |sticks| placed(sticks).into_iter().filter(is_coming).collect();
    all.into_iter().map(|(id, sticks)| (id, coming(sticks))).collect()
}

/// Gives for each moulding, once, what is on the rack and on order of it.
pub(crate) fn at_hand(shop: &Shop) -> impl FnMut(&str) -> Vec<Placed> + '_ {
    let (mut rack, mut coming) = (all_sources(&shop.rack), coming(shop));
    move |id| {
        let mut sticks = rack.remove(id).unwrap_or_default();
        sticks.extend(coming.remove(id).unwrap_or_default());
        sticks
    }
}

fn by_moulding<'a>(
    sticks: impl Iterator<Item = &'a Stick>,
) -> BTreeMap<&'a str, Vec<(usize, &'a Stick)>> {
    let mut all: BTreeMap<&str, Vec<(usize, &Stick)>> = BTreeMap::new();
    for (place, stick) in sticks.enumerate() {
        all.entry(&stick.moulding).or_default().push((place, stick));
    }
    all
}

/// Sticks of one moulding with their places, in the order in which they are used.
fn placed(mut sticks: Vec<(usize, &Stick)>) -> Vec<Placed> {
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

/// The number of a lot of a moulding among the [`sources`] of a rack; one of which the
/// rack has nothing could only be bought.
pub(crate) fn number(rack: &[Stick], moulding: &str, lot: &str) -> u32 {
    let is_it = |(place, _): &&Placed| place.is_some_and(|place| rack[place].lot == lot);
    sources(rack, moulding).iter().find(is_it).map_or(NEW_LOT, |(_, source)| source.lot)
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

/// So many of one ask, which can come from some of several places.
pub(crate) struct Wanted {
    pub ask: usize,
    pub count: u32,
    /// What one of it takes.
    pub length: i64,
    /// The places that can give one of it, the best first.
    pub places: Vec<usize>,
}

/// One way to share frames out: so many of an ask from a place.
pub(crate) type Share = Vec<(usize, usize, u32)>;

/// Every way to share out what is wanted over places with so much room; false,
/// with the first few, if there are more than `most`. There may be none.
pub(crate) fn shares(wanted: &[Wanted], rooms: &[Option<i64>], most: usize) -> (Vec<Share>, bool) {
    let mut begun: Vec<(Share, Vec<Option<i64>>)> = vec![(Vec::new(), rooms.to_vec())];
    let mut whole = true;
    for want in wanted.iter().filter(|want| want.count > 0) {
        let mut further = Vec::new();
        for share in begun {
            whole &= split(want, share, most, &mut further);
        }
        begun = further;
    }
    (begun.into_iter().map(|(share, _)| share).collect(), whole)
}

/// A way to take some of what is wanted from the places, in the making.
struct PartialSplit {
    /// The place that comes next.
    at: usize,
    /// How many are still to be taken.
    left: u32,
    /// How many were tried last from that place.
    tried: Option<u32>,
    begun: (Share, Vec<Option<i64>>),
}

impl PartialSplit {
    /// How many a place can give.
    fn fit(&self, want: &Wanted, place: usize) -> u32 {
        let room = self.begun.1[place].map(|room| room / want.length.max(1));
        room.map_or(self.left, |room| self.left.min(u32::try_from(room.max(0)).unwrap_or(u32::MAX)))
    }

    /// Whether the places that come next can give all that is left.
    fn can_end(&self, want: &Wanted) -> bool {
        let rest = want.places[self.at..].iter().map(|place| u64::from(self.fit(want, *place)));
        rest.sum::<u64>() >= u64::from(self.left)
    }

    /// With so many from the next place.
    fn with(&self, want: &Wanted, taken: u32) -> PartialSplit {
        let (mut share, mut rooms) = self.begun.clone();
        let place = want.places[self.at];
        if taken > 0 {
            share.push((want.ask, place, taken));
            rooms[place] = rooms[place].map(|room| room - want.length * i64::from(taken));
        }
        PartialSplit {
            at: self.at + 1,
            left: self.left - taken,
            tried: None,
            begun: (share, rooms),
        }
    }
}

/// Adds every way to take what is wanted from its places, most from the first
/// first; false if there are more than `most` in all.
fn split(
    want: &Wanted,
    begun: (Share, Vec<Option<i64>>),
    most: usize,
    further: &mut Vec<(Share, Vec<Option<i64>>)>,
) -> bool {
    let mut open = vec![PartialSplit { at: 0, left: want.count, tried: None, begun }];
    while let Some(last) = open.last_mut() {
        if last.left == 0 {
            if further.len() == most {
                return false;
            }
            further.extend(open.pop().map(|whole| whole.begun));
            continue;
        }
        let next = match last.tried {
            None if last.can_end(want) => Some(last.fit(want, want.places[last.at])),
            None => None,
            Some(tried) => tried.checked_sub(1),
        };
        last.tried = next;
        let more = next.map(|taken| last.with(want, taken));
        match more {
            // What is left after so few may be more than the others can give.
            Some(more) if more.left > 0 && !more.can_end(want) => {
                open.pop();
            }
            Some(more) => open.push(more),
            None => {
                open.pop();
            }
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wanted(ask: usize, count: u32, places: &[usize]) -> Wanted {
        Wanted { ask, count, length: 10, places: places.to_vec() }
    }

    #[test]
    fn every_way_to_share_out_is_there_once() {
        let two = [wanted(0, 2, &[0, 1]), wanted(1, 1, &[0])];
        let (shares, whole) = shares(&two, &[None, None], 10);
        assert!(whole);
        assert_eq!(shares[0], vec![(0, 0, 2), (1, 0, 1)]);
        assert_eq!(shares.len(), 3);
        let (all, _) = super::shares(&[wanted(0, 3, &[0, 1, 2])], &[None; 3], 100);
        assert_eq!(all.len(), 10);
    }

    #[test]
    fn what_a_place_has_no_room_for_is_no_way() {
        let (all, whole) = shares(&[wanted(0, 3, &[0, 1])], &[Some(25), Some(19)], 10);
        assert_eq!((all, whole), (vec![vec![(0, 0, 2), (0, 1, 1)]], true));
        let (none, whole) = shares(&[wanted(0, 3, &[0, 1])], &[Some(19), Some(19)], 10);
        assert_eq!((none, whole), (Vec::new(), true));
    }

    #[test]
    fn shares_that_are_too_many_are_cut_short_and_said_to_be() {
        let (shares, whole) = shares(&[wanted(0, 100, &[0, 1, 2, 3, 4])], &[None; 5], 10);
        assert!(!whole);
        assert_eq!(shares.len(), 10);
        assert_eq!(shares[0], vec![(0, 0, 100)]);
    }
}
