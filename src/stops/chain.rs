//! A quick order for a bench with very many sticks.
//!
//! Within a moulding the trails cannot be joined, so a setting can be saved only
//! where one moulding follows another: at most one for each. Each moulding is
//! chosen to begin where the one before it left the machine, where there is such
//! a one, and ends where another can begin. A greedy rule.

use std::collections::{BTreeMap, BTreeSet};

use super::passage::{Passage, StopPosition};

/// Sets trails one after another, each moulding together. Trails of a moulding
/// keep the order in which they come but for its first and its last.
pub(super) fn chain(sticks: &[Passage], trails: Vec<Vec<usize>>) -> Vec<Vec<usize>> {
    let mut places: BTreeMap<&str, usize> = BTreeMap::new();
    let mut groups: Vec<Vec<Vec<usize>>> = Vec::new();
    for trail in trails {
        let place = *places.entry(sticks[trail[0]].moulding).or_insert(groups.len());
        groups.resize_with(groups.len().max(place + 1), Vec::new);
        groups[place].push(trail);
    }
    let mut starts: BTreeMap<Option<StopPosition>, BTreeSet<usize>> = BTreeMap::new();
    for (place, group) in groups.iter().enumerate() {
        for trail in group {
            starts.entry(sticks[trail[0]].first).or_default().insert(place);
        }
    }
    let mut waiting: BTreeSet<usize> = (0..groups.len()).collect();
    let mut chained: Vec<Vec<usize>> = Vec::new();
    while let Some(&lowest) = waiting.first() {
        let standing = chained.last().map(|trail| end(sticks, trail));
        let fitting = standing.and_then(|setting| starts.get(&setting)?.first().copied());
        let place = fitting.unwrap_or(lowest);
        waiting.remove(&place);
        let mut group = std::mem::take(&mut groups[place]);
        for trail in &group {
            leave(&mut starts, sticks[trail[0]].first, place);
        }
        let begins = |trail: &Vec<usize>| Some(sticks[trail[0]].first) == standing;
        let first = group.iter().position(begins).unwrap_or(0);
        chained.push(group.remove(first));
        let leads_on = |trail: &Vec<usize>| starts.contains_key(&end(sticks, trail));
        let last = group.iter().position(leads_on).map(|place| group.remove(place));
        chained.extend(group.into_iter().chain(last));
    }
    chained
}

fn end(sticks: &[Passage], trail: &[usize]) -> Option<StopPosition> {
    trail.last().and_then(|&index| sticks[index].last)
}

/// A moulding waits no more at a setting.
fn leave(
    starts: &mut BTreeMap<Option<StopPosition>, BTreeSet<usize>>,
    setting: Option<StopPosition>,
    place: usize,
) {
    if let Some(waiting) = starts.get_mut(&setting) {
        waiting.remove(&place);
        if waiting.is_empty() {
            starts.remove(&setting);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Length, Mitre};

    #[test]
    fn mouldings_hand_their_setting_on() {
        let setting = |mm| Some((Length::from_mm(mm), Mitre::SQUARE));
        let passage = |moulding, first, last| Passage {
            moulding,
            first: setting(first),
            last: setting(last),
        };
        let sticks = [
            passage("A", 1, 2),
            passage("B", 7, 8),
            passage("A", 5, 4),
            passage("C", 2, 3),
            passage("C", 9, 7),
        ];
        let trails = (0..sticks.len()).map(|stick| vec![stick]).collect();
        // Neither of what is left of A leads on, so B follows as it comes.
        assert_eq!(chain(&sticks, trails).concat(), [0, 2, 1, 3, 4]);
        let trails = [2, 0, 1, 3, 4].map(|stick| vec![stick]).to_vec();
        assert_eq!(chain(&sticks, trails).concat(), [2, 0, 3, 4, 1]);
    }
}
