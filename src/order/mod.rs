//! The order: how the frames that wait get made, from whom, at what cost.
//!
//! Only where the shop says what can be bought. Each moulding shows the ways to
//! get it that could be the cheapest (`ways`), all mouldings are decided together
//! (`decide`, `crate::buy`), and the choice is written out as lines, bills, sticks
//! and chops.

mod advice;
pub(crate) mod arrival;
mod as_good;
mod choices;
mod chops;
mod cover;
mod deadlines;
mod decide;
mod fill_ups;
mod finish;
mod footage;
mod kept;
mod least_used;
mod limit;
mod packer;
mod pieces;
mod rates;
mod record;
mod show;
mod showing;
mod split_packings;
mod splits;
mod together;
mod wants;
mod ways;
mod weighed;
mod within;
mod worth;
mod write;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

use jiff::civil::Date;
use rayon::prelude::*;

use crate::buy::Way;
use crate::cutting::Source;
use crate::measure::{Money, Worth};
use crate::plan::{Account, HoldReason, Order};
use crate::planner::effort::Effort;
use crate::planner::elsewhere::Elsewhere;
use crate::planner::feasible::Feasible;
use crate::planner::lots::{NEW_LOT, Placed, sources};
use crate::planner::offered;
use crate::planner::sheet::Sheet;
use crate::planner::stage::Stage;
use crate::planner::taken::taken;
use crate::planner::work::Work;
use crate::shop::Shop;
use decide::{OrderDecision, decide};
use finish::Detail;
use packer::WORK;
use wants::{WantedLayer, Wants};
use ways::MouldingWays;

/// What came of the frames that wait.
pub(crate) struct Ordered {
    pub order: Order,
    /// The tasks that cannot be served after all, and why.
    pub held: Vec<(usize, HoldReason)>,
}

/// Orders for the frames that today leaves over.
pub(crate) struct Buyer<'a> {
    pub shop: &'a Shop,
    pub date: Date,
    pub work: &'a Work,
    pub feasible: &'a Feasible<'a>,
    pub elsewhere: &'a Elsewhere<'a>,
    pub effort: Effort<'a>,
}

impl<'a> Buyer<'a> {
    /// Decides and writes out the order.
    pub fn order(
        &self,
        tasks: &[usize],
        mut left: BTreeMap<String, Vec<Placed>>,
        sheet: &mut Sheet,
    ) -> Ordered {
        for id in self.shop.mouldings.keys() {
            left.entry(id.clone()).or_insert_with(|| sources(&self.shop.rack, id));
        }
        let mut held = self.impossible(tasks, &left);
        // Each packing of an order has steps of its own.
        let effort = self.effort.with_purse(u64::MAX);
        let (tasks, earliest, mut found) = loop {
            let out: BTreeSet<usize> = held.iter().map(|(task, _)| *task).collect();
            let tasks: Vec<usize> =
                tasks.iter().copied().filter(|task| !out.contains(task)).collect();
            let earliest = arrival::earliest(self, &tasks, &left);
            let wants = self.wants(&tasks, &left);
            let (done, all) = (AtomicUsize::new(0), wants.len());
            effort.tell(0, all);
            let ways = |wants| {
                let ways = all_ways(wants, effort);
                effort.tell(done.fetch_add(1, Relaxed) + 1, all);
                ways
            };
            let found: Vec<MouldingWays> =
                wants.into_par_iter().with_max_len(1).map(ways).collect();
            let without = found.iter().filter(|found| found.is_none());
            let lacking = |wants: &Wants| -> Vec<(usize, HoldReason)> {
                let id = || vec![wants.moulding.id.clone()];
                wants.tasks().into_iter().map(|task| (task, self.lacks(task, id()))).collect()
            };
            let more: Vec<(usize, HoldReason)> =
                without.flat_map(|found| lacking(&found.wants)).collect();
            if more.is_empty() {
                break (tasks, earliest, found);
            }
            held.extend(more);
        };
        // A moulding that nothing waits for, and of which the rack cannot be filled.
        found.retain(|ways| !ways.wants.layers.is_empty() || !ways.is_none());
        let OrderDecision { answer, details, is_lenient } = decide(self.shop, &mut found, effort);
        let each = found.iter().zip(answer.chosen.iter().zip(&details));
        let chosen: Vec<(&Wants, &Way, &Detail)> =
            each.map(|(ways, (way, detail))| (&ways.wants, way, detail)).collect();
        let mut order = self.write(&chosen, sheet);
        order.account = Some(Account {
            net: Worth(answer.cost),
            bound: Worth(answer.bound),
            whole: !is_lenient && found.iter().all(|ways| ways.whole),
            beyond_need: Money(details.iter().map(|detail| detail.spent).sum()),
        });
        order.advice = advice::advice(&chosen);
        order.certainty = advice::certainty(&chosen, effort.at_most(WORK));
        order.awaited = arrival::awaited(self, &tasks, &chosen, &order, &earliest);
        let rushed: BTreeSet<usize> =
            tasks.iter().copied().filter(|t| self.work.tasks[*t].rush).collect();
        let is_rushed = |frame: &str| {
            rushed.iter().any(|task| self.shop.frames[self.work.tasks[*task].frame].id == frame)
        };
        order.deadlines = deadlines::deadlines(self.shop, self.date, &order, is_rushed);
        order.yields = footage::yields(self.work, self.shop, &chosen, &order.sticks);
        Ordered { order, held }
    }

