//! The order over all mouldings: what is packed roughly is looked at closer as
//! long as that could lead to a cheaper order or a better bound.
//!
//! # Why pieces are never packed for most purchases
//!
//! `split_packings` knows four bounds of what a packing uses up that are sums over the pieces
//! (at what they cost at the least, at nothing, at so much that as few as can be are
//! cut, and the same for those that are in time for every frame), each by how late
//! the pieces may be; and a packing of fewer pieces serves for more. A way costs no
//! less than the greatest of them, and what the offers that are not chosen from yet
//! add at the least by two of them at once is looked up (`showing`). Where the
//! cheapest way below that is one that nobody has packed, it is looked at closer:
//! where lots matter first at what it uses up whatever the lots, which is told much
//! sooner than a packing and often rules it out. What any packing cuts is bought the
//! cheapest way (`cover`). After a closer look the tree over suppliers is gone on
//! with where it was left. When nothing else is to be looked at closer, or some rounds of
//! that have changed neither cost nor bound, what the bound hangs on is packed once more
//! for as many steps as are left to packing. Steps decide how long all that takes, for the
//! whole order, never the clock.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::finish::{Detail, detail};
use super::ways::MouldingWays;
use crate::buy::{self, Begun, BuyingProblem, Chosen, Pool, REFUSED, Terms, choose};
use crate::planner::effort::Effort;
use crate::shop::{Shop, Supplier};

/// Steps of choosing for an order, and more for each frame and moulding that waits.
const STEPS: u64 = 6_000_000;
const STEPS_A_FRAME: u64 = 100_000;
const STEPS_A_MOULDING: u64 = 500_000;

/// Steps of packing for an order, and more for each frame that waits.
const PACKING: u64 = 3_000_000;
const PACKING_A_FRAME: u64 = 25_000;

/// The part of the steps that one round of choosing may take.
const ROUND_PART: u64 = 16;

/// Rounds of choosing and looking closer at the most.
const MOST_ROUNDS: u32 = 400;

/// After so many rounds that told nothing new of the whole, ways are looked at for longer.
const IDLE_ROUNDS: u32 = 3;

/// All longer looks of a round take one part in so many of the steps of packing.
const LONGER_PART: u64 = 2;

/// A budget that is looked for is tried with a part of the steps.
const BUDGETS: u64 = 8;

/// What was decided.
pub(super) struct OrderDecision {
    pub answer: Chosen,
    /// What each way of the answer meant when it was chosen: a closer look later on
    /// may pack the same pieces another way.
    pub details: Vec<Detail>,
    /// Whether somebody has to be asked to take an order that they refuse.
    pub is_lenient: bool,
}

/// The cheapest order over all mouldings.
pub(super) fn decide(shop: &Shop, found: &mut [MouldingWays], effort: Effort) -> OrderDecision {
    let frames: usize = found.iter().map(|ways| ways.wants.layers.len()).sum();
    let frames = frames as u64;
    let steps = STEPS + frames * STEPS_A_FRAME + found.len() as u64 * STEPS_A_MOULDING;
    let mut deciding = Deciding {
        shop,
        pool: Pool::new(found.len()),
        packing: PACKING + frames * PACKING_A_FRAME,
        choosing: 0,
        effort,
    };
    let most = shop.settings.buying.spare_most.map(|most| most.0);
    let kept = deciding.answer(found, &Terms::of, most, steps);
    let asked = match kept {
        Some(mut kept) if kept.is_taken() => {
            if most.is_some() && found.iter().any(|ways| ways.is_spare_unsure) {
                // What is proven without the budget holds with it.
                let free = deciding.answer(found, &Terms::of, None, steps / 4);
                let free = free.map_or(i64::MIN, |free| free.answer.bound);
                kept.answer.bound = kept.answer.bound.min(free);
            }
            return kept;
        }
        kept => refusing(shop, kept.as_ref()),
    };
    // More than may be bought beyond need is never bought so that an order is taken; but
    // more than may be spent on it is, as little as can be.
    let filled = most.and_then(|most| deciding.least_spare(found, most, steps / 2));
    if let Some(filled) = filled {
        return filled;
    }
    // Somebody has to be asked whether they take a small order after all, and nobody else.
    let some = deciding.answer(found, &|of| if_asked(of, &asked), None, steps / 2);
    let asked = some.filter(OrderDecision::is_taken).or_else(|| {
        let all = refusing(shop, None);
        deciding.answer(found, &|of| if_asked(of, &all), None, steps / 2)
    });
    OrderDecision { is_lenient: true, ..asked.expect("each moulding has a way") }
}

