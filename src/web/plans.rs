//! Plans: made one at a time on a thread of their own, while everybody goes on, and kept
//! until they were looked at.

use std::any::Any;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, Weak};
use std::thread;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;
use maud::html;
use rayon::{ThreadPool, ThreadPoolBuilder};

use super::form::form;
use super::page::{self, Screen};
use super::press::Press;
use super::reply;
use super::site::{Site, locked};
use super::visit::Visit;
use crate::book::BookError;
use crate::morning::WORK;
use crate::solve::Limits;

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
struct Underway {
    done: AtomicUsize,
    all: AtomicUsize,
    stop: AtomicBool,
}

/// How far it is.
#[derive(Clone)]
enum PlanStage {
    Waits,
    Works(Arc<Underway>),
    Over(Result<Planned, String>),
}

/// PlanWork of the planner's: it is told whom it works for and how hard to search.
type PlanWork = Box<dyn FnOnce(&Site, &Bounds) -> Result<Planned, BookError> + Send>;

/// How hard to search, on which threads.
pub struct Bounds<'a> {
    underway: &'a Underway,
    pool: &'a ThreadPool,
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
}

impl Bounds<'_> {
    /// Tells how many mouldings are done, and of how many.
    pub fn tell(&self, done: usize, all: usize) {
        self.underway.done.store(done, Ordering::Relaxed);
        self.underway.all.store(all, Ordering::Relaxed);
    }
}

struct PlanOrder {
    key: String,
    work: PlanWork,
}

/// The planner's thread, what it is asked, and what it found.
pub struct Plans {
    orders: Mutex<Sender<PlanOrder>>,
    asked: Mutex<Option<Receiver<PlanOrder>>>,
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
        let to = format!("/plans/{}", super::form::spelt(key));
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

    fn stage(&self, key: &str) -> Option<(String, PlanStage)> {
        locked(&self.stages).get(key).cloned()
    }

    fn set(&self, key: &str, stage: PlanStage) {
        if let Some(known) = locked(&self.stages).get_mut(key) {
            known.1 = stage;
        }
    }
}

/// Begins to plan what is asked, one after the other, as long as the site is there.
pub(super) fn begin(site: &Arc<Site>) -> std::io::Result<()> {
    let asked = locked(&site.plans.asked).take();
    let site = Arc::downgrade(site);
    let Some(asked) = asked else { return Ok(()) };
    let pool = ThreadPoolBuilder::new().build().map_err(std::io::Error::other)?;
    thread::spawn(move || {
        while let Ok(order) = asked.recv() {
            if !plan(&site, order, &pool) {
                return;
            }
        }
    });
    Ok(())
}

/// Plans once; false once the site is gone.
fn plan(site: &Weak<Site>, order: PlanOrder, pool: &ThreadPool) -> bool {
    let Some(site) = site.upgrade() else { return false };
    let underway = Arc::new(Underway::default());
    site.plans.set(&order.key, PlanStage::Works(Arc::clone(&underway)));
    let bounds = Bounds { underway: &underway, pool };
    let work = std::panic::AssertUnwindSafe(|| (order.work)(&site, &bounds));
    let found = match std::panic::catch_unwind(work) {
        Ok(found) => found.map_err(|error| error.to_string()),
        Err(_) => Err("the program made a mistake while planning; nothing was done".to_owned()),
    };
    site.plans.set(&order.key, PlanStage::Over(found));
    true
}

/// How far it is, or the way to what was found.
pub(super) async fn asked(
    State(site): State<Arc<Site>>,
    Path(key): Path<String>,
    visit: Visit,
) -> Response {
    page::aside(move || {
        let (what, underway) = match site.plans.stage(&key) {
            Some((
                _,
                PlanStage::Over(Ok(Planned::Made { to, .. } | Planned::Answer { to, .. })),
            )) => {
                return Ok(reply::go(&to));
            }
            Some((_, PlanStage::Over(Err(words)))) => {
                return Ok(reply::plain(StatusCode::CONFLICT, &words));
            }
            Some((what, PlanStage::Works(underway))) => (what, Some(underway)),
            Some((what, PlanStage::Waits)) => (what, None),
            None => {
                let words = "That was not worked out: the server was started anew meanwhile. \
                             Press once more.";
                return Ok(reply::plain(StatusCode::NOT_FOUND, words));
            }
        };
        let underway = underway.as_deref();
        let is_stopping = underway.is_some_and(|own| own.stop.load(Ordering::Relaxed));
        let counted = underway.map(|own| (own.done.load(Ordering::Relaxed), own.all.load(Ordering::Relaxed)));
        let counted = counted.filter(|(_, all)| *all > 0);
        let main = html! {
            h1 { (what) }
            p.words role="status" {
                @if underway.is_none() { "Something else is planned first." }
                @else if is_stopping { "The best way so far is taken." }
                @else { "It is being worked out." }
                @if let Some((done, all)) = counted { " " (done) " of " (all) " mouldings are done." }
            }
            p { "You may go on elsewhere: it is done all the same." }
            div.presses.two {
                @if underway.is_some() && !is_stopping {
                    (form(&visit, "/plans/stop", &html! {
                        input type="hidden" name="key" value=(key);
                        button { "TAKE THE BEST SO FAR" }
                    }))
                }
                a.big href="/" { "GO ON ELSEWHERE" }
            }
        };
        let to = visit.path.clone();
        page::whole(&site, &visit, Screen::new(what, main).turning(1, to).bright())
    })
    .await
}

/// Has it end with the best that it has.
pub(super) async fn stopped(State(site): State<Arc<Site>>, press: Press) -> Response {
    let key = press.text("key");
    if let Some((_, PlanStage::Works(underway))) = site.plans.stage(key) {
        underway.stop.store(true, Ordering::Relaxed);
    }
    reply::go(&format!("/plans/{}", super::form::spelt(key)))
}
