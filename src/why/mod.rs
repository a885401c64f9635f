//! Why a frame stands where it stands: what it competes with, and what would
//! change it.
//!
//! Everything that is said to change something has been tried: the morning was
//! planned again with that one thing changed, and the new plan was checked.
//!
//! # Why it plans again
//!
//! A reason that is worked out beside the planner could contradict it. So an
//! alternative is a changed shop or a wish, planned and verified like any morning;
//! only frames that share a moulding, directly or through others, are planned, since
//! no other has a say.

mod changes;
mod more_sticks;
mod shortage;
mod tied;
mod trials;

pub use changes::{Change, WantedStick, What};
pub use shortage::{Shortage, StickGroup};
pub use trials::Effect;

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use crate::plan::{CutStick, HoldReason, Plan, Told, WaitReason};
use crate::shop::{Frame, Shop};
use crate::solve::Limits;
use crate::verify::Fault;
use trials::Trials;

/// Where copies of a frame stand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Standing {
    /// They are cut today.
    Today {
        /// The sticks that their rails come from, and the spare rails.
        sticks: Vec<String>,
    },
    /// They wait for moulding.
    Waits {
        /// What for.
        reason: WaitReason,
        /// The sticks that their rails will come from.
        sticks: Vec<String>,
    },
    /// They are impossible as asked.
    Held {
        /// Why.
        reason: HoldReason,
    },
}

/// Everything that there is to say of one frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// The frame's ticket number.
    pub frame: String,
    /// When it is wanted.
    pub due: Option<Date>,
    /// How many copies of it are still to be cut.
    pub copies: u32,
    /// Whether its ticket is for several copies, so that each has a number.
    pub is_numbered: bool,
    /// Where they stand: copies that stand alike together, in order.
    pub standings: Vec<(Vec<u32>, Standing)>,
    /// What it lacks, layer by layer, and who uses it today.
    pub shortages: Vec<Shortage>,
    /// What would change it.
    pub changes: Vec<Change>,
    /// How often the morning was planned again to find that out.
    pub trials: u32,
    /// Whether everything that is worth a try was tried.
    pub whole: bool,
    /// The mouldings of the frame whose part of today's plan is not proven: a
    /// longer search might decide otherwise.
    pub unproven: Vec<String>,
}

/// Answers for one frame of the shop, on the morning of `date`.
///
/// Only the frames that share a moulding with it, or with one that does, are
/// planned: no other has a say in it. `limits` hold for each packing of each
/// trial by itself.
///
/// # Errors
/// What the check finds wrong with one of the plans: a mistake of the program.
pub fn why(shop: &Shop, date: Date, frame: &Frame, limits: &Limits) -> Result<Answer, Vec<Fault>> {
    why_telling(shop, date, frame, (limits, &|_, _| {}))
}

/// The same, telling of each plan how many mouldings are done and of how many.
///
/// # Errors
/// As there.
pub fn why_telling(
    shop: &Shop,
    date: Date,
    frame: &Frame,
    (limits, told): (&Limits, Told),
) -> Result<Answer, Vec<Fault>> {
    let shop = tied::with(shop, frame);
    let mut trials = Trials::new(date, frame, (limits, told));
    let plan = trials.first(&shop)?;
    let shortages = shortage::shortages(&shop, &plan, frame);
    let changes = changes::changes(&shop, &plan, frame, &shortages, &mut trials)?;
    Ok(Answer {
        frame: frame.id.clone(),
        due: frame.due,
        copies: frame.left(),
        is_numbered: frame.copies > 1,
        standings: standings(&plan, frame),
        shortages,
        changes,
        trials: trials.taken(),
        whole: !trials.is_spent(),
        unproven: unproven(&plan, frame),
    })
}

fn standings(plan: &Plan, frame: &Frame) -> Vec<(Vec<u32>, Standing)> {
    let mut standings: Vec<(Vec<u32>, Standing)> = Vec::new();
    let today = sticks(plan.today.iter(), frame);
    let ordered = sticks(plan.order.all_sticks(), frame);
    let of = |by_copy: &BTreeMap<u32, BTreeSet<&str>>, copy| -> Vec<String> {
        by_copy.get(&copy).into_iter().flatten().map(|stick| (*stick).to_owned()).collect()
    };
    for copy in frame.pending() {
        let waits = plan.waiting.iter().find(|w| (&w.frame, w.copy) == (&frame.id, copy));
        let held = plan.held.iter().find(|h| (&h.frame, h.copy) == (&frame.id, copy));
        let standing = match (waits, held) {
            (Some(waits), _) => {
                Standing::Waits { reason: waits.reason.clone(), sticks: of(&ordered, copy) }
            }
            (None, Some(held)) => Standing::Held { reason: held.reason.clone() },
            (None, None) => {
                let spare =
                    plan.spares_today().filter(|of| (&of.frame, of.copy) == (&frame.id, copy));
                let spare = spare.map(|of| format!("spare rail {}", of.label));
                Standing::Today { sticks: of(&today, copy).into_iter().chain(spare).collect() }
            }
        };
        match standings.last_mut().filter(|(_, last)| *last == standing) {
            Some((copies, _)) => copies.push(copy),
            None => standings.push((vec![copy], standing)),
        }
    }
    standings
}

/// The sticks that each copy's rails come from.
fn sticks<'p>(
    sticks: impl Iterator<Item = &'p CutStick>,
    frame: &Frame,
) -> BTreeMap<u32, BTreeSet<&'p str>> {
    let mut by_copy: BTreeMap<u32, BTreeSet<&str>> = BTreeMap::new();
    for stick in sticks {
        for rail in stick.rails.iter().filter(|rail| rail.frame == frame.id) {
            by_copy.entry(rail.copy).or_default().insert(&stick.stick);
        }
    }
    by_copy
}

fn unproven(plan: &Plan, frame: &Frame) -> Vec<String> {
    let own: BTreeSet<&String> = frame.layers.iter().map(|layer| &layer.moulding).collect();
    let proofs = plan.proof.iter().filter(|proof| proof.part == crate::plan::Part::Today);
    let doubtful = proofs.filter(|proof| !proof.proven && own.contains(&proof.moulding));
    doubtful.map(|proof| proof.moulding.clone()).collect()
}
