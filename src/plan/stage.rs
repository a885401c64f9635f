//! One half of the plan: which of the frames are cut from these sticks, and how.
//!
//! A moulding of which there is enough for every frame decides nothing; frames
//! of such mouldings alone are cut in any case. What is left is decided in
//! contests, one for each set of mouldings that the remaining frames tie
//! together.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use jiff::civil::Date;

use super::choose::{Asked, Choice, Contest, Decision, add};
use super::feasible::bench;
use super::lots::Placed;
use super::packing::{Fit, Packed, Packing};
use super::work::Work;
use crate::cutting::Source;
use crate::measure::Worth;
use crate::shop::Shop;
use crate::solve::Limits;

/// What was decided for some frames and the sticks they compete for.
pub(super) struct Stage {
    /// The frames that are not cut, as indices into the work's tasks, with the
    /// mouldings that lack for them.
    pub unserved: Vec<(usize, Vec<String>)>,
    pub batches: Vec<Batch>,
    /// The sticks, by moulding, that stay untouched.
    pub untouched: BTreeMap<String, Vec<Placed>>,
}

/// One moulding's packing, ready to be laid out.
pub(super) struct Batch {
    pub moulding: String,
    pub fit: Rc<Fit>,
    /// The same frames with every rail from any stick, where a rule is in force.
    pub free: Option<Rc<Fit>>,
    pub places: Vec<Option<usize>>,
    pub sources: Vec<Source>,
    /// For each demand of the packing, the tasks that it serves.
    pub owners: Vec<Vec<usize>>,
    /// What every plan that serves the dates as well uses up at least.
    pub bound: Worth,
    /// Whether no plan is better.
    pub proven: bool,
}

impl Stage {
    /// Decides which of the `tasks` are cut from the `racks`, and packs them.
    pub fn decide(
        shop: &Shop,
        work: &Work,
        tasks: &[usize],
        racks: BTreeMap<String, Vec<Placed>>,
        limits: Limits,
    ) -> Stage {
        let packing = |(id, rack): (&String, &Vec<Placed>)| {
            let bench = bench(shop, shop.moulding(id));
            (id.clone(), Packing::new(bench, &work.asks[id], rack.clone(), limits))
        };
        let mut packings: BTreeMap<String, Packing> = racks.iter().map(packing).collect();
        let (certain, contested) = certain(work, tasks, &mut packings);
        let mut served: Choice = count(work, &certain);
        let mut base = Asked::new();
        add(&mut base, &work.classes, &served);
        let mut verdicts: BTreeMap<String, (bool, Worth)> = BTreeMap::new();
        for tasks in tied(work, &contested) {
            let decision = contest(work, &tasks, &base, &mut packings);
            for (moulding, bound) in &decision.bounds {
                verdicts.insert(moulding.clone(), (decision.best, *bound));
            }
            for (class, count) in decision.choice {
                *served.entry(class).or_default() += count;
            }
        }
        let (cut, rest) = share_out(work, tasks, &served);
        let mut asked = Asked::new();
        add(&mut asked, &work.classes, &served);
        let unserved = rest
            .into_iter()
            .map(|task| (task, lacking(work, work.tasks[task].class, &asked, &mut packings)))
            .collect();
        let batches: Vec<Batch> = asked
            .into_iter()
            .map(|(moulding, counts)| {
                let packing = packings.get_mut(&moulding).expect("every moulding is packed");
                let Packed::Fits(fit) = packing.pack(&counts) else {
                    unreachable!("what was chosen was packed");
                };
                let (best, bound) = verdicts.get(&moulding).copied().unwrap_or((true, fit.bound));
                let proven = best && fit.proven;
                Batch {
                    free: packing.pack_freely(&counts),
                    places: packing.places.clone(),
                    sources: packing.sources.clone(),
                    owners: owners(work, &cut, &moulding, &fit),
                    bound: if proven { fit.used_up } else { bound.min(fit.bound) },
                    proven,
                    moulding,
                    fit,
                }
            })
            .collect();
        let untouched = untouched(racks, &batches);
        Stage { unserved, batches, untouched }
    }
}

fn count(work: &Work, tasks: &[usize]) -> Choice {
    let mut counts = Choice::new();
    for task in tasks {
        *counts.entry(work.tasks[*task].class).or_default() += 1;
    }
    counts
}

/// The tasks whose mouldings all suffice for everyone, and the others.
fn certain(
    work: &Work,
    tasks: &[usize],
    packings: &mut BTreeMap<String, Packing>,
) -> (Vec<usize>, Vec<usize>) {
    let mut all = Asked::new();
    add(&mut all, &work.classes, &count(work, tasks));
    let ample: BTreeSet<&String> = all
        .iter()
        .filter(|(moulding, counts)| {
            let packing = packings.get_mut(*moulding).expect("every moulding is packed");
            packing.has_room(counts)
        })
        .map(|(moulding, _)| moulding)
        .collect();
    let is_certain = |task: &usize| {
        work.classes[work.tasks[*task].class]
            .layers
            .iter()
            .all(|layer| ample.contains(&layer.moulding))
    };
    tasks.iter().partition(|task| is_certain(task))
}

