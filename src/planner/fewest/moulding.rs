//! One moulding: how often its packing moves the stop.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::question::Question;
use crate::planner::packing::Fit;
use crate::stops::{CutWays, Ends, StopPosition, passed};

/// How often the stop is moved for one moulding.
pub(super) struct Passages {
    /// For each beginning and end the fewest moves. None if there are too many
    /// sticks.
    pub ways: BTreeMap<Ends, usize>,
    /// The packing.
    pub fit: Arc<Fit>,
    /// The settings of all rails.
    pub settings: BTreeSet<StopPosition>,
}

/// The passages of a fit as it is packed, which `question` asks of.
pub(super) fn as_packed(question: &Question, fit: Arc<Fit>) -> Passages {
    let settings = question.settings().clone();
    let mut ways = BTreeMap::new();
    if question.is_as_posed(&fit.posed) {
        let sticks = question.sticks(&fit.solution.patterns);
        let sticks: Vec<CutWays> = sticks.iter().map(CutWays::of).collect();
        ways = passed(&sticks.iter().collect::<Vec<_>>()).unwrap_or_default();
    }
    Passages { ways, fit, settings }
}
