//! First plans: longest piece first, and sequential value correction.
//!
//! Sequential value correction (Mukhacheva and others 2000; Belov and
//! Scheithauer 2006, "A branch-and-cut-and-price algorithm for one-dimensional
//! stock cutting", EJOR 171) fills unit after unit with the pieces worth most
//! and then raises the worth of pieces that ended up in costly units. Units
//! that start from the longest piece wanted are the bins of minimum slack of
//! Gupta and Ho (1999, Production Planning & Control 10).

use std::collections::BTreeMap;
use std::rc::Rc;

use super::downsize::downsize;
use super::fill::fill;
use crate::solve::cutting_plan::{Column, CuttingPlan};
use crate::solve::layout::Contents;
use crate::solve::search::Search;

/// Units looked at between two looks at the clock.
const LOOK: u64 = 50_000;

/// Steps for filling one unit.
const FILL: u32 = 400;
/// The worth of a typical piece, so that corrections by small shares still
/// change whole numbers.
const WORTH: i64 = 1 << 30;

/// Which unit is opened next when no open one has room.
#[derive(Clone, Copy)]
enum Opening {
    /// The least cost for the room.
    Cheapest,
    /// The most room.
    Longest,
    /// The least room that holds the piece.
    Tightest,
}

/// Longest piece first into the tightest open unit.
pub(crate) fn longest_first(search: &mut Search) {
    for opening in [Opening::Cheapest, Opening::Longest, Opening::Tightest] {
        let (wanted, supply) = (search.instance.demands(), search.instance.supplies());
        if let Some(units) = best_fit(search, &wanted, supply, opening) {
            finish(search, units, &[]);
        }
        if search.instance.kinds.len() == 1 {
            break;
        }
    }
}

/// An open unit: its kind, what is in it, and the room left in each run.
struct OpenUnit {
    kind: usize,
    counts: Vec<(usize, u32)>,
    room: Vec<i64>,
}

fn best_fit(
    search: &mut Search,
    wanted: &[u32],
    mut supply: Vec<u32>,
    opening: Opening,
) -> Option<Vec<(usize, Contents)>> {
    let instance = Rc::clone(&search.instance);
    let mut open: Vec<OpenUnit> = Vec::new();
    let (mut steps, mut looked) = (0, 0);
    for (t, of_type) in instance.types.iter().enumerate() {
        for _ in 0..wanted[t] {
            steps += open.len() as u64;
            looked += (open.len() + instance.kinds.len()) as u64;
            if looked >= LOOK {
                looked = 0;
                if search.is_late() {
                    return None;
                }
            }
            let fitting = open.iter_mut().filter(|unit| {
                instance.kinds[unit.kind].serves(of_type.group)
                    && best_run(&unit.room, of_type.length).is_some()
            });
            let simple = of_type.parts.len() == 1;
            let tightest = fitting
                .filter(|_| simple)
                .min_by_key(|unit| best_run(&unit.room, of_type.length).map(|r| unit.room[r]));
            if let Some(unit) = tightest {
                let r =
                    best_run(&unit.room, of_type.length).expect("the unit was chosen for its room");
                unit.room[r] -= of_type.length;
                add(&mut unit.counts, t);
                continue;
            }
            let unit = new_unit(search, t, opening, &mut supply)?;
            open.push(unit);
        }
    }
    search.spend(steps);
    Some(open.into_iter().map(|unit| (unit.kind, unit.counts)).collect())
}

fn best_run(room: &[i64], length: i64) -> Option<usize> {
    (0..room.len()).filter(|&r| room[r] >= length).min_by_key(|&r| room[r])
}

fn add(counts: &mut Contents, t: usize) {
    match counts.iter_mut().find(|(other, _)| *other == t) {
        Some((_, count)) => *count += 1,
        None => counts.push((t, 1)),
    }
}

