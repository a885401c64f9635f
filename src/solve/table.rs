//! The most that pieces from some type on can be worth in a given room: the
//! table behind pricing, by dynamic programming in integers.
//!
//! Small rooms get one entry a unit of room (Gilmore and Gomory 1966). Large
//! rooms keep only the sums that no shorter sum beats (Nemhauser and Ullmann
//! 1969, "Discrete dynamic programming and capital allocation", Management
//! Science 15). Where even these are too many, lengths are rounded down to a
//! coarser unit, so that the table never falls short of the truth.

/// Rooms up to this always get an entry each.
const SMALL_ROOM: i64 = 4096;
/// The most entries of a table of sums.
const MOST_SUMS: usize = 4_000_000;
/// The most entries of a table by room.
const MOST_CELLS: i64 = 60_000_000;
/// The value of a room that cannot be filled; sums with it stay negative.
const NEVER: i64 = i64::MIN / 4;
/// The room of a coarse table.
const COARSE_ROOM: i64 = 32_768;

/// A type on offer to the pattern.
#[derive(Debug, Clone, Copy)]
pub(super) struct Choice {
    pub of_type: usize,
    pub length: i64,
    pub value: i64,
    pub most: u32,
}

/// Best values from each choice on.
pub(super) struct Table {
    rows: Rows,
    /// Whether only fillings of little waste count.
    tight: bool,
    /// Whether the values are attained, not only bounds.
    pub exact: bool,
    /// A measure of the work it took.
    pub work: u64,
}

enum Rows {
    /// Entry `j x width + r`: best of the choices from `j` in room `r x step`.
    ByRoom { width: usize, step: i64, best: Vec<i64> },
    /// For each `j`, lengths and values, both rising.
    BySum(Vec<Vec<(i64, i64)>>),
}

impl Table {
    /// With `waste`, only fillings that leave no more than that of the room
    /// count, as far as the table is small enough to tell.
    pub fn new(choices: &[Choice], room: i64, waste: Option<i64>) -> Table {
        let cells = (room + 1).saturating_mul(choices.len() as i64 + 1);
        let waste = waste.filter(|&waste| waste < room && cells <= MOST_CELLS);
        if room > SMALL_ROOM && waste.is_none() {
            let most = MOST_SUMS.min(usize::try_from(cells / 4).unwrap_or(MOST_SUMS));
            if let Some(table) = by_sum(choices, room, most) {
                return table;
            }
        }
        if cells <= MOST_CELLS {
            return by_room(choices, room, 1, waste);
        }
        by_room(choices, room, (room / COARSE_ROOM).max(1), None)
    }

    /// The most that the choices from `j` on can be worth in the room.
    pub fn best(&self, j: usize, room: i64) -> i64 {
        if room < 0 {
            return 0;
        }
        match &self.rows {
            Rows::ByRoom { width, step, best } => {
                let r = usize::try_from(room / step).unwrap_or(usize::MAX);
                best[j * width + r.min(width - 1)]
            }
            Rows::BySum(rows) => {
                let row = &rows[j];
                let after = row.partition_point(|&(length, _)| length <= room);
                row[after - 1].1
            }
        }
    }

    /// Lengths and values of all choices together where the value rises,
    /// without the empty pattern. Of a coarse table, the lengths are the least
    /// that might have the value.
    pub fn front(&self) -> Vec<(i64, i64)> {
        match &self.rows {
            Rows::BySum(rows) => rows[0][1..].to_vec(),
            Rows::ByRoom { width, best, .. } if self.tight => {
                let (room, value) = (*width as i64 - 1, best[width - 1]);
                Vec::from_iter((value > 0).then_some((room, value)))
            }
            Rows::ByRoom { width, step, best } => {
                let mut front = Vec::new();
                let mut last = 0;
                for (r, &value) in best[..*width].iter().enumerate() {
                    if value > last {
                        front.push(((r as i64 * step).max(1), value));
                        last = value;
                    }
                }
                front
            }
        }
    }

    /// Counts of each choice that are worth the table's best in the room.
    pub fn trace(&self, choices: &[Choice], room: i64) -> Vec<u32> {
        let mut counts = vec![0; choices.len()];
        let mut left = room;
        for (j, choice) in choices.iter().enumerate() {
            let whole = self.best(j, left);
            let fits = (0..=choice.most).take_while(|&c| i64::from(c) * choice.length <= left);
            let count = fits.into_iter().find(|&c| {
                let c = i64::from(c);
                self.best(j + 1, left - c * choice.length) + c * choice.value == whole
            });
            counts[j] = count.unwrap_or(0);
            left -= i64::from(counts[j]) * choice.length;
        }
        counts
    }
}

/// Bundles of copies that together give every count up to `most`.
fn bundles(most: u32) -> impl Iterator<Item = i64> {
    let mut left = i64::from(most);
    let mut size = 1;
    std::iter::from_fn(move || {
        let bundle = size.min(left);
        left -= bundle;
        size *= 2;
        (bundle > 0).then_some(bundle)
    })
}

fn copies(choice: &Choice, room: i64) -> u32 {
    choice.most.min(u32::try_from(room / choice.length).unwrap_or(u32::MAX))
}

