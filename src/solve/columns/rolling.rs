//! The best filling of one very large room: one row of values that rolls over
//! the choices, and a bit for each bundle and room that says whether it was
//! taken (the memory of Gilmore and Gomory's table, a sixty-fourth of it).
//!
//! A table that is searched for many patterns needs every row; where these are
//! too many, its lengths are coarse and its best value is only a bound. This
//! gives the exact value, and one pattern that has it, in as many steps as the
//! whole table would take.

use super::bundles::{PricedType, bundles, copies};
use super::by_room::{Cell, rising};
use crate::solve::cells::Cells;

/// The greatest room.
const MOST_ROOM: usize = 1 << 22;

/// Best values by room of all choices, and how they came about.
pub(crate) struct Rolling {
    row: Vec<i64>,
    /// For each bundle, last first: its choice, its copies, and where it was taken.
    taken: Vec<(usize, u32, Vec<u64>)>,
    tight: bool,
    /// A measure of the work it took.
    pub work: u64,
}

impl Rolling {
    /// Fills rooms up to `room`; with `waste`, only fillings that leave no more
    /// than that count. Nothing if that would take too much memory, or once it
    /// is late.
    pub fn new(
        choices: &[PricedType],
        room: i64,
        waste: Option<i64>,
        cells: &Cells,
    ) -> Option<Rolling> {
        let width = usize::try_from(room).ok().filter(|&room| room < MOST_ROOM)? + 1;
        let bundled = choices.iter().map(|choice| bundles(copies(choice, room)).count() as u64);
        let bits = bundled.sum::<u64>().checked_mul(width as u64)?;
        if bits > cells.most_bits {
            return None;
        }
        let mut row = vec![0; width];
        if let Some(waste) = waste {
            let from = usize::try_from(waste.max(0)).unwrap_or(width) + 1;
            row[from.min(width)..].fill(i64::NEVER);
        }
        let mut next = row.clone();
        let mut taken = Vec::new();
        for (j, choice) in choices.iter().enumerate().rev() {
            for bundle in bundles(copies(choice, room)) {
                if cells.watchman.is_late() {
                    return None;
                }
                let shift = usize::try_from(bundle * choice.length).unwrap_or(width).min(width);
                let bits = roll(&row, &mut next, shift, bundle * choice.value);
                taken.push((j, u32::try_from(bundle).ok()?, bits));
                std::mem::swap(&mut row, &mut next);
            }
        }
        Some(Rolling { row, taken, tight: waste.is_some(), work: bits / 64 })
    }

    /// Lengths and values where the value rises, without the empty pattern; where
    /// waste is limited, only that of the whole room.
    pub fn front(&self) -> Vec<(i64, i64)> {
        rising(&self.row, 1, self.tight)
    }

    /// Counts of each choice that are worth the most in the room.
    pub fn trace(&self, choices: &[PricedType], room: i64) -> Vec<u32> {
        let mut counts = vec![0; choices.len()];
        let mut left = usize::try_from(room).unwrap_or(0).min(self.row.len() - 1);
        for (j, bundle, bits) in self.taken.iter().rev() {
            if bits[left / 64] >> (left % 64) & 1 == 1 {
                counts[*j] += bundle;
                left -= usize::try_from(i64::from(*bundle) * choices[*j].length).unwrap_or(left);
            }
        }
        counts
    }
}

/// Each room with or without one more bundle; a bit for each where it is taken.
fn roll(row: &[i64], next: &mut [i64], shift: usize, value: i64) -> Vec<u64> {
    let mut bits = vec![0u64; row.len().div_ceil(64)];
    next[..shift].copy_from_slice(&row[..shift]);
    // To the next whole word one by one, then a word at a time.
    let even = shift.next_multiple_of(64).min(row.len());
    for r in shift..even {
        let with = row[r - shift] + value;
        next[r] = row[r].max(with);
        bits[r / 64] |= u64::from(with > row[r]) << (r % 64);
    }
    let words = next[even..].chunks_mut(64).zip(row[even..].chunks(64));
    let words = words.zip(row[even - shift..].chunks(64)).zip(&mut bits[even / 64..]);
    for (((to, without), with), word) in words {
        let mut taken = [false; 64];
        for (((to, &without), &with), taken) in to.iter_mut().zip(without).zip(with).zip(&mut taken)
        {
            let with = with + value;
            *taken = with > without;
            *to = without.max(with);
        }
        *word = taken.iter().rev().fold(0, |word, &taken| word << 1 | u64::from(taken));
    }
    bits
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solve::columns::by_room::ByRoom;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_whole_table_says_the_same(
            choices in prop::collection::vec((1..90i64, 0..50i64, 1..6u32), 0..6),
            room in 1..400i64,
            waste in prop::option::of(0..20i64),
        ) {
            let choices: Vec<PricedType> = choices
                .into_iter()
                .map(|(length, value, most)| PricedType { of_type: 0, length, value, most })
                .collect();
            let cells = Cells::watched(Default::default(), 0);
            let rolling = Rolling::new(&choices, room, waste, &cells).expect("it is small");
            let whole = ByRoom::new(&choices, |c| c.value, room, 1, waste, Vec::new(), cells.watchman);
            let whole = whole.expect("nobody minds the time");
            prop_assert_eq!(rolling.front(), whole.front(waste.is_some()));
            for (room, value) in rolling.front() {
                let counts = rolling.trace(&choices, room);
                let sum = |each: fn(&PricedType) -> i64| -> i64 {
                    choices.iter().zip(&counts).map(|(c, &n)| each(c) * i64::from(n)).sum()
                };
                prop_assert!(choices.iter().zip(&counts).all(|(c, &n)| n <= c.most));
                prop_assert!(sum(|c| c.length) <= room);
                prop_assert!(waste.is_none_or(|waste| room - sum(|c| c.length) <= waste));
                prop_assert_eq!(sum(|c| c.value), value);
            }
        }
    }
}
