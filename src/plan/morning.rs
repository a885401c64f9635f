//! The morning's plan: what is cut today, what is ordered, what is held.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::effort::Effort;
use super::feasible::{Feasible, new_sticks};
use super::lots::{Placed, sources};
use super::offcut_use::offcuts;
use super::order::{Buyer, offered::has_offers};
use super::sheet::Sheet;
use super::stage::{Batch, Stage, Unserved};
use super::taken::taken;
use super::work::Work;
use super::{CutStick, Held, HoldReason, Order, Part, Plan, WaitReason, Waiting, Wishes};
use crate::shop::Shop;
use crate::solve::Limits;

/// Plans a morning with nothing out of the ordinary wished of it.
///
/// See [`plan_as_wished`].
pub fn plan(shop: &Shop, date: Date, limits: Limits) -> Plan {
    plan_as_wished(shop, date, &Wishes::default(), limits)
}

/// Plans a morning as wished.
///
/// First what could never be cut is held. Then the frames for today are chosen
/// and packed into the rack; what waits is packed into what the rack has left
/// and sticks still to be bought.
///
/// Mouldings are packed side by side on the threads of the rayon pool that this
/// is called in. `limits` hold for each packing by itself, so the plan does not
/// depend on how many threads there are; `limits.watch` is told nothing.
pub fn plan_as_wished(shop: &Shop, date: Date, wishes: &Wishes, limits: Limits) -> Plan {
    let effort = Effort::new(&limits);
    let feasible = Feasible::new(shop, date, effort);
    let work = Work::sort(shop, date, wishes, &feasible);
    let mut morning = Morning {
        shop,
        sheet: Sheet::new(shop),
        plan: Plan {
            shop: shop.settings.name.clone(),
            date,
            wishes: wishes.clone(),
            today: Vec::new(),
            order: Order::default(),
            waiting: Vec::new(),
            held: work.held.clone(),
            proof: Vec::new(),
            matching: Vec::new(),
            offcuts: Vec::new(),
            warnings: work.warnings.clone(),
        },
    };
    let today = morning.today(&work, effort);
    let Stage { unserved, batches, untouched } = today;
    if wishes.rack_only {
        morning.wait(&work, unserved.into_iter().chain(chop_only(&work)));
    } else if has_offers(shop) {
        morning.order(&work, unserved, untouched, &feasible, effort);
    } else {
        morning.later(&work, unserved, untouched, &feasible, effort);
    }
    morning.use_of_offcuts(&work, &batches, effort);
    morning.in_order()
}

struct Morning<'a> {
    shop: &'a Shop,
    sheet: Sheet<'a>,
    plan: Plan,
}

