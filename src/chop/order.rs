//! The order of sticks that moves a machine's stop least.
//!
//! The cuts of a stick stand in their order, so a stick is an arrow from the
//! reading of its first rail to the reading of its last. Two sticks in a row
//! save a setting where one arrow ends at the reading at which the next begins.
//! So the fewest settings come from covering all arrows with the fewest trails,
//! which Euler's theorem answers exactly: in each connected part, the sum over
//! its readings of arrows out less arrows in where that is positive, at least
//! one. Trails are found by walking and splicing circuits (C. Hierholzer,
//! Mathematische Annalen 6, 1873, for the idea). Among orders with the fewest
//! settings, one with few changes of moulding is then sought by moving single
//! arrows and stretches of them; that part is a heuristic.

use std::collections::BTreeMap;

use crate::measure::Length;

/// What one stick does to the stop. Without rails it leaves it alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Passage<'a> {
    /// Which moulding; sticks of one are kept together where that is free.
    pub moulding: &'a str,
    /// The reading that the first rail needs.
    pub first: Option<Length>,
    /// The reading at which the last rail leaves it.
    pub last: Option<Length>,
}

/// An order of the sticks, by index, with the fewest settings of the stop.
///
/// Linear for the settings; each round of keeping mouldings together takes
/// cubic time in the number of sticks, and there are at most as many rounds as
/// changes of moulding.
pub(super) fn fewest_settings(sticks: &[Passage]) -> Vec<usize> {
    let mut order: Vec<usize> = join(sticks, trails(sticks)).into_iter().flatten().collect();
    while let Some(better) = move_a_stretch(sticks, &order) {
        order = better;
    }
    order
}

/// Covers all sticks with the fewest trails.
fn trails(sticks: &[Passage]) -> Vec<Vec<usize>> {
    let mut unused: BTreeMap<Option<Length>, Vec<usize>> = BTreeMap::new();
    let mut surplus: BTreeMap<Option<Length>, i64> = BTreeMap::new();
    for (index, stick) in sticks.iter().enumerate() {
        unused.entry(stick.first).or_default().push(index);
        *surplus.entry(stick.first).or_default() += 1;
        *surplus.entry(stick.last).or_default() -= 1;
    }
    let mut trails = Vec::new();
    for (reading, count) in surplus {
        for _ in 0..count {
            trails.push(walk(sticks, &mut unused, reading));
        }
    }
    // What no trail passed are circuits: spliced in where one touches a trail,
    // else a trail of their own.
    splice_circuits(sticks, &mut unused, &mut trails);
    while let Some(reading) = first_unused(sticks, &unused) {
        trails.push(walk(sticks, &mut unused, reading));
        splice_circuits(sticks, &mut unused, &mut trails);
    }
    trails
}

/// Follows unused arrows from a reading until there is none, staying with the
/// moulding where it can.
fn walk(
    sticks: &[Passage],
    unused: &mut BTreeMap<Option<Length>, Vec<usize>>,
    from: Option<Length>,
) -> Vec<usize> {
    let mut trail: Vec<usize> = Vec::new();
    let mut reading = from;
    while let Some(here) = unused.get_mut(&reading).filter(|here| !here.is_empty()) {
        let moulding = trail.last().map(|&index| sticks[index].moulding);
        let same = here.iter().position(|&index| Some(sticks[index].moulding) == moulding);
        let next = here.remove(same.unwrap_or(0));
        reading = sticks[next].last;
        trail.push(next);
    }
    trail
}

/// Puts every circuit that touches a trail into it.
fn splice_circuits(
    sticks: &[Passage],
    unused: &mut BTreeMap<Option<Length>, Vec<usize>>,
    trails: &mut [Vec<usize>],
) {
    for trail in trails {
        let mut at = 0;
        while at < trail.len() {
            let circuit = walk(sticks, unused, sticks[trail[at]].first);
            if circuit.is_empty() {
                at += 1;
            } else {
                trail.splice(at..at, circuit);
            }
        }
    }
}

/// The reading at which the first stick in the plan's order still waits.
fn first_unused(
    sticks: &[Passage],
    unused: &BTreeMap<Option<Length>, Vec<usize>>,
) -> Option<Option<Length>> {
    unused.values().flatten().min().map(|&index| sticks[index].first)
}

/// Sets trails one after another, each time the first that stays with the moulding.
fn join(sticks: &[Passage], mut trails: Vec<Vec<usize>>) -> Vec<Vec<usize>> {
    trails.sort_by_key(|trail| trail.iter().min().copied());
    let mut joined: Vec<Vec<usize>> = Vec::with_capacity(trails.len());
    while !trails.is_empty() {
        let last =
            joined.last().and_then(|trail| trail.last()).map(|&index| sticks[index].moulding);
        let same = trails.iter().position(|trail| Some(sticks[trail[0]].moulding) == last);
        joined.push(trails.remove(same.unwrap_or(0)));
    }
    joined
}