/// Who refuses what was chosen of them; all who refuse a small order, where nothing was.
fn refusing(shop: &Shop, chosen: Option<&OrderDecision>) -> BTreeSet<String> {
    let is_asked = |(place, supplier): &(usize, &Supplier)| {
        let Some(OrderDecision { answer, .. }) = chosen else { return supplier.refuses };
        let goods = answer.chosen.iter().flat_map(|way| &way.goods);
        let goods: i64 = goods.filter(|of| of.supplier == *place).map(|of| of.cost).sum();
        supplier.refuses && goods > 0 && goods < supplier.minimum.0
    };
    let asked = shop.suppliers.values().enumerate().filter(is_asked);
    asked.map(|(_, supplier)| supplier.id.clone()).collect()
}

/// A supplier's terms, where some are asked and take an order however small it is: then
/// nobody pays up to the minimum.
fn if_asked(supplier: &Supplier, asked: &BTreeSet<String>) -> Terms {
    match asked.contains(&supplier.id) {
        true => Terms { minimum: 0, ..Terms::charged(supplier) },
        false => Terms::of(supplier),
    }
}

impl OrderDecision {
    /// What was chosen, with what it means now, if anything was that is known to do.
    fn of(answer: Chosen, found: &[MouldingWays]) -> Option<OrderDecision> {
        if answer.is_none() {
            return None;
        }
        let each = found.iter().zip(&answer.chosen);
        let details = each.map(|(ways, way)| detail(ways, way)).collect::<Option<_>>()?;
        Some(OrderDecision { answer, details, is_lenient: false })
    }

    /// Whether no supplier refuses it.
    fn is_taken(&self) -> bool {
        self.answer.cost < REFUSED
    }
}

/// What the rounds of choosing have told of the whole: the cost and the bound, and for how
/// many rounds these have stayed.
#[derive(Default)]
struct RoundsTold {
    whole: (i64, i64),
    idle: u32,
}

impl RoundsTold {
    /// Whether nothing new was told for some rounds.
    fn is_idle(&mut self, cost: i64, bound: i64) -> bool {
        let is_new = std::mem::replace(&mut self.whole, (cost, bound)) != (cost, bound);
        self.idle = if is_new { 0 } else { self.idle + 1 };
        self.idle >= IDLE_ROUNDS
    }
}

struct Deciding<'a> {
    shop: &'a Shop,
    pool: Pool,
    /// Steps of packing that are left.
    packing: u64,
    /// Steps of choosing that were taken.
    choosing: u64,
    effort: Effort<'a>,
}

