//! A plan taken to the bench: its sticks are its own from then on.

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::params;

use super::error::BookError;
use super::field::Field;
use super::lays::{self, BenchRail};
use super::ledger::{Book, version};
use super::snapshot::Snapshot;
use super::stamp::Stamp;
use super::step::Step;
use super::{promises, spare, spoil};
use crate::book::error::unsound;
use crate::book::laying::{label, lay};
use crate::plan::{CutStick, PlacedRail, Plan, SpareUse, Warning};
use crate::report::either::either;
use crate::shop::{Match, Shop};
use crate::verify::{Verified, verified};

/// What was taken to the bench.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    /// The number of the plan.
    pub job: i64,
    /// The plan, with the labels that the book gives its offcuts.
    pub plan: Verified<Plan>,
    /// What was owed of earlier days and is cut first, likewise with its labels.
    pub owed: Verified<Vec<CutStick>>,
    /// The spare rails that are taken in place of what was owed.
    pub spares: Verified<Vec<SpareUse>>,
}

impl Book {
    /// Takes a plan of a snapshot to the bench. The plan is made before, while
    /// others may write; here it only counts whether the book is still the same.
    ///
    /// # Errors
    /// [`BookError::Moved`] if the book changed since the snapshot: look again,
    /// plan again. Else if there is nothing to cut.
    pub fn take(
        &mut self,
        snapshot: &Snapshot,
        plan: &Verified<Plan>,
        stamp: &Stamp,
    ) -> Result<Taken, BookError> {
        let debts = self.look(|db| snapshot.debts.wished(db, &snapshot.shop, &plan.wishes))?;
        let nothing = plan.today.is_empty() && plan.spares_today().next().is_none();
        if nothing && debts.sticks.is_empty() && debts.spares.is_empty() {
            let mut words =
                "there is nothing to cut today, so nothing is taken to the bench".to_owned();
            if !self.bench()?.is_empty() {
                words += &format!(
                    " (what a plan at the bench has taken is not free; to share it out anew, finish \
                     that{})",
                    either(" with --rest-back", ": what is not cut goes back to the pile")
                );
            }
            return Err(BookError::Wrong(words).told(&self.path, self.is_pressed));
        }
        self.change("take", stamp, |step| {
            // This step itself is the one that came since.
            if version(step.db())? != step.id || snapshot.version != step.id - 1 {
                return Err(BookError::Moved);
            }
            let mut plan = Plan::clone(plan);
            label_all(step, &mut plan)?;
            let plan = verified(&snapshot.shop, plan).map_err(|faults| unsound(&faults))?;
            let job = begin_job(step, &plan)?;
            let debts_spares = debts.pay(step, &snapshot.shop)?;
            let owed = debts.lay(step, (&snapshot.shop, job))?;
            let given = given(&plan);
            for stick in &plan.today {
                let alike =
                    |rail: &PlacedRail| alike(&snapshot.shop, &given, &rail.frame, rail.layer);
                lay(step, (&snapshot.shop, job), stick, &alike)?;
            }
            for of in plan.spares_today() {
                spare::give(step, of, alike(&snapshot.shop, &given, &of.frame, of.layer))?;
            }
            for of in debts_spares.iter().chain(plan.spares_today()) {
                let copy = step.copy(&of.frame, of.copy)?;
                step.set(Field::CopyState, copy, "bench".to_owned())?;
                step.set(Field::CopyMade, copy, None::<String>)?;
                step.set(Field::CopyJob, copy, job)?;
            }
            set_aside(step, job)?;
            promises::note(step, job, &snapshot.shop, &plan)?;
            Ok(Taken { job, plan, owed, spares: debts_spares })
        })
    }
}

/// Rails that were cut on another day and are laid out again, or replaced by a spare
/// rail, since their frame is cut anew as a whole, are of no use any more.
fn set_aside(step: &Step, job: i64) -> Result<(), BookError> {
    let name = |rail: &BenchRail| (rail.frame.clone(), rail.copy, rail.layer, rail.side);
    let laid = lays::on(step.db(), job)?;
    let given = spare::given(step.db(), job)?;
    let taken: BTreeSet<i64> = given.iter().map(|given| given.rail.id).collect();
    let given = given.iter().map(|given| &given.rail);
    let anew: BTreeSet<_> = laid.iter().flat_map(|lay| &lay.rails).chain(given).map(name).collect();
    for rail in lays::earlier(step.db(), job)?.iter().flat_map(|lay| &lay.rails) {
        if anew.contains(&name(rail)) && !taken.contains(&rail.id) {
            spoil::mark(step, rail)?;
        }
    }
    Ok(())
}

/// Gives all that today keeps the book's labels, also where it is cut later.
fn label_all(step: &Step, plan: &mut Plan) -> Result<(), BookError> {
    let kept = |stick: &CutStick| -> Vec<String> {
        let kept = stick.between.iter().chain([&stick.left]).filter(|left| left.keep);
        kept.map(|left| left.label.clone()).collect()
    };
    let mut named: BTreeMap<String, String> = BTreeMap::new();
    for stick in &mut plan.today {
        let before = kept(stick);
        label(step, stick)?;
        named.extend(before.into_iter().zip(kept(stick)));
    }
    for stick in plan.order.sticks.iter_mut().chain(&mut plan.order.coming) {
        if let Some(label) = named.get(&stick.stick) {
            stick.stick.clone_from(label);
        }
    }
    Ok(())
}

fn begin_job(step: &Step, plan: &Plan) -> Result<i64, BookError> {
    step.db().execute(
        "INSERT INTO job (step, date) VALUES (?, ?)",
        params![step.id, plan.date.to_string()],
    )?;
    let job = step.db().last_insert_rowid();
    step.set(Field::JobState, job, "bench".to_owned())?;
    Ok(job)
}

fn given(plan: &Plan) -> BTreeMap<(&'_ str, usize), Match> {
    let relaxed = |warning| match warning {
        &Warning::Relaxed { ref frame, layer, given, .. } => Some(((frame.as_str(), layer), given)),
        Warning::TooThick { .. } | Warning::Late { .. } => None,
    };
    plan.warnings.iter().filter_map(relaxed).collect()
}

/// How alike a layer's rails are in a plan.
fn alike(shop: &Shop, given: &BTreeMap<(&str, usize), Match>, frame: &str, layer: usize) -> Match {
    let asked = || shop.frame(frame).map_or(Match::Any, |f| f.layers[layer - 1].match_);
    given.get(&(frame, layer)).copied().unwrap_or_else(asked)
}
