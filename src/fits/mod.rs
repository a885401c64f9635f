//! What can be cut from the rack now, without touching what today's plan uses.
//!
//! A frame that nobody has ordered is planned by itself, from the sticks that
//! today's plan leaves untouched, by the same planner and under the same check
//! as every other. Sticks that waiting frames will be cut from are taken last.

mod clear;
mod largest;
mod trial;
mod usual;

pub use clear::{UsualSizes, makes, makes_telling};
pub use largest::{StickYield, pieces};

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::measure::Length;
use crate::morning::plan;
use crate::plan::{CutStick, HoldReason, Plan};
use crate::shop::{Match, Moulding, Shop, Spare, Stick};
use crate::solve::Limits;
use crate::verify::Fault;
use trial::{Trial, TrialOutcome};

/// The frame that is asked for, but for its size.
#[derive(Debug, Clone, Copy)]
pub struct FitQuestion<'a> {
    /// Of which moulding.
    pub moulding: &'a Moulding,
    /// How alike its rails must be.
    pub match_: Match,
    /// For a floater: the gap between canvas and wall on each side.
    pub gap: Length,
}

/// The sticks of one moulding that today's plan leaves untouched.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Untouched {
    /// The sticks, in the order of the rack.
    pub sticks: Vec<Stick>,
    /// The waiting frames that will be cut from a stick once their order is in.
    pub wanted: BTreeMap<String, Vec<String>>,
    /// How many sticks today's plan cuts.
    pub cut: usize,
    /// The spare rails that it leaves.
    pub spare: Vec<Spare>,
}

/// What a frame is made from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Made {
    /// The sticks that are cut.
    pub sticks: Vec<CutStick>,
    /// The spare rails that are taken.
    pub spare: Vec<String>,
}

/// Whether one frame can be cut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FitVerdict {
    /// It can, from these.
    Fits(Made),
    /// It cannot, but with a weaker match it can.
    WithMatch(Match, Made),
    /// There is not enough on the rack.
    Lacks,
    /// No stick at hand or to be bought could make it.
    Never(HoldReason),
}

/// What today's plan leaves untouched of a moulding.
///
/// # Errors
/// What the check finds wrong with the plan: a mistake of the program.
pub fn untouched(
    shop: &Shop,
    date: Date,
    moulding: &Moulding,
    limits: &Limits,
) -> Result<Untouched, Vec<Fault>> {
    // What could be cut today counts as cut, also where it had better wait.
    let mut eager = shop.clone();
    eager.settings.days.patience = None;
    let plan = plan(&eager, date, Limits { watch: None, ..*limits })?;
    let rack = || shop.rack.iter().filter(|stick| stick.moulding == moulding.id);
    let is_cut = |stick: &&Stick| plan.today.iter().any(|cut| cut.stick == stick.id);
    let sticks: Vec<Stick> = rack().filter(|stick| !is_cut(stick)).cloned().collect();
    let cut = rack().filter(is_cut).count();
    let spare = plan.served(shop).spare.clone();
    Ok(Untouched { wanted: wanted(&plan, &sticks), sticks, cut, spare })
}

fn wanted(plan: &Plan, sticks: &[Stick]) -> BTreeMap<String, Vec<String>> {
    let mut wanted: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for stick in sticks {
        let cut = plan.order.all_sticks().filter(|cut| cut.stick == stick.id);
        for rail in cut.flat_map(|cut| &cut.rails) {
            let frames = wanted.entry(stick.id.clone()).or_default();
            if !frames.contains(&rail.frame) {
                frames.push(rail.frame.clone());
            }
        }
    }
    wanted
}

/// Whether a frame of this size can be cut from what is untouched, and from
/// which sticks.
///
/// # Errors
/// As [`untouched`].
pub fn fits(
    shop: &Shop,
    question: &FitQuestion,
    (width, height): (Length, Length),
    untouched: &Untouched,
    limits: &Limits,
) -> Result<FitVerdict, Vec<Fault>> {
    let free = |stick: &&Stick| !untouched.wanted.contains_key(&stick.id);
    let unwanted: Vec<Stick> = untouched.sticks.iter().filter(free).cloned().collect();
    let matches = [Match::Wrap, Match::Stick, Match::Halves, Match::Lot, Match::Any];
    let mut never = None;
    for match_ in matches.into_iter().filter(|match_| *match_ <= question.match_) {
        for sticks in [&unwanted, &untouched.sticks] {
            let trial = Trial { shop, question: FitQuestion { match_, ..*question }, limits };
            match trial.cut((width, height), (sticks, &untouched.spare))? {
                TrialOutcome::Cut(made) if match_ == question.match_ => {
                    return Ok(FitVerdict::Fits(made));
                }
                TrialOutcome::Cut(made) => return Ok(FitVerdict::WithMatch(match_, made)),
                TrialOutcome::Held(reason) => never = never.or(Some(reason)),
                TrialOutcome::Waits => {}
            }
        }
    }
    Ok(never.map_or(FitVerdict::Lacks, FitVerdict::Never))
}