impl Deciding<'_> {
    /// Chooses, and looks closer at ways with a doubt that might make the order
    /// cheaper, until there are none or the steps are used up.
    fn answer(
        &mut self,
        found: &mut [MouldingWays],
        terms: &dyn Fn(&Supplier) -> Terms,
        budget: Option<i64>,
        mut left: u64,
    ) -> Option<OrderDecision> {
        let (mut bound, mut most, mut rounds) = (i64::MIN, left / ROUND_PART, 0);
        let mut told = RoundsTold::default();
        self.pool.renew();
        let mut begun = Begun::default();
        let taken = |found: &[MouldingWays]| found.iter().map(MouldingWays::taken).sum::<u64>();
        let mut known = taken(found);
        loop {
            found.par_iter_mut().for_each(MouldingWays::know_covers);
            for (moulding, ways) in found.iter().enumerate() {
                for way in ways.plain() {
                    self.pool.add(moulding, way);
                }
            }
            // What telling all of them took counts as well.
            let more = taken(found) - known;
            left = left.saturating_sub(more);
            self.choosing += more;
            let question = self.question(found, terms, budget);
            let given = most.min(left);
            let mut steps = given;
            let mut answer = choose(&question, &mut self.pool, &mut begun, &mut steps);
            let is_cut_short = steps == 0;
            left -= given - steps;
            self.choosing += given - steps;
            known = taken(found);
            // What was proven before still holds.
            bound = bound.max(answer.bound).min(answer.cost);
            answer.bound = bound;
            rounds += 1;
            let is_last = left == 0 || rounds == MOST_ROUNDS;
            if bound == answer.cost || is_last || self.effort.is_over() {
                return OrderDecision::of(answer, found);
            }
            let is_longer = found.iter().all(|ways| ways.is_longer);
            if told.is_idle(answer.cost, bound) {
                // What was looked at closer tells no more: it is looked at for longer.
                found.iter_mut().for_each(|ways| ways.is_longer = true);
            }
            let each = found.par_iter_mut().with_max_len(1).zip(&answer.open);
            let count = answer.open.iter().map(|open| open.len() as u64).sum::<u64>();
            let share = self.packing / (LONGER_PART * count).max(1);
            let look = |(ways, open): (&mut MouldingWays, &Vec<buy::Way>)| -> u64 {
                open.iter().map(|way| ways.look_closer(way, share)).sum()
            };
            let taken: u64 = if self.packing == 0 { 0 } else { each.map(look).sum() };
            if taken == 0 {
                if is_cut_short {
                    // Nothing to be looked at closer was named yet: go on for longer.
                    most = most.saturating_mul(2);
                } else if self.packing > 0 && !is_longer {
                    // What was looked at closer is looked at for longer.
                    found.iter_mut().for_each(|ways| ways.is_longer = true);
                } else {
                    return OrderDecision::of(answer, found);
                }
            }
            self.packing = self.packing.saturating_sub(taken);
            self.know_anew(found);
        }
    }

    /// The ways that were shown, with what is known of them now.
    fn know_anew(&mut self, found: &[MouldingWays]) {
        self.pool = self.pool.anew(|moulding, way| found[moulding].again(way));
    }

    /// The cheapest order that spends as little beyond need as can be, if any is
    /// taken; as little as is found in so many steps, and as many before for one
    /// that may spend anything.
    fn least_spare(
        &mut self,
        found: &mut [MouldingWays],
        most: i64,
        steps: u64,
    ) -> Option<OrderDecision> {
        let spent = |of: &OrderDecision| of.answer.chosen.iter().map(|way| way.spare).sum::<i64>();
        let free = self.answer(found, &Terms::of, None, steps);
        let free = free.filter(OrderDecision::is_taken)?;
        let (bound, spent_free) = (free.answer.bound, spent(&free));
        let (mut low, mut high, mut best) = (most, spent_free, free);
        let until = self.choosing + steps;
        while low + 1 < high && self.choosing < until {
            let budget = low + (high - low) / 2;
            match self.answer(found, &Terms::of, Some(budget), steps / BUDGETS) {
                Some(found) if found.is_taken() => (high, best) = (spent(&found), found),
                _ => low = budget,
            }
        }
        best.answer.bound = best.answer.bound.min(bound);
        Some(best)
    }

    fn question<'q>(
        &self,
        found: &'q [MouldingWays],
        terms: &dyn Fn(&Supplier) -> Terms,
        budget: Option<i64>,
    ) -> BuyingProblem<'q> {
        BuyingProblem {
            suppliers: self.shop.suppliers.values().map(terms).collect(),
            mouldings: found.iter().map(|ways| ways as &dyn buy::Ways).collect(),
            budget,
        }
    }
}
