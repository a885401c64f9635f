//! A table with one entry for each unit of room: the best value of the choices
//! from each one on.

use super::bundles::{PricedType, bundles, copies};
use crate::solve::watchman::Watchman;

/// A value in a table.
pub(crate) trait Cell: Copy + Ord + Default + std::ops::Add<Output = Self> {
    /// The value of a room that cannot be filled; sums with it stay negative.
    const NEVER: Self;

    /// The value so many times over.
    fn times(self, count: i64) -> Self;
}

impl Cell for i64 {
    const NEVER: i64 = i64::MIN / 4;

    fn times(self, count: i64) -> i64 {
        self * count
    }
}

impl Cell for i32 {
    const NEVER: i32 = i32::MIN / 2;

    fn times(self, count: i64) -> i32 {
        self * i32::try_from(count).expect("a count that fits in the room")
    }
}

/// Entry `j x width + r`: best of the choices from `j` in room `r x step`.
pub(crate) struct ByRoom<V> {
    width: usize,
    step: i64,
    best: Vec<V>,
    values: Vec<V>,
    /// Entries worked out.
    pub work: u64,
}

impl<V: Cell> ByRoom<V> {
    /// Lengths are rounded down to whole steps. With `waste`, only fillings that
    /// leave no more than that count. `memory` is used for the entries. Nothing
    /// once it is late.
    pub fn new(
        choices: &[PricedType],
        value: impl Fn(&PricedType) -> V,
        room: i64,
        step: i64,
        waste: Option<i64>,
        memory: Vec<V>,
        watchman: Watchman,
    ) -> Option<ByRoom<V>> {
        let width = usize::try_from(room / step).ok()? + 1;
        let entries = width * (choices.len() + 1);
        let mut best = memory;
        if best.capacity() < entries {
            // Not both at once.
            drop(best);
            best = vec![V::default(); entries];
        }
        best.resize(entries, V::default());
        let last = &mut best[choices.len() * width..][..width];
        last.fill(V::default());
        if let Some(waste) = waste {
            let from = usize::try_from(waste.max(0)).unwrap_or(width) + 1;
            last[from.min(width)..].fill(V::NEVER);
        }
        let values: Vec<V> = choices.iter().map(value).collect();
        let mut scratch = Vec::new();
        let mut work = 0;
        for (j, choice) in choices.iter().enumerate().rev() {
            if watchman.is_late() {
                return None;
            }
            let (head, tail) = best.split_at_mut((j + 1) * width);
            let row = &mut head[j * width..];
            let mut first = true;
            for bundle in bundles(copies(choice, room)) {
                let from = if first {
                    &tail[..width]
                } else {
                    scratch.clear();
                    scratch.extend_from_slice(row);
                    &scratch[..]
                };
                let shift = usize::try_from(bundle * choice.length / step).unwrap_or(width);
                take(row, from, shift.min(width), values[j].times(bundle));
                work += width as u64;
                first = false;
            }
            if first {
                row.copy_from_slice(&tail[..width]);
            }
        }
        Some(ByRoom { width, step, best, values, work })
    }

    /// The entries, for another table.
    pub fn memory(self) -> Vec<V> {
        self.best
    }

    /// The most that the choices from `j` on can be worth in the room.
    pub fn best(&self, j: usize, room: i64) -> V {
        let r = usize::try_from(room / self.step).unwrap_or(usize::MAX);
        self.best[j * self.width + r.min(self.width - 1)]
    }

    /// Lengths and values of all choices together where the value rises; of a
    /// table of little waste, only that of the whole room.
    pub fn front(&self, tight: bool) -> Vec<(i64, V)> {
        rising(&self.best[..self.width], self.step, tight)
    }

    /// Counts of each choice that are worth the table's best in the room.
    pub fn trace(&self, choices: &[PricedType], room: i64) -> Vec<u32> {
        let mut counts = vec![0; choices.len()];
        let mut left = room;
        for (j, choice) in choices.iter().enumerate() {
            let whole = self.best(j, left);
            let fits = (0..=choice.most).take_while(|&c| i64::from(c) * choice.length <= left);
            let count = fits.into_iter().find(|&c| {
                let rest = self.best(j + 1, left - i64::from(c) * choice.length);
                rest + self.values[j].times(i64::from(c)) == whole
            });
            counts[j] = count.unwrap_or(0);
            left -= i64::from(counts[j]) * choice.length;
        }
        counts
    }
}

/// Lengths and values of one row where the value rises; if it is of little
/// waste, only that of the whole room.
pub(crate) fn rising<V: Cell>(row: &[V], step: i64, tight: bool) -> Vec<(i64, V)> {
    let nothing = V::default();
    if tight {
        let (room, value) = (row.len() as i64 - 1, row[row.len() - 1]);
        return Vec::from_iter((value > nothing).then_some((room, value)));
    }
    let mut front = Vec::new();
    let mut last = nothing;
    for (r, &value) in row.iter().enumerate() {
        if value > last {
            front.push(((r as i64 * step).max(1), value));
            last = value;
        }
    }
    front
}

/// Each room with or without one more bundle.
fn take<V: Cell>(row: &mut [V], from: &[V], shift: usize, value: V) {
    row[..shift].copy_from_slice(&from[..shift]);
    let with = from.iter();
    for ((to, &without), &with) in row[shift..].iter_mut().zip(&from[shift..]).zip(with) {
        *to = without.max(with + value);
    }
}
