//! One half of the plan: which of the frames are cut from these sticks, and how.
//!
//! A moulding of which there is enough for every frame decides nothing; frames
//! of such mouldings alone are cut in any case. What is left is decided in
//! contests, one for each set of mouldings that the remaining frames tie
//! together.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

use rayon::prelude::*;

use super::choice::{Asked, Decision, FrameChoice, Pick, asked_by, join, side_by_side};
use super::choose::choose;
use super::connected::connected;
use super::effort::Effort;
use super::feasible::bench;
use super::lots::Placed;
use super::packing::{Counts, Fit, Packing, Sufficiency};
use super::purse::Purse;
use super::work::{ClassLayer, Work};
use crate::cutting::Source;
use crate::measure::Worth;
use crate::shop::Shop;

/// What was decided for some frames and the sticks they compete for.
pub(crate) struct Stage {
    /// The frames that are not cut, as indices into the work's tasks, with the
    /// mouldings that lack for them.
    pub unserved: Vec<Unserved>,
    pub batches: Vec<Batch>,
    /// The sticks, by moulding, that stay untouched.
    pub untouched: BTreeMap<String, Vec<Placed>>,
    /// The mouldings of which nothing is cut, though a longer search might have
    /// found that something can be.
    pub unsettled: Vec<String>,
    /// The steps that were not needed.
    pub left: u64,
}

/// A task that is not cut, with the mouldings that lack for it.
pub(crate) type Unserved = (usize, Vec<String>);

/// One moulding's packing, ready to be laid out.
pub(crate) struct Batch {
    pub moulding: String,
    pub fit: Arc<Fit>,
    /// The same frames with every rail from any stick, where a rule is in force.
    pub free: Option<Arc<Fit>>,
    pub places: Vec<Option<usize>>,
    pub sources: Vec<Source>,
    /// For each demand of the packing, the tasks that it serves.
    pub owners: Vec<Vec<usize>>,
    /// What every plan that serves the dates as well uses up at least.
    pub bound: Worth,
    /// Whether no plan is better.
    pub proven: bool,
}

/// Which frames are cut, before it is settled how.
pub(crate) struct Decided<'a> {
    racks: BTreeMap<String, Vec<Placed>>,
    pub packings: BTreeMap<String, Packing<'a>>,
    /// What is cut in any case.
    pub common: FrameChoice,
    /// What else is cut: the first of the choices of each.
    pub picks: Vec<Pick>,
    /// See [`Decision::verdicts`].
    pub verdicts: BTreeMap<String, (bool, Worth)>,
    purse: Purse,
    effort: Effort<'a>,
}

impl Stage {
    /// Decides which of the `tasks` are cut from the `racks`, and packs them.
    pub fn decide(
        shop: &Shop,
        work: &Work,
        tasks: &[usize],
        racks: BTreeMap<String, Vec<Placed>>,
        effort: Effort,
    ) -> Stage {
        let decided = Decided::new(shop, work, tasks, racks, &BTreeMap::new(), effort);
        decided.stage(work, tasks, BTreeMap::new())
    }
}

