//! Every way to cut items from sticks: for what is left uncut and which sticks
//! are opened, the most that what is left of them can be worth.

use std::collections::HashMap;

use jiff::civil::Date;
use longpoint::measure::Length;

/// What must lie in one piece: a rail, or rails cut one after the other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// With the joints inside it.
    pub length: Length,
    /// By when its stick must be there.
    pub by: Option<Date>,
    /// The lot that it must come from, if it must.
    pub lot: Option<usize>,
    pub count: u8,
}

/// Sticks alike: one of the rack, or as many as one likes to buy.
#[derive(Debug, Clone)]
pub struct Source {
    pub length: Length,
    pub lot: usize,
    /// When it is there; `None` is today.
    pub day: Option<Date>,
    /// The most that may be opened.
    pub most: u8,
    /// What each counts before it is cut, where that counts.
    pub before: i64,
}

/// What a stick loses beside its rails.
#[derive(Debug, Clone, Copy)]
pub struct Bench {
    pub first_trim: Length,
    /// The last trim or the grip.
    pub end: Length,
    pub joint: Length,
}

/// How many of each item are not cut, and of each source are opened: eight bits
/// each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct State {
    pub uncut: u128,
    pub opened: u128,
}

/// More states than this are not looked at.
pub const MOST_STATES: usize = 400_000;

pub fn nth(packed: u128, place: usize) -> u8 {
    (packed >> (8 * place)) as u8
}

/// The worth of what is left, less what the opened sticks counted before, at the
/// most; `None` if there are too many ways.
pub fn cuts(
    items: &[Item],
    sources: &[Source],
    bench: Bench,
    worth: &dyn Fn(Length) -> i64,
) -> Option<HashMap<State, i64>> {
    assert!(items.len() <= 16 && sources.len() <= 16);
    let all = items.iter().rev().fold(0, |all, item| all << 8 | u128::from(item.count));
    let mut states = HashMap::from([(State { uncut: all, opened: 0 }, 0)]);
    for (place, source) in sources.iter().enumerate() {
        let patterns = patterns(items, source, bench, worth);
        let mut latest = states.clone();
        for _ in 0..source.most {
            let mut next: HashMap<State, i64> = HashMap::new();
            for (state, value) in &latest {
                for (used, gain) in &patterns {
                    if !within(*used, state.uncut) {
                        continue;
                    }
                    let opened = state.opened + (1 << (8 * place));
                    let state = State { uncut: state.uncut - used, opened };
                    let best = next.entry(state).or_insert(i64::MIN);
                    *best = (*best).max(value + gain);
                }
            }
            if next.is_empty() {
                break;
            }
            states.extend(next.iter().map(|(state, value)| (*state, *value)));
            if states.len() > MOST_STATES {
                return None;
            }
            latest = next;
        }
    }
    Some(states)
}

/// Whether each count is at most the other's; no count is over 127.
fn within(used: u128, uncut: u128) -> bool {
    const HIGH: u128 = u128::MAX / 255 * 128;
    ((uncut | HIGH) - used) & HIGH == HIGH
}

/// All that can be cut from one stick of a source, and what that changes in worth.
fn patterns(
    items: &[Item],
    source: &Source,
    bench: Bench,
    worth: &dyn Fn(Length) -> i64,
) -> Vec<(u128, i64)> {
    let may = |item: &Item| {
        item.lot.is_none_or(|lot| lot == source.lot)
            && source.day.is_none_or(|day| item.by.is_none_or(|by| day <= by))
    };
    let room = source.length - bench.first_trim - bench.end + bench.joint;
    let mut filled = vec![(0_u128, Length::ZERO)];
    for (place, item) in items.iter().enumerate().filter(|(_, item)| may(item)) {
        let each = item.length + bench.joint;
        let mut more = Vec::new();
        for (used, length) in &filled {
            for count in 0..=i64::from(item.count) {
                let length = *length + each * count;
                if length > room {
                    break;
                }
                more.push((used + ((count as u128) << (8 * place)), length));
            }
        }
        filled = more;
    }
    let change = |length: Length| {
        let left = (source.length - bench.first_trim - length).max(Length::ZERO);
        worth(left) - source.before
    };
    let cut = filled.into_iter().filter(|(used, _)| *used > 0);
    cut.map(|(used, length)| (used, change(length))).collect()
}
