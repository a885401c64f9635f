//! Better plans from the best plan: the pieces of some units packed again.
//!
//! Large neighbourhood search (Shaw 1998, "Using constraint programming and
//! local search methods to solve vehicle routing problems", CP): a few units at
//! a time, those that waste most among them, are emptied and packed again at
//! less cost, or at the same cost in another way, from where the next try
//! starts. Deterministic: the units are picked by a fixed spread of their
//! numbers.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::repack::Repack;
use crate::solve::bounds::completion::CompletionBound;
use crate::solve::cutting_plan::{Column, CuttingPlan};
use crate::solve::instance::{Instance, StockKind};
use crate::solve::prices::Prices;
use crate::solve::search::Search;

/// Units that are packed again at once, at least and at most.
const FEWEST: usize = 3;
const MOST: usize = 12;
/// The same where what is left of a unit is worth something, so that there are
/// far more ways to fill each, and how many kinds not in use are offered too.
const FEWEST_CREDITED: usize = 2;
const MOST_CREDITED: usize = 5;
const OFFERED: usize = 3;
/// How many times over the steps may be used if they make the plan cheaper.
const MOST_TIMES: u64 = 4;
/// Steps for choosing units, and one more for each unit of the plan.
const ROUND_STEPS: u64 = 50;
/// Steps for one packing.
const STEPS: u64 = 20_000;

/// Whether units can be packed again at all: where costs differ from kind to
/// kind, or with what is left of a unit, and nothing pays to be cut.
fn applies(instance: &Instance) -> bool {
    let differ = |kind: &StockKind| kind.credit.is_some() || instance.kinds.len() > 1;
    let costs = |kind: &StockKind| kind.cost > 0 && kind.cost_at(0) >= 0;
    instance.kinds.iter().any(differ) && instance.kinds.iter().all(costs)
}

/// Mends plans of one problem.
pub(crate) struct NeighbourhoodSearch {
    /// Nothing where mending does not apply.
    needs: Option<CompletionBound>,
    round: u64,
}

impl NeighbourhoodSearch {
    pub fn new(search: &Search) -> NeighbourhoodSearch {
        let instance = &search.instance;
        let able = applies(instance);
        let longest = instance.kinds.iter().map(|kind| kind.room).max().unwrap_or(1);
        let total = instance.length_of(&instance.demands());
        let needs = able.then(|| {
            CompletionBound::new(instance, total.min(longest.saturating_mul(MOST as i64)))
        });
        NeighbourhoodSearch { needs, round: 0 }
    }

    /// Mends the best plan until it is proven, `most` steps have not made it
    /// cheaper, or a few times as many are used up.
    pub fn improve(&mut self, search: &mut Search, prices: Option<&Prices>, most: u64) {
        // At true costs: the way to a better plan may lead over worse ones.
        let instance = Rc::clone(&search.whole);
        let Some(needs) = self.needs.as_ref().filter(|_| search.best.is_some()) else {
            return;
        };
        let mut mending = Mending::new(&instance, needs, prices, search);
        let (mut left, mut all) = (most, most.saturating_mul(MOST_TIMES));
        while left > 0 && all > 0 && !search.is_proven() && !search.is_stopped() {
            let before = left;
            let cheaper = mending.round(self.round, &mut left);
            left = left.saturating_sub(ROUND_STEPS + mending.units.len() as u64);
            let spent = before - left;
            all = all.saturating_sub(spent);
            search.spend(spent);
            if cheaper {
                search.offer(mending.plan());
                left = most;
            }
            self.round += 1;
        }
    }
}

struct Mending<'a> {
    instance: &'a Instance,
    needs: &'a CompletionBound,
    prices: Option<&'a Prices>,
    units: Vec<Column>,
    supply: Vec<u32>,
    /// Whether what is left of a unit may be worth something.
    credited: bool,
}