impl<'a> Decided<'a> {
    /// Decides which of the `tasks` are cut from the `racks`, or kept from them
    /// and from what comes `later`.
    pub fn new(
        shop: &'a Shop,
        work: &'a Work,
        tasks: &[usize],
        racks: BTreeMap<String, Vec<Placed>>,
        later: &BTreeMap<String, Vec<Source>>,
        effort: Effort<'a>,
    ) -> Decided<'a> {
        let packing = |(id, rack): (&String, &Vec<Placed>)| {
            let bench = bench(shop, shop.moulding(id));
            let own = effort.with_purse(0);
            let packing = Packing::new(bench, &work.asks[id], rack.clone(), own);
            (id.clone(), packing.with_later(later.get(id).cloned().unwrap_or_default()))
        };
        let mut packings: BTreeMap<String, Packing> = racks.iter().map(packing).collect();
        let mut purse = Purse(effort.purse());
        effort.tell(0, packings.len());
        let all = asked_by(&work.classes, &count(work, tasks));
        purse.hand_out(3, &mut packings, |id| weight(all.get(id)));
        let (certain, contested) = certain(work, tasks, &all, &mut packings);
        purse.collect(&mut packings);
        let mut common: FrameChoice = count(work, &certain);
        let base = asked_by(&work.classes, &common);
        let open = asked_by(&work.classes, &count(work, &contested));
        purse.hand_out(2, &mut packings, |id| weight(open.get(id)));
        let (mut picks, mut verdicts) = (Vec::new(), BTreeMap::new());
        for decision in contests(work, &contested, &base, &mut packings) {
            join(&mut common, &decision.common);
            picks.extend(decision.picks);
            verdicts.extend(decision.verdicts);
        }
        purse.collect(&mut packings);
        let mut decided = Decided { racks, packings, common, picks, verdicts, purse, effort };
        decided.sharpen(work);
        decided
    }

    /// What is asked of each moulding by the frames that are cut.
    fn asked(&self, work: &Work) -> Asked {
        asked_by(&work.classes, &self.served())
    }

    /// Gives the packings a part of the steps that are left, to ask them more.
    pub fn begin_asking(&mut self) {
        self.purse.hand_out(4, &mut self.packings, |_| 1);
    }

    /// Takes back what they have left of it; how much there is in all.
    pub fn end_asking(&mut self) -> u64 {
        self.purse.collect(&mut self.packings);
        self.purse.0
    }

    /// Packs what is cut as well as can be: first with an equal part of the steps
    /// for each moulding that is open, then with what the others have left.
    fn sharpen(&mut self, work: &Work) {
        let asked = self.asked(work);
        for parts in [2, 1] {
            let is_open = |id: &str| {
                let counts = asked.get(id).filter(|counts| !counts.is_empty());
                counts.is_some_and(|counts| !self.packings[id].is_settled(counts))
            };
            let open: BTreeSet<String> =
                self.packings.keys().filter(|id| is_open(id)).cloned().collect();
            self.purse.hand_out(parts, &mut self.packings, |id| u64::from(open.contains(id)));
            let done = AtomicUsize::new(asked.len().saturating_sub(open.len()));
            self.effort.tell(done.load(Relaxed), asked.len());
            self.packings.par_iter_mut().for_each(|(id, packing)| {
                if open.contains(id) {
                    packing.sharp(&asked[id]);
                    self.effort.tell(done.fetch_add(1, Relaxed) + 1, asked.len());
                }
            });
            self.purse.collect(&mut self.packings);
        }
        while let Some(lost) = self.lost(work) {
            self.give_up(work, &lost);
        }
    }

    /// A moulding of which no way to cut what was chosen is found again, since the
    /// search was cut off.
    fn lost(&mut self, work: &Work) -> Option<String> {
        let asked = self.asked(work);
        let mut packed = self.packings.iter_mut().filter_map(|(id, packing)| {
            let counts = asked.get(id)?;
            packing.sharp(counts).is_none().then(|| id.clone())
        });
        packed.next()
    }

    /// Cuts none of the frames that take from a moulding.
    fn give_up(&mut self, work: &Work, lost: &str) {
        let takes =
            |class: &usize| work.classes[*class].layers.iter().any(|layer| layer.moulding == lost);
        let touched = asked_by(&work.classes, &self.common);
        self.common.retain(|class, _| !takes(class));
        for pick in &mut self.picks {
            pick.choices.truncate(1);
            pick.choices[0].retain(|class, _| !takes(class));
            pick.whole = false;
        }
        let doubtful = touched.into_keys().chain([lost.to_owned()]);
        self.verdicts.extend(doubtful.map(|id| (id, (false, Worth(0)))));
    }

    /// How many of each class are cut or kept.
    pub fn served(&self) -> FrameChoice {
        let mut served = self.common.clone();
        self.picks.iter().for_each(|pick| join(&mut served, &pick.choices[0]));
        served
    }

    /// Packs what is cut, or takes it as it is packed in `fits`, by moulding.
    pub fn stage(
        mut self,
        work: &Work,
        tasks: &[usize],
        fits: BTreeMap<String, Arc<Fit>>,
    ) -> Stage {
        let asked = self.asked(work);
        let (mut cut, mut rest) = share_out(work, tasks, &self.served());
        cut.retain(|task| !work.tasks[*task].keeps);
        rest.retain(|task| !work.tasks[*task].keeps);
        let wanted = asked_by(&work.classes, &count(work, &rest));
        self.purse.hand_out(4, &mut self.packings, |id| weight(wanted.get(id)));
        let lack = lacks(work, &rest, &asked, &mut self.packings);
        self.purse.collect(&mut self.packings);
        let unserved = rest
            .into_iter()
            .map(|task| (task, lacking(&work.classes[work.tasks[task].class].layers, &lack)))
            .collect();
        let verdicts = self.verdicts;
        let is_unsettled = |id: &&String| {
            verdicts.get(*id) == Some(&(false, Worth(0))) && !asked.contains_key(*id)
        };
        let unsettled = wanted.keys().filter(is_unsettled).cloned().collect();
        let owners = owners(work, &cut);
        let batches: Vec<Batch> = self
            .packings
            .par_iter_mut()
            .filter_map(|(moulding, packing)| {
                let counts = asked.get(moulding)?;
                if packing.cut_and_kept(counts).0.is_empty() {
                    return None;
                }
                let given = fits.get(moulding).cloned();
                let fit = given.or_else(|| packing.sharp(counts)).expect("it was packed before");
                let free = packing.pack_freely(counts);
                let (best, bound) = verdicts.get(moulding).copied().unwrap_or((true, fit.bound));
                let bound = bound.min(fit.bound);
                // Of a doubtful moulding no bound is known.
                let is_met = bound == fit.used_up && bound > Worth(0);
                let proven = (best && fit.proven) || is_met;
                Some(Batch {
                    free,
                    places: packing.places.clone(),
                    sources: packing.sources.clone(),
                    owners: fit.owners(owners.get(moulding)),
                    bound: if proven { fit.used_up } else { bound },
                    proven,
                    moulding: moulding.clone(),
                    fit,
                })
            })
            .collect();
        let untouched = untouched(self.racks, &batches);
        Stage { unserved, batches, untouched, unsettled, left: self.purse.0 }
    }
}

