//! What is kept for frames that wait, so that no frame with a later date makes
//! them late.
//!
//! A frame that is not cut has its day (`elsewhere`). Where what is decided for
//! frames after it leaves too little for that day, its layers that must come from
//! what is at hand are kept: they take part at its own turn, after what is cut of
//! that date, and it is decided anew. One date after the other, until what is
//! decided leaves enough for all.
//!
//! # Why what is kept is a task
//!
//! A frame that waits for one layer must not lose another to a frame after it, but
//! only if it would be late by that, and that hangs on what all frames before it
//! take. So it is decided first as if nothing were kept. Then, date by date, each
//! frame that is not cut has its day worked out (`elsewhere`) from suppliers and from
//! what is decided for the frames up to it; where what is decided for later ones does
//! not leave enough, the layers take part in the contests at their own turn, under a
//! number of their own, and it is decided anew. Mostly nothing is kept and nothing is
//! decided twice. A moulding's packing with something kept (`keeping`) is the best
//! for what is cut, if what that leaves does; else sticks are shortened until it
//! does, and it is proven only if it uses up as little. A frame that might have been
//! cut in place of another of its date, and for which something is kept, leaves its
//! mouldings unproven.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::choice::{Asked, Packings, add, asked_by, sum};
use super::effort::Effort;
use super::elsewhere::Elsewhere;
use super::feasible::bench;
use super::lots::{Placed, coming};
use super::packing::{Counts, Packing, Sufficiency};
use super::stage::{Decided, Unserved, count, share_out};
use super::work::{Class, ClassLayer, Task, Work};
use crate::cutting::Source;
use crate::measure::Worth;
use crate::shop::Shop;

/// After so many rounds what is kept is no longer looked at date by date.
const MOST_ROUNDS: usize = 40;

/// What is at hand besides the sticks that frames are cut from: sticks that come
/// on some day, by moulding.
pub(crate) type Later = BTreeMap<String, Vec<(Option<Date>, Source)>>;

/// What is on order of these mouldings.
pub(crate) fn to_come(shop: &Shop, ids: &BTreeSet<String>) -> Later {
    let mut coming = coming(shop);
    let of = |id: &String| {
        let one = |(place, source): Placed| {
            let stick = place.map(|place| shop.stick(place).id.as_str());
            let coming = stick.and_then(|stick| shop.coming_stick(stick));
            (coming.and_then(|coming| coming.arrives), source)
        };
        let sticks = coming.remove(id.as_str())?;
        Some((id.clone(), sticks.into_iter().map(one).collect::<Vec<_>>()))
    };
    ids.iter().filter_map(of).collect()
}

/// What is kept, and how it came to that.
pub(crate) struct Keeping<'a> {
    shop: &'a Shop,
    work: &'a Work,
    elsewhere: &'a Elsewhere<'a>,
    racks: BTreeMap<String, Vec<Placed>>,
    later: Later,
    effort: Effort<'a>,
    /// The tasks that are looked at, the most urgent first.
    all: Vec<usize>,
    /// For each task whose layers are kept which they are.
    kept: BTreeMap<usize, Vec<ClassLayer>>,
    /// Tasks for which nothing could be kept.
    lost: BTreeSet<usize>,
    /// The mouldings of frames that might have been cut in place of others.
    doubtful: BTreeSet<String>,
    rounds: usize,
    /// The steps for what is decided next: all at first, then what is left and
    /// half as many more as before.
    purse: u64,
    more: u64,
}

impl<'a> Keeping<'a> {
    /// Keeps nothing yet for `all` the tasks, of which some may be cut from the
    /// `racks`.
    pub fn new(
        (shop, work): (&'a Shop, &'a Work),
        elsewhere: &'a Elsewhere<'a>,
        all: Vec<usize>,
        (racks, later): (BTreeMap<String, Vec<Placed>>, Later),
        effort: Effort<'a>,
    ) -> Self {
        let (kept, lost, doubtful) = Default::default();
        let (rounds, purse, more) = (0, effort.purse(), effort.purse());
        Keeping {
            shop,
            work,
            elsewhere,
            racks,
            later,
            effort,
            all,
            kept,
            lost,
            doubtful,
            rounds,
            purse,
            more,
        }
    }

