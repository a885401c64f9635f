//! Which cut comes first and which last on each stick.
//!
//! What lies in a clear run can be cut in any order, as long as a frame that runs
//! on around its corners keeps its own. A stick with cuts at `n` settings is then
//! done with `n - 1` moves of the stop, from any of them to any other; which those
//! are is chosen so that sticks hand their settings on.
//!
//! For a moulding of which few sticks are cut this is exact, over all sets of
//! sticks done so far (M. Held and R. M. Karp, 1962, as in [`exact`](super::exact)):
//! of a set only the fewest moves count, with every setting at which they can end,
//! for to end elsewhere with one more is to be moved there. Few is as long as
//! 2^sticks times the ways to cut them and the settings to begin at stays within
//! [`MOST_STEPS`]: eight sticks of four different settings each. If all mouldings
//! at a machine are few, which of them follows which is exact as well, under the
//! limits of the order of sticks. Beyond that sticks are chained greedily and the
//! choice is bettered one stick at a time, a heuristic.

use std::collections::{BTreeMap, BTreeSet};

use super::exact::{self, Ends, best};
use super::order::{Passage, Setting};

/// Steps at most for the sticks of one moulding.
const MOST_STEPS: usize = 1_000_000;
/// Choices at most that are compared for a moulding, times its sticks.
const MOST_COMPARED: usize = 20_000;

/// Rails of a stick that are cut one after the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Block {
    /// The setting of the first.
    pub first: Setting,
    /// The setting of the last.
    pub last: Setting,
    /// How often the stop is moved in between.
    pub moves: usize,
}

/// A stick whose cuts may change places within each clear run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Free<'a> {
    /// Which moulding; sticks of one are kept together.
    pub moulding: &'a str,
    /// The blocks of each run, in the order of the runs.
    pub runs: Vec<Vec<Block>>,
}

/// One way to cut a stick: the ends of it all and of each run.
#[derive(Debug, Clone)]
struct Way {
    ends: Ends,
    moves: usize,
    runs: Vec<Ends>,
}

/// For each stick and run the order of its blocks, by their places, so that some
/// order of the sticks has few settings.
pub fn choose(sticks: &[Free]) -> Vec<Vec<Vec<usize>>> {
    let ways: Vec<Vec<Way>> = sticks.iter().map(ways_of).collect();
    let mut groups: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, stick) in sticks.iter().enumerate().filter(|(index, _)| !ways[*index].is_empty()) {
        groups.entry(stick.moulding).or_default().push(index);
    }
    let groups: Vec<Vec<usize>> = groups.into_values().collect();
    let mut chosen = vec![0; sticks.len()];
    for (stick, way) in picks(&groups, &ways) {
        chosen[stick] = way;
    }
    let order = |(stick, (ways, chosen)): (&Free, (&Vec<Way>, usize))| {
        let mut ends = ways.get(chosen).map(|way| way.runs.iter()).into_iter().flatten();
        let run = |blocks: &Vec<Block>| match blocks.is_empty() {
            true => Vec::new(),
            false => order_of_run(blocks, *ends.next().expect("every run has its ends")),
        };
        stick.runs.iter().map(run).collect()
    };
    sticks.iter().zip(ways.iter().zip(chosen)).map(order).collect()
}

