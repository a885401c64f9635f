//! Packings that use up as little as the best that is known, from as few sticks.
//!
//! What is beyond need hangs on which of these it is: a stick of the rack that is cut is
//! none that was bought.

use super::kept::Kept;
use super::packer::Look;
use super::pieces::Pieces;
use super::record::PackingRecord;
use super::split_packings::{KnownPacking, SplitPackings};
use super::wants::Wants;
use crate::planner::effort::Effort;

impl KnownPacking {
    /// Whether nothing can use up less than the best that is known.
    pub fn is_settled(&self) -> bool {
        self.best.is_some_and(|(_, used_up)| used_up == self.least)
    }
}

impl SplitPackings {
    /// The packings that are known to be as good as the best, that one first.
    pub fn as_good(
        &self,
        (wants, pieces, kept): (&Wants, &Pieces, &Kept),
        some: &[u32],
        known: &KnownPacking,
    ) -> impl Iterator<Item = usize> {
        let is_as_good = move |record: &PackingRecord, best: usize, used_up: i64| {
            let after = record.kept(wants, pieces, kept, some);
            record.opened == self.record(best).opened
                && after.is_some_and(|after| record.used_up + kept.before - after == used_up)
        };
        known.best.into_iter().flat_map(move |(best, used_up)| {
            let others =
                self.records.iter().enumerate().filter(move |(place, record)| {
                    *place != best && is_as_good(record, best, used_up)
                });
            std::iter::once(best).chain(others.map(|(place, _)| place))
        })
    }

    /// Packs with just these pieces so that of the rack as few sticks are cut as can be
    /// where that uses up no more. The steps taken.
    pub fn pack_leaving<'a>(
        &mut self,
        wants: &Wants<'a>,
        pieces: &Pieces,
        kept: &Kept,
        some: &[u32],
        effort: Effort<'a>,
    ) -> u64 {
        if wants.rack.is_empty() {
            return 0;
        }
        let (mut sticks, late) = self.sticks(wants, pieces, kept, some);
        let racks = sticks.iter_mut().filter(|stick| stick.kind.is_none());
        racks.for_each(|stick| stick.charge(1));
        let attempt = self.attempt(wants, pieces, sticks, late, Look::Whole, effort);
        let steps = attempt.steps;
        self.leaving.know(pieces, some, Look::Whole, attempt.bound(0));
        self.note(wants, pieces, attempt);
        steps
    }

    /// How many sticks of the rack are cut at the least from these pieces where no more
    /// than this is used up.
    pub fn rack_cut_least(
        &self,
        pieces: &Pieces,
        kept: &Kept,
        some: &[u32],
        used_up: i64,
    ) -> usize {
        let least = self.leaving.of(pieces, kept, some).unwrap_or(0);
        let most = used_up - kept.before + kept.at_most(pieces, some);
        usize::try_from(least - most).unwrap_or(0)
    }
}
