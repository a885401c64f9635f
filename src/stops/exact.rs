//! The order of fewest settings where a machine cuts a few mouldings.
//!
//! Each moulding is passed from one of its settings to another; how often the
//! stop is moved in between is the least that Euler's theorem allows (an arrow
//! that leads back from the end to the beginning makes it a question of trails
//! again). Which moulding follows which is then found over all sets of mouldings
//! passed so far (M. Held and R. M. Karp, "A dynamic programming approach to
//! sequencing problems", Journal of the Society for Industrial and Applied
//! Mathematics 10, 1962). Of a set only the fewest settings count, with every
//! setting at which they can end: to end elsewhere with one more is to be moved
//! there.

use std::collections::{BTreeMap, BTreeSet};

use super::order::{Passage, Setting, trails};

/// So many steps at most: for each set of mouldings, each way to pass another.
/// Ten mouldings of five sticks each take half of it.
pub(super) const MOST_STEPS: usize = 500_000;

/// Where a passage of a moulding begins and ends.
pub(super) type Ends = (Option<Setting>, Option<Setting>);
/// How often the stop is moved within a moulding, and the order of its sticks.
pub(super) type Way<T> = (usize, Vec<T>);

/// The fewest settings of some mouldings, and where they can end.
#[derive(Clone, Default)]
struct Reached {
    moves: usize,
    ends: BTreeMap<Option<Setting>, Step>,
}

/// The last moulding, how it is passed, and where the one before it ended.
#[derive(Clone)]
struct Step {
    moulding: usize,
    ends: Ends,
    before: Option<Setting>,
}

/// An order with the fewest settings of all that keep each moulding together;
/// `None` if there is too much to look at.
pub(super) fn fewest(sticks: &[Passage]) -> Option<Vec<usize>> {
    let mut groups: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, stick) in sticks.iter().enumerate() {
        groups.entry(stick.moulding).or_default().push(index);
    }
    let pairs = |group: &Vec<usize>| {
        let firsts: BTreeSet<_> = group.iter().map(|index| sticks[*index].first).collect();
        let lasts: BTreeSet<_> = group.iter().map(|index| sticks[*index].last).collect();
        firsts.len() * lasts.len()
    };
    let all: usize = groups.values().map(pairs).sum();
    let sets = 1_usize.checked_shl(u32::try_from(groups.len()).ok()?)?;
    if sets.checked_mul(all)? > MOST_STEPS {
        return None;
    }
    let ways: Vec<BTreeMap<Ends, Way<usize>>> =
        groups.values().map(|group| ways(sticks, group)).collect();
    Some(best(&ways))
}

/// For each beginning and end of a moulding the fewest moves in between, as far
/// as it may be worth it: to fit both neighbours saves two.
pub(super) fn ways(sticks: &[Passage], group: &[usize]) -> BTreeMap<Ends, Way<usize>> {
    let own: Vec<Passage> = group.iter().map(|index| sticks[*index]).collect();
    let firsts: BTreeSet<_> = own.iter().map(|stick| stick.first).collect();
    let lasts: BTreeSet<_> = own.iter().map(|stick| stick.last).collect();
    let mut ways: BTreeMap<Ends, Way<usize>> = BTreeMap::new();
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
fn passed(own: &[Passage], first: Option<Setting>, last: Option<Setting>) -> Vec<usize> {
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

/// The best order of the mouldings, each passed in one of its ways.
pub(super) fn best<T: Clone>(ways: &[BTreeMap<Ends, Way<T>>]) -> Vec<T> {
    let sets = 1_usize << ways.len();
    let mut reached: Vec<Option<Reached>> = vec![None; sets];
    reached[0] = Some(Reached::default());
    for set in 0..sets {
        let Some(here) = reached[set].clone() else { continue };
        for (moulding, ways) in ways.iter().enumerate().filter(|(m, _)| set & (1 << m) == 0) {
            let there = &mut reached[set | 1 << moulding];
            for (ends, (moves, _)) in ways {
                let fits = set == 0 || here.ends.contains_key(&ends.0);
                let moves = here.moves + moves + usize::from(!fits);
                let any = here.ends.keys().next().copied().flatten();
                let before = if here.ends.contains_key(&ends.0) { ends.0 } else { any };
                let step = Step { moulding, ends: *ends, before };
                match there {
                    Some(known) if known.moves < moves => {}
                    Some(known) if known.moves == moves => {
                        known.ends.entry(ends.1).or_insert(step);
                    }
                    _ => *there = Some(Reached { moves, ends: [(ends.1, step)].into() }),
                }
            }
        }
    }
    traced(ways, &reached)
}

/// The order that leads to the set of all mouldings.
fn traced<T: Clone>(ways: &[BTreeMap<Ends, Way<T>>], reached: &[Option<Reached>]) -> Vec<T> {
    let mut set = reached.len() - 1;
    let mut parts: Vec<&[T]> = Vec::new();
    let mut end = None;
    while set != 0 {
        let here = reached[set].as_ref().expect("every set of mouldings can be passed");
        let known = end.and_then(|end| here.ends.get(&end)).or_else(|| here.ends.values().next());
        let step = known.expect("a set that is passed ends somewhere");
        parts.push(&ways[step.moulding][&step.ends].1);
        end = Some(step.before);
        set &= !(1 << step.moulding);
    }
    parts.reverse();
    parts.concat()
}
