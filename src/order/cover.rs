//! What to buy so that some packing can be cut.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use super::choices::Choice;
use super::split_packings::SplitPackings;
use super::ways::MouldingWays;
use crate::buy::Way;

/// More purchases than this are not compared on the way to the cheapest.
const MOST_COMPARED: usize = 400_000;

impl MouldingWays<'_> {
    /// For each packing that is known, ways with as much of one offer as it cuts of
    /// its pieces, and of the others as little as does; and the cheapest, but for what
    /// suppliers add to the whole.
    pub fn plain(&self) -> Vec<Way> {
        let mut plain = Vec::new();
        for (place, case) in self.cases.iter().enumerate() {
            for cut in self.cut(case) {
                let known = self.covers.get(&cut).map(Cow::Borrowed);
                let picks = known.unwrap_or_else(|| Cow::Owned(self.covers_one_by_one(&cut)));
                plain.extend(picks.iter().filter_map(|picks| self.way(place, picks)));
            }
        }
        plain
    }

    /// Choices that give at least so many pieces, each offer in turn before the others.
    fn covers_one_by_one(&self, cut: &[u32]) -> BTreeSet<Vec<u32>> {
        let covers = (0..self.sold.len().max(1))
            .flat_map(|first| [false, true].map(|by_count| self.cover_with(cut, first, by_count)));
        covers.flatten().collect()
    }

    /// Choices that give at least so many pieces, one offer before the others, for the least
    /// cost or by the fewest pieces, as which they are within the limit; with whole sticks for
    /// the rack where there must be some.
    fn cover_with(&self, cut: &[u32], first: usize, by_count: bool) -> Option<Vec<u32>> {
        let mut lacks: Vec<u32> = cut.to_vec();
        let mut whole = self.kept.least_bought();
        let mut picks = vec![0; self.sold.len()];
        let count = self.sold.len();
        for place in (0..count).map(|after| (first + after) % count) {
            let covers = |choice: &Choice| {
                // Whichever they are, no more are for the rack than it lacks.
                let (mut given, mut spare) = (0_u64, 0_u64);
                for (kind, count) in &choice.pieces {
                    let cut = (*count).min(lacks[*kind]);
                    given += u64::from(cut);
                    let is_whole = self.pieces.kinds[*kind].is_whole;
                    spare += if is_whole { u64::from(*count - cut) } else { 0 };
                }
                given + spare.min(whole.into())
            };
            let cost = |choice: &Choice| choice.goods.map_or(0, |goods| goods.cost);
            let count = |choice: &Choice| match by_count {
                true => choice.pieces.iter().map(|(_, count)| count).sum::<u32>(),
                false => 0,
            };
            let best = self.sold[place].choices.iter().enumerate().max_by_key(|(at, choice)| {
                (covers(choice), std::cmp::Reverse((count(choice), cost(choice), *at)))
            });
            let Some((at, choice)) = best else { continue };
            picks[place] = u32::try_from(at).unwrap_or(0);
            for (kind, count) in &choice.pieces {
                let over = count.saturating_sub(lacks[*kind]);
                lacks[*kind] = lacks[*kind].saturating_sub(*count);
                if self.pieces.kinds[*kind].is_whole {
                    whole = whole.saturating_sub(over);
                }
            }
        }
        (whole == 0 && lacks.iter().all(|lacks| *lacks == 0)).then_some(picks)
    }

    /// How many pieces of each kind the packings of a case cut that are known.
    fn cut(&self, case: &SplitPackings) -> impl Iterator<Item = Vec<u32>> {
        case.cut().map(|cut| {
            let mut cut = cut.clone();
            cut.resize(self.pieces.kinds.len(), 0);
            cut
        })
    }

    /// Works out the purchases for each packing that is new.
    pub fn know_covers(&mut self) {
        let cut = self.cases.iter().flat_map(|case| self.cut(case));
        let new: BTreeSet<Vec<u32>> = cut.filter(|cut| !self.covers.contains_key(cut)).collect();
        for cut in new {
            let mut covers = self.covers_one_by_one(&cut);
            let cheapest = [true, false].map(|counts| self.cheapest_cover(&cut, counts));
            covers.extend(cheapest.into_iter().flatten());
            self.covers.insert(cut, covers);
        }
    }

    /// The choices that give at least so many pieces and cost the least, less what
    /// they count uncut if that counts; `None` where there are too many to compare.
    ///
    /// One offer after another is chosen from, and of the purchases that lack the same
    /// the cheapest is kept: dynamic programming over what is lacking.
    fn cheapest_cover(&self, cut: &[u32], counts: bool) -> Option<Vec<u32>> {
        if self.kept.least_bought() > 0 {
            return None;
        }
        let mut lacking = BTreeMap::from([(cut.to_vec(), (0_i64, Vec::new()))]);
        let mut compared = 0;
        for (place, sold) in self.sold.iter().enumerate() {
            compared += lacking.len() * sold.choices.len();
            if compared > MOST_COMPARED {
                return None;
            }
            let mut next: BTreeMap<Vec<u32>, (i64, Vec<u32>)> = BTreeMap::new();
            for (lacks, (cost, picks)) in &lacking {
                for (at, choice) in sold.choices.iter().enumerate() {
                    let Some((lacks, more)) = with(lacks, choice, counts) else { continue };
                    let cost = cost + more;
                    if next.get(&lacks).is_none_or(|(known, _)| cost < *known) {
                        let at = u32::try_from(at).unwrap_or(u32::MAX);
                        next.insert(lacks, (cost, [&picks[..], &[at]].concat()));
                    }
                }
            }
            // What none of the others gives must not be lacking any more.
            let given = self.sold[place + 1..].iter().flat_map(|sold| &sold.choices);
            let given: BTreeSet<usize> =
                given.flat_map(|choice| &choice.pieces).map(|(kind, _)| *kind).collect();
            let is_covered = |(kind, lacks): (usize, &u32)| *lacks == 0 || given.contains(&kind);
            next.retain(|lacks, _| lacks.iter().enumerate().all(is_covered));
            lacking = next;
        }
        lacking.remove(&vec![0; cut.len()]).map(|(_, picks)| picks)
    }
}

/// What lacks with one choice more, and what that adds; `None` if it gives nothing that
/// lacks.
fn with(lacks: &[u32], choice: &Choice, counts: bool) -> Option<(Vec<u32>, i64)> {
    let Some(goods) = choice.goods else { return Some((lacks.to_vec(), 0)) };
    if choice.pieces.iter().all(|(kind, _)| lacks[*kind] == 0) {
        return None;
    }
    let mut lacks = lacks.to_vec();
    for (kind, count) in &choice.pieces {
        lacks[*kind] = lacks[*kind].saturating_sub(*count);
    }
    Some((lacks, goods.cost * 1000 - if counts { choice.worth } else { 0 }))
}
