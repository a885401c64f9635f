//! The fewest moves of the stop, and of the ways to do with so many one after which the
//! fewest sticks end with a short rail: for the sticks of a moulding, and for mouldings.
//!
//! What is cut last is cut from what is left to hold. The two aims are one number,
//! moves first, so that the least of it over all sets of sticks done so far (M. Held
//! and R. M. Karp, 1962, as in [`moulding`](super::moulding)) is exact for both: here
//! with a figure for each setting at which a set can end, since to end elsewhere may
//! cost a move and save a short rail.

use std::collections::{BTreeMap, BTreeSet};

use super::passage::{Ends, NumberedWays, PassageOrder, StopPosition};

/// The sets of sticks, or of mouldings, that are done.
pub(super) struct HeldSets<'a> {
    ways: &'a NumberedWays,
    short: &'a [Vec<usize>],
    settings: usize,
    /// Where it begins; nothing if anywhere.
    first: Option<usize>,
    /// What a move counts: more than all sticks that end with a short rail.
    move_: usize,
    /// The least for each set and each setting at which it ends.
    least: Vec<usize>,
}

const NEVER: usize = usize::MAX;

impl<'a> HeldSets<'a> {
    /// Of ways and, for each, how many sticks it ends with a short rail.
    pub fn new(
        ways: &'a NumberedWays,
        short: &'a [Vec<usize>],
        settings: usize,
        first: Option<usize>,
    ) -> Self {
        let most: usize = short.iter().filter_map(|own| own.iter().max()).sum();
        let (move_, least) = (most + 1, vec![NEVER; settings << ways.len()]);
        let mut held = HeldSets { ways, short, settings, first, move_, least };
        for set in 0..(1 << ways.len()) {
            held.go_on(set);
        }
        held
    }

    /// Each stick that is not done yet after those of a set.
    fn go_on(&mut self, set: usize) {
        let begun: Vec<usize> = (0..self.settings).map(|setting| self.at(set, setting)).collect();
        for (stick, ways) in self.ways.iter().enumerate().filter(|(s, _)| set >> s & 1 == 0) {
            for (place, way) in ways.iter().enumerate().filter(|(_, way)| begun[way.0] != NEVER) {
                let least = begun[way.0] + self.own(stick, place);
                let known = &mut self.least[(set | 1 << stick) * self.settings + way.1];
                *known = (*known).min(least);
            }
        }
    }

    /// What a way costs by itself.
    fn own(&self, stick: usize, place: usize) -> usize {
        self.ways[stick][place].2 * self.move_ + self.short[stick][place]
    }

    fn ends(&self, set: usize) -> &[usize] {
        &self.least[set * self.settings..(set + 1) * self.settings]
    }

    /// The least after a set, with the stop at a setting.
    fn at(&self, set: usize, setting: usize) -> usize {
        if set == 0 {
            return if self.first.is_none_or(|first| first == setting) { 0 } else { NEVER };
        }
        let moved = self.ends(set).iter().min().map_or(NEVER, |l| l.saturating_add(self.move_));
        moved.min(self.ends(set)[setting])
    }

    fn all(&self) -> usize {
        (1 << self.ways.len()) - 1
    }

    /// The fewest moves of all sticks.
    pub fn moves(&self) -> usize {
        self.ends(self.all()).iter().min().map_or(0, |least| least / self.move_)
    }

    /// The settings at which all sticks can end with so few.
    pub fn last(&self) -> impl Iterator<Item = usize> {
        let moves = self.moves();
        let ends = self.ends(self.all()).iter().enumerate();
        ends.filter(move |(_, least)| **least / self.move_ == moves).map(|(setting, _)| setting)
    }

    /// The sticks in the order that ends there, each with its way.
    pub fn picks(&self, mut end: usize) -> Vec<(usize, usize)> {
        let mut set = self.all();
        let mut picks = Vec::new();
        while set != 0 {
            let is_in = |(stick, _): &(usize, _)| set >> stick & 1 == 1;
            let each = self.ways.iter().enumerate().filter(is_in);
            let mut each = each.flat_map(|(stick, ways)| (0..ways.len()).map(move |w| (stick, w)));
            let leads = |&(stick, place): &(usize, usize)| {
                let way = self.ways[stick][place];
                let begun = self.at(set & !(1 << stick), way.0);
                way.1 == end && begun.saturating_add(self.own(stick, place)) == self.ends(set)[end]
            };
            let (stick, place) = each.find(leads).expect("a set is reached somehow");
            picks.push((stick, place));
            set &= !(1 << stick);
            end = self.ends_before(set, self.ways[stick][place].0);
        }
        picks.reverse();
        picks
    }

    /// Where a set ends if a setting is wanted after it: there, or anywhere for a move.
    fn ends_before(&self, set: usize, wanted: usize) -> usize {
        let ends = self.ends(set);
        let (anywhere, least) =
            ends.iter().enumerate().min_by_key(|(_, least)| **least).expect("there are settings");
        if ends[wanted] < least.saturating_add(self.move_) { wanted } else { anywhere }
    }
}

/// Steps at most for mouldings that hand on to one another.
const MOST_STEPS: usize = 2_000_000;