/// Settings and changes of moulding that one stick after another costs; in this
/// order, so that a setting is never paid for a moulding.
fn link(sticks: &[Passage], before: Option<usize>, after: Option<usize>) -> (i64, i64) {
    match (before, after) {
        (Some(before), Some(after)) => {
            let (before, after) = (&sticks[before], &sticks[after]);
            (i64::from(before.last != after.first), i64::from(before.moulding != after.moulding))
        }
        _ => (0, 0),
    }
}

/// The first order found by moving a stretch that costs less, if there is one.
fn move_a_stretch(sticks: &[Passage], order: &[usize]) -> Option<Vec<usize>> {
    let at = |index: usize| order.get(index).copied();
    let count = order.len();
    for from in 0..count {
        for to in from + 1..=count {
            let before = from.checked_sub(1).and_then(at);
            for gap in (0..from).chain(to + 1..=count) {
                let left = gap.checked_sub(1).and_then(at);
                let old = [
                    link(sticks, before, at(from)),
                    link(sticks, at(to - 1), at(to)),
                    link(sticks, left, at(gap)),
                ];
                let new = [
                    link(sticks, before, at(to)),
                    link(sticks, left, at(from)),
                    link(sticks, at(to - 1), at(gap)),
                ];
                if total(&new) < total(&old) {
                    return Some(moved(order, from, to, gap));
                }
            }
        }
    }
    None
}

fn total(links: &[(i64, i64)]) -> (i64, i64) {
    links.iter().fold((0, 0), |sum, link| (sum.0 + link.0, sum.1 + link.1))
}

/// The order with the stretch `from..to` set into the gap before `gap`.
fn moved(order: &[usize], from: usize, to: usize, gap: usize) -> Vec<usize> {
    let mut order = order.to_vec();
    if gap < from {
        order[gap..to].rotate_right(to - from);
    } else {
        order[from..gap].rotate_left(to - from);
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn passage(moulding: &'static str, first: i64, last: i64) -> Passage<'static> {
        Passage { moulding, first: Some(Length::from_mm(first)), last: Some(Length::from_mm(last)) }
    }

    fn cost(sticks: &[Passage], order: &[usize]) -> (i64, i64) {
        let links: Vec<_> =
            order.windows(2).map(|pair| link(sticks, Some(pair[0]), Some(pair[1]))).collect();
        total(&links)
    }

    /// Every order, for a few sticks: the exact answer by exhaustion.
    fn least(sticks: &[Passage], done: &mut Vec<usize>) -> (i64, i64) {
        if done.len() == sticks.len() {
            return cost(sticks, done);
        }
        let mut best = (i64::MAX, i64::MAX);
        for next in 0..sticks.len() {
            if !done.contains(&next) {
                done.push(next);
                best = best.min(least(sticks, done));
                done.pop();
            }
        }
        best
    }

    #[test]
    fn a_circuit_of_sticks_is_cut_without_moving_the_stop_between_them() {
        let sticks =
            [passage("A", 1, 2), passage("A", 3, 1), passage("A", 2, 3), passage("A", 2, 2)];
        let order = fewest_settings(&sticks);
        assert_eq!(cost(&sticks, &order), (0, 0));
    }

    #[test]
    fn a_moulding_stays_together_unless_that_costs_a_setting() {
        let free = [passage("A", 1, 1), passage("B", 2, 2), passage("A", 3, 3)];
        assert_eq!(cost(&free, &fewest_settings(&free)), (2, 1));
        let dear = [passage("A", 1, 2), passage("B", 2, 3), passage("A", 3, 4)];
        assert_eq!(fewest_settings(&dear), [0, 1, 2]);
    }

    #[test]
    fn no_stick_and_sticks_without_rails_are_no_trouble() {
        assert!(fewest_settings(&[]).is_empty());
        let bare = Passage { moulding: "A", first: None, last: None };
        assert_eq!(fewest_settings(&[bare, bare]), [0, 1]);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]
        #[test]
        fn no_order_of_a_few_sticks_has_fewer_settings(
            arrows in prop::collection::vec((0..4_i64, 0..4_i64, prop::bool::ANY), 0..7)
        ) {
            let sticks: Vec<_> = arrows
                .iter()
                .map(|&(first, last, ash)| passage(if ash { "ASH" } else { "OAK" }, first, last))
                .collect();
            let mut order = fewest_settings(&sticks);
            let found = cost(&sticks, &order);
            prop_assert_eq!(found.0, least(&sticks, &mut Vec::new()).0);
            order.sort_unstable();
            prop_assert_eq!(order, (0..sticks.len()).collect::<Vec<_>>());
        }
    }
}
