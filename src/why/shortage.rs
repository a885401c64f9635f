//! What a frame lacks: how much its rails take, how much is left, and who uses
//! the rest.

use std::collections::{BTreeMap, BTreeSet};

use crate::cutting::{Bench, Source, clear_runs};
use crate::measure::Length;
use crate::plan::{CutStick, HoldReason, Plan, WaitReason, Warning};
use crate::rails::{Rail, frame_rails};
use crate::shop::{Frame, Match, Shop, Stick};

/// One layer that not all copies of a frame can get today.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shortage {
    /// Which layer, counted from 1.
    pub layer: usize,
    /// Its moulding.
    pub moulding: String,
    /// How alike its rails must be: as asked, or as relaxed where that is
    /// impossible.
    pub match_: Match,
    /// How many rails it has.
    pub rails: usize,
    /// What they take, cut one after the other with their joints.
    pub needed: Length,
    /// What its rails could come from together: each lot, stick or the whole
    /// rack, as its match says.
    pub groups: Vec<StickGroup>,
    /// The other frames that are cut from this moulding today, in the order of
    /// the pile.
    pub users: Vec<String>,
}

/// Sticks on the rack from which all rails of a layer could come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StickGroup {
    /// The lot's name, or the stick's; empty for the whole rack.
    pub name: String,
    /// The clear length that today's plan leaves of it.
    pub left: Length,
    /// The longest piece of that.
    pub longest: Length,
    /// The frames that are cut from it today, in the order of the pile.
    pub after: Vec<String>,
}

impl StickGroup {
    /// Whether there is too little left of it, whichever way it is cut.
    pub fn is_short(&self, shortage: &Shortage) -> bool {
        let there = if shortage.match_ == Match::Wrap { self.longest } else { self.left };
        there < shortage.needed
    }
}

/// What the frame lacks, layer by layer.
pub(super) fn shortages(shop: &Shop, plan: &Plan, frame: &Frame) -> Vec<Shortage> {
    let lacking = lacking(plan, frame);
    let layers = frame.layers.iter().zip(frame_rails(shop, frame));
    let to_cut: BTreeSet<usize> = frame.pending().flat_map(|copy| frame.to_cut(copy)).collect();
    let short = layers.filter(|(layer, rails)| {
        lacking.contains(&layer.moulding) && to_cut.contains(&rails.layer)
    });
    short
        .map(|(layer, rails)| {
            let match_ = in_force(plan, frame, rails.layer).unwrap_or(layer.match_);
            let bench = bench(shop, &layer.moulding);
            Shortage {
                layer: rails.layer,
                moulding: layer.moulding.clone(),
                match_,
                rails: rails.rails.len(),
                needed: together(&bench, frame, &rails.rails),
                groups: groups(shop, plan, frame, &bench, match_),
                users: in_pile_order(shop, &users(plan, &layer.moulding, frame)),
            }
        })
        .collect()
}

/// The mouldings that one of the frame's copies waits for, or is held for
/// because others have the stick.
fn lacking(plan: &Plan, frame: &Frame) -> BTreeSet<String> {
    let waits = plan.waiting.iter().filter(|waits| waits.frame == frame.id);
    let waits = waits.flat_map(|waits| match &waits.reason {
        WaitReason::Moulding(mouldings) => mouldings.as_slice(),
        // No stick would help: no machine here can cut it, it is on order, or lacks none.
        WaitReason::Chops(_) | WaitReason::OnOrder { .. } | WaitReason::Patience { .. } => &[],
    });
    let held = plan.held.iter().filter(|held| held.frame == frame.id);
    let held = held.flat_map(|held| match &held.reason {
        HoldReason::StickTaken { mouldings } | HoldReason::NotSold { mouldings, .. } => {
            mouldings.as_slice()
        }
        HoldReason::RandomLengths { moulding, .. } => std::slice::from_ref(moulding),
        _ => &[],
    });
    waits.chain(held).cloned().collect()
}

fn in_force(plan: &Plan, frame: &Frame, number: usize) -> Option<Match> {
    plan.warnings.iter().find_map(|warning| match warning {
        Warning::Relaxed { frame: id, layer, given, .. } => {
            (*id == frame.id && *layer == number).then_some(*given)
        }
        Warning::TooThick { .. } | Warning::Late { .. } => None,
    })
}

