//! How often a stop is moved at the least: every order of sticks, of what is cut
//! from each, and of the blocks in each run.

use std::collections::BTreeMap;

use super::bench::{Bench, Cost, Counts, Setting, Shape, Source, Unit};

/// Where a stop can stand, and how often it was set until then.
pub type Standing = BTreeMap<Option<Setting>, usize>;

/// From which setting to which a stick can be cut, and with how many moves.
type Ways = BTreeMap<(Setting, Setting), usize>;

/// How the sticks of a moulding are cut with the fewest settings, where they give
/// just these units and use up no more than this: every stick after any others.
/// Nothing if that is not possible.
pub fn pass(
    bench: &Bench,
    sources: &[Source],
    units: &[Unit],
    target: &Counts,
    cost: Cost,
    start: &Standing,
) -> Standing {
    let patterns: Vec<Vec<(Counts, i64, Ways)>> = sources
        .iter()
        .map(|source| {
            let passings = bench.passings(source, units, target).into_iter();
            let ways = passings.flat_map(|(counts, (used_up, each))| {
                each.into_iter().map(move |runs| (counts.clone(), used_up, ways(&runs)))
            });
            ways.collect()
        })
        .collect();
    let mut reached: BTreeMap<(usize, Counts), (Cost, Standing)> =
        BTreeMap::from([((0, vec![0; units.len()]), ((0, 0), start.clone()))]);
    let mut best = Standing::new();
    // A set of sticks comes before all that hold it.
    while let Some(((done, counts), (so_far, standing))) = reached.pop_first() {
        if counts == *target && so_far == cost {
            add(&mut best, standing);
            continue;
        }
        for (stick, patterns) in patterns.iter().enumerate().filter(|(s, _)| done >> s & 1 == 0) {
            for (pattern, used_up, ways) in patterns {
                let sum: Counts = counts.iter().zip(pattern).map(|(a, b)| a + b).collect();
                if sum.iter().zip(target).any(|(a, b)| a > b) {
                    continue;
                }
                let cost = (so_far.0 + used_up, so_far.1 + 1);
                let known = reached.entry((done | 1 << stick, sum));
                let known = known.or_insert_with(|| (cost, Standing::new()));
                // What gives as much for less is better whatever follows.
                if cost < known.0 {
                    *known = (cost, Standing::new());
                }
                if cost == known.0 {
                    pass_stick(&mut known.1, &standing, ways);
                }
            }
        }
    }
    best
}

/// Keeps the fewer settings of each end.
pub fn add(known: &mut Standing, more: Standing) {
    for (setting, times) in more {
        let known = known.entry(setting).or_insert(times);
        *known = times.min(*known);
    }
}

/// Where the stop can stand once a stick is cut, too.
fn pass_stick(known: &mut Standing, before: &Standing, ways: &Ways) {
    for (at, times) in before {
        for ((first, last), moves) in ways {
            let times = times + moves + usize::from(*at != Some(*first));
            let known = known.entry(Some(*last)).or_insert(times);
            *known = times.min(*known);
        }
    }
}

/// The ways through the runs of a stick, one after the other.
fn ways(runs: &[Vec<Shape>]) -> Ways {
    let mut all: Option<Ways> = None;
    for run in runs.iter().filter(|run| !run.is_empty()) {
        let own = ways_of_run(run);
        let Some(before) = all else {
            all = Some(own);
            continue;
        };
        let mut both = Ways::new();
        for ((first, end), moves) in &before {
            for ((begin, last), more) in &own {
                let moves = moves + more + usize::from(end != begin);
                let known = both.entry((*first, *last)).or_insert(moves);
                *known = moves.min(*known);
            }
        }
        all = Some(both);
    }
    all.unwrap_or_default()
}

/// Every order of the shapes, by sets of those that are cut.
fn ways_of_run(run: &[Shape]) -> Ways {
    let mut cut: Vec<Ways> = vec![Ways::new(); 1 << run.len()];
    for set in 0..cut.len() {
        let here = cut[set].clone();
        for (place, shape) in run.iter().enumerate().filter(|(place, _)| set >> place & 1 == 0) {
            let own = shape.windows(2).filter(|pair| pair[0] != pair[1]).count();
            let (begin, last) = (shape[0], shape[shape.len() - 1]);
            let mut reach = |first, moves| {
                let known = cut[set | 1 << place].entry((first, last)).or_insert(moves);
                *known = moves.min(*known);
            };
            if set == 0 {
                reach(begin, own);
            }
            for ((first, end), moves) in &here {
                reach(*first, moves + own + usize::from(*end != begin));
            }
        }
    }
    cut.pop().expect("there is the whole set")
}
