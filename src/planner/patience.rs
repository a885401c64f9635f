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
//! not, it would have to be shown that what is left does for these; and a price for what
//! is left to later would be a guess that no proof of the day covers. So nothing of the
//! plan's proof changes: it is that of a pile without the frames that wait.
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

/// Takes tasks out of what is cut in any case, all of their mouldings: how they would be
/// cut.
pub(crate) fn put_off(decided: &mut Decided, work: &Work, tasks: &[usize]) -> Vec<Batch> {
    let (counts, owners) = (count(work, tasks), owners(work, tasks));
    decided.common.retain(|class, _| !counts.contains_key(class));
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
