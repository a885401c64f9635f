//! Which cut comes first and which last on each stick.
//!
//! A stick can be cut in many [`ways`](super::ways), from one of its settings to
//! another; which those are is chosen so that sticks hand their settings on. For
//! a moulding of which few sticks are cut this is exact (see
//! [`moulding`](super::moulding)), and if all mouldings at a machine are few,
//! which of them follows which is exact as well, under the limits of the order of
//! sticks. Beyond that sticks are chained greedily and the choice is bettered one
//! stick at a time, a heuristic.

use std::collections::{BTreeMap, BTreeSet};

use super::hand_on::best_held;
use super::moulding::{numbered, passages};
use super::order::few_settings;
use super::passage::{Ends, NumberedWays, Passage, PassageOrder};
use super::ways::{Block, CutWay, CutWays, Free, order_of_run};

/// Choices at most that are compared for a moulding, times its sticks.
const MOST_COMPARED: usize = 20_000;

/// For each stick and run the order of its blocks, by their places, so that some
/// order of the sticks has few settings.
pub fn choose(sticks: &[Free]) -> Vec<Vec<Vec<usize>>> {
    let ways: Vec<Vec<CutWay>> = sticks.iter().map(|stick| CutWays::of(stick).0).collect();
    let mut groups: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, stick) in sticks.iter().enumerate().filter(|(index, _)| !ways[*index].is_empty()) {
        groups.entry(stick.moulding).or_default().push(index);
    }
    let groups: Vec<Vec<usize>> = groups.into_values().collect();
    let mut chosen = vec![0; sticks.len()];
    for (stick, way) in picks(&groups, &ways) {
        chosen[stick] = way;
    }
    let order = |(stick, (ways, chosen)): (&Free, (&Vec<CutWay>, usize))| {
        let mut ends = ways.get(chosen).map(|way| way.runs.iter()).into_iter().flatten();
        let run = |blocks: &Vec<Block>| match blocks.is_empty() {
            true => Vec::new(),
            false => {
                order_of_run(blocks, *ends.next().expect("every run has its ends"), &stick.short)
            }
        };
        stick.runs.iter().map(run).collect()
    };
    sticks.iter().zip(ways.iter().zip(chosen)).map(order).collect()
}

/// How often a machine is set that cuts these sticks in the order that is found
/// for them.
pub fn settings(sticks: &[Free]) -> usize {
    let mut within = 0;
    let mut passages = Vec::with_capacity(sticks.len());
    for (stick, orders) in sticks.iter().zip(choose(sticks)) {
        let runs = stick.runs.iter().zip(orders);
        let blocks = runs.flat_map(|(run, order)| order.into_iter().map(|place| run[place]));
        let blocks: Vec<Block> = blocks.collect();
        within += blocks.iter().map(|block| block.moves).sum::<usize>();
        within += blocks.windows(2).filter(|pair| pair[0].last != pair[1].first).count();
        let (first, last) = (blocks.first(), blocks.last());
        let (first, last) = (first.map(|block| block.first), last.map(|block| block.last));
        passages.push(Passage { moulding: stick.moulding, first, last });
    }
    let order = few_settings(&passages);
    let between = order.windows(2).filter(|pair| passages[pair[0]].last != passages[pair[1]].first);
    within + between.count() + usize::from(!sticks.is_empty())
}

