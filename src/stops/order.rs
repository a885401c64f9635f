//! The order of sticks that moves a machine's stop least.
//!
//! A moulding's sticks stay together: to set a machine up for another profile
//! takes longer than to move its stop. The cuts of a stick stand in their order,
//! so a stick is an arrow from the setting of its first rail to that of its last,
//! and two sticks in a row save a setting where one arrow ends where the next
//! begins. So a moulding's fewest settings come from covering its arrows with
//! the fewest trails, which Euler's theorem answers exactly: in each connected
//! part, the sum over its settings of arrows out less arrows in where that is
//! positive, at least one. Trails are found by walking and splicing circuits (C.
//! Hierholzer, Mathematische Annalen 6, 1873, for the idea). Which trail and
//! which moulding come next is then bettered by moving stretches of the order, a
//! heuristic, and by [`fewest`], which is exact; with very many sticks, [`chain`]
//! stands in for both.
//!
//! How exact that is, for cuts in their order on each stick: where a machine cuts
//! one moulding, nothing has fewer settings, whatever their number and that of
//! the sticks. With `k` mouldings, of which each can begin at `a` settings and end
//! at `b`, nothing has fewer as long as there are up to [`MOST_MOVED`] sticks and
//! 2^k times the sum of all `a b` is within half a million: ten mouldings with up
//! to 6 different first and 6 last settings each, or seven with 20. Beyond that no
//! setting is lost within a moulding and at most one each time another begins: no
//! order has fewer settings than this one less `k - 1`.

use std::collections::BTreeMap;

use super::chain::chain;
use super::exact::fewest;
use super::passage::{Passage, StopPosition};
use super::trails::trails;

/// With more sticks than this at one machine, moving stretches (cubic time a
/// round) takes too long for what it can save: one setting for each moulding
/// after the first.
const MOST_MOVED: usize = 150;

/// An order of the sticks, by index, with few settings: each moulding together,
/// and within it the fewest.
///
/// Linear but for the last part, of which each round takes cubic time in the
/// number of sticks, of which there are then at most 150; there are
/// at most as many rounds as trails.
pub fn few_settings(sticks: &[Passage]) -> Vec<usize> {
    if sticks.len() > MOST_MOVED {
        return chain(sticks, in_plan_order(trails(sticks))).concat();
    }
    let mut order = join(sticks, trails(sticks)).concat();
    let numbers = numbered(sticks);
    while let Some(better) = move_a_stretch(&numbers, &order) {
        order = better;
    }
    let found = moves(&numbers, &order);
    // Each moulding but the first may hand its setting on.
    let (others, trails) = (found.0, trails(sticks).len() as i64);
    if found.1 + 1 + others <= trails {
        return order;
    }
    match fewest(sticks) {
        Some(fewest) if moves(&numbers, &fewest) < found => fewest,
        _ => order,
    }
}

/// How often the machine is set anew.
fn moves(sticks: &[NumberedPassage], order: &[usize]) -> (i64, i64) {
    let links: Vec<(i64, i64)> =
        order.windows(2).map(|pair| link(sticks, Some(pair[0]), Some(pair[1]))).collect();
    total(&links)
}

/// Sets trails one after another, each time the first that stays with the moulding.
fn join(sticks: &[Passage], trails: Vec<Vec<usize>>) -> Vec<Vec<usize>> {
    let mut trails = in_plan_order(trails);
    let mut joined: Vec<Vec<usize>> = Vec::with_capacity(trails.len());
    while !trails.is_empty() {
        let last =
            joined.last().and_then(|trail| trail.last()).map(|&index| sticks[index].moulding);
        let same = trails.iter().position(|trail| Some(sticks[trail[0]].moulding) == last);
        joined.push(trails.remove(same.unwrap_or(0)));
    }
    joined
}

/// The trail with the first stick of the plan first.
fn in_plan_order(mut trails: Vec<Vec<usize>>) -> Vec<Vec<usize>> {
    trails.sort_by_key(|trail| trail.iter().min().copied());
    trails
}

/// A passage with a number for each moulding and setting, which are quicker to
/// compare.
#[derive(Debug, Clone, Copy)]
struct NumberedPassage {
    moulding: usize,
    first: usize,
    last: usize,
}

