//! A knapsack with choices: what units of stock can come to in worth and cost.
//!
//! Dynamic programming over undominated pairs (Nemhauser and Ullmann 1969,
//! "Discrete dynamic programming and capital allocation", Management Science
//! 15), unit by unit, within a gap between cost and worth; see
//! [`knapsack`](super::knapsack).

use super::frontier::{Frontier, Pair};
use crate::solve::instance::StockKind;

/// Pairs that the worth of everything is divided into at most.
const MOST_PAIRS: i64 = 100_000;

/// Lengths from `first` to `last` that a unit can be cut for, if its pieces are
/// worth at least so much.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct LengthRange {
    pub first: i64,
    pub last: i64,
    pub worth: i64,
}

/// What no units come to.
pub(crate) const NOTHING: [Pair; 1] = [Pair { worth: 0, cost: 0 }];

/// What some units come to: undominated pairs, rising, for each number of units
/// of one kind beside those of others.
pub(crate) struct PairsByUnits(Vec<Vec<Pair>>);

impl PairsByUnits {
    /// With so many units of the kind; from some number on, more change nothing.
    pub fn of(&self, units: u32) -> &[Pair] {
        self.0.get(units as usize).unwrap_or_else(|| self.0.last().expect("there is the base"))
    }

    /// With all units of the kind.
    pub fn last(&self) -> &[Pair] {
        self.of(u32::MAX)
    }
}

/// What is common to all knapsacks of one question.
pub(crate) struct MultipleChoice {
    /// The worth that is wanted.
    pub worth: i64,
    /// What cost may exceed worth by, and cost in all: less than this.
    pub gap: i64,
    pub most: i64,
    /// Pairs are joined whose worth is the same but for so many last bits.
    pub bits: u32,
    pub steps: u64,
    pub most_steps: u64,
    pub slots: Slots,
}

/// One pair for each stretch of worth, while a unit is added. The memory is
/// kept, and only what was used of it is looked through.
#[derive(Default)]
pub(crate) struct Slots {
    pairs: Vec<Pair>,
    used: Vec<u64>,
}

impl Slots {
    fn reach(&mut self, slots: usize) {
        if slots > self.pairs.len() {
            self.pairs.resize(slots, Pair { worth: 0, cost: 0 });
            self.used.resize(slots.div_ceil(64), 0);
        }
    }

    /// Joins the pair with what is there to a better one than either.
    fn put(&mut self, slot: usize, pair: Pair) {
        let (word, bit) = (slot / 64, 1 << (slot % 64));
        let kept = &mut self.pairs[slot];
        if self.used[word] & bit == 0 {
            self.used[word] |= bit;
            *kept = pair;
        } else {
            kept.worth = kept.worth.max(pair.worth);
            kept.cost = kept.cost.min(pair.cost);
        }
    }

    /// Takes out the undominated pairs, rising.
    fn take(&mut self) -> Vec<Pair> {
        let mut pairs: Vec<Pair> = Vec::new();
        let mut cheapest = i64::MAX;
        for (word, used) in self.used.iter_mut().enumerate().rev() {
            while *used != 0 {
                let bit = used.ilog2();
                *used ^= 1 << bit;
                let pair = self.pairs[64 * word + bit as usize];
                if pair.cost < cheapest {
                    cheapest = pair.cost;
                    pairs.push(pair);
                }
            }
        }
        pairs.reverse();
        pairs
    }
}

/// Worth and cost are never below nothing and below 2^63 in all that is wanted.
/// A sum that would be more than that counts as 2^63 - 1: it is worth all that is
/// wanted, or costs too much, either way.
impl MultipleChoice {
    /// Joins pairs so that there are about so many to the gap, up to twice.
    pub fn join(&mut self, joins: i64) {
        let join = (self.gap / joins.max(1)).max(self.worth / MOST_PAIRS).max(1);
        self.bits = join.ilog2();
    }

    /// For each kind what all units before it and some of its own come to, as
    /// far as the others, the rest of its own and those `after` it, leave hope.
    pub fn forwards(
        &mut self,
        units: &[(&Frontier, u32)],
        after: &[PairsByUnits],
    ) -> Option<Vec<PairsByUnits>> {
        let mut before: Vec<PairsByUnits> = Vec::new();
        for (&(front, count), after) in units.iter().zip(after) {
            let base = before.last().map_or(NOTHING.to_vec(), |layers| layers.last().to_vec());
            before.push(self.layers(base, front, count, Some(after))?);
        }
        Some(before)
    }

    /// For each kind what all units after it and some of its own come to, as far
    /// as the others, the rest of its own and those `before` it, leave hope.
    pub fn backwards(
        &mut self,
        units: &[(&Frontier, u32)],
        before: Option<&[PairsByUnits]>,
    ) -> Option<Vec<PairsByUnits>> {
        let mut after: Vec<PairsByUnits> = Vec::new();
        for (i, &(front, count)) in units.iter().enumerate().rev() {
            let base = after.last().map_or(NOTHING.to_vec(), |layers| layers.last().to_vec());
            after.push(self.layers(base, front, count, before.map(|before| &before[i]))?);
        }
        after.reverse();
        Some(after)
    }

