//! One half of the plan for mouldings that belong together: which of the frames
//! are cut from these sticks, and how.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use jiff::civil::Date;

use super::choose::{Choice, Contest, Decision, by_moulding};
use super::feasible::{bench, lot_choices};
use super::packing::{Counts, Fit, Packed, Packing, Placed};
use super::work::Work;
use crate::cutting::Source;
use crate::measure::Worth;
use crate::shop::Shop;
use crate::solve::Limits;

/// The lots of a frame's layers, `None` where lots do not matter.
pub(super) type Lots = Vec<Option<u32>>;

/// A frame that is cut, as an index into the work's tasks, and its lots.
pub(super) type Served = (usize, Lots);

/// What was decided for some frames and the sticks they compete for.
pub(super) struct Stage {
    /// The frames that are not cut, with the mouldings that lack for them.
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
        let classes: BTreeSet<usize> = tasks.iter().map(|task| work.tasks[*task].class).collect();
        let packing = |(id, rack): (&String, &Vec<Placed>)| {
            let bench = bench(shop, shop.moulding(id));
            (id.clone(), Packing::new(bench, &work.asks[id], rack.clone(), limits))
        };
        let mut packings: BTreeMap<String, Packing> = racks.iter().map(packing).collect();
        let variants =
            classes.iter().map(|class| (*class, variants(work, *class, &packings))).collect();
        let decision = Contest {
            classes: &work.classes,
            packings: &mut packings,
            variants: &variants,
            dates: by_date(tasks, work),
        }
        .decide();
        let (served, rest) = share_out(tasks, work, &decision.choice);
        let lacking = |task: usize| {
            let lacking =
                lacking(work, work.tasks[task].class, &decision.choice, &variants, &mut packings);
            (task, lacking)
        };
        let unserved = rest.into_iter().map(lacking).collect();
        let batches = batches(work, &decision, &served, &mut packings);
        let untouched = untouched(racks, &batches);
        Stage { unserved, batches, untouched }
    }
}

/// Every choice of lots for the layers of a class.
fn variants(work: &Work, class: usize, packings: &BTreeMap<String, Packing>) -> Vec<Lots> {
    let mut variants: Vec<Lots> = vec![Vec::new()];
    for layer in &work.classes[class].layers {
        let packing = &packings[&layer.moulding];
        let lots = lot_choices(packing.asks[layer.ask].match_, &packing.sources);
        variants = variants
            .into_iter()
            .flat_map(|variant| lots.iter().map(move |lot| [variant.clone(), vec![*lot]].concat()))
            .collect();
    }
    variants
}

fn by_date(tasks: &[usize], work: &Work) -> Vec<(Option<Date>, BTreeMap<usize, u32>)> {
    let mut dates: Vec<(Option<Date>, BTreeMap<usize, u32>)> = Vec::new();
    for task in tasks.iter().map(|task| &work.tasks[*task]) {
        if dates.last().is_none_or(|(due, _)| *due != task.due) {
            dates.push((task.due, BTreeMap::new()));
        }
        let (_, classes) = dates.last_mut().expect("just pushed");
        *classes.entry(task.class).or_default() += 1;
    }
    dates
}

/// Hands the chosen variants to the tasks, which stand earliest due first.
fn share_out(tasks: &[usize], work: &Work, choice: &Choice) -> (Vec<Served>, Vec<usize>) {
    let mut rest = choice.clone();
    let (mut served, mut unserved) = (Vec::new(), Vec::new());
    for task in tasks {
        let class = work.tasks[*task].class;
        match rest.iter_mut().find(|((other, _), count)| *other == class && **count > 0) {
            Some(((_, lots), count)) => {
                *count -= 1;
                served.push((*task, lots.clone()));
            }
            None => unserved.push(*task),
        }
    }
    (served, unserved)
}

/// The mouldings that have not enough left for one more frame of this class.
fn lacking(
    work: &Work,
    class: usize,
    choice: &Choice,
    variants: &BTreeMap<usize, Vec<Lots>>,
    packings: &mut BTreeMap<String, Packing>,
) -> Vec<String> {
    let counts = by_moulding(&work.classes, choice);
    let layers = &work.classes[class].layers;
    let mut lacking = BTreeSet::new();
    for (index, layer) in layers.iter().enumerate() {
        let packing = packings.get_mut(&layer.moulding).expect("every moulding is packed");
        let enough = variants[&class].iter().any(|lots| {
            let mut more = counts.get(&layer.moulding).cloned().unwrap_or_default();
            *more.entry((layer.ask, lots[index])).or_default() += 1;
            matches!(packing.pack(&more), Packed::Fits(_))
        });
        if !enough {
            lacking.insert(layer.moulding.clone());
        }
    }
    if lacking.is_empty() {
        lacking.extend(layers.iter().map(|layer| layer.moulding.clone()));
    }
    lacking.into_iter().collect()
}

fn batches(
    work: &Work,
    decision: &Decision,
    served: &[Served],
    packings: &mut BTreeMap<String, Packing>,
) -> Vec<Batch> {
    let counts = by_moulding(&work.classes, &decision.choice);
    let mut batches = Vec::with_capacity(counts.len());
    for (moulding, counts) in counts {
        let packing = packings.get_mut(&moulding).expect("every moulding is packed");
        let Packed::Fits(fit) = packing.pack(&counts) else {
            unreachable!("what was chosen was packed");
        };
        let bound = decision.bounds[&moulding].min(fit.bound);
        batches.push(Batch {
            free: packing.pack_freely(&counts),
            places: packing.places.clone(),
            sources: packing.sources.clone(),
            owners: owners(work, served, &moulding, &counts),
            proven: false,
            bound,
            moulding,
            fit,
        });
    }
    let used_up: Worth = batches.iter().map(|batch| batch.fit.used_up).sum();
    let best = decision.complete && used_up == decision.bound;
    for batch in &mut batches {
        batch.proven = best && batch.fit.proven;
        if batch.proven {
            batch.bound = batch.fit.used_up;
        }
    }
    batches
}

/// For each demand of a packing, the tasks that it serves, in order.
fn owners(work: &Work, served: &[Served], moulding: &str, counts: &Counts) -> Vec<Vec<usize>> {
    let mut owners: BTreeMap<(usize, Option<u32>), Vec<usize>> =
        counts.keys().map(|key| (*key, Vec::new())).collect();
    for (task, lots) in served {
        for (layer, lot) in work.classes[work.tasks[*task].class].layers.iter().zip(lots) {
            if layer.moulding == moulding {
                owners.get_mut(&(layer.ask, *lot)).expect("what is cut was counted").push(*task);
            }
        }
    }
    owners.into_values().collect()
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
