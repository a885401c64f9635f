//! Which moulding follows which, so that they hand their settings on.
//!
//! Exact, over all sets of mouldings passed so far (M. Held and R. M. Karp, "A
//! dynamic programming approach to sequencing problems", Journal of the Society
//! for Industrial and Applied Mathematics 10, 1962). Of a set only the fewest
//! moves count, with every setting at which they can end: to end elsewhere with
//! one more is to be moved there. So a moulding is passed in one of its ways with
//! the fewest moves, or, where the setting at hand begins none of these, in one
//! with one more that it does begin. Mouldings that have no setting in common have
//! nothing to hand on and are looked at apart.

use std::collections::{BTreeMap, BTreeSet};

use super::held;
use super::passage::{Ends, PassageOrder, StopPosition};

/// So many mouldings at most that hand on to one another: twice the time and
/// memory for each.
const MOST_MOULDINGS: usize = 16;

/// How often the stop is moved in the best order of the mouldings, each passed in
/// one of its ways, and that order; `None` if there is too much to look at.
pub fn best<T: Clone>(ways: &[BTreeMap<Ends, PassageOrder<T>>]) -> Option<(usize, Vec<T>)> {
    best_held(ways, &|_| 0)
}

/// The same, and of the orders with as few moves one of which the fewest of these count
/// as short, as far as it can be looked at.
pub(super) fn best_held<T: Clone>(
    ways: &[BTreeMap<Ends, PassageOrder<T>>],
    short: &dyn Fn(&[T]) -> usize,
) -> Option<(usize, Vec<T>)> {
    let ends: Vec<BTreeSet<Option<StopPosition>>> =
        ways.iter().map(|ways| ways.keys().flat_map(|ends| [ends.0, ends.1]).collect()).collect();
    let parts = parts(&ends);
    let mut all = (parts.len().saturating_sub(1), Vec::new());
    for part in &parts {
        let own: Vec<&BTreeMap<Ends, PassageOrder<T>>> =
            part.iter().map(|place| &ways[*place]).collect();
        let (moves, mut order) = SharingMouldings::new(&own)?.best();
        if short(&order) > 0
            && let Some((held, rather)) = held::mouldings(&own, short)
            && (held, short(&rather)) < (moves, short(&order))
        {
            order = rather;
        }
        all.0 += moves;
        all.1.extend(order);
    }
    Some(all)
}

/// Whether these mouldings can be looked at in every order.
pub(super) fn is_few(part: &[usize]) -> bool {
    part.len() <= MOST_MOULDINGS
}

/// Mouldings in parts of which none can hand a setting to another, by the
/// settings at which each may begin or end.
pub(super) fn parts(ends: &[BTreeSet<Option<StopPosition>>]) -> Vec<Vec<usize>> {
    let mut parts: Vec<(BTreeSet<Option<StopPosition>>, Vec<usize>)> = Vec::new();
    for (moulding, ends) in ends.iter().enumerate() {
        let (touched, apart): (Vec<_>, Vec<_>) =
            parts.into_iter().partition(|(known, _)| !known.is_disjoint(ends));
        parts = apart;
        let mut part = (ends.clone(), Vec::new());
        for (known, mouldings) in touched {
            part.0.extend(known);
            part.1.extend(mouldings);
        }
        part.1.push(moulding);
        parts.push(part);
    }
    let mut parts: Vec<Vec<usize>> = parts.into_iter().map(|(_, mouldings)| mouldings).collect();
    parts.iter_mut().for_each(|part| part.sort_unstable());
    parts.sort_unstable();
    parts
}

/// Mouldings that hand settings on to one another, each with its ways.
struct SharingMouldings<'a, T> {
    ways: Vec<&'a BTreeMap<Ends, PassageOrder<T>>>,
    /// The settings that more than one moulding can begin or end at.
    shared: BTreeMap<Option<StopPosition>, u32>,
    hops: Vec<Hops>,
}

/// The ways to pass a moulding, by the shared settings at which they begin and
/// end; these are a bit each.
#[derive(Default)]
struct Hops {
    /// The fewest moves.
    least: usize,
    /// The ends of the ways with so many.
    all: u64,
    /// The same by where they begin.
    from: BTreeMap<u32, u64>,
    /// The ends of the ways with one more, by where they begin.
    late: BTreeMap<u32, u64>,
}

