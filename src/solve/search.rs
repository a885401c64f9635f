//! What every step of the search shares: the instance, the best plan, the
//! bound, and the effort that is left.

use std::rc::Rc;

use super::bounds::knapsack::Remembered;
use super::bounds::material;
use super::bounds::reachable::Sums;
use super::cells::Cells;
use super::cutting_plan::{Column, CuttingPlan};
use super::instance::Instance;
use super::outcome::{Certificate, Limits, Outcome, Progress, Shortfall, Solution};
use super::residual::Residual;
use super::watchman::Watchman;

/// Steps between two looks at the clock.
const LOOK: u64 = 20_000;

/// A search under way.
pub(crate) struct Search<'a> {
    pub instance: Rc<Instance>,
    /// The instance before anything was ruled out: its costs are the true ones.
    pub whole: Rc<Instance>,
    limits: &'a Limits<'a>,
    pub best: Option<CuttingPlan>,
    /// What is searched for must cost less than this, however good the best
    /// plan is; see [`Search::with_target`].
    target: i64,
    /// No plan costs less.
    pub bound: i64,
    /// Prices that prove the bound of the linear program.
    pub certificate: Option<Certificate>,
    /// Memory for pricing.
    pub cells: Cells<'a>,
    /// What the knapsack over whole units said last.
    pub knapsack_bound: Option<Remembered>,
    sums: Sums,
    work: u64,
    next_look: u64,
    stopped: bool,
}

impl<'a> Search<'a> {
    /// A search that has the bound from lengths alone to begin with.
    pub fn new(instance: Instance, limits: &'a Limits<'a>) -> Self {
        let mut sums = Sums::new(&instance);
        let bound = sums.round_up(material::material(&instance));
        let instance = Rc::new(instance);
        Search {
            sums,
            whole: Rc::clone(&instance),
            instance,
            limits,
            best: None,
            target: i64::MAX,
            bound: in_range(bound),
            certificate: None,
            cells: Cells::watched(
                Watchman { deadline: limits.deadline, stop: limits.stop },
                limits.work,
            ),
            knapsack_bound: None,
            work: 0,
            next_look: 0,
            stopped: false,
        }
    }

    /// Counts steps of work; false once the limits are used up.
    pub fn spend(&mut self, steps: u64) -> bool {
        self.work += steps;
        if self.work >= self.next_look {
            self.next_look = self.work + LOOK;
            self.stopped |= self.watchman().is_late();
        }
        self.stopped |= self.work >= self.limits.work;
        !self.stopped
    }

    /// The steps that are left.
    pub fn left(&self) -> u64 {
        self.limits.work.saturating_sub(self.work)
    }

    /// The steps taken so far.
    pub fn work(&self) -> u64 {
        self.work
    }

    /// Whether the limits are used up.
    pub fn is_stopped(&self) -> bool {
        self.stopped
    }

    /// Whether the clock or whoever waits says that it is enough, looked up at
    /// once: for loops that are long beside the steps they count.
    pub fn is_late(&mut self) -> bool {
        let late = self.watchman().is_late();
        self.stopped |= late;
        late
    }

    /// What says when it is enough.
    pub fn watchman(&self) -> Watchman<'a> {
        Watchman { deadline: self.limits.deadline, stop: self.limits.stop }
    }

    /// The limits for a search within this one.
    pub fn limits_left(&self) -> Limits<'a> {
        let work = self.limits.work.saturating_sub(self.work);
        Limits { work, watch: None, ..*self.limits }
    }

    /// Takes the plan if it is the best so far.
    pub fn offer(&mut self, plan: CuttingPlan) -> bool {
        debug_assert!(plan.is_exact(&self.whole));
        let plan = self.at_true_cost(plan);
        if self.best.as_ref().is_some_and(|best| best.cost <= plan.cost) {
            return false;
        }
        self.best = Some(plan);
        self.tell();
        true
    }

    /// Goes on with what better plans than the best known can be made of.
    pub fn narrow(&mut self, instance: Instance) {
        self.instance = Rc::new(instance);
    }

    fn at_true_cost(&self, plan: CuttingPlan) -> CuttingPlan {
        if Rc::ptr_eq(&self.instance, &self.whole) {
            return plan;
        }
        let column = |(column, times): (Column, u32)| {
            let again = Column::new(&self.whole, column.kind, column.pieces);
            (again.expect("what fits part of the instance fits the whole"), times)
        };
        CuttingPlan::new(plan.uses.into_iter().map(column).collect())
    }

    /// Takes a bound that has been proven, up to the next possible total.
    pub fn raise(&mut self, bound: i128) {
        let bound = in_range(self.round_up(bound));
        if bound > self.bound {
            self.bound = bound;
            self.tell();
        }
    }

    /// Takes the bound of a linear program if it speaks of the whole problem.
    pub fn consider(&mut self, whole: bool, rest: &Residual, bound: i128) {
        if whole && *rest == Residual::of(&self.instance) {
            self.raise(bound);
        }
    }

    /// The least total cost that there can be at or above a bound.
    pub fn round_up(&mut self, bound: i128) -> i128 {
        self.sums.round_up(bound)
    }

    /// The cost that a plan has to beat.
    pub fn cutoff(&self) -> i64 {
        self.best.as_ref().map_or(i64::MAX, |best| best.cost).min(self.target)
    }

    /// Whether no plan beats what is to be beaten: the best plan is proven, or
    /// the target is out of reach.
    pub fn is_proven(&self) -> bool {
        let to_beat = self.cutoff();
        to_beat < i64::MAX && to_beat <= self.bound
    }

    /// Searches with `how` for plans that cost less than `target` alone. What
    /// it narrows the search down to is forgotten afterwards; plans and bounds
    /// stay.
    pub fn with_target(&mut self, target: i64, how: impl FnOnce(&mut Self)) {
        let (instance, before) = (Rc::clone(&self.instance), self.target);
        self.target = target;
        how(self);
        self.instance = instance;
        self.target = before;
    }

    /// Tells those who watch where the search stands.
    pub fn tell(&self) {
        if let Some(watch) = self.limits.watch {
            let best = self.best.as_ref().map(|best| best.cost);
            watch(Progress {
                best,
                bound: best.map_or(self.bound, |best| best.min(self.bound)),
                work: self.work,
            });
        }
    }

    /// Nothing better than the best plan exists: the outcome of a whole search.
    pub fn exhausted(&mut self) -> Outcome {
        match &self.best {
            Some(best) => {
                self.bound = best.cost;
                self.outcome()
            }
            None => {
                let all = self.instance.types.iter().flat_map(|t| &t.sources);
                let mut items: Vec<usize> = all.map(|source| source.item).collect();
                items.sort_unstable();
                Outcome::Impossible(Shortfall::NoArrangement(items))
            }
        }
    }

    /// The best plan with the bound, or that none was found.
    pub fn outcome(&self) -> Outcome {
        match &self.best {
            Some(best) => Outcome::Solved(Solution {
                patterns: best.patterns(&self.instance),
                cost: best.cost,
                bound: self.bound.min(best.cost),
                work: self.work,
                certificate: self.certificate.clone(),
            }),
            None => Outcome::Interrupted { bound: self.bound, work: self.work },
        }
    }
}

fn in_range(bound: i128) -> i64 {
    i64::try_from(bound.max(i128::from(i64::MIN))).unwrap_or(i64::MAX)
}
