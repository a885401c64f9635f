//! Ways to cut, and what one does on a day.

use std::collections::BTreeSet;

use jiff::civil::Date;

use super::by_hand::{HandRule, cut};
use crate::morning::plan;
use crate::plan::{CutStick, Owed};
use crate::rails::frame_rails;
use crate::shop::{Frame, Shop};
use crate::solve::Limits;
use crate::verify::{Fault, Verified, remade};

/// A way to cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Practice {
    /// Each frame by itself, as it comes: from the tightest piece that gives it whole,
    /// else from a new stick.
    FrameByFrame,
    /// All of the day together, rails longest first, each in the tightest place.
    ByHand,
    /// The same of the mouldings of which a frame must be cut, and those that are tied to
    /// them: the others wait, as in the planner (`planner/patience.rs`).
    HandWaiting,
    /// The morning's plan of all that is on the pile.
    Planned,
    /// The same of the mouldings of which a frame must be cut: the others wait.
    Waiting,
}

impl Practice {
    /// All of them, the plainest first.
    pub const ALL: [Practice; 5] = [
        Practice::FrameByFrame,
        Practice::ByHand,
        Practice::HandWaiting,
        Practice::Planned,
        Practice::Waiting,
    ];

    /// What it is called.
    pub const fn words(self) -> &'static str {
        match self {
            Practice::FrameByFrame => "frame by frame",
            Practice::ByHand => "by hand at its best",
            Practice::HandWaiting => "by hand, with waiting",
            Practice::Planned => "the plan, every day",
            Practice::Waiting => "the plan, with waiting",
        }
    }

    /// The word for it where one is asked for.
    pub const fn word(self) -> &'static str {
        match self {
            Practice::FrameByFrame => "frame",
            Practice::ByHand => "hand",
            Practice::HandWaiting => "hand-waiting",
            Practice::Planned => "plan",
            Practice::Waiting => "plan-waiting",
        }
    }

    /// What is cut of the frames of a shop on a day, checked. The rack begins with what
    /// is `there`; what follows on it is bought if it is cut.
    pub(super) fn cut(
        self,
        shop: &Shop,
        there: usize,
        date: Date,
        work: u64,
    ) -> Result<Verified<Vec<CutStick>>, Vec<Fault>> {
        let rule = match self {
            Practice::FrameByFrame => HandRule::FrameByFrame,
            Practice::ByHand | Practice::HandWaiting => HandRule::LongestFirst,
            Practice::Planned | Practice::Waiting => {
                let limits = Limits { work, deadline: None, stop: None, watch: None };
                let today = plan(shop, date, limits)?.into_inner().today;
                let owed = owed(shop, &today);
                return remade(shop, date, today, &owed);
            }
        };
        let sticks = cut(shop, there, rule).unwrap_or_default();
        remade(shop, date, sticks, &owed_of(shop, |_| true))
    }
}

/// All layers of the frames that a plan cuts.
fn owed(shop: &Shop, sticks: &[CutStick]) -> Vec<Owed> {
    let rails = sticks.iter().flat_map(|stick| &stick.rails);
    let cut: BTreeSet<&str> = rails.map(|rail| rail.frame.as_str()).collect();
    owed_of(shop, |frame| cut.contains(frame.id.as_str()))
}

fn owed_of(shop: &Shop, is_cut: impl Fn(&Frame) -> bool) -> Vec<Owed> {
    let mut owed = Vec::new();
    for frame in shop.frames.iter().filter(|frame| is_cut(frame)) {
        for (rails, layer) in frame_rails(shop, frame).into_iter().zip(&frame.layers) {
            let sides = rails.rails.iter().map(|rail| rail.side).collect();
            let (frame, match_, layer) = (frame.id.clone(), layer.match_, rails.layer);
            owed.push(Owed { frame, copy: 1, layer, sides, match_, like: None });
        }
    }
    owed
}