/// What counts when steps are shared out: how much is asked of a moulding.
fn weight(asked: Option<&Counts>) -> u64 {
    let frames = |counts: &Counts| counts.values().map(|count| u64::from(*count)).sum::<u64>();
    asked.map_or(0, |counts| frames(counts) + 4)
}

/// How many tasks there are of each class.
pub(crate) fn count(work: &Work, tasks: &[usize]) -> FrameChoice {
    let mut counts = FrameChoice::new();
    for task in tasks {
        *counts.entry(work.tasks[*task].class).or_default() += 1;
    }
    counts
}

/// The tasks whose mouldings all suffice for everyone, and the others.
fn certain(
    work: &Work,
    tasks: &[usize],
    all: &Asked,
    packings: &mut BTreeMap<String, Packing>,
) -> (Vec<usize>, Vec<usize>) {
    let has_room = |(id, packing): (&String, &mut Packing)| {
        packing.room_for_all(all.get(id)?).then(|| id.clone())
    };
    let ample: BTreeSet<String> = packings.par_iter_mut().filter_map(has_room).collect();
    tasks.iter().partition(|task| work.mouldings(&[**task]).is_subset(&ample))
}

/// Decides every contest, each by itself.
fn contests(
    work: &Work,
    contested: &[usize],
    base: &Asked,
    packings: &mut BTreeMap<String, Packing>,
) -> Vec<Decision> {
    let sets: Vec<BTreeSet<String>> =
        contested.iter().map(|task| work.mouldings(&[*task])).collect();
    let contest = |places: Vec<usize>| {
        let mouldings: BTreeSet<String> =
            places.iter().flat_map(|place| &sets[*place]).cloned().collect();
        let of = |id: &String| Some((id.clone(), base.get(id)?.clone()));
        let base = mouldings.iter().filter_map(of).collect();
        let tasks: Vec<usize> = places.into_iter().map(|place| contested[place]).collect();
        (mouldings, (base, by_turn(work, &tasks)))
    };
    let contests = connected(&sets).into_iter().map(contest).collect();
    side_by_side(packings, contests, |(base, turns), packings| {
        choose(&work.classes, packings, base, turns)
    })
}

