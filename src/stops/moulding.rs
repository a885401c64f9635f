//! The sticks of one moulding, each cut in one of its ways: the fewest moves of
//! the stop from one setting to another.
//!
//! Exact, over all sets of sticks done so far (M. Held and R. M. Karp, 1962, as in
//! [`hand_on`](super::hand_on)): of a set only the fewest moves count, with every
//! setting at which they can end, for to end elsewhere with one more is to be
//! moved there. It takes 2^sticks times the ways to cut them and the settings to
//! begin at, up to [`MOST_STEPS`]: eight sticks of four different settings each.

use std::collections::{BTreeMap, BTreeSet};

use super::held::HeldSets;
use super::passage::{Ends, NumberedWays, PassageOrder, StopPosition};
use super::ways::{CutWay, CutWays};

/// Steps at most for the sticks of one moulding.
const MOST_STEPS: usize = 1_000_000;

/// For each beginning and end the fewest moves to cut these sticks, as far as it
/// may be worth it: to fit both neighbours saves two. `None` if there is too much
/// to look at; nothing if nothing is cut.
pub fn passed(sticks: &[&CutWays]) -> Option<BTreeMap<Ends, usize>> {
    let own: Vec<&[CutWay]> = sticks.iter().map(|ways| ways.0.as_slice()).collect();
    let own: Vec<&[CutWay]> = own.into_iter().filter(|ways| !ways.is_empty()).collect();
    if own.is_empty() {
        return Some(BTreeMap::new());
    }
    let (settings, ways) = numbered(&own);
    let done = beginnings(settings.len(), &ways)?;
    let mut passed = BTreeMap::new();
    for (first, done) in &done {
        for end in done.ends_of_all(settings.len()) {
            passed.insert((settings[*first], settings[end]), done.of_all());
        }
    }
    Some(passed)
}

/// The settings of some sticks in order, and their ways by those numbers.
pub(super) fn numbered(own: &[&[CutWay]]) -> (Vec<Option<StopPosition>>, NumberedWays) {
    let ends = own.iter().flat_map(|ways| ways.iter().flat_map(|way| [way.ends.0, way.ends.1]));
    let settings: Vec<Option<StopPosition>> = ends.collect::<BTreeSet<_>>().into_iter().collect();
    let number = |setting| settings.binary_search(&setting).expect("it is one of them");
    let way = |way: &CutWay| (number(way.ends.0), number(way.ends.1), way.moves);
    let ways = own.iter().map(|ways| ways.iter().map(way).collect()).collect();
    (settings, ways)
}

/// The sets of sticks that are done from one beginning.
struct SetsDone {
    /// The fewest moves of each set.
    moves: Vec<usize>,
    /// The settings at which they can end, a bit for each.
    ends: Vec<u64>,
}

/// As [`passed`], with the sticks in order and how each is cut: of the orders with as
/// few moves one in which the fewest end with a short rail.
pub(super) fn passages(own: &[&[CutWay]]) -> Option<BTreeMap<Ends, PassageOrder<(usize, usize)>>> {
    let (settings, ways) = numbered(own);
    let short = |way: &CutWay| usize::from(way.short);
    let short: Vec<Vec<usize>> = own.iter().map(|ways| ways.iter().map(short).collect()).collect();
    let mut each: Vec<(usize, HeldSets)> = firsts(settings.len(), &ways)?
        .into_iter()
        .map(|first| (first, HeldSets::new(&ways, &short, settings.len(), Some(first))))
        .collect();
    let least = each.iter().map(|(_, held)| held.moves()).min()?;
    each.retain(|(_, held)| held.moves() <= least + 1);
    let mut passed = BTreeMap::new();
    for (first, held) in &each {
        for end in held.last() {
            passed.insert((settings[*first], settings[end]), (held.moves(), held.picks(end)));
        }
    }
    Some(passed)
}

/// The settings to begin at, if there is not too much to look at.
fn firsts(settings: usize, ways: &NumberedWays) -> Option<BTreeSet<usize>> {
    let all: usize = ways.iter().map(Vec::len).sum();
    let sets = 1_usize.checked_shl(u32::try_from(ways.len()).ok()?)?;
    let steps = sets.checked_mul(all)?.checked_mul(settings)?;
    let few = settings <= 64 && steps <= MOST_STEPS;
    few.then(|| ways.iter().flatten().map(|way| way.0).collect())
}

/// What is done from each beginning that may be worth it; `None` if there is too
/// much to look at.
fn beginnings(settings: usize, ways: &NumberedWays) -> Option<Vec<(usize, SetsDone)>> {
    let mut each: Vec<(usize, SetsDone)> =
        firsts(settings, ways)?.into_iter().map(|first| (first, done(ways, first))).collect();
    let least = each.iter().map(|(_, done)| done.of_all()).min()?;
    each.retain(|(_, done)| done.of_all() <= least + 1);
    Some(each)
}

fn done(ways: &NumberedWays, first: usize) -> SetsDone {
    let sets = 1_usize << ways.len();
    let mut done = SetsDone { moves: vec![usize::MAX; sets], ends: vec![0; sets] };
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

impl SetsDone {
    /// The fewest moves of all sticks.
    fn of_all(&self) -> usize {
        self.moves[self.moves.len() - 1]
    }

    /// The settings at which they can end.
    fn ends_of_all(&self, settings: usize) -> impl Iterator<Item = usize> {
        let ends = self.ends[self.ends.len() - 1];
        (0..settings).filter(move |end| ends >> end & 1 == 1)
    }

    /// The moves once a stick is cut this way after a set of others.
    fn after(&self, set: usize, way: &(usize, usize, usize)) -> usize {
        match set {
            0 => way.2,
            _ => self.moves[set] + way.2 + usize::from(self.ends[set] >> way.0 & 1 == 0),
        }
    }
}
