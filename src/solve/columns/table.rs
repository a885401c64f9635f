//! The most that pieces from some type on can be worth in a given room: the
//! table behind pricing, by dynamic programming in integers.
//!
//! Small rooms get one entry a unit of room (Gilmore and Gomory 1966), see
//! [`by_room`](super::by_room). Large rooms keep only the sums that no shorter
//! sum beats (Nemhauser and Ullmann 1969, "Discrete dynamic programming and
//! capital allocation", Management Science 15). Where even these are too many,
//! lengths are rounded down to a coarser unit, so that the table never falls
//! short of the truth.

use super::bundles::{PricedType, bundles, copies};
use super::by_room::{ByRoom, Cell};
use crate::solve::cells::{A_STEP, Cells};
use crate::solve::watchman::Watchman;

/// Rooms up to this always get an entry each.
const SMALL_ROOM: i64 = 4096;
/// The most entries of a table of sums.
const MOST_SUMS: usize = 4_000_000;
/// Entries from which values are rounded where that will do.
const MANY_CELLS: i64 = 200_000;
/// The room of a coarse table, and of one that is wanted when it is late.
const COARSE_ROOM: i64 = 32_768;
const LATE_ROOM: i64 = 256;
/// Bits of a rounded value.
const ROUNDED_BITS: u32 = 29;

/// How exact values have to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Grain {
    /// Large tables may round every value up to some nine digits.
    Rounded,
    /// To the last digit, for lengths as fine as a table allows.
    Fine,
    /// The best value to the last digit, even where a table would be too large.
    Exact,
}

impl Grain {
    /// The next finer one.
    pub fn finer(self) -> Grain {
        match self {
            Grain::Rounded => Grain::Fine,
            Grain::Fine | Grain::Exact => Grain::Exact,
        }
    }
}

/// Best values from each choice on.
pub(crate) struct ValueTable {
    rows: Rows,
    /// Whether only fillings of little waste count.
    tight: bool,
    /// Whether every value is that of a filling, not only a bound.
    pub attained: bool,
    /// How exact the values are.
    pub grain: Grain,
    /// A measure of the work it took.
    pub work: u64,
}

enum Rows {
    Fine(ByRoom<i64>),
    /// Values in units of 2 to this power.
    Rounded(ByRoom<i32>, u32),
    /// For each `j`, lengths and values, both rising.
    BySum(Vec<Vec<(i64, i64)>>),
}

impl ValueTable {
    /// With `waste`, only fillings that leave no more than that of the room
    /// count, as far as the table is small enough to tell.
    pub fn new(
        choices: &[PricedType],
        room: i64,
        waste: Option<i64>,
        grain: Grain,
        cells: &mut Cells,
    ) -> ValueTable {
        let entries = (room + 1).saturating_mul(choices.len() as i64 + 1);
        let waste = waste.filter(|&waste| waste < room && entries <= cells.most);
        if room > SMALL_ROOM && waste.is_none() {
            let most = entries.min(cells.most) / 4;
            let most = MOST_SUMS.min(usize::try_from(most).unwrap_or(MOST_SUMS));
            if let Some(table) = by_sum(choices, room, most, cells.watchman) {
                return table;
            }
        }
        let step = if entries <= cells.most { 1 } else { coarse_step(room, entries, cells.most) };
        ValueTable::by_room(choices, room, step, waste, grain, cells).unwrap_or_else(|| {
            // What is coarser is no less true.
            let step = room / LATE_ROOM + 1;
            let mut cells = Cells::watched(Watchman::default(), 0);
            let late = ValueTable::by_room(choices, room, step, None, Grain::Fine, &mut cells);
            late.expect("nobody minds the time")
        })
    }