impl<'a> Mending<'a> {
    fn new(
        instance: &'a Instance,
        needs: &'a CompletionBound,
        prices: Option<&'a Prices>,
        search: &Search,
    ) -> Mending<'a> {
        let uses = search.best.iter().flat_map(|best| &best.uses);
        let units: Vec<Column> =
            uses.flat_map(|(column, times)| (0..*times).map(|_| column.clone())).collect();
        let mut supply = instance.supplies();
        for unit in &units {
            supply[unit.kind] -= 1;
        }
        let credited = instance.kinds.iter().any(|kind| kind.credit.is_some());
        Mending { instance, needs, prices, units, supply, credited }
    }

    fn plan(&self) -> CuttingPlan {
        let mut uses: BTreeMap<Column, u32> = BTreeMap::new();
        for unit in &self.units {
            *uses.entry(unit.clone()).or_default() += 1;
        }
        CuttingPlan::new(uses.into_iter().collect())
    }

    /// Packs some units again; whether the plan is cheaper.
    fn round(&mut self, round: u64, left: &mut u64) -> bool {
        let chosen = self.choose(round);
        let mut wanted: BTreeMap<usize, u32> = BTreeMap::new();
        let mut supply = self.offered(round);
        let mut cost = 0;
        for &u in &chosen {
            let unit = &self.units[u];
            supply[unit.kind] += 1;
            cost += unit.cost;
            for &(t, count) in &unit.pieces {
                *wanted.entry(t).or_default() += count;
            }
        }
        let wanted: Vec<(usize, u32)> = wanted.into_iter().collect();
        for target in [cost - 1, cost] {
            let steps = STEPS.min(*left);
            let mut repack = Repack::new(
                self.instance,
                self.needs,
                self.prices,
                &wanted,
                &supply,
                target,
                steps,
            );
            let packed = repack.run();
            *left -= steps - repack.left;
            if let Some(packed) = packed {
                let cheaper = packed.iter().map(|unit| unit.cost).sum::<i64>() < cost;
                self.replace(&chosen, packed);
                return cheaper;
            }
        }
        false
    }

    fn replace(&mut self, chosen: &[usize], packed: Vec<Column>) {
        let mut out = chosen.to_vec();
        out.sort_unstable_by(|a, b| b.cmp(a));
        for u in out {
            self.supply[self.units[u].kind] += 1;
            self.units.swap_remove(u);
        }
        for unit in packed {
            self.supply[unit.kind] -= 1;
            self.units.push(unit);
        }
    }

    /// The units not in use that a round may take: all of them, or of a few
    /// kinds by spread.
    fn offered(&self, round: u64) -> Vec<u32> {
        let mut offered = self.supply.clone();
        if self.credited {
            let mut idle: Vec<usize> = (0..offered.len()).filter(|&k| offered[k] > 0).collect();
            idle.sort_by_cached_key(|&k| mix(round << 20 ^ 0xaaaa ^ k as u64));
            for &k in idle.iter().skip(OFFERED) {
                offered[k] = 0;
            }
        }
        offered
    }

    /// The units of a round: some that waste most, some by spread.
    fn choose(&self, round: u64) -> Vec<usize> {
        let plain = |&u: &usize| self.instance.kinds[self.units[u].kind].is_plain();
        let mut order: Vec<usize> = (0..self.units.len()).filter(plain).collect();
        let count = order.len();
        let (fewest, most) =
            if self.credited { (FEWEST_CREDITED, MOST_CREDITED) } else { (FEWEST, MOST) };
        let size = fewest + (mix(round) % (most - fewest + 1) as u64) as usize;
        order.sort_by_cached_key(|&u| mix(round << 20 | u as u64));
        let wasteful = (mix(round ^ 0x5555) % (size as u64 / 2 + 1)) as usize;
        let lacking = |&u: &usize| std::cmp::Reverse(self.loss(&self.units[u]));
        // Half of the spread units may lead; the worst of them do.
        let half = (count / 2).max(size.min(count));
        order[..half].sort_by_cached_key(lacking);
        let mut chosen: Vec<usize> = order[..wasteful.min(half)].to_vec();
        chosen.extend(order[half..].iter().chain(&order[wasteful.min(half)..half]).copied());
        chosen.truncate(size);
        chosen
    }

    /// What a unit costs beyond the worth of its pieces, or beyond their share
    /// of its length.
    fn loss(&self, unit: &Column) -> i128 {
        match self.prices {
            Some(prices) => {
                let worth = unit
                    .pieces
                    .iter()
                    .map(|&(t, count)| i128::from(prices.piece[t]) * i128::from(count));
                i128::from(unit.cost) * i128::from(prices.scale) - worth.sum::<i128>()
            }
            None => i128::from(self.instance.kinds[unit.kind].room - unit.length(self.instance)),
        }
    }
}

/// Spreads numbers over all of 64 bits.
fn mix(number: u64) -> u64 {
    let mixed = number.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    mixed ^ (mixed >> 29)
}