fn by_room(choices: &[Choice], room: i64, step: i64, waste: Option<i64>) -> Table {
    let width = usize::try_from(room / step).expect("a room that was found to be small") + 1;
    let mut best = vec![0; width * (choices.len() + 1)];
    if let Some(waste) = waste {
        let first = choices.len() * width + usize::try_from(waste.max(0)).unwrap_or(width) + 1;
        let first = first.min(best.len());
        best[first..].fill(NEVER);
    }
    let mut scratch = vec![0; width];
    let mut work = 0;
    for (j, choice) in choices.iter().enumerate().rev() {
        let (head, tail) = best.split_at_mut((j + 1) * width);
        let row = &mut head[j * width..];
        let mut first = true;
        for bundle in bundles(copies(choice, room)) {
            let from = if first {
                &tail[..width]
            } else {
                scratch.copy_from_slice(row);
                &scratch[..]
            };
            let shift = usize::try_from(bundle * choice.length / step).unwrap_or(width).min(width);
            take(row, from, shift, bundle * choice.value);
            work += width as u64;
            first = false;
        }
        if first {
            row.copy_from_slice(&tail[..width]);
        }
    }
    Table {
        rows: Rows::ByRoom { width, step, best },
        tight: waste.is_some(),
        exact: step == 1,
        work: work / 64,
    }
}

/// Each room with or without one more bundle.
fn take(row: &mut [i64], from: &[i64], shift: usize, value: i64) {
    row[..shift].copy_from_slice(&from[..shift]);
    let with = from.iter();
    for ((to, &without), &with) in row[shift..].iter_mut().zip(&from[shift..]).zip(with) {
        *to = without.max(with + value);
    }
}

fn by_sum(choices: &[Choice], room: i64, most: usize) -> Option<Table> {
    let mut rows = vec![Vec::new(); choices.len() + 1];
    rows[choices.len()] = vec![(0, 0)];
    let mut total = 1;
    for (j, choice) in choices.iter().enumerate().rev() {
        let mut row = rows[j + 1].clone();
        for bundle in bundles(copies(choice, room)) {
            row = merged(&row, bundle * choice.length, bundle * choice.value, room);
        }
        total += row.len();
        if total > most {
            return None;
        }
        rows[j] = row;
    }
    Some(Table { rows: Rows::BySum(rows), tight: false, exact: true, work: total as u64 / 32 })
}

/// The sums with or without one more bundle, of which none is longer than
/// another of as much value.
fn merged(row: &[(i64, i64)], length: i64, value: i64, room: i64) -> Vec<(i64, i64)> {
    let mut merged: Vec<(i64, i64)> = Vec::with_capacity(row.len() * 2);
    let end = row.partition_point(|&(l, _)| l + length <= room);
    let (mut a, mut b) = (0, 0);
    let mut last = -1;
    while a < row.len() || b < end {
        let take_old = b == end || a < row.len() && row[a].0 <= row[b].0 + length;
        let entry = if take_old {
            a += 1;
            row[a - 1]
        } else {
            b += 1;
            (row[b - 1].0 + length, row[b - 1].1 + value)
        };
        if entry.1 > last {
            if merged.last().is_some_and(|&(l, _)| l == entry.0) {
                merged.pop();
            }
            merged.push(entry);
            last = entry.1;
        }
    }
    merged
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn plain(choices: &[Choice], room: i64) -> i64 {
        let Some((choice, rest)) = choices.split_first() else {
            return 0;
        };
        let counts = 0..=i64::from(choice.most);
        let fitting = counts.take_while(|c| c * choice.length <= room);
        let value = |c: i64| c * choice.value + plain(rest, room - c * choice.length);
        fitting.map(value).max().unwrap_or(0)
    }

    fn choices() -> impl Strategy<Value = Vec<Choice>> {
        let choice = (1..40i64, 0..50i64, 1..5u32).prop_map(|(length, value, most)| Choice {
            of_type: 0,
            length,
            value,
            most,
        });
        prop::collection::vec(choice, 0..5)
    }

    proptest! {
        #[test]
        fn both_tables_give_the_best_value(choices in choices(), room in 0..100i64) {
            for j in 0..=choices.len() {
                let truth = plain(&choices[j..], room);
                prop_assert_eq!(by_room(&choices, room, 1, None).best(j, room), truth);
                let sums = by_sum(&choices, room, usize::MAX).expect("no limit");
                prop_assert_eq!(sums.best(j, room), truth);
            }
        }

        #[test]
        fn a_coarse_table_never_falls_short(choices in choices(), room in 0..100i64, step in 2..9i64) {
            let coarse = by_room(&choices, room, step, None);
            prop_assert!(coarse.best(0, room) >= plain(&choices, room));
        }

        #[test]
        fn little_waste_is_kept_to(choices in choices(), room in 1..60i64, waste in 0..9i64) {
            fn tight(choices: &[Choice], room: i64, waste: i64) -> Option<i64> {
                let Some((choice, rest)) = choices.split_first() else {
                    return (room <= waste).then_some(0);
                };
                let counts = 0..=i64::from(choice.most);
                let fitting = counts.take_while(|c| c * choice.length <= room);
                let with = |c| Some(c * choice.value + tight(rest, room - c * choice.length, waste)?);
                fitting.filter_map(with).max()
            }
            let best = by_room(&choices, room, 1, Some(waste)).best(0, room);
            let truth = tight(&choices, room, waste);
            prop_assert_eq!((best >= 0).then_some(best), truth);
        }

        #[test]
        fn a_trace_is_worth_what_the_table_says(choices in choices(), room in 0..100i64) {
            let table = by_room(&choices, room, 1, None);
            let counts = table.trace(&choices, room);
            let sum = |each: fn(&Choice) -> i64| -> i64 {
                choices.iter().zip(&counts).map(|(c, &n)| each(c) * i64::from(n)).sum()
            };
            prop_assert!(sum(|c| c.length) <= room);
            prop_assert_eq!(sum(|c| c.value), table.best(0, room));
        }
    }
}
