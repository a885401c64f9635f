//! The morning planned again with something changed, and what came of it.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Instant;

use jiff::civil::Date;

use crate::morning::plan_telling;
use crate::plan::{Plan, Told, WaitReason, Wishes};
use crate::shop::{Frame, Shop};
use crate::solve::Limits;
use crate::verify::{Fault, Verified};

/// A frame is worth so many plans of a morning at most. To find the shortest
/// stick that helps takes a dozen, each other question one.
const MOST_TRIALS: u32 = 150;

/// What a change comes to, for one frame and all others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Effect {
    /// How many copies of the frame are cut today.
    pub today: u32,
    /// How many copies of it are impossible.
    pub held: u32,
    /// How many copies of it wait for a supplier to chop them.
    pub chopped: u32,
    /// The other frames of which fewer copies are cut today than without it.
    pub instead: Vec<String>,
    /// The other frames of which more copies are cut today than without it.
    pub also: Vec<String>,
}

/// How many copies of each frame are cut today, are held, and wait for chops.
#[derive(Debug, Clone, Default)]
struct CopyCounts {
    today: BTreeMap<String, u32>,
    held: BTreeMap<String, u32>,
    chopped: BTreeMap<String, u32>,
}

impl CopyCounts {
    fn of(plan: &Plan) -> CopyCounts {
        let rails = plan.today.iter().flat_map(|stick| &stick.rails);
        let cut: BTreeSet<(&String, u32)> = rails.map(|rail| (&rail.frame, rail.copy)).collect();
        let mut outcome = CopyCounts::default();
        for (frame, _) in cut {
            *outcome.today.entry(frame.clone()).or_default() += 1;
        }
        for held in &plan.held {
            *outcome.held.entry(held.frame.clone()).or_default() += 1;
        }
        for waits in plan.waiting.iter().filter(|w| matches!(w.reason, WaitReason::Chops(_))) {
            *outcome.chopped.entry(waits.frame.clone()).or_default() += 1;
        }
        outcome
    }
}

fn count(of: &BTreeMap<String, u32>, frame: &str) -> u32 {
    of.get(frame).copied().unwrap_or(0)
}

/// Plans again and again, but not without end.
pub(super) struct Trials<'a> {
    date: Date,
    frame: &'a str,
    limits: &'a Limits<'a>,
    told: Told<'a>,
    before: CopyCounts,
    taken: u32,
    spent: bool,
}

impl<'a> Trials<'a> {
    pub fn new(
        date: Date,
        frame: &'a Frame,
        (limits, told): (&'a Limits<'a>, Told<'a>),
    ) -> Trials<'a> {
        let before = CopyCounts::default();
        Trials { date, frame: &frame.id, limits, told, before, taken: 0, spent: false }
    }

    /// The plan with nothing changed, which all others are compared with.
    pub fn first(&mut self, shop: &Shop) -> Result<Verified<Plan>, Vec<Fault>> {
        let plan = self.plan(shop, &Wishes::default())?;
        self.before = CopyCounts::of(&plan);
        Ok(plan)
    }

    /// What a change comes to; `None` once all trials are taken, or the time is
    /// over: a plan that was cut off says nothing of the change.
    pub fn ask(&mut self, shop: &Shop, wishes: &Wishes) -> Result<Option<Effect>, Vec<Fault>> {
        if self.taken == MOST_TRIALS || self.is_over() {
            self.spent = true;
            return Ok(None);
        }
        let after = self.plan(shop, wishes)?;
        let after = CopyCounts::of(&after);
        if self.is_over() {
            self.spent = true;
            return Ok(None);
        }
        self.taken += 1;
        let others: BTreeSet<&String> =
            self.before.today.keys().chain(after.today.keys()).collect();
        let less_or_more = |is: fn(&u32, &u32) -> bool| {
            let others = others.iter().filter(|other| **other != self.frame);
            let counts =
                |other: &&&String| (count(&self.before.today, other), count(&after.today, other));
            let changed = others.filter(|other| {
                let (before, after) = counts(other);
                is(&after, &before)
            });
            changed.map(|other| (*other).clone()).collect::<Vec<String>>()
        };
        Ok(Some(Effect {
            today: count(&after.today, self.frame),
            held: count(&after.held, self.frame),
            chopped: count(&after.chopped, self.frame),
            instead: less_or_more(u32::lt),
            also: less_or_more(u32::gt),
        }))
    }

    /// As [`ask`](Self::ask), but only where the frame fares better for it: more
    /// of its copies are cut, or as many and fewer are impossible, or as many and
    /// fewer have to be chopped elsewhere.
    pub fn better(&mut self, shop: &Shop, wishes: &Wishes) -> Result<Option<Effect>, Vec<Fault>> {
        let (today, held) = self.stands();
        let before = (std::cmp::Reverse(today), held, count(&self.before.chopped, self.frame));
        let is_better = |effect: &Effect| {
            (std::cmp::Reverse(effect.today), effect.held, effect.chopped) < before
        };
        Ok(self.ask(shop, wishes)?.filter(is_better))
    }

    /// How many copies are cut today and held, with nothing changed.
    pub fn stands(&self) -> (u32, u32) {
        (count(&self.before.today, self.frame), count(&self.before.held, self.frame))
    }

    pub fn taken(&self) -> u32 {
        self.taken
    }

    fn is_over(&self) -> bool {
        self.limits.deadline.is_some_and(|end| Instant::now() >= end)
    }

    /// Whether something was left untried.
    pub fn is_spent(&self) -> bool {
        self.spent
    }

    fn plan(&self, shop: &Shop, wishes: &Wishes) -> Result<Verified<Plan>, Vec<Fault>> {
        let Limits { work, deadline, stop, .. } = *self.limits;
        let limits = Limits { work, deadline, stop, watch: None };
        plan_telling(shop, self.date, wishes, limits, self.told)
    }
}
