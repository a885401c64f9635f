//! Frames that wait for what is on order, cut from what is there first.
//!
//! Who is served by what is on order does not hang on when each stick comes. Where
//! somebody would be late by that, the same frames are packed anew, one day after the
//! other: as many as can be from what is there by then, in the order of their dates, and
//! the others with what comes next. That serves nobody worse who was in time, or it is
//! not taken.
//!
//! What hangs together by its mouldings is looked at by itself: what is ordered for
//! others does not matter to it. Where some of it is ordered for, what is left over for
//! that may be less than before; so it is done only if that takes nothing from a frame
//! with an earlier date.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::connected::connected;
use super::effort::Effort;
use super::elsewhere::Elsewhere;
use super::lots::Placed;
use super::stage::{Batch, Stage};
use super::work::Work;
use crate::shop::Shop;

/// Sticks by moulding.
type Racks = BTreeMap<String, Vec<Placed>>;

/// More days than this are not looked at one by one: the last few are taken as one.
const MOST_DAYS: usize = 6;

/// Of `all` tasks those that are served by what is on order, in sets that hang together by
/// their mouldings: only where each of the others in a set comes after them, or can have all
/// that it lacks from suppliers by its day and so has no claim to what is at hand.
pub(crate) fn apart(
    (work, elsewhere): (&Work, &Elsewhere),
    all: &[usize],
    is_served: impl Fn(usize) -> bool,
) -> Vec<Vec<usize>> {
    let mouldings: Vec<_> = all.iter().map(|task| work.mouldings(&[*task])).collect();
    let tasks = |set: Vec<usize>| set.into_iter().map(|place| all[place]);
    let turn = |task: &usize| work.tasks[*task].turn();
    let served = |set: Vec<usize>| -> Option<Vec<usize>> {
        let (served, open): (Vec<usize>, Vec<usize>) =
            tasks(set).partition(|task| is_served(*task));
        let last = served.iter().map(turn).max()?;
        let claims = |task: &usize| !elsewhere.day(work, *task, |_, _| true).need.is_empty();
        let is_after = |task: &usize| turn(task) >= last;
        open.iter().all(|task| is_after(task) || !claims(task)).then_some(served)
    };
    connected(&mouldings).into_iter().filter_map(served).collect()
}

/// Packs the frames of each set day by day, where that serves them all, in place of those of
/// the `batches` that have their mouldings; with the sticks that this leaves of them.
pub(crate) fn by_day(
    of: (&Shop, Date),
    (work, sets): (&Work, &[Vec<usize>]),
    racks: &Racks,
    mut batches: Vec<Batch>,
    effort: Effort,
) -> (Vec<Batch>, Racks) {
    let own = effort.with_purse(effort.purse() / (sets.len() as u64).max(1));
    let mut left = Racks::new();
    for set in sets {
        let own_racks = work.mouldings(set).into_iter().filter_map(|id| racks.get_key_value(&id));
        let own_racks = own_racks.map(|(id, sticks)| (id.clone(), sticks.clone())).collect();
        if let Some((anew, sticks)) = set_by_day(of, (work, set), &own_racks, own) {
            batches.retain(|batch| !own_racks.contains_key(&batch.moulding));
            batches.extend(anew);
            left.extend(sticks);
        }
    }
    (batches, left)
}

/// Packs one set. None if all there is comes on one day, or some frame
/// that was served otherwise is not served so.
fn set_by_day(
    (shop, date): (&Shop, Date),
    (work, tasks): (&Work, &[usize]),
    racks: &Racks,
    effort: Effort,
) -> Option<(Vec<Batch>, Racks)> {
    let day = |(place, _): &Placed| there(shop, date, *place);
    let all: BTreeSet<Date> = racks.values().flatten().map(day).collect();
    let mut days: Vec<Date> = all.into_iter().collect();
    let last = *days.last()?;
    if days.len() < 2 {
        return None;
    }
    days.truncate(MOST_DAYS - 1);
    days.push(last);
    days.dedup();
    let own = effort.with_purse(effort.purse() / u64::try_from(days.len()).ok()?);
    let mut left: BTreeMap<String, Vec<Placed>> =
        racks.keys().map(|id| (id.clone(), Vec::new())).collect();
    let (mut batches, mut open, mut before) = (Vec::new(), tasks.to_vec(), None);
    for by in days {
        for (id, sticks) in racks {
            let comes = |placed: &&Placed| day(placed) <= by && Some(day(placed)) > before;
            left.entry(id.clone()).or_default().extend(sticks.iter().filter(comes).cloned());
        }
        let stage = Stage::decide(shop, work, &open, left.clone(), own);
        left.extend(stage.untouched);
        batches.extend(stage.batches);
        open = stage.unserved.into_iter().map(|(task, _)| task).collect();
        before = Some(by);
    }
    open.is_empty().then_some((batches, left))
}

/// The day on which a stick is there: what has no day, or is overdue, comes last.
fn there(shop: &Shop, date: Date, place: Option<usize>) -> Date {
    let stick = place.map(|place| shop.stick(place));
    match stick.and_then(|stick| shop.coming_stick(&stick.id)) {
        None => date,
        Some(coming) if coming.at_bench => date,
        Some(coming) => coming.arrives.filter(|day| *day >= date).unwrap_or(Date::MAX),
    }
}