/// Mouldings in an order with the fewest moves, each passed in one of its ways, of which
/// the fewest count as short; `None` if there is too much to look at.
pub(super) fn mouldings<T: Clone>(
    each: &[&BTreeMap<Ends, PassageOrder<T>>],
    short: &dyn Fn(&[T]) -> usize,
) -> Option<(usize, Vec<T>)> {
    let ends = each.iter().flat_map(|ways| ways.keys().flat_map(|ends| [ends.0, ends.1]));
    let settings: Vec<Option<StopPosition>> = ends.collect::<BTreeSet<_>>().into_iter().collect();
    let all: usize = each.iter().map(|ways| ways.len()).sum();
    let sets = 1_usize.checked_shl(u32::try_from(each.len()).ok()?)?;
    let steps = sets.checked_mul(all.checked_add(settings.len())?)?;
    if steps > MOST_STEPS {
        return None;
    }
    let number = |setting: &Option<StopPosition>| {
        settings.binary_search(setting).expect("it is one of them")
    };
    let way = |(ends, way): (&Ends, &PassageOrder<T>)| (number(&ends.0), number(&ends.1), way.0);
    let ways: NumberedWays = each.iter().map(|ways| ways.iter().map(way).collect()).collect();
    let counts = each.iter().map(|ways| ways.values().map(|(_, of)| short(of)).collect());
    let counts: Vec<Vec<usize>> = counts.collect();
    let held = HeldSets::new(&ways, &counts, settings.len(), None);
    let end = held.ends(held.all()).iter().enumerate().min_by_key(|(_, least)| **least)?.0;
    let of = |(moulding, place): (usize, usize)| {
        each[moulding].values().nth(place).expect("it was numbered").1.clone()
    };
    Some((held.moves(), held.picks(end).into_iter().flat_map(of).collect()))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use crate::measure::{Length, Mitre};
    use crate::stops::{Block, Free, Passage, StopPosition, choose, few_settings};
    use proptest::prelude::*;

    fn setting(mm: i64) -> StopPosition {
        (Length::from_mm(mm), Mitre::SQUARE)
    }

    const NAMES: [&str; 3] = ["ASH", "OAK", "ELM"];

    /// A stick: which moulding, and its rails, of one run.
    type Stick = (usize, Vec<i64>);

    /// What is under 2 is short.
    fn frees(sticks: &[Stick]) -> Vec<Free<'static>> {
        let block = |mm: &i64| Block::of(&[setting(*mm)]);
        let free = |(moulding, rails): &Stick| Free {
            moulding: NAMES[*moulding],
            runs: vec![rails.iter().map(block).collect()],
            short: [setting(0), setting(1)].into(),
        };
        sticks.iter().map(free).collect()
    }

    /// The moves, and how many sticks end with a short rail, in the order that the
    /// bench takes.
    fn found(sticks: &[Stick]) -> (usize, usize) {
        let rails: Vec<Vec<i64>> = sticks
            .iter()
            .zip(choose(&frees(sticks)))
            .map(|((_, rails), orders)| orders[0].iter().map(|&place| rails[place]).collect())
            .collect();
        let passage = |((moulding, _), rails): (&Stick, &Vec<i64>)| Passage {
            moulding: NAMES[*moulding],
            first: rails.first().map(|mm| setting(*mm)),
            last: rails.last().map(|mm| setting(*mm)),
        };
        let passages: Vec<Passage> = sticks.iter().zip(&rails).map(passage).collect();
        let order = few_settings(&passages).into_iter();
        let all: Vec<i64> = order.flat_map(|stick| rails[stick].clone()).collect();
        let moves = all.windows(2).filter(|pair| pair[0] != pair[1]).count();
        (moves, rails.iter().filter(|rails| *rails.last().unwrap() < 2).count())
    }

    /// The least of both over every order of sticks that keeps mouldings together, and
    /// every end of each: `left` are those to come after one of a moulding that ends so.
    fn least(left: &[Stick], before: Option<(usize, i64)>) -> (usize, usize) {
        let mut best = if left.is_empty() { (0, 0) } else { (usize::MAX, 0) };
        let stays = |moulding| left.iter().any(|(other, _)| *other == moulding);
        for (at, (moulding, rails)) in left.iter().enumerate() {
            if before.is_some_and(|(was, _)| was != *moulding && stays(was)) {
                continue;
            }
            let mut rest = left.to_vec();
            rest.remove(at);
            let kinds: BTreeSet<i64> = rails.iter().copied().collect();
            for (first, last) in kinds.iter().flat_map(|f| kinds.iter().map(move |l| (*f, *l))) {
                if kinds.len() > 1 && first == last {
                    continue;
                }
                let moved = before.is_some_and(|(_, end)| end != first);
                let then = least(&rest, Some((*moulding, last)));
                let moves = then.0 + kinds.len() - 1 + usize::from(moved);
                best = best.min((moves, then.1 + usize::from(last < 2)));
            }
        }
        best
    }

    #[test]
    fn a_short_rail_is_not_the_last_of_its_stick_where_another_order_is_as_good() {
        // Longest first, as they were laid, two would end with a short rail.
        let sticks = [(0, vec![9, 5, 5, 1]), (0, vec![8, 7, 5]), (0, vec![6, 0])];
        let orders = choose(&frees(&sticks));
        for ((_, rails), orders) in sticks.iter().zip(&orders) {
            assert!(rails[*orders[0].last().unwrap()] > 1, "{rails:?} in the order {orders:?}");
        }
        // What is short comes first of what lies between the ends.
        let [one] = choose(&frees(&[(0, vec![9, 8, 7, 1, 0])])).try_into().unwrap();
        let short = one[0].iter().position(|place| *place == 3).unwrap();
        assert!(short <= 1, "{one:?}");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(600))]

        #[test]
        fn no_order_with_as_few_moves_ends_fewer_sticks_short(
            sticks in prop::collection::vec(
                (0..3_usize, prop::collection::vec(0..5_i64, 1..5)), 1..6)
        ) {
            prop_assert_eq!(found(&sticks), least(&sticks, None));
        }
    }
}
