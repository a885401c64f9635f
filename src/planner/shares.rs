//! Frames shared out over lots: each way is packed by itself, and the one that
//! uses up least is kept.
//!
//! # Why inside a moulding
//!
//! Which lot a matched layer comes from matters to that moulding alone, so `Packing`
//! tries the shares and keeps the best; the rest of the plan never sees lots. Only
//! lots that can give a layer are tried, and no more of it than they have length for.
//! Lots of a single stick are all one to a frame: they can give it what any one stick
//! can.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use rayon::prelude::*;

use super::effort::Effort;
use super::lots::{self, Share, Wanted};
use super::packing::{Counts, Fit, GLANCE, PEEK, Packed, Packing, overhead};
use crate::cutting::{Ask, Demand, Source, pose};
use crate::measure::Worth;
use crate::shop::Match;
use crate::solve::{Outcome, solve_counting};

/// More ways to share frames out over lots than this are not compared.
const MOST_SHARES: usize = 300;

/// What listing one of them takes, in steps.
const STEPS_OF_A_SHARE: u64 = 4;

/// So many ways are glanced at before it is seen whether one of them will do.
const AT_ONCE: usize = 4;

/// After so many ways whose packing could not be proven, the others are not
/// packed further than at a glance: the whole would not be proven either.
const MOST_UNPROVEN: usize = 3;

/// Where the rails of one layer come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Origin {
    /// Any stick.
    Anywhere,
    /// Sticks of one lot.
    Lot(u32),
    /// One stick, of whichever lot: what a lot of a single stick can give, and
    /// all such lots are alike in that.
    OneStick,
}

impl Packing<'_> {
    /// Whether there is more than one way to share these out.
    pub(crate) fn is_shared_out(&self, counts: &Counts) -> bool {
        self.origins.len() > 2 && counts.keys().any(|ask| self.by_lot(*ask))
    }

    /// Packs with each way to share the frames out over the lots: the one that
    /// uses up least, then the one that takes fewest sticks. What is as good as
    /// `floor`, the packing without match rules, is the best.
    pub(crate) fn over_lots(&self, counts: &Counts, effort: Effort, floor: Option<&Fit>) -> Packed {
        let (shares, whole) = self.shares(counts);
        if let [share] = &shares[..] {
            let mut best = BestShare::new(whole);
            best.offer(self.settle(self.demands(share), effort));
            return best.packed();
        }
        let little = effort.at_most(GLANCE);
        let glance = |share: &Share| self.settle(self.demands(share), little);
        let mut order: Vec<(&Share, Packed)> = Vec::with_capacity(shares.len());
        // The roomiest lots come first and often do as well as no rule at all.
        let (mut whole, begun) = (whole, self.left());
        for some in shares.chunks(AT_ONCE) {
            if !order.is_empty() && !self.may_glance_on(begun, order.len(), shares.len()) {
                whole = false;
                break;
            }
            let glances: Vec<Packed> = some.par_iter().map(glance).collect();
            if let Some(fit) = glances.iter().find_map(|packed| packed.as_good_as(floor)) {
                return Packed::Fits(fit);
            }
            order.extend(some.iter().zip(glances));
        }
        order.sort_by_key(|(_, packed)| match packed {
            Packed::Fits(fit) => (false, fit.used_up, fit.sticks),
            Packed::Impossible | Packed::Unknown => (true, Worth(0), 0),
        });
        let mut best = BestShare::new(whole);
        let mut unproven = 0;
        for (share, mut packed) in order {
            let own = self.affordable(effort);
            let is_worth_it = own.is_more_than(GLANCE) && unproven < MOST_UNPROVEN;
            if is_worth_it && best.may_yield_to(&packed) && self.may_search() {
                packed = self.settle(self.demands(share), own);
                unproven += usize::from(!packed.is_settled());
            }
            if let Some(fit) = packed.as_good_as(floor) {
                return Packed::Fits(fit);
            }
            best.offer(packed);
        }
        best.packed()
    }

    /// Whether to glance at more of `all` ways, of which so many took what is left
    /// less of `begun`: all can be, or there is left half to look at the best longer.
    fn may_glance_on(&self, begun: u64, glanced: usize, all: usize) -> bool {
        let taken = begun.saturating_sub(self.left());
        let of_all = u128::from(taken) * all as u128 / glanced.max(1) as u128;
        self.may_search() && (of_all <= u128::from(begun) || self.left() > begun / 2)
    }

    /// Whether the first rules of thumb find a place for everything, in any of
    /// the lots.
    pub(crate) fn fits_with_ease(&self, counts: &Counts) -> bool {
        if self.sources.is_empty() || self.is_keeping(counts) {
            return false;
        }
        let peek = self.limits.at_most(PEEK);
        self.shares(counts).0.iter().any(|share| {
            if self.left() == 0 {
                return false;
            }
            let posed = pose(&self.bench, &self.demands(share).1, &self.sources);
            let (outcome, steps) = solve_counting(&posed.problem, &peek.limits());
            self.spend(steps.saturating_add(overhead(&posed.problem)));
            matches!(outcome, Outcome::Solved(_))
        })
    }

    /// The first way to cut these that is found so, of so many ways to share them
    /// out.
    pub(crate) fn first_fit(
        &self,
        counts: &Counts,
        effort: Effort,
        most: usize,
    ) -> Option<Arc<Fit>> {
        let (shares, _) = self.shares(counts);
        let mut shares = shares.iter().take(most);
        shares.find_map(|share| self.settle(self.demands(share), effort).fit())
    }

    /// Every way to share these out over where they can come from; false if
    /// there are too many to list.
    fn shares(&self, counts: &Counts) -> (Vec<Share>, bool) {
        let rooms: Vec<Option<i64>> = self.origins.iter().map(|(_, room)| *room).collect();
        let wanted = counts.iter().map(|(&ask, &count)| {
            let length = self.material.lengths[ask];
            let places: Vec<usize> = match self.by_lot(ask) {
                false => vec![0],
                true => (1..rooms.len())
                    .filter(|place| self.may_come_from(*place, ask) && self.can_give(*place, ask))
                    .collect(),
            };
            Wanted { ask, count, length, places }
        });
        let (shares, whole) = lots::shares(&wanted.collect::<Vec<_>>(), &rooms, MOST_SHARES);
        self.spend(STEPS_OF_A_SHARE * shares.len() as u64);
        (shares, whole)
    }

    /// Whether an ask may come from an origin, where it is bound to a lot.
    fn may_come_from(&self, place: usize, ask: usize) -> bool {
        self.asks[ask].like.is_none_or(|lot| self.origins[place].0 == Origin::Lot(lot))
    }

    /// Whether an origin has what one of an ask takes, as far as a glance tells.
    fn can_give(&self, place: usize, ask: usize) -> bool {
        let known = self.giving.lock().expect("nobody panics with it").get(&(place, ask)).copied();
        known.unwrap_or_else(|| {
            let glance = self.limits.at_most(GLANCE);
            let one = self.demands(&vec![(ask, place, 1)]);
            let can = !matches!(self.settle(one, glance), Packed::Impossible);
            self.giving.lock().expect("nobody panics with it").insert((place, ask), can);
            can
        })
    }

    /// A share as demands, with the ask that each is of.
    fn demands(&self, share: &Share) -> (Vec<usize>, Vec<Demand>) {
        let demand = |&(of, place, count): &(usize, usize, u32)| {
            let ask = self.asks[of].clone();
            let (lot, together) = match self.origins[place].0 {
                Origin::Anywhere => (None, false),
                Origin::Lot(lot) => (Some(lot), false),
                Origin::OneStick => (None, true),
            };
            (of, Demand { ask, lot, together, count })
        };
        share.iter().map(demand).unzip()
    }

    fn by_lot(&self, ask: usize) -> bool {
        matches!(self.asks[ask].match_, Match::Lot | Match::Halves)
    }
}