/// The tasks, the most urgent first, in sets that are equally urgent: how many
/// of which class.
fn by_turn(work: &Work, tasks: &[usize]) -> Vec<FrameChoice> {
    let turn = |task: &usize| work.tasks[*task].turn();
    let equals = tasks.chunk_by(|one, other| turn(one) == turn(other));
    equals.map(|tasks| count(work, tasks)).collect()
}

/// Hands what was chosen to the tasks, which stand most urgent first: those
/// that are cut, and the rest.
pub(crate) fn share_out(
    work: &Work,
    tasks: &[usize],
    chosen: &FrameChoice,
) -> (Vec<usize>, Vec<usize>) {
    let mut left = chosen.clone();
    tasks.iter().partition(|task| match left.get_mut(&work.tasks[**task].class) {
        Some(count) if *count > 0 => {
            *count -= 1;
            true
        }
        _ => false,
    })
}

/// For each moulding, the asks of tasks not cut of which it has not room for one
/// more.
fn lacks(
    work: &Work,
    rest: &[usize],
    asked: &Asked,
    packings: &mut BTreeMap<String, Packing>,
) -> BTreeMap<String, BTreeSet<usize>> {
    let mut wanted: BTreeMap<&String, BTreeSet<usize>> = BTreeMap::new();
    for layer in rest.iter().flat_map(|task| &work.classes[work.tasks[*task].class].layers) {
        wanted.entry(&layer.moulding).or_default().insert(layer.ask);
    }
    let lack = |(moulding, packing): (&String, &mut Packing)| {
        let lacks = |ask: &usize| {
            let mut more = asked.get(moulding).cloned().unwrap_or_default();
            *more.entry(*ask).or_default() += 1;
            packing.room(&more) != Sufficiency::Ample
        };
        let asks = wanted.get(moulding)?.iter().copied().filter(lacks).collect();
        Some((moulding.clone(), asks))
    };
    packings.par_iter_mut().filter_map(lack).collect()
}

/// The mouldings of these layers that have not enough left for one more of them.
fn lacking(layers: &[ClassLayer], lack: &BTreeMap<String, BTreeSet<usize>>) -> Vec<String> {
    let lacks = |layer: &&ClassLayer| lack[&layer.moulding].contains(&layer.ask);
    let lacking: BTreeSet<&String> =
        layers.iter().filter(lacks).map(|layer| &layer.moulding).collect();
    let all = layers.iter().map(|layer| &layer.moulding);
    let named = if lacking.is_empty() { all.collect() } else { lacking };
    named.into_iter().cloned().collect()
}

/// For each moulding, and each ask of it, the tasks that ask for it, in order.
pub(crate) fn owners<'a>(
    work: &'a Work,
    cut: &[usize],
) -> BTreeMap<&'a String, BTreeMap<usize, Vec<usize>>> {
    let mut owners: BTreeMap<&String, BTreeMap<usize, Vec<usize>>> = BTreeMap::new();
    for task in cut {
        for layer in &work.classes[work.tasks[*task].class].layers {
            let of = owners.entry(&layer.moulding).or_default();
            of.entry(layer.ask).or_default().push(*task);
        }
    }
    owners
}

fn untouched(
    mut racks: BTreeMap<String, Vec<Placed>>,
    batches: &[Batch],
) -> BTreeMap<String, Vec<Placed>> {
    for Batch { moulding, fit, places, .. } in batches {
        let touched = fit.posed.touched(&fit.solution).map(|source| places[source]);
        let touched: BTreeSet<Option<usize>> = touched.collect();
        let rack = racks.entry(moulding.clone()).or_default();
        rack.retain(|(place, _)| !touched.contains(place));
    }
    racks
}
