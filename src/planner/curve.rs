//! The least worth that cutting so much length of a moulding uses up, whatever
//! rails it is.
//!
//! A stick costs the more the more is cut from it, and along each of a few
//! stretches (until it is no longer than the usual stick, until what is left is no
//! longer than a knot of what offcuts are worth, or no longer kept, until it is full) the
//! cost bends down or is flat. So of the
//! cheapest ways to cut a length there is one in which all sticks but one are
//! cut to an end of a stretch. Sums of ends are tabulated in cells; ends are
//! rounded up and the length down, so the table never says too much.

use super::packing::Packing;
use crate::cutting::{Bench, Source};
use crate::measure::Length;

/// Cells of the table.
const CELLS: usize = 1_500;

/// The table for one moulding's sticks.
pub(crate) struct Curve {
    cell: i64,
    /// The least worth by the number of cells cut; beyond its end no stick is
    /// left.
    least: Vec<i64>,
}

impl Curve {
    /// The curve up to `most` of length.
    pub fn new(packing: &Packing, most: i64) -> Curve {
        let cell = (most / CELLS as i64).max(1);
        let cells = usize::try_from(most / cell).unwrap_or(0) + 1;
        // The least cost of sticks cut to an end, and of one stick cut anywhere.
        let mut ends = vec![i64::MAX; cells];
        ends[0] = 0;
        let mut partly = ends.clone();
        for (source, &room) in packing.sources.iter().zip(&packing.material.rooms) {
            let cost = |cut: i64| cost(&packing.bench, source, cut);
            add_ends(
                &mut ends,
                cell,
                source.is_new,
                &stretches(&packing.bench, source, room),
                cost,
            );
            for (least, cut) in partly.iter_mut().zip((0..).map(|cells: i64| cells * cell)) {
                if cut > room {
                    break;
                }
                *least = (*least).min(cost(cut));
            }
        }
        // What is enough for more is enough for less.
        for at in (1..cells).rev() {
            ends[at - 1] = ends[at - 1].min(ends[at]);
        }
        let rounding = i64::try_from(packing.sources.len()).unwrap_or(i64::MAX).saturating_add(1);
        let at = |cut: usize| {
            let least = (0..=cut).map(|part| ends[cut - part].saturating_add(partly[part])).min();
            least.unwrap_or(0).saturating_sub(rounding).max(0)
        };
        Curve { cell, least: (0..cells).map(at).collect() }
    }

    /// What making one takes, in steps.
    pub fn steps(packing: &Packing) -> u64 {
        (CELLS * (CELLS / 2 + 8 * packing.sources.len()) / 64) as u64
    }

    /// The least worth that cutting `length` uses up; `None` if there are not
    /// sticks enough.
    pub fn at(&self, length: i64) -> Option<i64> {
        let cell = usize::try_from(length / self.cell).unwrap_or(0);
        let last = self.least.len() - 1;
        Some(self.least[cell.min(last)]).filter(|least| *least < i64::MAX / 2)
    }
}

/// What a stick costs at the least if so much is cut from it.
fn cost(bench: &Bench, source: &Source, cut: i64) -> i64 {
    let left = source.length - bench.cutter.first_trim - Length::from_nm(cut);
    (bench.price(source).0 - bench.credit_of(source, 1).at(left.nm())).max(0)
}

/// The lengths cut from a stick at which a stretch ends, the last of them its room.
fn stretches(bench: &Bench, source: &Source, room: i64) -> Vec<i64> {
    let credit = bench.credit_of(source, 1);
    let whole = (source.length - bench.cutter.first_trim).nm();
    let mut ends: Vec<i64> = credit.levels().map(|level| whole - level).chain([room]).collect();
    ends.retain(|end| (1..=room).contains(end));
    ends.sort_unstable();
    ends
}

/// Adds a stick cut to one of its `ends`, or as many such sticks as wanted, to the sums
/// of ends.
fn add_ends(sums: &mut [i64], cell: i64, is_new: bool, ends: &[i64], cost: impl Fn(i64) -> i64) {
    let before = sums.to_vec();
    let last = sums.len() - 1;
    for &end in ends {
        let step = usize::try_from((end + cell - 1) / cell).unwrap_or(last).max(1);
        for at in 0..=last {
            let base = if is_new { sums[at] } else { before[at] };
            let to = (at + step).min(last);
            sums[to] = sums[to].min(base.saturating_add(cost(end)));
        }
    }
}
