//! Flaws, trims and grip: the clear runs of a stick.
//!
//! # Why trims do not apply at flaws
//!
//! A trim is for the rough, out-of-square end of a stick. Past a flaw the rail's own
//! mitre is the fresh cut.
//!
//! # Why a narrow flaw is widened to a joint
//!
//! Two rails either side of a flaw are still parted by a saw cut. Widening the flaw
//! keeps runs independent of one another, at the cost of a fraction of a joint where
//! a flaw is narrower than that.

use super::{Bench, Source};
use crate::measure::Length;

/// A stretch of a stick in which rails may lie, along the back edge from the
/// marked end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClearRun {
    /// Where the first rail may begin.
    pub from: Length,
    /// Where the last rail must have ended.
    pub to: Length,
}

/// The clear runs of a stick in order, none of them empty.
///
/// The first trim comes off the marked end and the greater of last trim and
/// grip stays at the far end; at a flaw nothing more is lost, since a joint may
/// fall in it. A flaw narrower than `joint`, the widest joint on the stick,
/// parts its neighbours by a joint all the same.
pub fn clear_runs(bench: &Bench, source: &Source, joint: Length) -> Vec<ClearRun> {
    let far = source.length - bench.cutter.last_trim.max(bench.cutter.grip);
    let mut from = bench.cutter.first_trim;
    let mut runs = Vec::with_capacity(source.flaws.len() + 1);
    for flaw in &source.flaws {
        push_if_clear(&mut runs, from, flaw.from.min(far));
        from = from.max(flaw.to).max(flaw.from + joint);
    }
    push_if_clear(&mut runs, from, far);
    runs
}

fn push_if_clear(runs: &mut Vec<ClearRun>, from: Length, to: Length) {
    if from < to {
        runs.push(ClearRun { from, to });
    }
}