/// Sticks with the place of the way to cut each.
fn picks(groups: &[Vec<usize>], ways: &[Vec<CutWay>]) -> Vec<(usize, usize)> {
    let own = |group: &Vec<usize>| -> Vec<&[CutWay]> {
        group.iter().map(|&stick| ways[stick].as_slice()).collect()
    };
    let in_group = |group: &[usize], picks: &[(usize, usize)]| -> Vec<(usize, usize)> {
        picks.iter().map(|&(place, way)| (group[place], way)).collect()
    };
    let mut exact = Vec::new();
    let mut alone = Vec::new();
    for group in groups {
        let own = own(group);
        match passages(&own) {
            Some(passed) => {
                let short = |picks: &[(usize, usize)]| short(&own, picks);
                let fewest = passed.values().min_by_key(|(moves, picks)| (*moves, short(picks)));
                let (_, fewest) = fewest.expect("there is a stick");
                alone.extend(in_group(group, fewest));
                let of_all = |(ends, (moves, picks)): (Ends, PassageOrder<(usize, usize)>)| {
                    (ends, (moves, in_group(group, &picks)))
                };
                exact.push(passed.into_iter().map(of_all).collect::<BTreeMap<_, _>>());
            }
            None => {
                let improved: Vec<(usize, usize)> =
                    improved(&own).into_iter().enumerate().collect();
                alone.extend(in_group(group, &improved));
            }
        }
    }
    let short = |picks: &[(usize, usize)]| short(ways, picks);
    let best = if exact.len() == groups.len() { best_held(&exact, &short) } else { None };
    best.map_or(alone, |(_, picks)| picks)
}

/// How many sticks end with a short rail.
fn short(own: &[impl AsRef<[CutWay]>], picks: &[(usize, usize)]) -> usize {
    picks.iter().filter(|(stick, way)| own[*stick].as_ref()[*way].short).count()
}

/// For each of many sticks one of its ways: chained greedily, and bettered one by
/// one.
fn improved(own: &[&[CutWay]]) -> Vec<usize> {
    let (settings, ways) = numbered(own);
    let mut chosen = chained(settings.len(), &ways);
    let cost = |chosen: &[usize]| {
        let picks: Vec<(usize, usize)> = chosen.iter().copied().enumerate().collect();
        (cost(settings.len(), &ways, chosen), short(own, &picks))
    };
    let mut fewest = cost(&chosen);
    let mut left = MOST_COMPARED / own.len().max(1);
    loop {
        let before = fewest;
        for stick in 0..own.len() {
            for place in 0..ways[stick].len() {
                if left == 0 {
                    return chosen;
                }
                left -= 1;
                let kept = std::mem::replace(&mut chosen[stick], place);
                let other = cost(&chosen);
                match other < fewest {
                    true => fewest = other,
                    false => chosen[stick] = kept,
                }
            }
        }
        if fewest == before {
            return chosen;
        }
    }
}

/// Each stick begins where the one before it ended if one can, and ends where
/// most others can begin.
fn chained(settings: usize, ways: &NumberedWays) -> Vec<usize> {
    let mut begin: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); settings];
    for (stick, ways) in ways.iter().enumerate() {
        ways.iter().for_each(|way| {
            begin[way.0].insert(stick);
        });
    }
    let mut waiting: BTreeSet<usize> = (0..ways.len()).collect();
    let mut chosen = vec![0; ways.len()];
    let mut end: Option<usize> = None;
    while let Some(&lowest) = waiting.first() {
        let next = end.and_then(|end| begin[end].first().copied());
        let stick = next.unwrap_or(lowest);
        waiting.remove(&stick);
        ways[stick].iter().for_each(|way| {
            begin[way.0].remove(&stick);
        });
        let fits = |way: &(usize, usize, usize)| next.is_none() || Some(way.0) == end;
        let each = ways[stick].iter().enumerate().filter(|(_, way)| fits(way));
        let key = |way: &(usize, usize, usize)| (way.2, usize::MAX - begin[way.1].len());
        let place = each.min_by_key(|(_, way)| key(way)).map_or(0, |(place, _)| place);
        chosen[stick] = place;
        end = Some(ways[stick][place].1);
    }
    chosen
}

/// The moves within the sticks and the trails that it takes to pass them all.
fn cost(settings: usize, ways: &NumberedWays, chosen: &[usize]) -> usize {
    let mut surplus = vec![0_i64; settings];
    let mut part: Vec<usize> = (0..settings).collect();
    let mut used = vec![false; settings];
    let mut moves = 0;
    for (ways, &place) in ways.iter().zip(chosen) {
        let (first, last, own) = ways[place];
        moves += own;
        surplus[first] += 1;
        surplus[last] -= 1;
        (used[first], used[last]) = (true, true);
        let (a, b) = (root(&mut part, first), root(&mut part, last));
        part[a] = b;
    }
    let mut trails = vec![0_i64; settings];
    for setting in 0..settings {
        let of = root(&mut part, setting);
        trails[of] += surplus[setting].max(0);
        used[of] |= used[setting];
    }
    let parts = (0..settings).filter(|&s| part[s] == s && used[s]);
    moves + parts.map(|s| usize::try_from(trails[s].max(1)).expect("a count")).sum::<usize>()
}

