//! What frames take of a moulding and what its sticks hold, by length alone.
//!
//! Whatever match is asked and however the rails lie, a frame takes at least its
//! length and a stick holds at most its room. So what is impossible by length is
//! impossible.

use crate::cutting::{Ask, Bench, Demand, Source, clear_runs, pose};
use crate::measure::Length;

/// The lengths of one moulding's asks and the rooms of its sticks, in nanometres.
pub(crate) struct Material {
    /// For each ask, the least that one of it takes.
    pub lengths: Vec<i64>,
    /// For each source, the most that can be taken from it.
    pub rooms: Vec<i64>,
}

impl Material {
    pub fn new(bench: &Bench, asks: &[Ask], sources: &[Source]) -> Material {
        let joints = || asks.iter().map(|ask| bench.joint_loss(ask.mitre));
        let widest = joints().max().unwrap_or_default();
        let narrowest = joints().min().unwrap_or_default();
        let room = |source: &Source| {
            let runs = clear_runs(bench, source, narrowest).into_iter();
            runs.map(|run| (run.to - run.from + widest).nm()).sum()
        };
        Material {
            lengths: asks.iter().map(|ask| length(bench, ask).nm()).collect(),
            rooms: sources.iter().map(room).collect(),
        }
    }
}

/// What one of an ask takes by itself, cut head to tail where that is possible.
fn length(bench: &Bench, ask: &Ask) -> Length {
    let demand = Demand { ask: ask.clone(), lot: None, together: false, count: 1 };
    let posed = pose(bench, &[demand], &[]);
    let items = posed.problem.items.iter();
    Length::from_nm(items.map(|item| item.length() * i64::from(item.demand)).sum())
}