    /// Whether the pair and one of the others come to enough within the gap.
    pub fn is_hopeful(&self, pair: &Pair, others: &[Pair]) -> bool {
        let enough =
            others.partition_point(|other| other.worth.saturating_add(pair.worth) < self.worth);
        others.get(enough).is_some_and(|other| other.cost.saturating_add(pair.cost) < self.most)
    }

    /// One more unit after the other, each at one of its points or idle; nothing
    /// once the steps are used up.
    fn layers(
        &mut self,
        base: Vec<Pair>,
        front: &Frontier,
        units: u32,
        others: Option<&PairsByUnits>,
    ) -> Option<PairsByUnits> {
        let mut points = front.joined(self.gap, self.bits);
        let cheapest = points.first().copied();
        // Those that lose least first: the rest is of no use to a pair with
        // little left to lose.
        points.sort_by_key(|point| point.cost - point.worth);
        let mut layers = PairsByUnits(vec![base]);
        for unit in 1..=units {
            let mut with = self.unit(layers.last(), &points, cheapest, front.charge);
            match others {
                Some(others) => {
                    let others = others.of(units - unit);
                    with.retain(|pair| self.is_hopeful(pair, others));
                }
                None if with == layers.last() => break,
                None => {}
            }
            layers.0.push(with);
            if self.steps > self.most_steps {
                return None;
            }
        }
        Some(layers)
    }

    /// One more unit, at one of its points or idle at this cost.
    fn unit(
        &mut self,
        pairs: &[Pair],
        points: &[Pair],
        cheapest: Option<Pair>,
        idle: i64,
    ) -> Vec<Pair> {
        let slots = &mut self.slots;
        slots.reach(usize::try_from(self.most >> self.bits).unwrap_or(0) + 1);
        for pair in pairs {
            let left = self.gap.saturating_sub(pair.cost - pair.worth);
            let mut put = |point: &Pair| {
                let worth = pair.worth.saturating_add(point.worth);
                let cost = pair.cost.saturating_add(point.cost);
                if cost < self.most {
                    // A joined pair may be worth more than it costs.
                    let slot = usize::try_from(worth.min(self.most) >> self.bits).unwrap_or(0);
                    slots.put(slot, Pair { worth, cost });
                }
            };
            if idle < left {
                put(&Pair { worth: 0, cost: idle });
            }
            // With all the worth that is wanted, only cheapness counts.
            let useful = if pair.worth < self.worth { points } else { cheapest.as_slice() };
            let within = useful.iter().take_while(|point| point.cost - point.worth < left);
            self.steps += 1 + within.inspect(|point| put(point)).count() as u64;
        }
        slots.take()
    }

    /// The lengths for which one unit can be cut beside units that come to one
    /// of `before` and one of `after`.
    pub fn possible(
        &mut self,
        before: &[Pair],
        after: &[Pair],
        kind: &StockKind,
        front: &Frontier,
    ) -> Vec<LengthRange> {
        let Some(last) = front.points.last() else {
            return Vec::new();
        };
        let mut stretches: Vec<LengthRange> = Vec::new();
        // The least that the others cost, by how much they lack of all worth.
        let least = self.least_lacking(before, after, last.pair.worth);
        for (i, point) in front.points.iter().enumerate() {
            let Pair { worth, cost } = point.pair;
            // The dearest others that can be paid lack least.
            let paid = least.partition_point(|pair| pair.cost.saturating_add(cost) < self.most);
            let Some(lacking) = paid.checked_sub(1).map(|p| least[p].worth) else {
                continue;
            };
            let end = front.points.get(i + 1).map_or(kind.room, |next| next.length - 1);
            if lacking <= worth && point.length <= end {
                stretches.push(LengthRange { first: point.length, last: end, worth: lacking });
            }
        }
        stretches
    }

    /// For each way to take one of `before` and one of `after` that lacks at
    /// most so much worth: what it lacks, falling, and the least that costs;
    /// the cost rises.
    fn least_lacking(&mut self, before: &[Pair], after: &[Pair], most: i64) -> Vec<Pair> {
        let mut ways: Vec<Pair> = Vec::new();
        for first in before {
            let needed = (self.worth - first.worth).saturating_sub(most);
            let from = after.partition_point(|pair| pair.worth < needed);
            for second in &after[from..] {
                self.steps += 1;
                let lacking = (self.worth - first.worth).saturating_sub(second.worth).max(0);
                let cost = first.cost.saturating_add(second.cost);
                if cost >= self.most {
                    break;
                }
                ways.push(Pair { worth: lacking, cost });
                if lacking == 0 {
                    break;
                }
            }
        }
        // A way that lacks less is worth its cost only if it costs more.
        ways.sort_unstable_by_key(|way| (way.worth, way.cost));
        let mut kept: Vec<Pair> = Vec::new();
        let mut cheapest = i64::MAX;
        for way in ways {
            if way.cost < cheapest {
                cheapest = way.cost;
                kept.push(way);
            }
        }
        kept.reverse();
        kept
    }
}
