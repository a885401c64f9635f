//! The morning's plan: what is cut today, what waits for what is on order, what
//! is ordered, what is held.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::pile::Pile;
use crate::measure::Money;
use crate::order::{Buyer, arrival};
use crate::plan::{Awaited, CutStick, Held, HoldReason, Part, Plan, WaitReason, Waiting, Wishes};
use crate::planner::by_day::{apart, by_day};
use crate::planner::cut_order::few_settings;
use crate::planner::effort::Effort;
use crate::planner::elsewhere::Elsewhere;
use crate::planner::evening::evening;
use crate::planner::feasible::{Feasible, new_sticks};
use crate::planner::fewest::{Fewest, fewest};
use crate::planner::kept::{Keeping, Later, to_come};
use crate::planner::lots::{Placed, all_sources, at_hand};
use crate::planner::offcut_use::offcuts;
use crate::planner::offered::has_offers;
use crate::planner::patience::{patient, put_off};
use crate::planner::sheet::Sheet;
use crate::planner::stage::{Batch, Decided, Stage, Unserved, share_out};
use crate::planner::taken::taken;
use crate::planner::work::{Task, Work};
use crate::shop::Shop;
use crate::verify::Fault;

/// Plans a morning whose spare rails are with those who take them.
///
/// # Errors
/// If a packing does not answer its question: a mistake of the program.
pub(super) fn plan_served(
    shop: &Shop,
    date: Date,
    wishes: &Wishes,
    pile: Pile,
) -> Result<Plan, Vec<Fault>> {
    let Pile { effort, feasible, work } = pile;
    let mut morning = Morning {
        shop,
        sheet: Sheet::new(shop),
        plan: Plan {
            wishes: wishes.clone(),
            held: work.held.clone(),
            warnings: work.warnings.clone(),
            ..Plan::of_sticks(shop, date, Vec::new())
        },
        put_off: Vec::new(),
    };
    let elsewhere = Elsewhere::new(shop, date, &feasible);
    // Where nothing is bought, today has all but what the offcuts are judged with.
    let own = if wishes.rack_only { effort.purse() / 4 * 3 } else { effort.purse() / 2 };
    let today = morning.today(&work, (&feasible, &elsewhere), effort.with_purse(own));
    let Stage { unserved, batches, left, .. } = today;
    let later = work.unbound();
    // Of what is left each part that follows may take a half, the last all.
    let rest = (effort.purse() / 8 * 7).saturating_sub(own).saturating_add(left);
    let mut effort = effort.with_purse(rest);
    let unserved: Vec<Unserved> = unserved.into_iter().chain(later.chopped()).collect();
    if wishes.rack_only {
        morning.wait(&later, unserved);
        morning.use_of_offcuts(&work, &batches, effort);
        return morning.in_order();
    }
    let evening = evening(shop, &morning.plan.today, date);
    let Morning { sheet, plan, put_off, .. } = morning;
    let mut rest = Morning { shop: &evening, sheet: sheet.on(&evening), plan, put_off };
    let (open, untouched) = rest.coming(&later, unserved, &elsewhere, &mut effort);
    let open = (rest.not_ordered(&later, open), untouched);
    if has_offers(shop) {
        rest.order(&later, open, (&feasible, &elsewhere), effort);
    } else {
        rest.later(&later, open, &feasible, effort);
    }
    let effort = effort.with_purse(effort.purse() / 2);
    rest.plan.order.coming.append(&mut rest.put_off);
    let mut morning =
        Morning { shop, sheet: rest.sheet.on(shop), plan: rest.plan, put_off: Vec::new() };
    morning.use_of_offcuts(&work, &batches, effort);
    morning.in_order()
}

struct Morning<'a> {
    shop: &'a Shop,
    sheet: Sheet<'a>,
    plan: Plan,
    /// How frames are cut that could be cut today and wait for others.
    put_off: Vec<CutStick>,
}

