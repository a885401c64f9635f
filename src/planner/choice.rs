//! Choices of frames, and what they ask of each moulding.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use super::packing::{Counts, Packing};
use super::work::Class;
use crate::measure::Worth;

/// More choices than this are not listed. Each costs a packing or two, and a day
/// with a handful of contested frames has a few hundred.
pub(crate) const MOST_CHOICES: usize = 500;

/// How many frames of each class are cut.
pub(crate) type FrameChoice = BTreeMap<usize, u32>;

/// What each moulding is asked for.
pub(crate) type Asked = BTreeMap<String, Counts>;

/// Mouldings with what they can be packed into.
pub(crate) type Packings<'p> = BTreeMap<String, Packing<'p>>;

/// What was decided.
pub(crate) struct Decision {
    /// What is cut in any case.
    pub common: FrameChoice,
    /// What else is cut, of frames that share no moulding.
    pub picks: Vec<Pick>,
    /// For mouldings on which something hung: whether no other choice serves
    /// the dates better, or as well for less, and what every choice that serves
    /// the dates as well uses up at least.
    pub verdicts: BTreeMap<String, (bool, Worth)>,
}

/// One of several choices.
pub(crate) struct Pick {
    /// The one that is taken, and others that are as good.
    pub choices: Vec<FrameChoice>,
    /// The mouldings that they take from.
    pub mouldings: BTreeSet<String>,
    /// Whether no others are as good.
    pub whole: bool,
}

/// Adds what the frames of a choice ask of each moulding.
pub(crate) fn add(asked: &mut Asked, classes: &[Class], choice: &FrameChoice) {
    for (class, count) in choice.iter().filter(|(_, count)| **count > 0) {
        for layer in &classes[*class].layers {
            *asked.entry(layer.moulding.clone()).or_default().entry(layer.ask).or_default() +=
                count;
        }
    }
}

/// What the frames of a choice ask of each moulding.
pub(crate) fn asked_by(classes: &[Class], choice: &FrameChoice) -> Asked {
    let mut asked = Asked::new();
    add(&mut asked, classes, choice);
    asked
}

/// Adds one choice to another.
pub(crate) fn join(choice: &mut FrameChoice, more: &FrameChoice) {
    for (class, count) in more {
        *choice.entry(*class).or_default() += count;
    }
}

/// What is asked of one moulding, and some more.
pub(crate) fn sum(counts: Option<&Counts>, more: Option<&Counts>) -> Counts {
    let mut sum = counts.cloned().unwrap_or_default();
    for (ask, count) in more.into_iter().flatten() {
        *sum.entry(*ask).or_default() += count;
    }
    sum
}

/// Works on parts that share no moulding side by side, each with its own packings.
pub(crate) fn side_by_side<'p, T: Send, R: Send>(
    packings: &mut Packings<'p>,
    parts: Vec<(BTreeSet<String>, T)>,
    work: impl Fn(T, &mut Packings<'p>) -> R + Sync,
) -> Vec<R> {
    let with_own = |(mouldings, part): (BTreeSet<String>, T)| {
        let own = mouldings.iter().filter_map(|id| packings.remove_entry(id)).collect();
        (part, own)
    };
    let parts: Vec<(T, Packings)> = parts.into_iter().map(with_own).collect();
    let worked = parts.into_par_iter().map(|(part, mut own)| (work(part, &mut own), own));
    let (results, own): (Vec<R>, Vec<Packings>) = worked.unzip();
    packings.extend(own.into_iter().flatten());
    results
}

/// Whether there are steps for all of these mouldings.
pub(crate) fn may_search(packings: &Packings) -> bool {
    packings.values().all(Packing::may_search)
}

/// Counts steps that were taken for all of these mouldings together.
pub(crate) fn spend(packings: &Packings, steps: u64) {
    let each = steps / (packings.len() as u64).max(1);
    packings.values().for_each(|packing| packing.spend(each));
}