    /// The tasks that neither what is left nor what can be bought serves.
    fn impossible(
        &self,
        tasks: &[usize],
        left: &BTreeMap<String, Vec<Placed>>,
    ) -> Vec<(usize, HoldReason)> {
        let is_certain = |task: &usize| {
            let class = &self.work.classes[self.work.tasks[*task].class];
            class.layers.iter().all(|layer| {
                let ask = &self.work.asks[&layer.moulding][layer.ask];
                layer.chop_only
                    || self.feasible.fits_new(&layer.moulding, ask)
                    || offered::chops(self.shop, &layer.moulding, self.date)
                        .iter()
                        .any(|chops| chops.can_cut(ask))
            })
        };
        if tasks.iter().all(is_certain) {
            return Vec::new();
        }
        let cut: Vec<usize> =
            tasks.iter().copied().filter(|task| !self.work.is_chop_only(*task)).collect();
        let racks = self.work.mouldings(&cut).into_iter().map(|id| {
            let mut rack = left.get(&id).cloned().unwrap_or_default();
            rack.extend(self.to_buy(&id));
            (id, rack)
        });
        let stage = Stage::decide(self.shop, self.work, &cut, racks.collect(), self.effort);
        let unserved = stage.unserved.into_iter().filter(|(task, _)| !is_certain(task));
        unserved.map(|(task, lacking)| (task, self.lacks(task, lacking))).collect()
    }

    /// Why a task lacks these mouldings, whatever is bought.
    fn lacks(&self, task: usize, lacking: Vec<String>) -> HoldReason {
        let unsold: Vec<String> =
            lacking.iter().filter(|id| self.to_buy(id).is_empty()).cloned().collect();
        match unsold.is_empty() {
            true => taken(self.shop, self.work, self.feasible, task, lacking),
            false => {
                let from = offered::sold_from(self.shop, &unsold, self.date);
                HoldReason::NotSold { mouldings: unsold, from }
            }
        }
    }

    /// The sticks that can be bought, each length for itself.
    fn to_buy(&self, moulding: &str) -> Vec<Placed> {
        let lengths = offered::new_lengths(self.shop, moulding, self.date).into_iter();
        lengths
            .map(|length| {
                let (lot, paid) = (NEW_LOT, None);
                (None, Source { length, flaws: Vec::new(), lot, is_new: true, paid })
            })
            .collect()
    }

    /// What waits, moulding by moulding; mouldings of which the rack is to be filled up; and
    /// such as may bring an order up to what a supplier's terms ask.
    fn wants(&self, tasks: &[usize], left: &BTreeMap<String, Vec<Placed>>) -> Vec<Wants<'a>> {
        let by = arrival::latest(self, tasks, left);
        let mut layers: BTreeMap<&str, Vec<WantedLayer>> = BTreeMap::new();
        for &task in tasks {
            let class = &self.work.classes[self.work.tasks[task].class];
            for layer in &class.layers {
                let list = layers.entry(&layer.moulding).or_default();
                let (ask, chop_only) = (layer.ask, layer.chop_only);
                list.push(WantedLayer { task, ask, by: by[&task], chop_only });
            }
        }
        for (id, moulding) in &self.shop.mouldings {
            if moulding.keep_on_rack > 0 {
                layers.entry(id).or_default();
            }
        }
        let known = layers.keys().copied().collect();
        for id in fill_ups::fill_ups(self.shop, self.date, &known, left) {
            layers.entry(id).or_default();
        }
        let wants = |(id, mut layers): (&'a str, Vec<WantedLayer>)| {
            layers.sort_by_key(|layer| (layer.by.is_none(), layer.by, layer.task));
            let (rack, date) = (left[id].clone(), self.date);
            Wants::new(self.shop, self.work, id, layers, rack, date)
        };
        layers.into_iter().map(|(id, layers)| (self.id(id), layers)).map(wants).collect()
    }

    /// The shop's own copy of a moulding's code.
    fn id(&self, id: &str) -> &'a str {
        &self.shop.moulding(id).id
    }
}

/// The ways of one moulding. Where no supplier can be in time for all of it the
/// dates are let go.
fn all_ways<'a>(wants: Wants<'a>, effort: Effort<'a>) -> MouldingWays<'a> {
    let mut late = wants.clone();
    late.layers.iter_mut().for_each(|layer| layer.by = None);
    let found = MouldingWays::new(wants, effort);
    if !found.is_none() {
        return found;
    }
    let mut found = MouldingWays::new(late, effort);
    found.whole = false;
    found
}