    /// A table of lengths in whole steps; nothing once it is late.
    fn by_room(
        choices: &[PricedType],
        room: i64,
        step: i64,
        waste: Option<i64>,
        grain: Grain,
        cells: &mut Cells,
    ) -> Option<ValueTable> {
        let entries = (room / step + 1).saturating_mul(choices.len() as i64 + 1);
        let waste = waste.filter(|_| step == 1);
        let watchman = cells.watchman;
        let rounded = grain == Grain::Rounded && entries > MANY_CELLS;
        let rows = if rounded {
            let bits = 128 - most_value(choices, room).leading_zeros();
            let shift = bits.saturating_sub(ROUNDED_BITS);
            let value = |choice: &PricedType| {
                let up = (1i64 << shift) - 1;
                i32::try_from((choice.value + up) >> shift).expect("few enough bits")
            };
            let memory = std::mem::take(&mut cells.rounded);
            cells.fine = Vec::new();
            Rows::Rounded(ByRoom::new(choices, value, room, step, waste, memory, watchman)?, shift)
        } else {
            let memory = std::mem::take(&mut cells.fine);
            cells.rounded = Vec::new();
            let value = |choice: &PricedType| choice.value;
            Rows::Fine(ByRoom::new(choices, value, room, step, waste, memory, watchman)?)
        };
        let work = match &rows {
            Rows::Fine(rows) => rows.work,
            Rows::Rounded(rows, _) => rows.work / 2,
            Rows::BySum(_) => 0,
        };
        let grain = match (rounded, step) {
            (true, _) => Grain::Rounded,
            (false, 1) => Grain::Exact,
            (false, _) => Grain::Fine,
        };
        Some(ValueTable {
            rows,
            tight: waste.is_some(),
            attained: step == 1,
            grain,
            work: work / A_STEP,
        })
    }

    /// Gives the memory back.
    pub fn give_back(self, cells: &mut Cells) {
        match self.rows {
            Rows::Fine(rows) => cells.fine = rows.memory(),
            Rows::Rounded(rows, _) => cells.rounded = rows.memory(),
            Rows::BySum(_) => {}
        }
    }

    /// The most that the choices from `j` on can be worth in the room.
    pub fn best(&self, j: usize, room: i64) -> i64 {
        if room < 0 {
            return 0;
        }
        match &self.rows {
            Rows::Fine(rows) => rows.best(j, room),
            Rows::Rounded(rows, shift) => widened(rows.best(j, room), *shift),
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
            Rows::Fine(rows) => rows.front(self.tight),
            Rows::Rounded(rows, shift) => {
                let front = rows.front(self.tight).into_iter();
                front.map(|(length, value)| (length, widened(value, *shift))).collect()
            }
        }
    }

    /// Counts of each choice that are worth the table's best in the room.
    pub fn trace(&self, choices: &[PricedType], room: i64) -> Vec<u32> {
        match &self.rows {
            Rows::Fine(rows) => rows.trace(choices, room),
            Rows::Rounded(rows, _) => rows.trace(choices, room),
            Rows::BySum(rows) => self.trace_sums(rows, choices, room),
        }
    }

    fn trace_sums(&self, rows: &[Vec<(i64, i64)>], choices: &[PricedType], room: i64) -> Vec<u32> {
        let mut counts = vec![0; choices.len()];
        let mut left = room;
        for (j, choice) in choices.iter().enumerate() {
            let whole = self.best(j, left);
            counts[j] = fewest(&rows[j + 1], choice, left, whole);
            left -= i64::from(counts[j]) * choice.length;
        }
        counts
    }
}

/// The fewest of a choice that are worth `whole` in the room together with a
/// sum of those after it. Looks at the sums, not at each number: there may be
/// room for thousands of millions.
fn fewest(after: &[(i64, i64)], choice: &PricedType, room: i64, whole: i64) -> u32 {
    let end = after.partition_point(|&(length, _)| length <= room);
    let with = after[..end].iter().rev().find_map(|&(length, value)| {
        let lacking = whole - value;
        let count = if choice.value > 0 { lacking / choice.value } else { 0 };
        let count = u32::try_from(count).ok().filter(|&count| count <= choice.most)?;
        let taken = i128::from(count) * i128::from(choice.length) + i128::from(length);
        let worth = i128::from(count) * i128::from(choice.value);
        (worth == i128::from(lacking) && taken <= i128::from(room)).then_some(count)
    });
    with.unwrap_or(0)
}

/// Lengths to a step of a coarse table: so many that neither its room nor its
/// entries are too many.
fn coarse_step(room: i64, entries: i64, most: i64) -> i64 {
    (room / COARSE_ROOM).max(entries / most + 1)
}

/// No filling of the room is worth more.
fn most_value(choices: &[PricedType], room: i64) -> u128 {
    let most = choices.iter().map(|choice| {
        let filled = i128::from(choice.value) * i128::from(room) / i128::from(choice.length) + 1;
        filled.max(i128::from(choice.value)).unsigned_abs()
    });
    most.max().unwrap_or(0)
}

fn widened(value: i32, shift: u32) -> i64 {
    if value < 0 { i64::NEVER } else { i64::from(value) << shift }
}