fn new_unit(search: &Search, t: usize, opening: Opening, supply: &mut [u32]) -> Option<OpenUnit> {
    let instance = &search.instance;
    let able = (0..supply.len()).filter(|&k| supply[k] > 0 && instance.fits(k, t));
    let kind = match opening {
        Opening::Cheapest => able.min_by(|&a, &b| {
            let (a, b) = (&instance.kinds[a], &instance.kinds[b]);
            let (left, right) = (
                i128::from(a.cost_at(a.room)) * i128::from(b.room),
                i128::from(b.cost_at(b.room)) * i128::from(a.room),
            );
            left.cmp(&right).then(b.room.cmp(&a.room))
        }),
        Opening::Longest => able.max_by_key(|&k| (instance.kinds[k].room, usize::MAX - k)),
        Opening::Tightest => able.min_by_key(|&k| instance.kinds[k].room),
    }?;
    supply[kind] -= 1;
    let mut room: Vec<i64> = instance.kinds[kind].runs.iter().map(|run| run.room).collect();
    if let [length] = instance.types[t].parts[..] {
        let r = best_run(&room, length)?;
        room[r] -= length;
    } else {
        // The runs of a piece in several parts are settled by the layout alone.
        room.fill(0);
    }
    Some(OpenUnit { kind, counts: vec![(t, 1)], room })
}

/// Completes a part of a plan: the rest goes longest first, and by worth where
/// worths are given.
pub(crate) fn complete(
    search: &mut Search,
    fixed: &[(Column, u32)],
    wanted: &[u32],
    supply: &[u32],
    worth: Option<&[i64]>,
) {
    let several = search.instance.kinds.len() > 1;
    let openings = [Opening::Cheapest, Opening::Tightest];
    for opening in openings.into_iter().take(if several { 2 } else { 1 }) {
        if let Some(units) = best_fit(search, wanted, supply.to_vec(), opening) {
            finish(search, units, fixed);
        }
    }
    let Some(worth) = worth else { return };
    for lead in [true, false] {
        let (units, missed) = by_worth(search, wanted.to_vec(), supply.to_vec(), worth, lead);
        if missed.iter().all(|&count| count == 0) {
            finish(search, units, fixed);
        }
    }
}

/// Moves units to cheaper stock and offers the plan.
fn finish(search: &mut Search, units: Vec<(usize, Contents)>, fixed: &[(Column, u32)]) {
    let columns: Option<Vec<Column>> = units
        .into_iter()
        .map(|(kind, mut pieces)| {
            pieces.sort_unstable();
            Column::new(&search.instance, kind, pieces)
        })
        .collect();
    if let Some(mut columns) = columns {
        let fixed = fixed.iter();
        columns.extend(fixed.flat_map(|(column, times)| (0..*times).map(|_| column.clone())));
        let columns = downsize(&search.instance, columns, search.watchman());
        search.offer(CuttingPlan::new(counted(columns)));
    }
}

/// Equal columns as one, in the order in which they first come.
fn counted(columns: Vec<Column>) -> Vec<(Column, u32)> {
    let mut uses: Vec<(Column, u32)> = Vec::new();
    let mut place: BTreeMap<Column, usize> = BTreeMap::new();
    for column in columns {
        match place.get(&column) {
            Some(&at) => uses[at].1 += 1,
            None => {
                place.insert(column.clone(), uses.len());
                uses.push((column, 1));
            }
        }
    }
    uses
}

/// Fills unit after unit by worth, `rounds` times over with corrected worths;
/// stops early when the plan is proven.
pub(crate) fn value_correction(search: &mut Search, rounds: u32) {
    let longest = search.instance.types.iter().map(|t| t.length).max().unwrap_or(1);
    let mut worth: Vec<i64> =
        search.instance.types.iter().map(|t| scaled(t.length, WORTH, longest).max(1)).collect();
    for round in 0..rounds {
        if search.is_proven() || search.is_stopped() {
            return;
        }
        let lead = round % 2 == 0;
        let (wanted, supply) = (search.instance.demands(), search.instance.supplies());
        let (units, missed) = by_worth(search, wanted, supply, &worth, lead);
        correct(search, &units, &missed, &mut worth);
        if missed.iter().all(|&count| count == 0) {
            finish(search, units, &[]);
        }
    }
}