impl Morning<'_> {
    /// Cuts what can be cut from the rack, and leaves what frames that wait need.
    fn today(
        &mut self,
        work: &Work,
        (feasible, elsewhere): (&Feasible, &Elsewhere),
        effort: Effort,
    ) -> Stage {
        let everything: Vec<usize> = (0..work.tasks.len()).collect();
        let tasks = everything.iter().copied().filter(|task| !work.is_later(*task));
        let tasks: Vec<usize> = tasks.collect();
        let ids = work.mouldings(&everything);
        let mut rack = all_sources(&self.shop.rack);
        let own = |id: &String| (id.clone(), rack.remove(id.as_str()).unwrap_or_default());
        let racks = ids.iter().map(own).collect();
        let mut keeping = Keeping::new(
            (self.shop, work),
            elsewhere,
            everything,
            (racks, to_come(self.shop, &ids)),
            effort,
        );
        let (stage, laid) = loop {
            let (with, mut tasks) = keeping.work(&tasks);
            let mut decided = keeping.decide(&with, &tasks);
            if !self.plan.wishes.rack_only && keeping.changes(&with, &tasks, &mut decided) {
                continue;
            }
            keeping.doubt(&mut decided);
            let sure = || share_out(&with, &tasks, &decided.common).0;
            let of = (self.plan.date, &self.plan.wishes);
            let mut patient = patient((self.shop, feasible), of, work, sure);
            self.put_off(work, &mut patient, &mut decided);
            tasks.retain(|task| !patient.contains_key(task));
            let Fewest { fits, least } = fewest(self.shop, &with, &mut decided);
            self.plan.least_settings = least;
            let mut stage = decided.stage(&with, &tasks, fits);
            stage.unserved.extend(keeping.waiting().filter(|(task, _)| !work.is_later(*task)));
            let laid = stage.batches.iter().flat_map(|batch| self.sheet.laid(work, batch));
            let laid = laid.collect();
            break (stage, laid);
        };
        for batch in &stage.batches {
            self.plan.proof.push(self.sheet.proof(batch, Part::Today));
            self.plan.matching.extend(self.sheet.matching(batch, Part::Today));
        }
        let unsettled = stage.unsettled.iter().map(|id| self.sheet.unsettled(id, Part::Today));
        self.plan.proof.extend(unsettled);
        self.plan.today = few_settings(self.shop, laid);
        stage
    }

    /// Lets frames wait that could be cut today, each until its day.
    fn put_off(&mut self, work: &Work, patient: &mut BTreeMap<usize, Date>, decided: &mut Decided) {
        for batch in put_off((self.shop, work), decided, patient) {
            self.put_off.extend(self.sheet.sticks(work, &batch));
        }
        for (task, by) in patient {
            let (frame, copy) = self.ticket(work, *task);
            let mouldings = work.mouldings(&[*task]).into_iter().collect();
            let reason = WaitReason::Patience { mouldings, by: *by };
            self.plan.waiting.push(Waiting { frame, copy, due: work.tasks[*task].due, reason });
        }
    }

    /// Packs what waits into what is left and what is to be bought.
    fn later(
        &mut self,
        work: &Work,
        (unserved, mut untouched): (Vec<Unserved>, BTreeMap<String, Vec<Placed>>),
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
            work.mouldings(&tasks).into_iter().map(rack).collect();
        let own = effort.with_purse(effort.purse() / 2);
        let stage = Stage::decide(self.shop, work, &tasks, racks, own);
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

    /// Of what is not cut today, as much as can be cut once what is on order has
    /// come: nothing is to be bought for it. What remains is left with the sticks
    /// that nobody needs.
    fn coming(
        &mut self,
        work: &Work,
        unserved: Vec<Unserved>,
        elsewhere: &Elsewhere,
        effort: &mut Effort,
    ) -> (Vec<Unserved>, BTreeMap<String, Vec<Placed>>) {
        let is_free = |(place, _): &Placed| {
            let stick = place.map(|place| &self.shop.stick(place).id);
            self.put_off.iter().all(|cut| Some(&cut.stick) != stick)
        };
        let mut at_hand = at_hand(self.shop);
        let of = |id: &String| {
            let mut sticks = at_hand(id);
            sticks.retain(is_free);
            (id.clone(), sticks)
        };
        let mut untouched: BTreeMap<String, Vec<Placed>> =
            self.shop.mouldings.keys().map(of).collect();
        if self.shop.coming.is_empty() && work.tasks.iter().all(|task| !task.awaits) {
            return (unserved, untouched);
        }
        let mut all: Vec<usize> = unserved.iter().map(|(task, _)| *task).collect();
        all.sort_unstable();
        let tasks = all.iter().copied().filter(|task| !work.is_chop_only(*task));
        let tasks: Vec<usize> = tasks.collect();
        let racks = work.mouldings(&all).into_iter().map(|id| {
            let sticks = untouched.get(&id).cloned().unwrap_or_default();
            (id, sticks)
        });
        let half = effort.purse() / 2;
        let own = effort.with_purse(half);
        let racks: BTreeMap<String, Vec<Placed>> = racks.collect();
        let at_hand = (racks.clone(), Later::new());
        let mut keeping = Keeping::new((self.shop, work), elsewhere, all.clone(), at_hand, own);
        let stage = loop {
            let (with, tasks) = keeping.work(&tasks);
            let mut decided = keeping.decide(&with, &tasks);
            if !keeping.changes(&with, &tasks, &mut decided) {
                let mut stage = decided.stage(&with, &tasks, BTreeMap::new());
                stage.unserved.extend(keeping.waiting());
                break stage;
            }
        };
        *effort = effort.with_purse(effort.purse() - half + stage.left);
        self.lay_coming(work, &stage.batches);
        let not_yet: BTreeSet<usize> = stage.unserved.iter().map(|(task, _)| *task).collect();
        untouched.extend(stage.untouched);
        let is_served = |task| !work.is_chop_only(task) && !not_yet.contains(&task);
        let mut sets = apart((work, elsewhere), &all, is_served);
        sets.retain(|served| served.iter().any(|task| self.is_late(work, *task)));
        if !sets.is_empty() {
            *effort = effort.with_purse(effort.purse() / 2);
            let of = (self.shop, self.plan.date);
            let (batches, left) = by_day(of, (work, &sets), &racks, stage.batches, *effort);
            untouched.extend(left);
            self.lay_coming(work, &batches);
        }
        let is_open = |(task, _): &Unserved| work.is_chop_only(*task) || not_yet.contains(task);
        let (open, served): (Vec<Unserved>, Vec<Unserved>) =
            unserved.into_iter().partition(is_open);
        let awaited = served.iter().map(|(task, _)| self.awaited(work, *task)).collect();
        self.plan.order.awaited = awaited;
        self.wait(work, served);
        (open, untouched)
    }

    /// What is cut from what is on order, and from the rack for it.
    fn lay_coming(&mut self, work: &Work, batches: &[Batch]) {
        let laid = batches.iter().flat_map(|batch| self.sheet.sticks(work, batch));
        self.plan.order.coming = laid.collect();
    }

    /// Whether a frame that is served by what is on order waits for it too long, or nobody
    /// knows until when.
    fn is_late(&self, work: &Work, task: usize) -> bool {
        let Task { due, rush, .. } = work.tasks[task];
        let needed = due.map(|due| self.shop.needed_by(due));
        let wanted = if rush { Some(self.plan.date) } else { needed };
        let (frame, copy) = self.ticket(work, task);
        let arrives = arrival::last_of(self.shop, &self.plan.order, (&frame, copy));
        let of = (&self.shop.frames[work.tasks[task].frame], copy);
        let is_unsure = || self.plan.unsure(self.shop, of, self.plan.date).is_some();
        wanted.is_some_and(|by| arrives.is_some_and(|day| day > by) || is_unsure())
    }

    /// Those that nothing was ordered for. The others wait for what is on order, also
    /// where this plan finds no way to cut it for all: that of the order had one.
    fn not_ordered(&mut self, work: &Work, open: Vec<Unserved>) -> Vec<Unserved> {
        let is_ordered = |(task, _): &Unserved| {
            let task = &work.tasks[*task];
            self.shop.frames[task.frame].progress.ordered.contains(&task.copy)
        };
        let (ordered, open): (Vec<Unserved>, Vec<Unserved>) =
            open.into_iter().partition(is_ordered);
        let awaited = ordered.iter().map(|(task, _)| self.awaited(work, *task));
        let awaited: Vec<Awaited> = awaited.collect();
        self.plan.order.awaited.extend(awaited);
        self.wait(work, ordered);
        open
    }

    /// When the last of what a frame waits for comes; it costs nothing more.
    fn awaited(&self, work: &Work, task: usize) -> Awaited {
        let (frame, copy) = self.ticket(work, task);
        let arrives = arrival::last_of(self.shop, &self.plan.order, (&frame, copy));
        Awaited { arrives, earliest: arrives, cost: Money(0), frame, copy }
    }

    /// Lets wait what is not cut today, and buys nothing for it.
    fn wait(&mut self, work: &Work, unserved: Vec<Unserved>) {
        for (task, lacking) in unserved {
            self.plan.waiting.push(self.waiting(work, task, lacking));
        }
    }

    fn waiting(&self, work: &Work, task: usize, lacking: Vec<String>) -> Waiting {
        let (frame, copy) = self.ticket(work, task);
        let reason = match (work.is_chop_only(task), work.tasks[task].awaits) {
            (true, _) => WaitReason::Chops(lacking),
            (false, true) => self.on_order(work, task),
            (false, false) => WaitReason::Moulding(lacking),
        };
        Waiting { frame, copy, due: work.tasks[task].due, reason }
    }

    /// What is on order for a task, chopped.
    fn on_order(&self, work: &Work, task: usize) -> WaitReason {
        let task = &work.tasks[task];
        let frame = &self.shop.frames[task.frame];
        let coming = frame.coming(task.copy);
        let mouldings = coming.iter().map(|(layer, ..)| &frame.layers[layer - 1].moulding);
        let mouldings: BTreeSet<&String> = mouldings.collect();
        let suppliers: BTreeSet<&str> = coming.iter().map(|(_, supplier, _)| *supplier).collect();
        WaitReason::OnOrder {
            mouldings: mouldings.into_iter().cloned().collect(),
            suppliers: suppliers.into_iter().map(str::to_owned).collect(),
            arrives: coming.iter().filter_map(|(.., arrives)| *arrives).max(),
        }
    }

    /// What the offcuts were good for, now that both parts are known.
    fn use_of_offcuts(&mut self, work: &Work, today: &[Batch], effort: Effort) {
        let sticks: Vec<&CutStick> =
            self.plan.today.iter().chain(self.plan.order.all_sticks()).collect();
        self.plan.offcuts = offcuts(self.shop, work, today, &sticks, effort);
    }

    /// Orders for what waits where the shop says what can be bought.
    fn order(
        &mut self,
        work: &Work,
        (unserved, untouched): (Vec<Unserved>, BTreeMap<String, Vec<Placed>>),
        (feasible, elsewhere): (&Feasible, &Elsewhere),
        effort: Effort,
    ) {
        let lacking: BTreeMap<usize, Vec<String>> = unserved.into_iter().collect();
        let tasks: Vec<usize> = lacking.keys().copied().collect();
        let date = self.plan.date;
        let buyer = Buyer { shop: self.shop, date, work, feasible, elsewhere, effort };
        let ordered = buyer.order(&tasks, untouched, &mut self.sheet);
        let before = std::mem::replace(&mut self.plan.order, ordered.order);
        self.plan.order.coming = before.coming;
        self.plan.order.awaited.splice(0..0, before.awaited);
        let held: BTreeMap<usize, HoldReason> = ordered.held.into_iter().collect();
        for (task, mouldings) in lacking {
            let (frame, copy) = self.ticket(work, task);
            if let Some(reason) = held.get(&task) {
                self.plan.held.push(Held { frame, copy, reason: reason.clone() });
            } else {
                self.plan.waiting.push(self.waiting(work, task, mouldings));
            }
        }
    }

    fn ticket(&self, work: &Work, task: usize) -> (String, u32) {
        let task = &work.tasks[task];
        (self.shop.frames[task.frame].id.clone(), task.copy)
    }

    /// Everything in an order that does not depend on how it was found.
    fn in_order(mut self) -> Result<Plan, Vec<Fault>> {
        if !self.sheet.faults.is_empty() {
            let fault = |(moulding, fault)| Fault::Packing { moulding, fault };
            return Err(self.sheet.faults.into_iter().map(fault).collect());
        }
        let frames = self.shop.frames.iter().enumerate();
        let place: BTreeMap<&str, usize> =
            frames.map(|(place, frame)| (frame.id.as_str(), place)).collect();
        let rush = &self.plan.wishes.rush;
        let urgency = |w: &Waiting| {
            (!rush.contains(&w.frame), w.due.is_none(), w.due, place[w.frame.as_str()], w.copy)
        };
        self.plan.waiting.sort_by_key(urgency);
        self.plan.held.sort_by_key(|held| (place[held.frame.as_str()], held.copy));
        self.plan.proof.sort_by(|a, b| (a.part, &a.moulding).cmp(&(b.part, &b.moulding)));
        self.plan.matching.sort_by(|a, b| (a.part, &a.moulding).cmp(&(b.part, &b.moulding)));
        Ok(self.plan)
    }
}
