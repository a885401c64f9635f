//! One choice of frames: how each moulding is passed, so that at each machine
//! they hand their settings on.

use std::collections::{BTreeMap, BTreeSet};

use super::moulding::{Least, Passages};
use crate::stops::{Ends, PassageOrder, Setting, best};

/// A moulding of the day.
pub(super) struct Passed<'a> {
    pub moulding: &'a str,
    pub cutter: &'a str,
    pub passages: &'a Passages,
    /// Where a plan as good may cut other frames of it: the settings of what is
    /// cut in any case.
    pub sure: Option<BTreeSet<Setting>>,
}

/// How the day is passed.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Settled<'a> {
    /// How often stops are set, as far as it is known.
    pub settings: usize,
    /// How often they are set at the least.
    pub least: usize,
    /// The packing of each moulding that is taken, by its place in its passages.
    pub packings: BTreeMap<&'a str, usize>,
}

/// A moulding and one of its packings.
type MouldingPacking<'a> = (&'a str, usize);

/// Settles each machine by itself.
pub(super) fn settle<'a>(mouldings: &[Passed<'a>]) -> Settled<'a> {
    let mut machines: BTreeMap<&str, Vec<&Passed>> = BTreeMap::new();
    for passed in mouldings {
        machines.entry(passed.cutter).or_default().push(passed);
    }
    let mut settled = Settled::default();
    for mouldings in machines.values() {
        let (found, packings) = found(mouldings);
        let is_whole = mouldings.iter().all(|passed| passed.is_found());
        settled.settings += found;
        settled.packings.extend(packings);
        settled.least += if is_whole { found } else { least(mouldings) };
    }
    settled
}

/// How often a machine is set if every moulding is passed as well as is known,
/// and the packings that it takes.
fn found<'a>(mouldings: &[&Passed<'a>]) -> (usize, Vec<MouldingPacking<'a>>) {
    let known: Vec<&&Passed> =
        mouldings.iter().filter(|passed| !passed.passages.ways.is_empty()).collect();
    let ways: Vec<BTreeMap<Ends, PassageOrder<MouldingPacking>>> = known
        .iter()
        .map(|passed| {
            let named = |(ends, (moves, packing)): (&Ends, &(usize, usize))| {
                (*ends, (*moves, vec![(passed.moulding, *packing)]))
            };
            passed.passages.ways.iter().map(named).collect()
        })
        .collect();
    if let Some((moves, packings)) = best(&ways) {
        return (moves + usize::from(!known.is_empty()), packings);
    }
    let fewest = ways.into_iter().map(|ways| {
        ways.into_values().min_by_key(|(moves, _)| *moves).expect("it is passed somehow")
    });
    let fewest: Vec<PassageOrder<MouldingPacking>> = fewest.collect();
    let settings = fewest.iter().map(|(moves, _)| moves + 1).sum();
    (settings, fewest.into_iter().flat_map(|(_, packings)| packings).collect())
}

/// How often a machine is set at the least by any plan as good.
fn least(mouldings: &[&Passed]) -> usize {
    let ways: Vec<BTreeMap<Ends, PassageOrder<()>>> =
        mouldings.iter().map(|passed| passed.at_least()).filter(|ways| !ways.is_empty()).collect();
    if let Some((moves, _)) = best(&ways) {
        return moves + usize::from(!ways.is_empty());
    }
    // Each moulding but one may begin where another ends.
    let moves: usize = ways.iter().filter_map(|ways| ways.values().map(|(m, _)| *m).min()).sum();
    moves + 1
}

impl Passed<'_> {
    /// The fewest moves from one setting to another that a plan as good may have;
    /// nothing if it may not cut the moulding at all.
    fn at_least(&self) -> BTreeMap<Ends, PassageOrder<()>> {
        if let Some(sure) = &self.sure {
            return any(sure, sure.len().saturating_sub(1));
        }
        let Passages { ways, least, settings, .. } = self.passages;
        let ways = match least {
            Least::Moves(moves) => return any(settings, *moves),
            Least::Found => ways.iter().map(|(ends, (moves, _))| (*ends, *moves)).collect(),
            Least::Ways(ways) => ways.clone(),
        };
        ways.into_iter().map(|(ends, moves)| (ends, (moves, Vec::new()))).collect()
    }

    /// Whether no plan as good passes it better.
    fn is_found(&self) -> bool {
        self.sure.is_none() && matches!(self.passages.least, Least::Found)
    }
}

/// From any of these settings to any other with so many moves.
fn any(settings: &BTreeSet<Setting>, moves: usize) -> BTreeMap<Ends, PassageOrder<()>> {
    let each = || settings.iter().map(|setting| Some(*setting));
    let pairs = each().flat_map(|first| each().map(move |last| (first, last)));
    pairs.map(|ends| (ends, (moves, Vec::new()))).collect()
}