fn scaled(a: i64, b: i64, c: i64) -> i64 {
    i64::try_from(i128::from(a) * i128::from(b) / i128::from(c.max(1))).unwrap_or(i64::MAX)
}

/// Fills units until nothing more fits; also returns what is still wanted.
fn by_worth(
    search: &mut Search,
    mut wanted: Vec<u32>,
    mut supply: Vec<u32>,
    worth: &[i64],
    lead: bool,
) -> (Vec<(usize, Contents)>, Vec<u32>) {
    let mut units = Vec::new();
    while let Some(first) = wanted.iter().position(|&count| count > 0) {
        if search.is_late() {
            break;
        }
        let lead = lead.then_some(first);
        let Some((kind, pieces)) = best_unit(search, &wanted, &supply, worth, lead) else {
            break;
        };
        let times = pieces.iter().map(|&(t, count)| wanted[t] / count);
        let times = times.fold(supply[kind], u32::min);
        // Not all at once: later units would be left with the worst pieces.
        let times = times.div_ceil(2);
        supply[kind] -= times;
        for &(t, count) in &pieces {
            wanted[t] -= count * times;
        }
        units.extend((0..times).map(|_| (kind, pieces.clone())));
    }
    (units, wanted)
}

/// The unit with the least cost for the worth that fills it.
fn best_unit(
    search: &mut Search,
    wanted: &[u32],
    supply: &[u32],
    worth: &[i64],
    lead: Option<usize>,
) -> Option<(usize, Contents)> {
    let mut best: Option<(usize, Contents, i64, i64)> = None;
    for kind in (0..supply.len()).filter(|&k| supply[k] > 0) {
        let instance = &search.instance;
        let filled = fill(instance, &instance.kinds[kind], wanted, worth, lead, FILL);
        let column = filled.and_then(|pieces| Column::new(instance, kind, pieces));
        search.spend(u64::from(FILL) / 8);
        let Some(column) = column else { continue };
        let value: i64 = column.pieces.iter().map(|&(t, count)| worth[t] * i64::from(count)).sum();
        let better = best.as_ref().is_none_or(|&(_, _, cost, other)| {
            i128::from(column.cost) * i128::from(other) < i128::from(cost) * i128::from(value)
        });
        if better {
            best = Some((kind, column.pieces, column.cost, value));
        }
    }
    best.map(|(kind, pieces, ..)| (kind, pieces))
}

/// Moves each worth towards the price of the length that its pieces took.
fn correct(search: &Search, units: &[(usize, Contents)], missed: &[u32], worth: &mut [i64]) {
    let instance = &search.instance;
    let columns =
        units.iter().filter_map(|(kind, pieces)| Column::new(instance, *kind, pieces.clone()));
    let columns: Vec<(i64, i64, Contents)> =
        columns.map(|c| (c.cost, c.length(instance), c.pieces)).collect();
    let cost: i128 = columns.iter().map(|&(cost, ..)| i128::from(cost)).sum();
    let length: i128 = columns.iter().map(|&(_, length, _)| i128::from(length)).sum();
    let longest = i128::from(instance.types.iter().map(|t| t.length).max().unwrap_or(1));
    for (paid, taken, pieces) in &columns {
        for &(t, _) in pieces {
            // Longer pieces a little dearer for their length: they fit less often.
            let own = i128::from(instance.types[t].length);
            let fair = own * i128::from(WORTH) / longest * (8 * longest + own) / (8 * longest);
            let price = fair * i128::from(*paid) / i128::from(*taken).max(1) * length / cost.max(1);
            let price = i64::try_from(price.clamp(1, i128::from(WORTH) * 16)).unwrap_or(WORTH);
            worth[t] = (worth[t] * 3 + price) / 4;
        }
    }
    for (t, _) in missed.iter().enumerate().filter(|&(_, &count)| count > 0) {
        worth[t] = (worth[t] / 2 * 3).clamp(1, WORTH * 16);
    }
}
