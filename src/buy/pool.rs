//! The ways that were shown so far, and good choices made of them.
//!
//! The cheapest ways from every set of suppliers, if they are few, are where a
//! plain exchange begins: one way for another, then two at a time, until nothing
//! is better.

use std::collections::{BTreeMap, BTreeSet};

use super::question::{BuyingProblem, Pricing, WHOLE, Way};
use super::states::SupplierState;
use super::tally::{Cost, Tally};

/// With more suppliers than this not every set of them is a beginning.
const MOST_SUPPLIERS: usize = 6;

/// Choices to begin with after the first round.
const MOST_BEGINNINGS: usize = 4;

/// Steps of looking for the cheapest way of a moulding from a set of suppliers.
const MOST_SHOWN: u64 = 20_000;

/// Rounds of exchange from one beginning.
const MOST_ROUNDS: usize = 60;

/// Pairs of ways at most that are exchanged at once.
const MOST_PAIRS: usize = 20_000;

/// A price on spare sticks that is worth more than anything else.
const SPARE: i128 = WHOLE << 20;

/// For each moulding the ways that are known of.
pub struct Pool {
    pub(super) ways: Vec<Vec<Way>>,
    seen: Vec<BTreeSet<Way>>,
    /// Choices to begin with: the best so far, and the cheapest from sets of
    /// suppliers; none as long as nobody asked for them.
    pub(super) beginnings: Vec<Vec<Way>>,
    pub(super) is_begun: bool,
}

/// A choice with what it costs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PricedChoice {
    pub chosen: Vec<Way>,
    pub cost: Cost,
}

impl Pool {
    /// No ways of so many mouldings.
    pub fn new(mouldings: usize) -> Pool {
        let (beginnings, is_begun) = (Vec::new(), false);
        let (ways, seen) = (vec![Vec::new(); mouldings], vec![BTreeSet::new(); mouldings]);
        Pool { ways, seen, beginnings, is_begun }
    }

    /// The same ways with what is known of them now; those that are `None` are
    /// none.
    pub fn anew(&self, again: impl Fn(usize, &Way) -> Option<Way>) -> Pool {
        let mut pool = Pool::new(self.ways.len());
        for (moulding, ways) in self.ways.iter().enumerate() {
            for way in ways.iter().filter_map(|way| again(moulding, way)) {
                pool.add(moulding, way);
            }
        }
        let same = |chosen: &Vec<Way>| -> Option<Vec<Way>> {
            chosen.iter().enumerate().map(|(moulding, way)| again(moulding, way)).collect()
        };
        pool.beginnings = self.beginnings.iter().filter_map(same).collect();
        pool.is_begun = self.is_begun;
        pool
    }

    /// Adds a way of a moulding; whether it is new.
    pub fn add(&mut self, moulding: usize, way: Way) -> bool {
        let is_new = self.seen[moulding].insert(way.clone());
        if is_new {
            self.ways[moulding].push(way);
        }
        is_new
    }

    /// Forgets with what to begin, since the question is another.
    pub fn renew(&mut self) {
        self.beginnings.clear();
        self.is_begun = false;
    }

    /// Asks once for the cheapest known ways from every set of suppliers.
    pub(super) fn begin(&mut self, question: &BuyingProblem, steps: &mut u64) {
        if std::mem::replace(&mut self.is_begun, true) {
            return;
        }
        if question.budget.is_some() {
            (0..question.mouldings.len()).for_each(|at| self.sparest(question, at, steps));
        }
        let mut known: BTreeMap<(usize, Vec<usize>), Option<Way>> = BTreeMap::new();
        for set in sets(question.suppliers.len()) {
            let mut chosen = Vec::new();
            for (moulding, ways) in question.mouldings.iter().enumerate() {
                let mut of: Vec<usize> = ways.sellers().iter().map(|(seller, _)| *seller).collect();
                of.retain(|seller| set[*seller]);
                of.sort_unstable();
                of.dedup();
                let found = known
                    .entry((moulding, of))
                    .or_insert_with(|| self.cheapest(question, moulding, &set, steps));
                chosen.extend(found.clone());
            }
            if chosen.len() == question.mouldings.len() && !self.beginnings.contains(&chosen) {
                self.beginnings.push(chosen);
            }
        }
    }

    /// Begins with this choice from now on, and from the best few of the others.
    pub(super) fn best_is(&mut self, chosen: &[Way]) {
        self.beginnings.retain(|other| other != chosen);
        self.beginnings.insert(0, chosen.to_vec());
        self.beginnings.truncate(MOST_BEGINNINGS);
    }

    /// Adds the known way that spends least on spare sticks.
    fn sparest(&mut self, question: &BuyingProblem, moulding: usize, steps: &mut u64) {
        let states = vec![None; question.suppliers.len()];
        let pricing = Pricing { states: &states, beyond: vec![0; states.len()], spare: SPARE };
        let (mut best, mut below) = (None, i128::MAX);
        let mut met = |way: Way| {
            let price = pricing.of(&way.as_known());
            if let Some(price) = price.filter(|price| *price < below && way.is_known()) {
                (below, best) = (price, Some(way));
            }
            below
        };
        let _ = question.mouldings[moulding].show(&pricing, i128::MAX, steps, &mut met);
        if let Some(way) = best {
            self.add(moulding, way);
        }
    }