/// Sticks with the place of the way to cut each.
fn picks(groups: &[Vec<usize>], ways: &[Vec<Way>]) -> Vec<(usize, usize)> {
    let own = |group: &Vec<usize>| -> Vec<&[Way]> {
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
                let fewest = passed.values().min_by_key(|(moves, _)| *moves);
                let (_, fewest) = fewest.expect("there is a stick");
                alone.extend(in_group(group, fewest));
                let of_all = |(ends, (moves, picks)): (Ends, exact::Way<(usize, usize)>)| {
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
    let pairs: usize = exact.iter().map(BTreeMap::len).sum();
    let sets = u32::try_from(groups.len()).ok().and_then(|count| 1_usize.checked_shl(count));
    let steps = sets.and_then(|sets| sets.checked_mul(pairs));
    match exact.len() == groups.len() && steps.is_some_and(|steps| steps <= exact::MOST_STEPS) {
        true => best(&exact),
        false => alone,
    }
}

/// The ways to cut a stick with the fewest moves, and with one more.
fn ways_of(stick: &Free) -> Vec<Way> {
    let mut ways: Vec<Way> = Vec::new();
    for run in stick.runs.iter().filter(|run| !run.is_empty()) {
        let own = ways_of_run(run);
        if ways.is_empty() {
            let way = |(ends, moves): (Ends, usize)| Way { ends, moves, runs: vec![ends] };
            ways = own.into_iter().map(way).collect();
            continue;
        }
        let mut both: BTreeMap<Ends, Way> = BTreeMap::new();
        for before in &ways {
            for &(ends, moves) in &own {
                let moves = before.moves + moves + usize::from(before.ends.1 != ends.0);
                let all = (before.ends.0, ends.1);
                if both.get(&all).is_none_or(|known| moves < known.moves) {
                    let runs = before.runs.iter().copied().chain([ends]).collect();
                    both.insert(all, Way { ends: all, moves, runs });
                }
            }
        }
        let least = both.values().map(|way| way.moves).min().unwrap_or(0);
        ways = both.into_values().filter(|way| way.moves <= least + 1).collect();
    }
    ways
}

/// From which setting to which a run can be cut, and with how many moves.
fn ways_of_run(blocks: &[Block]) -> Vec<(Ends, usize)> {
    let inner: usize = blocks.iter().map(|block| block.moves).sum();
    if !blocks.iter().all(is_single) {
        let passed = exact::ways(&arrows(blocks), &(0..blocks.len()).collect::<Vec<_>>());
        return passed.into_iter().map(|(ends, (moves, _))| (ends, moves + inner)).collect();
    }
    let settings: BTreeSet<Setting> = blocks.iter().map(|block| block.first).collect();
    let moves = settings.len() - 1;
    let pairs = settings.iter().flat_map(|first| settings.iter().map(move |last| (first, last)));
    let pairs = pairs.filter(|(first, last)| moves == 0 || first != last);
    pairs.map(|(first, last)| ((Some(*first), Some(*last)), moves)).collect()
}

/// The order of a run's blocks from one of its ends to the other.
fn order_of_run(blocks: &[Block], ends: Ends) -> Vec<usize> {
    let all: Vec<usize> = (0..blocks.len()).collect();
    if !blocks.iter().all(is_single) {
        return exact::ways(&arrows(blocks), &all).remove(&ends).expect("it is one of its ways").1;
    }
    let mut seen: Vec<Setting> = Vec::new();
    seen.extend(ends.0);
    for block in blocks {
        if !seen.contains(&block.first) && ends.1 != Some(block.first) {
            seen.push(block.first);
        }
    }
    seen.extend(ends.1.filter(|_| ends.0 != ends.1));
    let at = |setting: Setting| all.iter().copied().filter(move |&b| blocks[b].first == setting);
    seen.into_iter().flat_map(at).collect()
}

fn is_single(block: &Block) -> bool {
    block.moves == 0 && block.first == block.last
}

fn arrows(blocks: &[Block]) -> Vec<Passage<'static>> {
    let arrow =
        |block: &Block| Passage { moulding: "", first: Some(block.first), last: Some(block.last) };
    blocks.iter().map(arrow).collect()
}

/// Ways with their settings numbered: from, to, and moves.
type Numbered = Vec<Vec<(usize, usize, usize)>>;

/// The settings of some sticks in order, and their ways by those numbers.
fn numbered(own: &[&[Way]]) -> (Vec<Option<Setting>>, Numbered) {
    let ends = own.iter().flat_map(|ways| ways.iter().flat_map(|way| [way.ends.0, way.ends.1]));
    let settings: Vec<Option<Setting>> = ends.collect::<BTreeSet<_>>().into_iter().collect();
    let number = |setting| settings.binary_search(&setting).expect("it is one of them");
    let way = |way: &Way| (number(way.ends.0), number(way.ends.1), way.moves);
    let ways = own.iter().map(|ways| ways.iter().map(way).collect()).collect();
    (settings, ways)
}

/// The sets of sticks that are done from one beginning.
struct Done {
    /// The fewest moves of each set.
    moves: Vec<usize>,
    /// The settings at which they can end, a bit for each.
    ends: Vec<u64>,
}

/// For each beginning and end the fewest moves to cut all sticks of a moulding,
/// as far as it may be worth it, with the sticks in order and how each is cut;
/// `None` if there is too much to look at.
fn passages(own: &[&[Way]]) -> Option<BTreeMap<Ends, exact::Way<(usize, usize)>>> {
    let (settings, ways) = numbered(own);
    let all: usize = ways.iter().map(Vec::len).sum();
    let sets = 1_usize.checked_shl(u32::try_from(own.len()).ok()?)?;
    let steps = sets.checked_mul(all)?.checked_mul(settings.len())?;
    if settings.len() > 64 || steps > MOST_STEPS {
        return None;
    }
    let firsts: BTreeSet<usize> = ways.iter().flatten().map(|way| way.0).collect();
    let done: Vec<(usize, Done)> =
        firsts.into_iter().map(|first| (first, done(&ways, first))).collect();
    let last = sets - 1;
    let least = done.iter().map(|(_, done)| done.moves[last]).min()?;
    let mut passed = BTreeMap::new();
    for (first, done) in done.iter().filter(|(_, done)| done.moves[last] <= least + 1) {
        for end in (0..settings.len()).filter(|end| done.ends[last] >> end & 1 == 1) {
            let picks = traced(&ways, done, *first, end);
            passed.insert((settings[*first], settings[end]), (done.moves[last], picks));
        }
    }
    Some(passed)
}

fn done(ways: &Numbered, first: usize) -> Done {
    let sets = 1_usize << ways.len();
    let mut done = Done { moves: vec![usize::MAX; sets], ends: vec![0; sets] };
    for set in 0..sets {
        if set != 0 && done.moves[set] == usize::MAX {
            continue;
        }
        for (stick, ways) in ways.iter().enumerate().filter(|(stick, _)| set >> stick & 1 == 0) {
            let then = set | 1 << stick;
            for way in ways.iter().filter(|way| set != 0 || way.0 == first) {
                let moves = done.after(set, way);
                if moves < done.moves[then] {
                    (done.moves[then], done.ends[then]) = (moves, 0);
                }
                if moves == done.moves[then] {
                    done.ends[then] |= 1 << way.1;
                }
            }
        }
    }
    done
}

impl Done {
    /// The moves once a stick is cut this way after a set of others.
    fn after(&self, set: usize, way: &(usize, usize, usize)) -> usize {
        match set {
            0 => way.2,
            _ => self.moves[set] + way.2 + usize::from(self.ends[set] >> way.0 & 1 == 0),
        }
    }
}

/// The sticks in the order that ends there, each with its way.
fn traced(ways: &Numbered, done: &Done, first: usize, mut end: usize) -> Vec<(usize, usize)> {
    let mut set = done.moves.len() - 1;
    let mut picks = Vec::new();
    while set != 0 {
        let each = ways.iter().enumerate().filter(|(stick, _)| set >> stick & 1 == 1);
        let mut each = each.flat_map(|(stick, ways)| {
            ways.iter().enumerate().map(move |(place, way)| (stick, place, way))
        });
        let leads = |&(stick, _, way): &(usize, usize, &(usize, usize, usize))| {
            let before = set & !(1 << stick);
            let begins = if before == 0 { way.0 == first } else { done.moves[before] < usize::MAX };
            way.1 == end && begins && done.after(before, way) == done.moves[set]
        };
        let (stick, place, way) = each.find(leads).expect("a set is reached somehow");
        picks.push((stick, place));
        set &= !(1 << stick);
        let fits = done.ends[set] >> way.0 & 1 == 1;
        end = if fits { way.0 } else { done.ends[set].trailing_zeros() as usize };
    }
    picks.reverse();
    picks
}

/// For each of many sticks one of its ways: chained greedily, and bettered one by
/// one.
fn improved(own: &[&[Way]]) -> Vec<usize> {
    let (settings, ways) = numbered(own);
    let mut chosen = chained(settings.len(), &ways);
    let mut fewest = cost(settings.len(), &ways, &chosen);
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
                let other = cost(settings.len(), &ways, &chosen);
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
fn chained(settings: usize, ways: &Numbered) -> Vec<usize> {
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
        begin.iter_mut().for_each(|sticks| {
            sticks.remove(&stick);
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
fn cost(settings: usize, ways: &Numbered, chosen: &[usize]) -> usize {
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
    use crate::stops::few_settings;
    use proptest::prelude::*;

    const NAMES: [&str; 3] = ["ASH", "OAK", "ELM"];

    fn setting(mm: i64) -> Setting {
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

    /// How often the stop is moved from one rail to the next, all sticks in the
    /// order that the bench takes.
    fn moves(sticks: &[(usize, Vec<Vec<Vec<i64>>>)]) -> usize {
        let frees: Vec<Free> = sticks
            .iter()
            .map(|(moulding, runs)| Free {
                moulding: NAMES[*moulding],
                runs: runs.iter().map(|run| run.iter().map(|b| block(b)).collect()).collect(),
            })
            .collect();
        let chosen = choose(&frees);
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
            order_of_run(&[1, 2, 3, 2, 1].map(single), (Some(setting(2)), Some(setting(1)))),
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
