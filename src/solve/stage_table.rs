//! The states of choosing stage by stage, with the cheapest way to each.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

/// States and links that are held at most: some 150 and 100 MB.
const MOST_STATES: usize = 1_200_000;
const MOST_LINKS: usize = 1 << 22;

/// A column as a step.
#[derive(Clone, Copy)]
pub(super) struct Step {
    pub packed: u128,
    pub cost: i64,
    pub value: i64,
    pub length: i64,
    /// Cost and charge beyond the worth: what it takes of the gap.
    pub loss: i64,
    pub column: usize,
}

#[derive(Clone, Copy)]
pub(super) struct State {
    pub packed: u128,
    pub cost: i64,
    pub value: i64,
    pub length: i64,
    pub link: u32,
}

/// States with the cheapest way to each.
pub(super) struct Table {
    pub states: Vec<State>,
    place: HashMap<u128, u32, BuildHasherDefault<Mixer>>,
    /// The link before and the column taken.
    pub links: Vec<Option<(u32, usize)>>,
}

impl Table {
    pub fn new() -> Table {
        let start = State { packed: 0, cost: 0, value: 0, length: 0, link: 0 };
        Table { states: vec![start], place: HashMap::from_iter([(0, 0)]), links: vec![None] }
    }

    pub fn reach(&mut self, from: &State, step: &Step) {
        let packed = from.packed + step.packed;
        let cost = from.cost + step.cost;
        let fresh = u32::try_from(self.states.len()).expect("far fewer states");
        let place = *self.place.entry(packed).or_insert(fresh);
        let link = u32::try_from(self.links.len()).expect("steps are limited");
        if place == fresh {
            self.states.push(State {
                packed,
                cost,
                value: from.value + step.value,
                length: from.length + step.length,
                link,
            });
        } else {
            let state = &mut self.states[place as usize];
            if state.cost <= cost {
                return;
            }
            state.cost = cost;
            state.link = link;
        }
        self.links.push(Some((from.link, step.column)));
    }

    /// Whether more states or links would take too much memory.
    pub fn is_full(&self) -> bool {
        self.states.len() > MOST_STATES || self.links.len() > MOST_LINKS
    }

    /// Drops the links that are on no state's way any more.
    fn forget_links(&mut self) {
        let mut kept = vec![false; self.links.len()];
        self.states.iter().for_each(|state| kept[state.link as usize] = true);
        // A link's way leads over earlier links only; the first leads nowhere.
        for link in (0..self.links.len()).rev() {
            if let (true, Some((before, _))) = (kept[link], self.links[link]) {
                kept[before as usize] = true;
            }
        }
        kept[0] = true;
        let mut place = vec![0u32; self.links.len()];
        let mut next = 0;
        for link in (0..self.links.len()).filter(|&link| kept[link]) {
            let moved = self.links[link].map(|(before, column)| (place[before as usize], column));
            self.links[next] = moved;
            place[link] = u32::try_from(next).expect("links are limited");
            next += 1;
        }
        self.links.truncate(next);
        self.states.iter_mut().for_each(|state| state.link = place[state.link as usize]);
    }

    /// Keeps some states, and the links on their ways once there are many.
    pub fn keep(&mut self, kept: impl Fn(&State) -> bool) {
        let before = self.states.len();
        self.states.retain(kept);
        if self.states.len() < before {
            let states = self.states.iter().enumerate();
            self.place.clear();
            self.place.extend(
                states
                    .map(|(i, state)| (state.packed, u32::try_from(i).expect("far fewer states"))),
            );
        }
        if self.links.len() > MOST_LINKS / 2 {
            self.forget_links();
        }
    }
}

/// A hash for keys that are spread by multiplication; looked up only, so that
/// its order never shows.
#[derive(Default)]
struct Mixer(u64);

impl Hasher for Mixer {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            self.write_u64(u64::from(byte));
        }
    }

    fn write_u64(&mut self, word: u64) {
        self.0 = (self.0.rotate_left(23) ^ word).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        self.0 ^= self.0 >> 29;
    }

    fn write_u128(&mut self, word: u128) {
        self.write_u64(word as u64);
        self.write_u64((word >> 64) as u64);
    }
}
