//! Packings that leave what other frames need.
//!
//! A layer of a frame that waits may be *kept*: it is cut another day, from
//! sticks that today leaves alone, from what remains of those that today cuts and
//! from what is on order. In what a moulding is asked for, an ask that is kept
//! stands under a number of its own. Whatever is kept, no packing uses up less
//! than the best for what is cut alone; where that one does not leave enough,
//! sticks are shortened or left out until one does.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::lots::Placed;
use super::packing::{Counts, Fit, GLANCE, Packed, Packing};
use crate::cutting::{LaidStick, Remnant, Source, pose};
use crate::measure::{Length, Worth};
use crate::offcuts::flaws_on;
use crate::solve::{Pattern, Solution};

/// So many ways to shorten the sticks are tried.
const MOST_TRIES: usize = 250;

/// So many lengths at most that one stick may be shortened by.
const MOST_CUTS: usize = 7;

impl<'a> Packing<'a> {
    /// The same with sticks from which only what is kept may be cut.
    pub fn with_later(mut self, later: Vec<Source>) -> Packing<'a> {
        self.later = later;
        self
    }

    /// What is cut of what is asked, and what is kept.
    pub(crate) fn cut_and_kept(&self, counts: &Counts) -> (Counts, Counts) {
        let all = self.asks.len();
        let (cut, kept): (Counts, Counts) = counts.iter().partition(|(ask, _)| **ask < all);
        (cut, kept.into_iter().map(|(ask, count)| (ask - all, count)).collect())
    }

    /// Whether something is to be kept.
    pub(crate) fn is_keeping(&self, counts: &Counts) -> bool {
        counts.keys().any(|ask| *ask >= self.asks.len())
    }

    /// Packs what is cut so that enough is left for what is kept.
    pub(crate) fn pack_keeping(&mut self, counts: &Counts, glance: bool) -> Packed {
        let (cut, kept) = self.cut_and_kept(counts);
        let plain = if glance { self.glance(&cut) } else { self.pack(&cut) };
        let Packed::Fits(fit) = &plain else { return plain };
        match self.pack_left(fit, &kept) {
            Packed::Fits(_) => return plain,
            Packed::Impossible if cut.is_empty() => return Packed::Impossible,
            _ if cut.is_empty() => return Packed::Unknown,
            _ => {}
        }
        if self.lacks_length(&cut, &kept) {
            return Packed::Impossible;
        }
        let effort = self.limits.at_most(GLANCE);
        let mut best: Option<Fit> = None;
        for shorter in self.shortened(&kept) {
            let placed = shorter.iter().cloned().map(|source| (None, source)).collect();
            let own = effort.with_purse(self.left());
            let packing = Packing::new(self.bench, self.asks, placed, own);
            let packed = packing.over_lots(&cut, self.affordable(effort), None);
            self.spend(own.purse() - packing.left());
            let Packed::Fits(found) = packed else { continue };
            let found = self.on_own_sticks(&found);
            let key = |fit: &Fit| (fit.used_up, fit.sticks);
            if best.as_ref().is_some_and(|best| key(best) <= key(&found))
                || !matches!(self.pack_left(&found, &kept), Packed::Fits(_))
            {
                continue;
            }
            let is_as_good = key(&found) == key(fit);
            best = Some(found);
            if is_as_good {
                break;
            }
        }
        let Some(found) = best else { return Packed::Unknown };
        let proven = fit.proven && (found.used_up, found.sticks) == (fit.used_up, fit.sticks);
        Packed::Fits(Arc::new(Fit { bound: fit.bound.min(found.used_up), proven, ..found }))
    }

    /// Packs what is kept into what a fit leaves and what is on order.
    fn pack_left(&self, fit: &Fit, kept: &Counts) -> Packed {
        let mut sources = self.left_by(fit);
        sources.extend(self.later.iter().cloned());
        let placed: Vec<Placed> = sources.into_iter().map(|source| (None, source)).collect();
        let own = self.limits.at_most(GLANCE).with_purse(self.left());
        let mut packing = Packing::new(self.bench, self.asks, placed, own);
        let packed = packing.pack(kept);
        self.spend(own.purse() - packing.left());
        packed
    }

    /// The sticks as they are once a fit is cut: those left alone, and what
    /// remains of the others, if it goes back on the rack.
    fn left_by(&self, fit: &Fit) -> Vec<Source> {
        let mut left = self.sources.clone();
        left.iter_mut().for_each(|source| source.is_new = false);
        let owners: Vec<Vec<usize>> =
            fit.demands.iter().map(|demand| (0..demand.count as usize).collect()).collect();
        let laid = fit.posed.lay(&self.bench, &fit.demands, &self.sources, &owners, &fit.solution);
        let mut gone: Vec<usize> = laid.iter().map(|stick| stick.source).collect();
        let remnants: Vec<Source> = laid.iter().flat_map(|stick| self.remnants(stick)).collect();
        gone.sort_unstable();
        for source in gone.into_iter().rev() {
            left.remove(source);
        }
        left.into_iter().chain(remnants).collect()
    }

    /// What goes back on the rack of one stick.
    fn remnants(&self, stick: &LaidStick) -> Vec<Source> {
        let of = &self.sources[stick.source];
        let pieces = stick.between.iter().chain([&stick.left]);
        let kept = pieces
            .filter(|piece| piece.length.is_positive() && piece.length >= self.bench.settings.keep);
        let source = |piece: &Remnant| Source {
            length: piece.length,
            flaws: flaws_on(&of.flaws, piece.from, piece.length),
            is_new: false,
            ..of.clone()
        };
        kept.map(source).collect()
    }

    /// Whether all together have no room, even with every rail from any stick.
    fn lacks_length(&self, cut: &Counts, kept: &Counts) -> bool {
        let mut all = cut.clone();
        for (ask, count) in kept {
            *all.entry(*ask).or_default() += count;
        }
        let (_, demands) = self.freely(&all);
        let mut sources = self.sources.clone();
        sources.extend(self.later.iter().cloned());
        self.is_impossible(&demands, &sources)
    }

    /// The sticks with some of them shortened, so that what is cut off them holds
    /// some of the rails that are kept, or left out altogether; those first from
    /// which the least is taken.
    fn shortened(&self, kept: &Counts) -> Vec<Vec<Source>> {
        let lengths = self.lengths_kept(kept);
        let mut ways: Vec<(Length, Vec<Source>)> = vec![(Length::ZERO, Vec::new())];
        for source in &self.sources {
            let mut wider = Vec::new();
            for (taken, before) in &ways {
                let shorter = lengths.iter().filter(|length| **length < source.length);
                let all = std::iter::once(Length::ZERO).chain(shorter.copied());
                for less in all.chain([source.length]) {
                    let rest = Source { length: source.length - less, ..source.clone() };
                    let sources = before.iter().cloned().chain([rest]).collect();
                    wider.push((*taken + less, sources));
                }
            }
            wider.sort_by_key(|(taken, _)| *taken);
            wider.truncate(MOST_TRIES * 4);
            ways = wider;
        }
        let least = lengths.first().copied().unwrap_or_default();
        let enough = ways.into_iter().filter(|(taken, _)| *taken >= least);
        enough.map(|(_, sources)| sources).take(MOST_TRIES).collect()
    }

    /// What one, two and more of the rails that are kept take of the end of a
    /// stick, the shortest first.
    fn lengths_kept(&self, kept: &Counts) -> Vec<Length> {
        let trim = self.bench.cutter.first_trim;
        let mut sums = BTreeSet::from([Length::ZERO]);
        for (ask, count) in kept {
            let joint = self.bench.joint_loss(self.asks[*ask].mitre);
            for rail in std::iter::repeat_n(&self.asks[*ask].rails, *count as usize).flatten() {
                let more: Vec<Length> =
                    sums.iter().map(|sum| *sum + rail.long_point + joint).collect();
                sums.extend(more.into_iter().take(MOST_TRIES));
            }
        }
        let keep = self.bench.settings.keep;
        let lengths: Vec<Length> =
            sums.into_iter().skip(1).map(|sum| (sum + trim).max(keep)).collect();
        // The whole of it is always among those that are tried.
        let last = lengths.last().copied();
        lengths.into_iter().take(MOST_CUTS - 1).chain(last).collect()
    }

    /// A fit for shortened sticks read as one for the sticks as they are.
    fn on_own_sticks(&self, fit: &Fit) -> Fit {
        let posed = pose(&self.bench, &fit.demands, &self.sources);
        let posed = posed.turned_by_stick(fit.posed.turns_by_stick);
        let patterns: Vec<Pattern> = fit.posed.moved_to(&posed, &fit.solution);
        let cost = |pattern: &Pattern| posed.cost(&self.bench, pattern) * i64::from(pattern.times);
        let cost: i64 = patterns.iter().map(cost).sum();
        let solution =
            Solution { patterns, cost, bound: 0, certificate: None, ..fit.solution.clone() };
        let sticks = i64::from(fit.sticks);
        let used_up = Worth((cost - sticks) / posed.scale);
        let bound = Worth(0);
        Fit { posed, solution, used_up, bound, proven: false, ..fit.clone() }
    }
}
