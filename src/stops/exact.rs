//! The order of fewest settings where a machine cuts a few mouldings.
//!
//! Each moulding is passed from one of its settings to another; how often the
//! stop is moved in between is the least that Euler's theorem allows (an arrow
//! that leads back from the end to the beginning makes it a question of trails
//! again). Which moulding follows which is then found by [`best`].

use std::collections::{BTreeMap, BTreeSet};

use super::hand_on::{best, is_few, parts};
use super::passage::{Ends, Passage, PassageOrder, StopPosition};
use super::trails::trails;

/// So many ways to pass all mouldings at most: each is a walk through its sticks.
const MOST_WAYS: usize = 5_000;

/// An order with the fewest settings of all that keep each moulding together;
/// `None` if there is too much to look at.
pub(super) fn fewest(sticks: &[Passage]) -> Option<Vec<usize>> {
    let mut groups: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, stick) in sticks.iter().enumerate() {
        groups.entry(stick.moulding).or_default().push(index);
    }
    let firsts = |group: &Vec<usize>| -> BTreeSet<_> {
        group.iter().map(|index| sticks[*index].first).collect()
    };
    let lasts = |group: &Vec<usize>| -> BTreeSet<_> {
        group.iter().map(|index| sticks[*index].last).collect()
    };
    let ends: Vec<BTreeSet<Option<StopPosition>>> =
        groups.values().map(|group| &firsts(group) | &lasts(group)).collect();
    let pairs = groups.values().map(|group| firsts(group).len() * lasts(group).len());
    if !parts(&ends).iter().all(|part| is_few(part)) || pairs.sum::<usize>() > MOST_WAYS {
        return None;
    }
    let ways: Vec<BTreeMap<Ends, PassageOrder<usize>>> =
        groups.values().map(|group| ways(sticks, group)).collect();
    best(&ways).map(|(_, order)| order)
}

/// For each beginning and end of a moulding the fewest moves in between, as far
/// as it may be worth it: to fit both neighbours saves two.
pub(super) fn ways(sticks: &[Passage], group: &[usize]) -> BTreeMap<Ends, PassageOrder<usize>> {
    let own: Vec<Passage> = group.iter().map(|index| sticks[*index]).collect();
    let firsts: BTreeSet<_> = own.iter().map(|stick| stick.first).collect();
    let lasts: BTreeSet<_> = own.iter().map(|stick| stick.last).collect();
    let mut ways: BTreeMap<Ends, PassageOrder<usize>> = BTreeMap::new();
    for (first, last) in firsts.iter().flat_map(|first| lasts.iter().map(move |last| (first, last)))
    {
        let order = passed(&own, *first, *last);
        let moves = order.windows(2).filter(|pair| own[pair[0]].last != own[pair[1]].first);
        let moves = moves.count();
        let ends = (own[order[0]].first, own[order[order.len() - 1]].last);
        let known = ways.get(&ends).map_or(usize::MAX, |(known, _)| *known);
        if moves < known {
            ways.insert(ends, (moves, order.iter().map(|place| group[*place]).collect()));
        }
    }
    let least = ways.values().map(|(moves, _)| *moves).min().unwrap_or(0);
    ways.retain(|_, (moves, _)| *moves <= least + 1);
    ways
}

/// The sticks of one moulding in an order that begins and ends at these
/// settings, with the fewest moves in between.
fn passed(own: &[Passage], first: Option<StopPosition>, last: Option<StopPosition>) -> Vec<usize> {
    let back = Passage { moulding: own[0].moulding, first: last, last: first };
    let closed: Vec<Passage> = own.iter().copied().chain([back]).collect();
    let mut trails = trails(&closed);
    let holds_back = |trail: &Vec<usize>| trail.contains(&own.len());
    let place = trails.iter().position(holds_back).expect("every arrow is in a trail");
    let trail = trails.remove(place);
    let at = trail.iter().position(|index| *index == own.len()).expect("it is in this one");
    let (before, after) = (&trail[..at], &trail[at + 1..]);
    [after, &trails.concat(), before].concat()
}
