//! Plans: asked one after the other, kept until they were looked at. `planning` makes them.

use std::any::Any;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};

use jiff::civil::Date;
use rayon::ThreadPool;

use super::form::spelt;
use super::shared::locked;
use super::site::Site;
use crate::book::{BookError, unsound};
use crate::morning::{WORK, plan_telling};
use crate::plan::{Plan, Wishes};
use crate::shop::Shop;
use crate::solve::Limits;
use crate::verify::Verified;

/// So many outcomes are kept.
const MOST: usize = 200;

/// What came of planning.
#[derive(Clone)]
pub enum Planned {
    /// A step was made: what it came to in words, and where that is shown.
    Made {
        /// The words.
        words: String,
        /// The way there.
        to: String,
    },
    /// An answer, for the page that asked.
    Answer {
        /// What was found.
        answer: Arc<dyn Any + Send + Sync>,
        /// The way to the page that shows it.
        to: String,
    },
}

/// What is being worked out: how many mouldings are done, of how many, as far as that is
/// told, and whether it is to end with the best that it has.
#[derive(Default)]
pub(super) struct Underway {
    pub(super) done: AtomicUsize,
    pub(super) all: AtomicUsize,
    pub(super) stop: AtomicBool,
}

/// How far it is.
#[derive(Clone)]
pub(super) enum PlanStage {
    Waits,
    Works(Arc<Underway>),
    Over(Result<Planned, String>),
}

/// Work of the planner's: it is told whom it works for and how hard to search.
pub(super) type PlanWork = Box<dyn FnOnce(&Site, &Bounds) -> Result<Planned, BookError> + Send>;

/// How hard to search, on which threads.
pub struct Bounds<'a> {
    pub(super) underway: &'a Underway,
    pub(super) pool: &'a ThreadPool,
}

impl Bounds<'_> {
    /// Plans on the planner's threads.
    pub fn plan<T: Send>(&self, work: impl FnOnce(Limits) -> T + Send) -> T {
        let stop = Some(&self.underway.stop);
        self.pool.install(|| work(Limits { work: WORK, deadline: None, stop, watch: None }))
    }

    /// The same while somebody waits, searching a quarter as hard.
    pub fn brisk<T: Send>(&self, work: impl FnOnce(Limits) -> T + Send) -> T {
        self.plan(|limits| work(Limits { work: limits.work / 4, ..limits }))
    }

    /// Plans as wished, telling how many mouldings are done, and of how many.
    pub fn morning(
        &self,
        shop: &Shop,
        date: Date,
        wishes: &Wishes,
    ) -> Result<Verified<Plan>, BookError> {
        let told = |done, all| self.tell(done, all);
        let plan = self.plan(|limits| plan_telling(shop, date, wishes, limits, &told));
        plan.map_err(|faults| unsound(&faults))
    }

    /// Tells how many mouldings are done, and of how many.
    pub fn tell(&self, done: usize, all: usize) {
        self.underway.done.store(done, Ordering::Relaxed);
        self.underway.all.store(all, Ordering::Relaxed);
    }
}

pub(super) struct PlanOrder {
    pub(super) key: String,
    pub(super) work: PlanWork,
}

/// The planner's thread, what it is asked, and what it found.
pub struct Plans {
    orders: Mutex<Sender<PlanOrder>>,
    pub(super) asked: Mutex<Option<Receiver<PlanOrder>>>,
    stages: Mutex<BTreeMap<String, (String, PlanStage)>>,
    /// The keys in the order in which they came.
    came: Mutex<Vec<String>>,
}

impl Plans {
    pub(super) fn new() -> Plans {
        let (orders, asked) = channel();
        Plans {
            orders: Mutex::new(orders),
            asked: Mutex::new(Some(asked)),
            stages: Mutex::default(),
            came: Mutex::default(),
        }
    }

    /// Asks for something under a key; what was asked under the same key is not asked
    /// again. A key names the question and, where the answer holds as long as no step
    /// comes, the step. Leads to the page that shows how far it is.
    pub fn ask(
        &self,
        key: &str,
        what: &str,
        work: impl FnOnce(&Site, &Bounds) -> Result<Planned, BookError> + Send + 'static,
    ) -> String {
        let to = format!("/plans/{}", spelt(key));
        let mut stages = locked(&self.stages);
        if stages.contains_key(key) {
            return to;
        }
        let mut came = locked(&self.came);
        if came.len() >= MOST {
            let oldest = came.remove(0);
            stages.remove(&oldest);
        }
        came.push(key.to_owned());
        stages.insert(key.to_owned(), (what.to_owned(), PlanStage::Waits));
        let order = PlanOrder { key: key.to_owned(), work: Box::new(work) };
        // The thread ends with the site, and then nobody asks.
        let _ = locked(&self.orders).send(order);
        to
    }

    /// What was found under a key.
    pub fn found(&self, key: &str) -> Option<Planned> {
        match locked(&self.stages).get(key) {
            Some((_, PlanStage::Over(Ok(found)))) => Some(found.clone()),
            _ => None,
        }
    }

    /// The answer of this kind that is kept under a key, if it is still there.
    pub fn answer<T: Any + Send + Sync>(&self, key: &str) -> Option<Arc<T>> {
        match self.found(key) {
            Some(Planned::Answer { answer, .. }) => answer.downcast().ok(),
            _ => None,
        }
    }

    pub(super) fn stage(&self, key: &str) -> Option<(String, PlanStage)> {
        locked(&self.stages).get(key).cloned()
    }

    pub(super) fn set(&self, key: &str, stage: PlanStage) {
        if let Some(known) = locked(&self.stages).get_mut(key) {
            known.1 = stage;
        }
    }
}
