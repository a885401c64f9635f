//! The fewest trails that cover a moulding's sticks, each an arrow from setting to
//! setting (Euler's theorem; C. Hierholzer 1873 for the splicing of circuits).

use std::collections::BTreeMap;

use super::passage::{Passage, StopPosition};

/// A place where arrows meet: a setting, for one moulding.
type SettingNode<'a> = (&'a str, Option<StopPosition>);
impl<'a> Passage<'a> {
    fn start(&self) -> SettingNode<'a> {
        (self.moulding, self.first)
    }

    fn end(&self) -> SettingNode<'a> {
        (self.moulding, self.last)
    }
}

/// Covers all sticks with the fewest trails.
pub(super) fn trails(sticks: &[Passage]) -> Vec<Vec<usize>> {
    let mut unused: BTreeMap<SettingNode, Vec<usize>> = BTreeMap::new();
    let mut surplus: BTreeMap<SettingNode, i64> = BTreeMap::new();
    for (index, stick) in sticks.iter().enumerate() {
        unused.entry(stick.start()).or_default().push(index);
        *surplus.entry(stick.start()).or_default() += 1;
        *surplus.entry(stick.end()).or_default() -= 1;
    }
    let mut trails = Vec::new();
    for (node, count) in surplus {
        for _ in 0..count {
            trails.push(walk(sticks, &mut unused, node));
        }
    }
    // What no trail passed are circuits: spliced in where one touches a trail,
    // else a trail of their own.
    splice_circuits(sticks, &mut unused, &mut trails);
    while let Some(node) = first_unused(sticks, &unused) {
        trails.push(walk(sticks, &mut unused, node));
        splice_circuits(sticks, &mut unused, &mut trails);
    }
    trails
}

/// Follows unused arrows from a node until there is none.
fn walk<'a>(
    sticks: &[Passage<'a>],
    unused: &mut BTreeMap<SettingNode<'a>, Vec<usize>>,
    from: SettingNode<'a>,
) -> Vec<usize> {
    let mut trail: Vec<usize> = Vec::new();
    let mut node = from;
    while let Some(here) = unused.get_mut(&node).filter(|here| !here.is_empty()) {
        let next = here.remove(0);
        node = sticks[next].end();
        trail.push(next);
    }
    trail
}

/// Puts every circuit that touches a trail into it.
fn splice_circuits<'a>(
    sticks: &[Passage<'a>],
    unused: &mut BTreeMap<SettingNode<'a>, Vec<usize>>,
    trails: &mut [Vec<usize>],
) {
    for trail in trails {
        let mut at = 0;
        while at < trail.len() {
            let circuit = walk(sticks, unused, sticks[trail[at]].start());
            if circuit.is_empty() {
                at += 1;
            } else {
                trail.splice(at..at, circuit);
            }
        }
    }
}

/// Where the first stick in the plan's order that still waits begins.
fn first_unused<'a>(
    sticks: &[Passage<'a>],
    unused: &BTreeMap<SettingNode<'a>, Vec<usize>>,
) -> Option<SettingNode<'a>> {
    unused.values().flatten().min().map(|&index| sticks[index].start())
}