    /// The cheapest way from some suppliers that is known.
    fn cheapest(
        &mut self,
        question: &BuyingProblem,
        moulding: usize,
        set: &[bool],
        steps: &mut u64,
    ) -> Option<Way> {
        let none = SupplierState { used: false, long: false, from: 0, to: Some(0), charge: 0 };
        let states: Vec<Option<SupplierState>> =
            set.iter().map(|may| if *may { None } else { Some(none) }).collect();
        let pricing = Pricing { states: &states, beyond: vec![0; set.len()], spare: 0 };
        let price = |way: &Way| pricing.plain(way.cost());
        let can = |way: &&Way| way.is_known() && pricing.of(way).is_some();
        let mut best = self.ways[moulding].iter().filter(can).min_by_key(|way| price(way)).cloned();
        let first = best.as_ref().map_or(i128::MAX, price);
        let mut below = first;
        let mut met = |way: Way| {
            if way.is_known() && price(&way) < below {
                (below, best) = (price(&way), Some(way));
            }
            below
        };
        let mut own = (*steps).min(MOST_SHOWN);
        *steps -= own;
        let _ = question.mouldings[moulding].show(&pricing, first, &mut own, &mut met);
        *steps += own;
        if let Some(way) = &best {
            self.add(moulding, way.clone());
        }
        best
    }
}

/// Every set of suppliers; of many all but one, one or two, and all.
fn sets(count: usize) -> Vec<Vec<bool>> {
    if count <= MOST_SUPPLIERS {
        let set = |bits: usize| (0..count).map(|place| bits >> place & 1 == 1).collect();
        return (0..1_usize << count).rev().map(set).collect();
    }
    let all = vec![true; count];
    let but = |one: usize| (0..count).map(|place| place != one).collect();
    let two = |(a, b): (usize, usize)| (0..count).map(|place| place == a || place == b).collect();
    let near = (0..count.min(20)).flat_map(|a| (a..count.min(20)).map(move |b| (a, b)));
    std::iter::once(all).chain((0..count).map(but)).chain(near.map(two)).collect()
}

/// The best choice that exchange leads to from the beginnings.
pub(super) fn best(question: &BuyingProblem, pool: &Pool, steps: &mut u64) -> Option<PricedChoice> {
    let mut best: Option<PricedChoice> = None;
    for chosen in pool.beginnings.iter().cloned().chain(sparing(pool)) {
        if best.is_some() && *steps == 0 {
            break;
        }
        let Some(found) = exchanged(question, pool, chosen, steps) else { continue };
        if best.as_ref().is_none_or(|best| found.cost < best.cost) {
            best = Some(found);
        }
    }
    best
}

/// The known ways that spend least on spare sticks, where the budget is short.
fn sparing(pool: &Pool) -> Option<Vec<Way>> {
    let pick = |ways: &Vec<Way>| {
        let known = ways.iter().filter(|way| way.is_known());
        known.min_by_key(|way| (way.spare, way.cost())).cloned()
    };
    pool.ways.iter().map(pick).collect()
}

/// Exchanges single ways while that helps, then pairs.
pub(super) fn exchanged(
    question: &BuyingProblem,
    pool: &Pool,
    chosen: Vec<Way>,
    steps: &mut u64,
) -> Option<PricedChoice> {
    let mut tally = Tally::of(question, &chosen);
    let cost = tally.cost(question)?;
    let mut found = PricedChoice { chosen, cost };
    for _ in 0..MOST_ROUNDS {
        let size: usize = pool.ways.iter().map(Vec::len).sum();
        if *steps < size as u64 {
            break;
        }
        *steps -= size as u64;
        if !one_by_one(question, pool, &mut found, &mut tally)
            && !two_by_two(question, pool, &mut found, &mut tally)
        {
            break;
        }
    }
    Some(found)
}

fn one_by_one(
    question: &BuyingProblem,
    pool: &Pool,
    found: &mut PricedChoice,
    tally: &mut Tally,
) -> bool {
    let mut is_better = false;
    for (moulding, ways) in pool.ways.iter().enumerate() {
        tally.take_out(&found.chosen[moulding]);
        for way in ways.iter().filter(|way| way.is_known()) {
            tally.add(way);
            if let Some(cost) = tally.cost(question).filter(|cost| *cost < found.cost) {
                found.cost = cost;
                found.chosen[moulding] = way.clone();
                is_better = true;
            }
            tally.take_out(way);
        }
        tally.add(&found.chosen[moulding]);
    }
    is_better
}

/// Pairs of mouldings, where there are not too many pairs of ways.
fn two_by_two(
    question: &BuyingProblem,
    pool: &Pool,
    found: &mut PricedChoice,
    tally: &mut Tally,
) -> bool {
    let ways: usize = pool.ways.iter().map(Vec::len).sum();
    if ways * ways / 2 > MOST_PAIRS {
        return false;
    }
    for one in 0..pool.ways.len() {
        for other in one + 1..pool.ways.len() {
            let mut rest = tally.clone();
            rest.take_out(&found.chosen[one]);
            rest.take_out(&found.chosen[other]);
            for a in &pool.ways[one] {
                for b in pool.ways[other].iter().filter(|b| a.is_known() && b.is_known()) {
                    let mut both = rest.clone();
                    both.add(a);
                    both.add(b);
                    if let Some(cost) = both.cost(question).filter(|cost| *cost < found.cost) {
                        (found.chosen[one], found.chosen[other]) = (a.clone(), b.clone());
                        (found.cost, *tally) = (cost, both);
                        return true;
                    }
                }
            }
        }
    }
    false
}