    /// The work with what is kept as tasks of its own, and those of these `tasks`
    /// that may be cut, with them.
    pub fn work(&self, tasks: &[usize]) -> (Work, Vec<usize>) {
        let mut with = self.work.clone();
        let open = tasks.iter().copied().filter(|task| !self.kept.contains_key(task));
        let mut all: Vec<usize> = open.collect();
        for (task, layers) in &self.kept {
            let class = Class { layers: self.numbered(layers) };
            let known = with.classes.iter().position(|other| *other == class);
            let class = known.unwrap_or_else(|| {
                with.classes.push(class);
                with.classes.len() - 1
            });
            all.push(with.tasks.len());
            with.tasks.push(Task { class, keeps: true, ..self.work.tasks[*task] });
        }
        all.sort_by_key(|task| with.tasks[*task].urgency());
        (with, all)
    }

    /// Which of the tasks are cut from what there is.
    pub fn decide<'w>(&self, with: &'w Work, tasks: &[usize]) -> Decided<'w>
    where
        'a: 'w,
    {
        let plain = |all: &Vec<(Option<Date>, Source)>| {
            all.iter().map(|(_, source)| source.clone()).collect()
        };
        let later = self.later.iter().map(|(id, all)| (id.clone(), plain(all))).collect();
        let effort = self.effort.with_purse(self.purse);
        Decided::new(self.shop, with, tasks, self.racks.clone(), &later, effort)
    }

    /// Looks at what was decided. Whether something else is kept now, so that it
    /// must be decided anew.
    pub fn changes(&mut self, with: &Work, tasks: &[usize], decided: &mut Decided) -> bool {
        decided.begin_asking();
        let changes = self.looks(with, tasks, decided);
        self.more /= 2;
        self.purse = decided.end_asking().saturating_add(self.more);
        changes
    }

    fn looks(&mut self, with: &Work, tasks: &[usize], decided: &mut Decided) -> bool {
        self.rounds += 1;
        let served = decided.served();
        let (cut, rest) = share_out(with, tasks, &served);
        if self.loses(with, &rest) {
            return true;
        }
        let cut: BTreeSet<usize> = cut.into_iter().collect();
        let mut all = asked_by(&with.classes, &served);
        let mut held = Asked::new();
        let mut changed = false;
        let open = self.all.clone();
        for date in open.chunk_by(|a, b| self.work.tasks[*a].turn() == self.work.tasks[*b].turn()) {
            let of_date: Vec<usize> = date.iter().copied().filter(|t| cut.contains(t)).collect();
            add(&mut held, &with.classes, &count(with, &of_date));
            date.iter()
                .filter_map(|task| self.kept.get(task))
                .for_each(|l| self.hold(&mut held, l));
            for task in date.iter().filter(|task| !cut.contains(task)) {
                if !self.kept.contains_key(task) && !self.lost.contains(task) {
                    changed |= self.keep(*task, &mut decided.packings, (&mut held, &mut all));
                }
            }
            if changed && self.rounds < MOST_ROUNDS {
                break;
            }
        }
        changed && self.rounds < 2 * MOST_ROUNDS
    }

    /// The tasks that something is kept for, with the mouldings that lack for them.
    pub fn waiting(&self) -> impl Iterator<Item = Unserved> + '_ {
        let of = |(task, need): (&usize, &Vec<ClassLayer>)| {
            let layers = &self.work.classes[self.work.tasks[*task].class].layers;
            let is_kept = |id: &String| need.iter().any(|layer| layer.moulding == *id);
            let all = || layers.iter().map(|layer| layer.moulding.clone());
            let lacking: BTreeSet<String> = all().filter(|id| !is_kept(id)).collect();
            let lacking = if lacking.is_empty() { all().collect() } else { lacking };
            (*task, lacking.into_iter().collect())
        };
        self.kept.iter().map(of)
    }

    /// What is known no longer since something is kept: a frame for which it is
    /// might have been cut in place of another.
    pub fn doubt(&self, decided: &mut Decided) {
        let doubts = self.doubtful.iter().map(|id| (id.clone(), (false, Worth(0))));
        decided.verdicts.extend(doubts);
    }

    /// Whether some of what was to be kept could not be.
    fn loses(&mut self, with: &Work, rest: &[usize]) -> bool {
        let first = self.work.tasks.len();
        let kept: Vec<usize> = self.kept.keys().copied().collect();
        let lost = rest.iter().filter(|task| with.tasks[**task].keeps);
        let lost: Vec<usize> = lost.map(|task| kept[task - first]).collect();
        lost.iter().for_each(|task| drop(self.kept.remove(task)));
        self.lost.extend(&lost);
        !lost.is_empty()
    }

    /// Keeps what a task needs for its day beside what is `held` for those before
    /// it, if `all` that was decided does not leave it. Whether it does so.
    fn keep(
        &mut self,
        task: usize,
        packings: &mut Packings,
        (held, all): (&mut Asked, &mut Asked),
    ) -> bool {
        let Keeping { shop, work, elsewhere, racks, later, effort, .. } = self;
        let layers = &work.classes[work.tasks[task].class].layers;
        // What is at hand today does not give all of it.
        let at_once = later.is_empty() && !work.is_later(task);
        let own = |id: &str, ask: usize| work.asks[id].len() + ask;
        let room = |need: &[ClassLayer], by: Option<Date>| {
            let mut more = Asked::new();
            for layer in need {
                let counts = more.entry(layer.moulding.clone()).or_default();
                *counts.entry(own(&layer.moulding, layer.ask)).or_default() += 1;
            }
            !(at_once && need.len() == layers.len())
                && more.iter().all(|(id, more)| {
                    let counts = sum(held.get(id), Some(more));
                    let Some(packing) = packings.get_mut(id) else { return false };
                    let coming = later.get(id).map_or(&[][..], Vec::as_slice);
                    let is_late = |(day, _): &&(Option<Date>, Source)| {
                        day.is_some_and(|day| by.is_some_and(|by| by < day))
                    };
                    if !coming.iter().any(|one| is_late(&one)) {
                        return packing.room(&counts) == Sufficiency::Ample;
                    }
                    let in_time = coming.iter().filter(|one| !is_late(one));
                    let in_time = in_time.map(|(_, source)| source.clone()).collect();
                    let (bench, rack) = (bench(shop, shop.moulding(id)), racks[id].clone());
                    let own = effort.with_purse(packing.left());
                    let asked = Packing::new(bench, &work.asks[id], rack, own);
                    let mut asked = asked.with_later(in_time);
                    let room = asked.room(&counts);
                    packing.spend(own.purse() - asked.left());
                    room == Sufficiency::Ample
                })
        };
        let day = elsewhere.day(work, task, room);
        if day.need.is_empty() {
            return false;
        }
        self.hold(held, &day.need);
        let counts =
            |layer: &ClassLayer| (layer.moulding.clone(), all.get(&layer.moulding).cloned());
        let before: BTreeMap<String, Option<Counts>> = day.need.iter().map(counts).collect();
        self.hold(all, &day.need);
        let mut mouldings: BTreeSet<&String> = day.need.iter().map(|l| &l.moulding).collect();
        if mouldings.iter().all(|id| {
            packings.get_mut(*id).is_some_and(|p| p.room(&all[*id]) == Sufficiency::Ample)
        }) {
            return false;
        }
        for (id, counts) in before {
            match counts {
                Some(counts) => drop(all.insert(id, counts)),
                None => drop(all.remove(&id)),
            }
        }
        mouldings.extend(layers.iter().map(|layer| &layer.moulding));
        let is_hopeless = self.work.is_later(task)
            || layers.iter().any(|layer| {
                let one = Counts::from([(layer.ask, 1)]);
                packings
                    .get_mut(&layer.moulding)
                    .is_none_or(|p| p.room(&one) == Sufficiency::Lacking)
            });
        if !is_hopeless {
            self.doubtful.extend(mouldings.into_iter().cloned());
        }
        self.kept.insert(task, day.need);
        true
    }

    fn hold(&self, asked: &mut Asked, layers: &[ClassLayer]) {
        for layer in self.numbered(layers) {
            *asked.entry(layer.moulding).or_default().entry(layer.ask).or_default() += 1;
        }
    }

    /// Layers under the numbers that their asks have where they are kept.
    fn numbered(&self, layers: &[ClassLayer]) -> Vec<ClassLayer> {
        let of = |layer: &ClassLayer| {
            let ask = self.work.asks[&layer.moulding].len() + layer.ask;
            ClassLayer { ask, ..layer.clone() }
        };
        layers.iter().map(of).collect()
    }
}
