//! The states of choosing stage by stage, with the cheapest way to each.

use rustc_hash::FxHashMap;

use super::links;

/// States and links that are held at most: some 150 and 100 MB.
const MOST_STATES: usize = 1_200_000;
const MOST_LINKS: usize = 1 << 22;

/// A column as a step.
#[derive(Clone, Copy)]
pub(crate) struct ColumnStep {
    pub packed: u128,
    pub cost: i64,
    pub value: i64,
    pub length: i64,
    /// Cost and charge beyond the worth: what it takes of the gap.
    pub loss: i64,
    pub column: usize,
}

#[derive(Clone, Copy)]
pub(crate) struct State {
    pub packed: u128,
    pub cost: i64,
    pub value: i64,
    pub length: i64,
    pub link: u32,
}

/// States with the cheapest way to each.
pub(crate) struct StockStates {
    pub states: Vec<State>,
    /// Looked up only, so that its order never shows.
    place: FxHashMap<u128, u32>,
    /// The link before and the column taken.
    pub links: Vec<(u32, Option<usize>)>,
}

impl StockStates {
    pub fn new() -> StockStates {
        let start = State { packed: 0, cost: 0, value: 0, length: 0, link: 0 };
        StockStates {
            states: vec![start],
            place: FxHashMap::from_iter([(0, 0)]),
            links: vec![(0, None)],
        }
    }

    pub fn reach(&mut self, from: &State, step: &ColumnStep) {
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
        self.links.push((from.link, Some(step.column)));
    }

    /// Whether more states or links would take too much memory.
    pub fn is_full(&self) -> bool {
        self.states.len() > MOST_STATES || self.links.len() > MOST_LINKS
    }

    /// Drops the links that are on no state's way any more.
    fn forget_links(&mut self) {
        let mut last: Vec<u32> = self.states.iter().map(|state| state.link).collect();
        links::forget(&mut self.links, &mut last);
        self.states.iter_mut().zip(last).for_each(|(state, link)| state.link = link);
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