/// The best way to pass a set: its moves, and the settings at which it can end.
type Best = (usize, u64);

impl<'a, T: Clone> SharingMouldings<'a, T> {
    fn new(ways: &[&'a BTreeMap<Ends, PassageOrder<T>>]) -> Option<SharingMouldings<'a, T>> {
        let mut counts: BTreeMap<Option<StopPosition>, usize> = BTreeMap::new();
        for ways in ways {
            let ends: BTreeSet<Option<StopPosition>> =
                ways.keys().flat_map(|ends| [ends.0, ends.1]).collect();
            ends.into_iter().for_each(|end| *counts.entry(end).or_default() += 1);
        }
        let shared = counts.into_iter().filter(|(_, count)| *count > 1).map(|(end, _)| end);
        let shared: BTreeMap<Option<StopPosition>, u32> = shared.zip(0..).collect();
        if ways.len() > MOST_MOULDINGS || shared.len() > 64 {
            return None;
        }
        let hops = ways.iter().map(|ways| Hops::of(ways, &shared)).collect();
        Some(SharingMouldings { ways: ways.to_vec(), shared, hops })
    }

    fn best(&self) -> (usize, Vec<T>) {
        let mut reached: Vec<Best> = vec![(usize::MAX, 0); 1 << self.hops.len()];
        reached[0] = (0, 0);
        for set in 0..reached.len() {
            for (moulding, hops) in self.hops.iter().enumerate().filter(|(m, _)| set >> m & 1 == 0)
            {
                let (moves, ends) = hops.after(set == 0, reached[set]);
                let known = &mut reached[set | 1 << moulding];
                match moves.cmp(&known.0) {
                    std::cmp::Ordering::Less => *known = (moves, ends),
                    std::cmp::Ordering::Equal => known.1 |= ends,
                    std::cmp::Ordering::Greater => {}
                }
            }
        }
        (reached[reached.len() - 1].0, self.traced(&reached))
    }

    /// The order that leads to the set of all mouldings.
    fn traced(&self, reached: &[Best]) -> Vec<T> {
        let mut set = reached.len() - 1;
        let mut end: Option<u32> = None;
        let mut parts: Vec<&[T]> = Vec::new();
        while set != 0 {
            let ends_there = |ends: u64| end.is_none_or(|end| ends >> end & 1 == 1);
            let leads = |moulding: &usize| {
                let before = set & !(1 << moulding);
                let is_in = before != set;
                let after = || self.hops[*moulding].after(before == 0, reached[before]);
                is_in && after().0 == reached[set].0 && ends_there(after().1)
            };
            let moulding = (0..self.hops.len()).rev().find(leads).expect("every set can be passed");
            set &= !(1 << moulding);
            let (first, way) = self.way(moulding, set == 0, reached[set].1, end);
            parts.push(way);
            end = first;
        }
        parts.reverse();
        parts.concat()
    }

    /// How a moulding is passed from one of these settings to an end: where it
    /// begins, if the stop must stand there.
    fn way(
        &self,
        moulding: usize,
        is_first: bool,
        from: u64,
        end: Option<u32>,
    ) -> (Option<u32>, &'a [T]) {
        let hops = &self.hops[moulding];
        let bit = |end: &Option<StopPosition>| self.shared.get(end).copied();
        let is_hop = hops.hops_on(is_first, from);
        let mut found: Option<(Option<u32>, &[T])> = None;
        // The longest first, where it is all one.
        for ((first, last), (moves, way)) in self.ways[moulding].iter().rev() {
            let begins = bit(first).filter(|first| from >> first & 1 == 1);
            let is_late = *moves > hops.least;
            if end.is_some() && bit(last) != end || (is_hop || is_late) && begins.is_none() {
                continue;
            }
            if is_late && (is_hop || is_first) || *moves > hops.least + 1 {
                continue;
            }
            let stands = begins.filter(|_| is_hop || is_late);
            // Rather one that asks nothing of those before.
            if found.is_none_or(|(known, _)| known.is_some() && stands.is_none()) {
                found = Some((stands, way));
            }
        }
        found.expect("it was counted with this way")
    }
}

impl Hops {
    fn of<T>(
        ways: &BTreeMap<Ends, PassageOrder<T>>,
        shared: &BTreeMap<Option<StopPosition>, u32>,
    ) -> Hops {
        let least = ways.values().map(|(moves, _)| *moves).min().unwrap_or(0);
        let mut hops = Hops { least, ..Hops::default() };
        for ((first, last), (moves, _)) in ways {
            let end = shared.get(last).map_or(0, |last| 1 << last);
            if *moves == least {
                hops.all |= end;
            }
            let Some(first) = shared.get(first) else { continue };
            if *moves == least {
                *hops.from.entry(*first).or_default() |= end;
            } else if *moves == least + 1 {
                *hops.late.entry(*first).or_default() |= end;
            }
        }
        hops
    }

    /// Whether one of its best ways begins at one of these settings.
    fn hops_on(&self, is_first: bool, from: u64) -> bool {
        !is_first && self.from.keys().any(|first| from >> first & 1 == 1)
    }

    /// What comes of passing it next.
    fn after(&self, is_first: bool, (moves, from): Best) -> Best {
        let of = |ways: &BTreeMap<u32, u64>| {
            let begun = ways.iter().filter(|(first, _)| from >> **first & 1 == 1);
            begun.fold(0, |ends, (_, more)| ends | more)
        };
        if is_first {
            return (self.least, self.all);
        }
        if self.hops_on(is_first, from) {
            return (moves + self.least, of(&self.from));
        }
        (moves + self.least + 1, self.all | of(&self.late))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Length, Mitre};
    use proptest::prelude::*;

    type Named = BTreeMap<Ends, PassageOrder<(usize, i64, i64)>>;

    /// Ways of each moulding, named by the moulding and their ends.
    fn mouldings(each: Vec<Vec<(i64, i64, usize)>>) -> Vec<Named> {
        let setting = |mm| Some((Length::from_mm(mm), Mitre::SQUARE));
        let named = |(moulding, ways): (usize, Vec<(i64, i64, usize)>)| {
            let way = |(first, last, moves)| {
                ((setting(first), setting(last)), (moves, vec![(moulding, first, last)]))
            };
            ways.into_iter().map(way).collect()
        };
        each.into_iter().enumerate().map(named).collect()
    }

    /// The moves of an order of mouldings, each passed in the way named.
    fn moves(ways: &[Named], order: &[(usize, i64, i64)]) -> usize {
        let setting = |mm| Some((Length::from_mm(mm), Mitre::SQUARE));
        let within = |&(moulding, first, last): &(usize, i64, i64)| {
            ways[moulding][&(setting(first), setting(last))].0
        };
        let between = order.windows(2).filter(|pair| pair[0].2 != pair[1].1).count();
        order.iter().map(within).sum::<usize>() + between
    }

    /// Every order, with every way to pass each.
    fn least(ways: &[Named], order: &mut Vec<(usize, i64, i64)>) -> usize {
        if order.len() == ways.len() {
            return moves(ways, order);
        }
        let mut best = usize::MAX;
        for (moulding, own) in ways.iter().enumerate() {
            if order.iter().any(|(done, ..)| *done == moulding) {
                continue;
            }
            for (_, named) in own.values() {
                order.push(named[0]);
                best = best.min(least(ways, order));
                order.pop();
            }
        }
        best
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(1000))]

        #[test]
        fn no_order_and_no_ways_have_fewer_moves(
            each in prop::collection::vec(
                prop::collection::vec((0..5_i64, 0..5_i64, 0..3_usize), 1..5),
                1..5,
            )
        ) {
            let ways = mouldings(each);
            let (found, order) = best(&ways).expect("four mouldings are few");
            prop_assert_eq!(found, least(&ways, &mut Vec::new()));
            prop_assert_eq!(found, moves(&ways, &order));
            let passed: BTreeSet<usize> = order.iter().map(|(moulding, ..)| *moulding).collect();
            prop_assert_eq!((passed.len(), order.len()), (ways.len(), ways.len()));
        }
    }
}
