//! Which frames are better cut another day, together with others.
//!
//! A frame *must* be cut when its day has come: the last on which it can be begun in
//! time, or so many open days after it came in as the shop has patience. Frames that
//! share mouldings, directly or through others, wait as one as long as none of them must.
//!
//! # Why whole mouldings wait
//!
//! Of a moulding of which nothing is cut all sticks are there tomorrow as they are today,
//! so what can be cut of it today can be cut then. Were some of its frames cut and others
//! not, it would have to be shown that what is left does for these. So nothing of the
//! plan's proof changes: it is that of a pile without the frames that wait.
//!
//! # What is left to later has a price
//!
//! Where the shop says what a length of rail that is cut `later` is expected to use up,
//! as a share of itself, frames that wait as one are cut today all the same if that uses
//! up no more of any of their mouldings than their rails' length at this price. Of
//! cutting all of them and leaving all to later it is the one that is expected to use up
//! less, in whole numbers; that it is cut at its best is proven like the rest of the day.
//!
//! # Why no frame is late by that
//!
//! A frame waits only if all of its mouldings can be cut for all that ask for them today;
//! if the next open day is not beyond its own; if there are hands enough for all that is
//! left to that day and later (as [`capacity`](crate::quote) counts them: the earliest due
//! first, Jackson 1955, from memory); and, where suppliers are known, if its mouldings
//! would come in time even if they had to be ordered on that day, since somebody with an
//! earlier date may take the sticks. On the next day it is asked again.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::choice::asked_by;
use super::connected::connected;
use super::elsewhere::Elsewhere;
use super::feasible::Feasible;
use super::offered::has_offers;
use super::packing::Counts;
use super::stage::{Batch, Decided, count, owners};
use super::work::Work;
use crate::plan::Wishes;
use crate::shop::Shop;

/// The tasks that wait for one another, each with the day on which it is cut at the
/// latest. `cut` gives those of which there is enough for everybody that asks.
pub(crate) fn patient(
    (shop, feasible): (&Shop, &Feasible),
    (date, wishes): (Date, &Wishes),
    work: &Work,
    cut: impl FnOnce() -> Vec<usize>,
) -> BTreeMap<usize, Date> {
    let days = &shop.settings.days;
    let tomorrow = date.tomorrow().ok().and_then(|day| days.open.next(day));
    let is_asked = wishes.only.is_none() && !wishes.rack_only;
    let (Some(patience), Some(tomorrow), true) = (days.patience, tomorrow, is_asked) else {
        return BTreeMap::new();
    };
    let cut: BTreeSet<usize> = cut().into_iter().collect();
    let elsewhere = Elsewhere::new(shop, tomorrow, feasible);
    let last = |task: usize| {
        let of = &work.tasks[task];
        let frame = &shop.frames[of.frame];
        let progress = &frame.progress;
        let mut begun = progress.cut.keys().chain(progress.supplied.keys());
        if of.rush || !cut.contains(&task) || begun.any(|(copy, _)| *copy == of.copy) {
            return None;
        }
        let needed = days.needed_by(of.due?);
        let layers = &work.classes[of.class].layers;
        let comes = |layer| elsewhere.first(work, layer).is_some_and(|day| day <= needed);
        if has_offers(shop) && !layers.iter().all(comes) {
            return None;
        }
        let tired = frame.came.and_then(|came| days.open.after(came, patience));
        let last = tired.map_or(needed, |tired| tired.min(needed));
        (last >= tomorrow).then_some(last)
    };
    let sets: Vec<BTreeSet<String>> =
        (0..work.tasks.len()).map(|task| work.mouldings(&[task])).collect();
    let as_one = |tied: Vec<usize>| {
        let days: Option<Vec<Date>> = tied.iter().map(|task| last(*task)).collect();
        Some((days?.into_iter().min()?, tied))
    };
    let mut sets: Vec<(Date, Vec<usize>)> =
        connected(&sets).into_iter().filter_map(as_one).collect();
    sets.sort();
    let later = |sets: &[(Date, Vec<usize>)]| -> BTreeSet<usize> {
        let waits = sets.iter().flat_map(|(_, tied)| tied.iter().copied());
        waits.chain((0..work.tasks.len()).filter(|task| !cut.contains(task))).collect()
    };
    let is_too_much = |sets: &[(Date, Vec<usize>)]| {
        let due = |task: usize| work.tasks[task].due;
        let later = later(sets).into_iter().filter_map(due).collect();
        let all = (0..work.tasks.len()).filter_map(due).collect();
        !are_hands_enough(shop, tomorrow, later) || !are_hands_enough(shop, date, all)
    };
    let mut first = 0;
    while first < sets.len() && is_too_much(&sets[first..]) {
        first += 1;
    }
    let waits = sets.split_off(first).into_iter();
    waits.flat_map(|(by, tied)| tied.into_iter().map(move |task| (task, by))).collect()
}

