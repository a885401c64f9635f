//! Frames shared out over lots: each way is packed by itself, and the one that
//! uses up least is kept.

use std::sync::Arc;

use rayon::prelude::*;

use super::effort::Effort;
use super::lots::{self, Share};
use super::packing::{Counts, Fit, GLANCE, Packed, Packing};
use crate::cutting::{Demand, pose};
use crate::measure::Worth;
use crate::shop::Match;
use crate::solve::{Outcome, solve};

/// More ways to share frames out over lots than this are not compared.
const MOST_SHARES: usize = 300;

/// The steps after which it shows whether everything fits with ease: a plan by
/// the first rules of thumb and no more.
const PEEK: u64 = 1;

/// After so many ways whose packing could not be proven, the others are not
/// packed further than at a glance: the whole would not be proven either.
const MOST_UNPROVEN: usize = 3;

impl Packing<'_> {
    /// Whether there is more than one way to share these out.
    pub(super) fn is_shared_out(&self, counts: &Counts) -> bool {
        let lots = lots::distinct(&self.sources);
        lots.len() > 1 && counts.keys().any(|ask| self.by_lot(*ask))
    }

    /// Packs with each way to share the frames out over the lots: the one that
    /// uses up least, then the one that takes fewest sticks. What is as good as
    /// `floor`, the packing without match rules, is the best.
    pub(super) fn over_lots(&self, counts: &Counts, effort: Effort, floor: Option<&Fit>) -> Packed {
        let lots = lots::distinct(&self.sources);
        let wanted = self.wanted(counts, &lots);
        if wanted.iter().any(|(_, count, ways)| *count > 0 && *ways == 0) {
            return Packed::Impossible;
        }
        let (shares, whole) = lots::shares(&wanted, MOST_SHARES);
        if let [share] = &shares[..] {
            let mut best = Best::new(whole);
            best.offer(self.settle(self.demands(share, &lots), effort));
            return best.packed();
        }
        let little = effort.at_most(GLANCE);
        let glance = |share: &Share| self.settle(self.demands(share, &lots), little);
        let glances: Vec<Packed> = shares.par_iter().map(glance).collect();
        let mut order: Vec<(&Share, Packed)> = shares.iter().zip(glances).collect();
        order.sort_by_key(|(_, packed)| match packed {
            Packed::Fits(fit) => (false, fit.used_up, fit.sticks),
            Packed::Impossible | Packed::Unknown => (true, Worth(0), 0),
        });
        let mut best = Best::new(whole);
        let mut unproven = 0;
        for (share, mut packed) in order {
            if effort.is_more_than(GLANCE) && unproven < MOST_UNPROVEN && best.may_yield_to(&packed)
            {
                packed = self.settle(self.demands(share, &lots), effort);
                unproven += usize::from(!packed.is_settled());
            }
            if let (Packed::Fits(fit), Some(floor)) = (&packed, floor)
                && fit.is_as_good_as(floor)
            {
                return Packed::Fits(Arc::new(fit.sharpened(floor)));
            }
            best.offer(packed);
        }
        best.packed()
    }

    /// Whether the first rules of thumb find a place for everything, in any of
    /// the lots.
    pub(super) fn fits_with_ease(&self, counts: &Counts) -> bool {
        let lots = lots::distinct(&self.sources);
        if lots.is_empty() {
            return false;
        }
        let (shares, _) = lots::shares(&self.wanted(counts, &lots), MOST_SHARES);
        let peek = self.limits.at_most(PEEK);
        shares.iter().any(|share| {
            let posed = pose(&self.bench, &self.demands(share, &lots).1, &self.sources);
            matches!(solve(&posed.problem, &peek.limits()), Outcome::Solved(_))
        })
    }

    /// What is wanted of which ask, and over how many lots it can be shared out.
    fn wanted(&self, counts: &Counts, lots: &[u32]) -> Vec<(usize, u32, usize)> {
        let ways = |ask| if self.by_lot(ask) { lots.len() } else { 1 };
        counts.iter().map(|(&ask, &count)| (ask, count, ways(ask))).collect()
    }

    /// A share as demands, with the ask that each is of.
    fn demands(&self, share: &Share, lots: &[u32]) -> (Vec<usize>, Vec<Demand>) {
        let demand = |&(of, lot, count): &(usize, usize, u32)| {
            let lot = self.by_lot(of).then(|| lots[lot]);
            (of, Demand { ask: self.asks[of].clone(), lot, count })
        };
        share.iter().map(demand).unzip()
    }

    fn by_lot(&self, ask: usize) -> bool {
        matches!(self.asks[ask].match_, Match::Lot | Match::Halves)
    }
}

/// The best of several ways to pack the same frames.
struct Best {
    fit: Option<Arc<Fit>>,
    bound: Option<Worth>,
    proven: bool,
    settled: bool,
}

impl Best {
    fn new(whole: bool) -> Best {
        Best { fit: None, bound: None, proven: whole, settled: whole }
    }

    /// Whether a packing, looked at longer, might turn out to be better.
    fn may_yield_to(&self, packed: &Packed) -> bool {
        match packed {
            Packed::Fits(fit) if fit.proven => false,
            Packed::Fits(fit) => self.fit.as_ref().is_none_or(|best| fit.bound <= best.used_up),
            Packed::Impossible => false,
            Packed::Unknown => true,
        }
    }

    fn offer(&mut self, packed: Packed) {
        match packed {
            Packed::Fits(fit) => {
                self.bound = Some(self.bound.map_or(fit.bound, |bound| bound.min(fit.bound)));
                self.proven &= fit.proven;
                let better =
                    |best: &Arc<Fit>| (fit.used_up, fit.sticks) < (best.used_up, best.sticks);
                if self.fit.as_ref().is_none_or(better) {
                    self.fit = Some(fit);
                }
            }
            Packed::Impossible => {}
            Packed::Unknown => (self.proven, self.settled) = (false, false),
        }
    }

    fn packed(self) -> Packed {
        let Some(fit) = self.fit else {
            return if self.settled { Packed::Impossible } else { Packed::Unknown };
        };
        let bound = if self.settled { self.bound.unwrap_or_default() } else { Worth(0) };
        let proven = self.settled && (self.proven || (fit.proven && bound == fit.used_up));
        Packed::Fits(Arc::new(Fit { bound, proven, ..Arc::unwrap_or_clone(fit) }))
    }
}