fn numbered<'a>(sticks: &[Passage<'a>]) -> Vec<NumberedPassage> {
    let mut mouldings: BTreeMap<&'a str, usize> = BTreeMap::new();
    let mut settings: BTreeMap<Option<StopPosition>, usize> = BTreeMap::new();
    let number = |stick: &Passage<'a>| {
        let next = mouldings.len();
        let moulding = *mouldings.entry(stick.moulding).or_insert(next);
        let mut of = |setting: Option<StopPosition>| {
            let next = settings.len();
            *settings.entry(setting).or_insert(next)
        };
        NumberedPassage { moulding, first: of(stick.first), last: of(stick.last) }
    };
    sticks.iter().map(number).collect()
}

/// Changes of moulding and settings that one stick after another costs; in this
/// order, so that a moulding is never parted to save a setting.
fn link(sticks: &[NumberedPassage], before: Option<usize>, after: Option<usize>) -> (i64, i64) {
    match (before, after) {
        (Some(before), Some(after)) => {
            let (before, after) = (&sticks[before], &sticks[after]);
            let is_other = i64::from(before.moulding != after.moulding);
            (is_other, i64::from(before.last != after.first))
        }
        _ => (0, 0),
    }
}

/// The first order found by moving a stretch that costs less, if there is one.
fn move_a_stretch(sticks: &[NumberedPassage], order: &[usize]) -> Option<Vec<usize>> {
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
    use crate::measure::{Length, Mitre};
    use proptest::prelude::*;

    fn passage(moulding: &'static str, first: i64, last: i64) -> Passage<'static> {
        let setting = |mm| Some((Length::from_mm(mm), Mitre::SQUARE));
        Passage { moulding, first: setting(first), last: setting(last) }
    }

    fn cost(sticks: &[Passage], order: &[usize]) -> (i64, i64) {
        moves(&numbered(sticks), order)
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
        let order = few_settings(&sticks);
        assert_eq!(cost(&sticks, &order), (0, 0));
    }

    #[test]
    fn a_moulding_stays_together_and_hands_its_setting_to_the_next() {
        let sticks = [
            passage("B", 4, 5),
            passage("A", 2, 3),
            passage("C", 9, 1),
            passage("B", 3, 4),
            passage("A", 1, 2),
        ];
        assert_eq!(few_settings(&sticks), [2, 4, 1, 3, 0]);
    }

    #[test]
    fn no_stick_and_sticks_without_rails_are_no_trouble() {
        assert!(few_settings(&[]).is_empty());
        let bare = Passage { moulding: "A", first: None, last: None };
        assert_eq!(few_settings(&[bare, bare]), [0, 1]);
    }

    fn arrows() -> impl Strategy<Value = Vec<(i64, i64, usize)>> {
        prop::collection::vec((0..4_i64, 0..4_i64, 0..4_usize), 0..7)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]
        #[test]
        fn no_order_of_one_moulding_has_fewer_settings(arrows in arrows()) {
            let sticks: Vec<_> = arrows.iter().map(|&(a, b, _)| passage("ASH", a, b)).collect();
            let order = few_settings(&sticks);
            prop_assert!(sticks.is_empty() || cost(&sticks, &order) == least(&sticks, &mut Vec::new()));
        }

        #[test]
        fn no_order_that_keeps_each_moulding_together_has_fewer_settings(arrows in arrows()) {
            let sticks: Vec<_> = arrows
                .iter()
                .map(|&(a, b, which)| passage(["ASH", "OAK", "ELM", "YEW"][which], a, b))
                .collect();
            let mut order = few_settings(&sticks);
            let found = cost(&sticks, &order);
            let best = least(&sticks, &mut Vec::new());
            prop_assert!(sticks.is_empty() || found == best);
            let chained = chain(&sticks, trails(&sticks)).concat();
            prop_assert!(sticks.is_empty() || cost(&sticks, &chained).0 == best.0);
            // Only where two mouldings meet may a setting be missed.
            prop_assert!(sticks.is_empty() || cost(&sticks, &chained).1 <= best.1 + best.0);
            order.sort_unstable();
            prop_assert_eq!(order, (0..sticks.len()).collect::<Vec<_>>());
        }
    }
}