/// Whether so many frames can all be made from a day on, each by its own: what is overdue
/// on that day.
fn are_hands_enough(shop: &Shop, from: Date, mut due: Vec<Date>) -> bool {
    let days = &shop.settings.days;
    let Some(each) = days.frames_a_day.map(u64::from) else { return true };
    due.sort_unstable();
    let mut open = days.open.next(from);
    let (mut made, mut by_then) = (0, 0);
    due.into_iter().all(|due| {
        while let Some(day) = open.filter(|day| *day <= due || made == 0) {
            made += each;
            open = day.tomorrow().ok().and_then(|day| days.open.next(day));
        }
        by_then += 1;
        by_then <= made
    })
}

/// Takes tasks that wait out of what is cut in any case, all of their mouldings: how they
/// would be cut. Those that use up no more today than `later` do not wait.
pub(crate) fn put_off(
    (shop, work): (&Shop, &Work),
    decided: &mut Decided,
    patient: &mut BTreeMap<usize, Date>,
) -> Vec<Batch> {
    let tasks: Vec<usize> = patient.keys().copied().collect();
    let mut batches = packed(decided, work, &tasks);
    if let Some(later) = shop.settings.days.later {
        let is_dear = |batch: &&Batch| uses_more(shop, batch, later);
        let dear: BTreeSet<&String> =
            batches.iter().filter(is_dear).map(|batch| &batch.moulding).collect();
        let sets: Vec<BTreeSet<String>> =
            tasks.iter().map(|task| work.mouldings(&[*task])).collect();
        for tied in connected(&sets) {
            let mut of = tied.iter().flat_map(|place| &sets[*place]);
            if !of.any(|id| dear.contains(id)) {
                let cheap: BTreeSet<usize> = tied.iter().map(|place| tasks[*place]).collect();
                patient.retain(|task, _| !cheap.contains(task));
            }
        }
        let left: Vec<usize> = patient.keys().copied().collect();
        let waits = work.mouldings(&left);
        batches.retain(|batch| waits.contains(&batch.moulding));
    }
    let tasks: Vec<usize> = patient.keys().copied().collect();
    let counts = count(work, &tasks);
    decided.common.retain(|class, _| !counts.contains_key(class));
    batches
}

/// Whether a batch uses up more of its moulding than its rails are expected to later.
fn uses_more(shop: &Shop, batch: &Batch, later: u32) -> bool {
    let rails = batch.fit.demands.iter().flat_map(|demand| {
        let count = i128::from(demand.count);
        demand.ask.rails.iter().map(move |rail| i128::from(rail.long_point.nm()) * count)
    });
    let (amount, per) = shop.moulding(&batch.moulding).rate();
    let used_up = i128::from(batch.fit.used_up.0) * i128::from(per.nm()) * 1000;
    used_up > rails.sum::<i128>() * i128::from(amount.0) * i128::from(later)
}

/// How these tasks are cut, all of their mouldings.
fn packed(decided: &mut Decided, work: &Work, tasks: &[usize]) -> Vec<Batch> {
    let (counts, owners) = (count(work, tasks), owners(work, tasks));
    let batch = |(moulding, counts): (String, Counts)| {
        let packing = decided.packings.get_mut(&moulding).expect("every moulding is packed");
        let fit = packing.sharp(&counts).expect("it was packed before");
        Batch {
            free: None,
            places: packing.places.clone(),
            sources: packing.sources.clone(),
            owners: fit.owners(owners.get(&moulding)),
            bound: fit.bound,
            proven: fit.proven,
            moulding,
            fit,
        }
    };
    asked_by(&work.classes, &counts).into_iter().map(batch).collect()
}