fn root(part: &mut [usize], mut of: usize) -> usize {
    while part[of] != of {
        part[of] = part[part[of]];
        of = part[of];
    }
    of
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Length, Mitre};
    use crate::stops::StopPosition;
    use proptest::prelude::*;

    const NAMES: [&str; 3] = ["ASH", "OAK", "ELM"];

    fn setting(mm: i64) -> StopPosition {
        (Length::from_mm(mm), Mitre::SQUARE)
    }

    fn single(mm: i64) -> Block {
        Block { first: setting(mm), last: setting(mm), moves: 0 }
    }

    /// A block by the settings of its rails.
    fn block(rails: &[i64]) -> Block {
        let moves = rails.windows(2).filter(|pair| pair[0] != pair[1]).count();
        Block { first: setting(rails[0]), last: setting(rails[rails.len() - 1]), moves }
    }

    fn frees(sticks: &[(usize, Vec<Vec<Vec<i64>>>)]) -> Vec<Free<'static>> {
        let free = |(moulding, runs): &(usize, Vec<Vec<Vec<i64>>>)| Free {
            moulding: NAMES[*moulding],
            runs: runs.iter().map(|run| run.iter().map(|b| block(b)).collect()).collect(),
            short: BTreeSet::new(),
        };
        sticks.iter().map(free).collect()
    }

    /// How often the stop is moved from one rail to the next, all sticks in the
    /// order that the bench takes.
    fn moves(sticks: &[(usize, Vec<Vec<Vec<i64>>>)]) -> usize {
        let chosen = choose(&frees(sticks));
        let rails: Vec<Vec<i64>> = sticks
            .iter()
            .zip(&chosen)
            .map(|((_, runs), orders)| {
                let run = |(run, order): (&Vec<Vec<i64>>, &Vec<usize>)| -> Vec<i64> {
                    let mut sorted = order.clone();
                    sorted.sort_unstable();
                    assert_eq!(sorted, (0..run.len()).collect::<Vec<_>>());
                    order.iter().flat_map(|&block| run[block].clone()).collect()
                };
                runs.iter().zip(orders).flat_map(run).collect()
            })
            .collect();
        let passage = |((moulding, _), rails): (&(usize, Vec<_>), &Vec<i64>)| Passage {
            moulding: NAMES[*moulding],
            first: rails.first().map(|mm| setting(*mm)),
            last: rails.last().map(|mm| setting(*mm)),
        };
        let passages: Vec<Passage> = sticks.iter().zip(&rails).map(passage).collect();
        let all: Vec<i64> =
            few_settings(&passages).into_iter().flat_map(|stick| rails[stick].clone()).collect();
        all.windows(2).filter(|pair| pair[0] != pair[1]).count()
    }

    /// Every order of sticks that keeps mouldings together, and of blocks in runs.
    fn least(sticks: &[(usize, Vec<Vec<Vec<i64>>>)]) -> usize {
        fn orders<T: Clone>(of: &[T]) -> Vec<Vec<T>> {
            if of.is_empty() {
                return vec![Vec::new()];
            }
            let mut all = Vec::new();
            for place in 0..of.len() {
                let mut rest = of.to_vec();
                let first = rest.remove(place);
                all.extend(
                    orders(&rest).into_iter().map(|rest| [vec![first.clone()], rest].concat()),
                );
            }
            all
        }
        let of_stick = |runs: &Vec<Vec<Vec<i64>>>| -> Vec<Vec<i64>> {
            let mut all: BTreeSet<Vec<i64>> = [Vec::new()].into();
            for run in runs {
                let each: Vec<Vec<i64>> = orders(run).into_iter().map(|run| run.concat()).collect();
                let with = |before: &Vec<i64>| -> Vec<Vec<i64>> {
                    each.iter().map(|run| [before.clone(), run.clone()].concat()).collect()
                };
                all = all.iter().flat_map(with).collect();
            }
            all.into_iter().collect()
        };
        let each: Vec<Vec<Vec<i64>>> = sticks.iter().map(|(_, runs)| of_stick(runs)).collect();
        let mut fewest = usize::MAX;
        for order in orders(&(0..sticks.len()).collect::<Vec<_>>()) {
            let mouldings: Vec<usize> = order.iter().map(|&stick| sticks[stick].0).collect();
            let changes = mouldings.windows(2).filter(|pair| pair[0] != pair[1]).count();
            let different: BTreeSet<usize> = mouldings.iter().copied().collect();
            if changes + 1 > different.len() {
                continue;
            }
            // For each end so far the fewest moves.
            let mut ends: BTreeMap<Option<i64>, usize> = [(None, 0)].into();
            for stick in order {
                let mut next: BTreeMap<Option<i64>, usize> = BTreeMap::new();
                for (end, moves) in &ends {
                    for rails in &each[stick] {
                        let own = rails.windows(2).filter(|pair| pair[0] != pair[1]).count();
                        let moved = usize::from(end.is_some() && *end != rails.first().copied());
                        let known = next.entry(rails.last().copied()).or_insert(usize::MAX);
                        *known = (*known).min(moves + own + moved);
                    }
                }
                ends = next;
            }
            fewest = fewest.min(ends.into_values().min().unwrap());
        }
        fewest
    }

    #[test]
    fn sticks_with_a_setting_in_common_hand_it_on() {
        let stick = |rails: &[i64]| (0, vec![rails.iter().map(|mm| vec![*mm]).collect()]);
        // Longest first each would be moved to the top again.
        let sticks = [stick(&[4, 4, 3, 3]), stick(&[4, 2, 2]), stick(&[3, 2])];
        assert_eq!(moves(&sticks), 3);
        assert_eq!(
            order_of_run(
                &[1, 2, 3, 2, 1].map(single),
                (Some(setting(2)), Some(setting(1))),
                &BTreeSet::new()
            ),
            [1, 3, 2, 0, 4]
        );
    }

    /// A run of blocks, most of them single rails, some two or four in their order.
    fn run() -> impl Strategy<Value = Vec<Vec<i64>>> {
        let block = prop_oneof![
            5 => (0..5_i64).prop_map(|mm| vec![mm]),
            1 => (0..5_i64, 0..5_i64).prop_map(|(a, b)| vec![a, b]),
            1 => (0..5_i64, 0..5_i64).prop_map(|(a, b)| vec![a, b, a, b]),
        ];
        prop::collection::vec(block, 1..5)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(400))]

        #[test]
        fn no_order_of_sticks_and_cuts_has_fewer_settings(
            sticks in prop::collection::vec((0..3_usize, prop::collection::vec(run(), 1..3)), 1..5)
        ) {
            prop_assert_eq!(moves(&sticks), least(&sticks));
            prop_assert_eq!(settings(&frees(&sticks)), moves(&sticks) + 1);
        }

        /// Many sticks of two settings: fewest is known by Euler's theorem, for each
        /// connected part half of its odd settings, at least one.
        #[test]
        fn many_sticks_are_nearly_chained(
            pairs in prop::collection::vec((0..8_i64, 0..8_i64), 25..60)
        ) {
            let pairs: Vec<(i64, i64)> = pairs.into_iter().filter(|(a, b)| a != b).collect();
            let stick = |(a, b): &(i64, i64)| (0, vec![vec![vec![*a], vec![*b]]]);
            let sticks: Vec<_> = pairs.iter().map(stick).collect();
            let degree = |mm| pairs.iter().filter(|(a, b)| *a == mm || *b == mm).count();
            let odd = (0..8).filter(|mm| degree(*mm) % 2 == 1).count();
            // So many sticks of eight settings hang together.
            let least = pairs.len() + (odd / 2).max(1) - 1;
            let found = moves(&sticks);
            prop_assert!(found >= least && found <= least + 2, "{} for {}", found, least);
        }
    }
}