pub(super) fn bench<'a>(shop: &'a Shop, moulding: &str) -> Bench<'a> {
    let moulding = shop.moulding(moulding);
    let cutter = shop.cutter_of(moulding);
    Bench { settings: &shop.settings, moulding, cutter, joint_at_flaws: Length::ZERO }
}

/// What rails take, cut one after the other; of stock that is cut head to tail,
/// with each overlap.
pub(super) fn together(bench: &Bench, frame: &Frame, rails: &[Rail]) -> Length {
    let points: Length = rails.iter().map(|rail| rail.long_point).sum();
    let joints = i64::try_from(rails.len()).expect("at most 16 sides") - 1;
    let mitre = bench.moulding.kind.mitre(frame.mitre);
    points + (bench.joint_loss(mitre) - bench.overlap(mitre)) * joints
}

/// The other frames cut from a moulding today.
fn users(plan: &Plan, moulding: &str, frame: &Frame) -> BTreeSet<String> {
    let sticks = plan.today.iter().filter(|stick| stick.moulding == moulding);
    let rails = sticks.flat_map(|stick| &stick.rails).filter(|rail| rail.frame != frame.id);
    rails.map(|rail| rail.frame.clone()).collect()
}

fn in_pile_order(shop: &Shop, frames: &BTreeSet<String>) -> Vec<String> {
    let ids = shop.frames.iter().map(|frame| &frame.id);
    ids.filter(|id| frames.contains(*id)).cloned().collect()
}

fn groups(
    shop: &Shop,
    plan: &Plan,
    frame: &Frame,
    bench: &Bench,
    match_: Match,
) -> Vec<StickGroup> {
    let mut groups: BTreeMap<(usize, String), (StickGroup, BTreeSet<String>)> = BTreeMap::new();
    let rack = shop.rack.iter().filter(|stick| stick.moulding == bench.moulding.id);
    for (place, stick) in rack.enumerate() {
        let (place, name) = match match_ {
            Match::Any => (0, ""),
            Match::Lot | Match::Halves if !stick.lot.is_empty() => (0, stick.lot.as_str()),
            _ => (place + 1, stick.id.as_str()),
        };
        let new = || {
            let (name, after) = (name.to_owned(), Vec::new());
            let group = StickGroup { name, left: Length::ZERO, longest: Length::ZERO, after };
            (group, BTreeSet::new())
        };
        let (group, after) = groups.entry((place, name.to_owned())).or_insert_with(new);
        let cut = plan.today.iter().find(|cut| cut.stick == stick.id);
        for piece in pieces(bench, frame, stick, cut) {
            group.left += piece;
            group.longest = group.longest.max(piece);
        }
        after.extend(cut.into_iter().flat_map(|cut| &cut.rails).map(|rail| rail.frame.clone()));
    }
    let with_users = |(group, after): (StickGroup, BTreeSet<String>)| StickGroup {
        after: in_pile_order(shop, &after),
        ..group
    };
    groups.into_values().map(with_users).collect()
}

/// The clear pieces that are left of a stick once it is cut.
fn pieces(bench: &Bench, frame: &Frame, stick: &Stick, cut: Option<&CutStick>) -> Vec<Length> {
    let rails = || cut.into_iter().flat_map(|cut| &cut.rails);
    let own = bench.moulding.kind.mitre(frame.mitre);
    let mitres = rails().map(|rail| rail.mitre).chain([own]);
    let widest = mitres.map(|mitre| bench.joint_loss(mitre)).max().unwrap_or_default();
    let source = Source {
        length: stick.length,
        flaws: stick.flaws.clone(),
        lot: 0,
        is_new: false,
        paid: None,
    };
    let runs = clear_runs(bench, &source, widest).into_iter();
    let left = runs.map(|run| {
        let inside = rails().filter(|rail| run.from <= rail.from && rail.to <= run.to);
        let taken = inside.map(|rail| rail.to + bench.joint_loss(rail.mitre)).max();
        (run.to - taken.unwrap_or(run.from)).max(Length::ZERO)
    });
    left.filter(|piece| piece.is_positive()).collect()
}
