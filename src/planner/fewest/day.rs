//! One choice of frames: how each moulding is passed, so that at each machine
//! they hand their settings on.

use std::collections::{BTreeMap, BTreeSet};

use super::moulding::Passages;
use crate::stops::{Ends, PassageOrder, StopPosition, best};

/// A moulding of the day.
pub(super) struct Passed<'a> {
    pub cutter: &'a str,
    pub passages: &'a Passages,
    /// Where a plan as good may cut other frames of it: the settings of what is
    /// cut in any case.
    pub sure: Option<BTreeSet<StopPosition>>,
}

/// How often stops are set on all machines together, as far as it is known, and at
/// the least by any plan as good.
pub(super) fn settings(mouldings: &[Passed]) -> (usize, usize) {
    let mut machines: BTreeMap<&str, Vec<&Passed>> = BTreeMap::new();
    for passed in mouldings {
        machines.entry(passed.cutter).or_default().push(passed);
    }
    let each = machines.values().map(|mouldings| (found(mouldings), least(mouldings)));
    each.fold((0, 0), |all, one| (all.0 + one.0, all.1 + one.1))
}

/// How often a machine is set if every moulding is passed as well as is known.
fn found(mouldings: &[&Passed]) -> usize {
    let known = mouldings.iter().map(|passed| &passed.passages.ways);
    let known = known.filter(|ways| !ways.is_empty());
    let ways: Vec<BTreeMap<Ends, PassageOrder<()>>> = known.map(|ways| of(ways.clone())).collect();
    if let Some((moves, _)) = best(&ways) {
        return moves + usize::from(!ways.is_empty());
    }
    ways.iter().filter_map(|ways| ways.values().map(|(moves, _)| moves + 1).min()).sum()
}

/// How often a machine is set at the least: once for each setting, but that each
/// moulding may begin where another ends.
fn least(mouldings: &[&Passed]) -> usize {
    let settings = mouldings.iter().map(|passed| match &passed.sure {
        Some(sure) => sure,
        None => &passed.passages.settings,
    });
    let settings: Vec<&BTreeSet<StopPosition>> = settings.filter(|of| !of.is_empty()).collect();
    let ways: Vec<BTreeMap<Ends, PassageOrder<()>>> = settings.iter().map(|of| any(of)).collect();
    if let Some((moves, _)) = best(&ways) {
        return moves + usize::from(!ways.is_empty());
    }
    settings.iter().map(|of| of.len() - 1).sum::<usize>() + 1
}

/// From any of these settings to any other, each set once.
fn any(settings: &BTreeSet<StopPosition>) -> BTreeMap<Ends, PassageOrder<()>> {
    let each = || settings.iter().map(|setting| Some(*setting));
    let pairs = each().flat_map(|first| each().map(move |last| (first, last)));
    of(pairs.map(|ends| (ends, settings.len() - 1)))
}

fn of(ways: impl IntoIterator<Item = (Ends, usize)>) -> BTreeMap<Ends, PassageOrder<()>> {
    ways.into_iter().map(|(ends, moves)| (ends, (moves, Vec::new()))).collect()
}