impl Morning<'_> {
    /// Cuts what can be cut from the rack.
    fn today(&mut self, work: &Work, effort: Effort) -> Stage {
        let all = 0..work.tasks.len();
        let tasks: Vec<usize> = all.filter(|task| !work.is_chop_only(*task)).collect();
        let rack = |id: String| {
            let sticks = sources(&self.shop.rack, &id);
            (id, sticks)
        };
        let racks = mouldings(work, &tasks).into_iter().map(rack).collect();
        let stage = Stage::decide(self.shop, work, &tasks, racks, effort);
        for batch in &stage.batches {
            self.plan.today.extend(self.sheet.sticks(work, batch));
            self.plan.proof.push(self.sheet.proof(batch, Part::Today));
            self.plan.matching.extend(self.sheet.matching(batch, Part::Today));
        }
        stage
    }

    /// Packs what waits into what is left and what is to be bought.
    fn later(
        &mut self,
        work: &Work,
        unserved: Vec<Unserved>,
        mut untouched: BTreeMap<String, Vec<Placed>>,
        feasible: &Feasible,
        effort: Effort,
    ) {
        let tasks: Vec<usize> = unserved.iter().map(|(task, _)| *task).collect();
        let rack = |id: String| {
            let mut sticks = untouched.remove(&id).unwrap_or_default();
            let new = new_sticks(self.shop, self.shop.moulding(&id), self.plan.date);
            sticks.extend(new.into_iter().map(|new| (None, new)));
            (id, sticks)
        };
        let racks: BTreeMap<String, Vec<Placed>> =
            mouldings(work, &tasks).into_iter().map(rack).collect();
        let stage = Stage::decide(self.shop, work, &tasks, racks, effort);
        for batch in &stage.batches {
            let sticks = self.sheet.sticks(work, batch);
            self.plan.order.lines.extend(self.sheet.line(batch, &sticks));
            self.plan.order.sticks.extend(sticks);
            self.plan.proof.push(self.sheet.proof(batch, Part::Order));
            self.plan.matching.extend(self.sheet.matching(batch, Part::Order));
        }
        let mut impossible: BTreeMap<usize, Vec<String>> = stage.unserved.into_iter().collect();
        for (task, lacking) in unserved {
            let (frame, copy) = self.ticket(work, task);
            if let Some(mouldings) = impossible.remove(&task) {
                let reason = taken(self.shop, work, feasible, task, mouldings);
                self.plan.held.push(Held { frame, copy, reason });
            } else {
                self.plan.waiting.push(self.waiting(work, task, lacking));
            }
        }
    }

    /// Lets wait what is not cut today, and buys nothing for it.
    fn wait(&mut self, work: &Work, unserved: impl Iterator<Item = Unserved>) {
        for (task, lacking) in unserved {
            self.plan.waiting.push(self.waiting(work, task, lacking));
        }
    }

    fn waiting(&self, work: &Work, task: usize, lacking: Vec<String>) -> Waiting {
        let (frame, copy) = self.ticket(work, task);
        let reason = WaitReason::Moulding(lacking);
        Waiting { frame, copy, due: work.tasks[task].due, reason }
    }

    /// What the offcuts were good for, now that both parts are known.
    fn use_of_offcuts(&mut self, work: &Work, today: &[Batch], effort: Effort) {
        let sticks: Vec<&CutStick> =
            self.plan.today.iter().chain(&self.plan.order.sticks).collect();
        self.plan.offcuts = offcuts(self.shop, work, today, &sticks, effort);
    }

    /// Orders for what waits where the shop says what can be bought.
    fn order(
        &mut self,
        work: &Work,
        unserved: Vec<Unserved>,
        untouched: BTreeMap<String, Vec<Placed>>,
        feasible: &Feasible,
        effort: Effort,
    ) {
        let lacking: BTreeMap<usize, Vec<String>> =
            unserved.into_iter().chain(chop_only(work)).collect();
        let tasks: Vec<usize> = lacking.keys().copied().collect();
        let date = self.plan.date;
        let buyer = Buyer { shop: self.shop, date, work, feasible, effort };
        let ordered = buyer.order(&tasks, untouched, &mut self.sheet);
        self.plan.order = ordered.order;
        let held: BTreeMap<usize, HoldReason> = ordered.held.into_iter().collect();
        for (task, mouldings) in lacking {
            let (frame, copy) = self.ticket(work, task);
            if let Some(reason) = held.get(&task) {
                self.plan.held.push(Held { frame, copy, reason: reason.clone() });
            } else {
                let due = work.tasks[task].due;
                let reason = match work.is_chop_only(task) {
                    true => WaitReason::Chops(mouldings),
                    false => WaitReason::Moulding(mouldings),
                };
                self.plan.waiting.push(Waiting { frame, copy, due, reason });
            }
        }
    }

    fn ticket(&self, work: &Work, task: usize) -> (String, u32) {
        let task = &work.tasks[task];
        (self.shop.frames[task.frame].id.clone(), task.copy)
    }

    /// Everything in an order that does not depend on how it was found.
    fn in_order(mut self) -> Plan {
        let place: BTreeMap<&str, usize> = self
            .shop
            .frames
            .iter()
            .enumerate()
            .map(|(place, frame)| (frame.id.as_str(), place))
            .collect();
        let rush = &self.plan.wishes.rush;
        let urgency = |w: &Waiting| {
            (!rush.contains(&w.frame), w.due.is_none(), w.due, place[w.frame.as_str()], w.copy)
        };
        self.plan.waiting.sort_by_key(urgency);
        self.plan.held.sort_by_key(|held| (place[held.frame.as_str()], held.copy));
        self.plan.proof.sort_by(|a, b| (a.part, &a.moulding).cmp(&(b.part, &b.moulding)));
        self.plan.matching.sort_by(|a, b| (a.part, &a.moulding).cmp(&(b.part, &b.moulding)));
        self.plan
    }
}

/// The tasks of which some layer can only be had chopped, with the mouldings of
/// those layers.
fn chop_only(work: &Work) -> impl Iterator<Item = Unserved> + '_ {
    let tasks = (0..work.tasks.len()).filter(|task| work.is_chop_only(*task));
    tasks.map(|task| {
        let layers = work.classes[work.tasks[task].class].layers.iter();
        let chopped = layers.filter(|layer| layer.chop_only);
        let named: BTreeSet<String> = chopped.map(|layer| layer.moulding.clone()).collect();
        (task, named.into_iter().collect())
    })
}

/// The mouldings that these tasks need.
pub(super) fn mouldings(work: &Work, tasks: &[usize]) -> BTreeSet<String> {
    let layers = tasks.iter().flat_map(|task| &work.classes[work.tasks[*task].class].layers);
    layers.map(|layer| layer.moulding.clone()).collect()
}