/// Where rails can come from, with the room there is; `None` is without end.
/// First anywhere, then the lots of several sticks and those that asks are bound to,
/// the roomiest first, then one stick if there are lots of no more.
pub(crate) fn origins(
    asks: &[Ask],
    sources: &[Source],
    rooms: &[i64],
) -> Vec<(Origin, Option<i64>)> {
    let bound: BTreeSet<u32> = asks.iter().filter_map(|ask| ask.like).collect();
    let mut lots: BTreeMap<u32, (usize, Option<i64>)> = BTreeMap::new();
    for (source, room) in sources.iter().zip(rooms) {
        let (sticks, all) = lots.entry(source.lot).or_insert((0, Some(0)));
        *sticks += if source.is_new { 2 } else { 1 };
        *all = all.filter(|_| !source.is_new).map(|all| all + room);
    }
    let has_single = lots.values().any(|(sticks, _)| *sticks == 1);
    let several = lots.into_iter().filter(|(lot, (sticks, _))| *sticks > 1 || bound.contains(lot));
    let mut several: Vec<(Origin, Option<i64>)> =
        several.map(|(lot, (_, room))| (Origin::Lot(lot), room)).collect();
    several.sort_by_key(|(_, room)| (room.is_some(), Reverse(*room)));
    let mut origins = vec![(Origin::Anywhere, None)];
    origins.append(&mut several);
    if has_single {
        origins.push((Origin::OneStick, None));
    }
    origins
}

/// The best of several ways to pack the same frames.
struct BestShare {
    fit: Option<Arc<Fit>>,
    bound: Option<Worth>,
    proven: bool,
    settled: bool,
}

impl BestShare {
    fn new(whole: bool) -> BestShare {
        BestShare { fit: None, bound: None, proven: whole, settled: whole }
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