/// Nothing once the sums are too many or it is late.
fn by_sum(
    choices: &[PricedType],
    room: i64,
    most: usize,
    watchman: Watchman,
) -> Option<ValueTable> {
    let mut rows = vec![Vec::new(); choices.len() + 1];
    rows[choices.len()] = vec![(0, 0)];
    let mut total = 1;
    for (j, choice) in choices.iter().enumerate().rev() {
        let mut row = rows[j + 1].clone();
        for bundle in bundles(copies(choice, room)) {
            row = merged(&row, bundle * choice.length, bundle * choice.value, room);
            if total + row.len() > most || watchman.is_late() {
                return None;
            }
        }
        total += row.len();
        if total > most {
            return None;
        }
        rows[j] = row;
    }
    let work = total as u64 / 32;
    Some(ValueTable {
        rows: Rows::BySum(rows),
        tight: false,
        attained: true,
        grain: Grain::Exact,
        work,
    })
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

    fn plain(choices: &[PricedType], room: i64) -> i64 {
        let Some((choice, rest)) = choices.split_first() else {
            return 0;
        };
        let counts = 0..=i64::from(choice.most);
        let fitting = counts.take_while(|c| c * choice.length <= room);
        let value = |c: i64| c * choice.value + plain(rest, room - c * choice.length);
        fitting.map(value).max().unwrap_or(0)
    }

    fn table(choices: &[PricedType], room: i64, step: i64, waste: Option<i64>) -> ValueTable {
        let watchman = Watchman::default();
        let rows = ByRoom::new(choices, |c| c.value, room, step, waste, Vec::new(), watchman);
        let rows = Rows::Fine(rows.expect("nobody minds the time"));
        ValueTable {
            rows,
            tight: waste.is_some(),
            attained: step == 1,
            grain: Grain::Exact,
            work: 0,
        }
    }

    fn choices() -> impl Strategy<Value = Vec<PricedType>> {
        let choice = (1..40i64, 0..50i64, 1..5u32).prop_map(|(length, value, most)| PricedType {
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
                prop_assert_eq!(table(&choices, room, 1, None).best(j, room), truth);
                let sums = by_sum(&choices, room, usize::MAX, Watchman::default());
                let sums = sums.expect("no limit");
                prop_assert_eq!(sums.best(j, room), truth);
            }
        }

        #[test]
        fn a_coarse_table_never_falls_short(choices in choices(), room in 0..100i64, step in 2..9i64) {
            let coarse = table(&choices, room, step, None);
            prop_assert!(coarse.best(0, room) >= plain(&choices, room));
        }

        #[test]
        fn rounded_values_never_fall_short(choices in choices(), room in 0..100i64, shift in 0..4u32) {
            let up = |c: &PricedType| ((c.value + (1 << shift) - 1) >> shift) as i32;
            let rows = ByRoom::new(&choices, up, room, 1, None, Vec::new(), Watchman::default());
            let rows = rows.expect("nobody minds the time");
            for j in 0..=choices.len() {
                let rounded = i64::from(rows.best(j, room)) << shift;
                let truth = plain(&choices[j..], room);
                prop_assert!(rounded >= truth);
                prop_assert!(shift > 0 || rounded == truth);
            }
        }

        #[test]
        fn little_waste_is_kept_to(choices in choices(), room in 1..60i64, waste in 0..9i64) {
            fn tight(choices: &[PricedType], room: i64, waste: i64) -> Option<i64> {
                let Some((choice, rest)) = choices.split_first() else {
                    return (room <= waste).then_some(0);
                };
                let counts = 0..=i64::from(choice.most);
                let fitting = counts.take_while(|c| c * choice.length <= room);
                let with = |c| Some(c * choice.value + tight(rest, room - c * choice.length, waste)?);
                fitting.filter_map(with).max()
            }
            let best = table(&choices, room, 1, Some(waste)).best(0, room);
            let truth = tight(&choices, room, waste);
            prop_assert_eq!((best >= 0).then_some(best), truth);
        }

        #[test]
        fn a_trace_is_worth_what_the_table_says(choices in choices(), room in 0..100i64) {
            let table = table(&choices, room, 1, None);
            let counts = table.trace(&choices, room);
            let sum = |each: fn(&PricedType) -> i64| -> i64 {
                choices.iter().zip(&counts).map(|(c, &n)| each(c) * i64::from(n)).sum()
            };
            prop_assert!(sum(|c| c.length) <= room);
            prop_assert_eq!(sum(|c| c.value), table.best(0, room));
        }
    }
}