fn contest(
    work: &Work,
    tasks: &[usize],
    base: &Asked,
    packings: &mut BTreeMap<String, Packing>,
) -> Decision {
    let layers = tasks.iter().flat_map(|task| &work.classes[work.tasks[*task].class].layers);
    let base = layers
        .map(|layer| {
            (layer.moulding.clone(), base.get(&layer.moulding).cloned().unwrap_or_default())
        })
        .collect();
    Contest { classes: &work.classes, packings, base: &base, dates: by_date(work, tasks) }.decide()
}

fn by_date(work: &Work, tasks: &[usize]) -> Vec<(Option<Date>, Choice)> {
    let mut dates: Vec<(Option<Date>, Choice)> = Vec::new();
    for task in tasks.iter().map(|task| &work.tasks[*task]) {
        if dates.last().is_none_or(|(due, _)| *due != task.due) {
            dates.push((task.due, Choice::new()));
        }
        let (_, wanted) = dates.last_mut().expect("just pushed");
        *wanted.entry(task.class).or_default() += 1;
    }
    dates
}

/// Tasks in sets that share no moulding, each in the order given.
fn tied(work: &Work, tasks: &[usize]) -> Vec<Vec<usize>> {
    let layers = |task: usize| &work.classes[work.tasks[task].class].layers;
    let mut leaders: BTreeMap<&str, &str> = BTreeMap::new();
    for task in tasks {
        let first = leader(&leaders, &layers(*task)[0].moulding);
        for layer in layers(*task) {
            leaders.insert(leader(&leaders, &layer.moulding), first);
        }
    }
    let mut sets: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for task in tasks {
        sets.entry(leader(&leaders, &layers(*task)[0].moulding)).or_default().push(*task);
    }
    sets.into_values().collect()
}

/// Follows a moulding to the one that stands for its set.
fn leader<'m>(leaders: &BTreeMap<&'m str, &'m str>, moulding: &'m str) -> &'m str {
    let mut at = moulding;
    while let Some(next) = leaders.get(at).filter(|next| **next != at) {
        at = next;
    }
    at
}

/// Hands what was chosen to the tasks, which stand earliest due first: those
/// that are cut, and the rest.
fn share_out(work: &Work, tasks: &[usize], chosen: &Choice) -> (Vec<usize>, Vec<usize>) {
    let mut left = chosen.clone();
    tasks.iter().partition(|task| match left.get_mut(&work.tasks[**task].class) {
        Some(count) if *count > 0 => {
            *count -= 1;
            true
        }
        _ => false,
    })
}

/// The mouldings that have not enough left for one more frame of this class.
fn lacking(
    work: &Work,
    class: usize,
    asked: &Asked,
    packings: &mut BTreeMap<String, Packing>,
) -> Vec<String> {
    let layers = &work.classes[class].layers;
    let mut lacking = BTreeSet::new();
    for layer in layers {
        let mut more = asked.get(&layer.moulding).cloned().unwrap_or_default();
        *more.entry(layer.ask).or_default() += 1;
        let packing = packings.get_mut(&layer.moulding).expect("every moulding is packed");
        if !packing.has_room(&more) {
            lacking.insert(layer.moulding.clone());
        }
    }
    if lacking.is_empty() {
        lacking.extend(layers.iter().map(|layer| layer.moulding.clone()));
    }
    lacking.into_iter().collect()
}

/// For each demand of a packing, the tasks that it serves, in order: where one
/// ask is shared out over lots, the earliest tasks to the first lot.
fn owners(work: &Work, cut: &[usize], moulding: &str, fit: &Fit) -> Vec<Vec<usize>> {
    let mut by_ask: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for task in cut {
        for layer in &work.classes[work.tasks[*task].class].layers {
            if layer.moulding == moulding {
                by_ask.entry(layer.ask).or_default().push(*task);
            }
        }
    }
    let mut hand_out = |(of, count): (&usize, u32)| {
        let owners = by_ask.get_mut(of).expect("what is cut was counted");
        owners.drain(..count as usize).collect()
    };
    fit.of.iter().zip(&fit.demands).map(|(of, demand)| hand_out((of, demand.count))).collect()
}

fn untouched(
    mut racks: BTreeMap<String, Vec<Placed>>,
    batches: &[Batch],
) -> BTreeMap<String, Vec<Placed>> {
    for batch in batches {
        let touched: BTreeSet<Option<usize>> = batch
            .fit
            .posed
            .touched(&batch.fit.solution)
            .map(|source| batch.places[source])
            .collect();
        racks
            .entry(batch.moulding.clone())
            .or_default()
            .retain(|(place, _)| !touched.contains(place));
    }
    racks
}
