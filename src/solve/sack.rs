//! A knapsack with choices: what units of stock can come to in worth and cost.
//!
//! Dynamic programming over undominated pairs (Nemhauser and Ullmann 1969,
//! "Discrete dynamic programming and capital allocation", Management Science
//! 15), unit by unit, within a gap between cost and worth; see
//! [`fronts`](super::fronts).

use super::front::Front;
use super::instance::Kind;

/// Pairs that the worth of everything is divided into at most.
const MOST_PAIRS: i64 = 100_000;

/// A point of a front, or what some units come to: worth, and cost with
/// charges, in fixed point. Never worth more than its cost.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Pair {
    pub worth: i64,
    pub cost: i64,
}

/// Lengths from `first` to `last` that a unit can be cut for, if its pieces are
/// worth at least so much.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Stretch {
    pub first: i64,
    pub last: i64,
    pub worth: i64,
}

/// What is common to all knapsacks of one question.
pub(super) struct Sack {
    /// The worth that is wanted.
    pub worth: i64,
    /// What cost may exceed worth by, and cost in all: less than this.
    pub gap: i64,
    pub most: i64,
    pub join: i64,
    pub steps: u64,
    pub most_steps: u64,
}

impl Sack {
    /// Joins pairs so that there are about so many to the gap.
    pub fn join(&mut self, joins: i64) {
        self.join = (self.gap / joins.max(1)).max(self.worth / MOST_PAIRS).max(1);
    }

    /// What the units before each kind, and before the end, come to, as far as
    /// the units `after` it leave hope.
    pub fn forwards(
        &mut self,
        units: &[(&Front, u32)],
        after: &[Vec<Pair>],
    ) -> Option<Vec<Vec<Pair>>> {
        let mut before = vec![vec![Pair { worth: 0, cost: 0 }]];
        for (i, &(front, count)) in units.iter().enumerate() {
            let mut pairs = self.units(before[i].clone(), front, count)?;
            pairs.retain(|pair| self.is_hopeful(pair, &after[i + 1]));
            before.push(pairs);
        }
        Some(before)
    }

    /// What the units from each kind on, and from the end on, come to, as far as
    /// the units `before` it leave hope.
    pub fn backwards(
        &mut self,
        units: &[(&Front, u32)],
        before: Option<&[Vec<Pair>]>,
    ) -> Option<Vec<Vec<Pair>>> {
        let mut after = vec![vec![Pair { worth: 0, cost: 0 }]];
        for (i, &(front, count)) in units.iter().enumerate().rev() {
            let last = after.last().expect("there is a first").clone();
            let mut pairs = self.units(last, front, count)?;
            if let Some(before) = before {
                pairs.retain(|pair| self.is_hopeful(pair, &before[i]));
            }
            after.push(pairs);
        }
        after.reverse();
        Some(after)
    }

    /// Whether the pair and one of the others come to enough within the gap.
    pub fn is_hopeful(&self, pair: &Pair, others: &[Pair]) -> bool {
        let enough = others.partition_point(|other| other.worth + pair.worth < self.worth);
        others.get(enough).is_some_and(|other| other.cost + pair.cost < self.most)
    }

    /// So many more units, each at one of its points or idle; nothing once the
    /// steps are used up.
    pub fn units(&mut self, mut pairs: Vec<Pair>, front: &Front, units: u32) -> Option<Vec<Pair>> {
        let points = front.joined(self.gap, self.join);
        for _ in 0..units {
            let with = self.unit(&pairs, &points, front.charge);
            if with == pairs {
                break;
            }
            pairs = with;
            if self.steps > self.most_steps {
                return None;
            }
        }
        Some(pairs)
    }

    /// One more unit, at one of its points or idle at this cost.
    fn unit(&mut self, pairs: &[Pair], points: &[Pair], idle: i64) -> Vec<Pair> {
        let width = usize::try_from(self.most / self.join).unwrap_or(0) + 2;
        let mut joined: Vec<Option<Pair>> = vec![None; width];
        let mut put = |pair: Pair| {
            let place = usize::try_from(pair.worth / self.join).unwrap_or(0).min(width - 1);
            let kept = joined[place].get_or_insert(pair);
            kept.worth = kept.worth.max(pair.worth);
            kept.cost = kept.cost.min(pair.cost);
        };
        for pair in pairs {
            let left = self.gap - (pair.cost - pair.worth);
            if idle < left {
                put(Pair { worth: pair.worth, cost: pair.cost + idle });
            }
            // With all the worth that is wanted, only cheapness counts.
            let useful = if pair.worth < self.worth { points.len() } else { points.len().min(1) };
            for point in &points[..useful] {
                let cost = pair.cost + point.cost;
                if point.cost - point.worth < left && cost < self.most {
                    put(Pair { worth: pair.worth + point.worth, cost });
                }
            }
            self.steps += useful as u64 + 1;
        }
        let mut pairs: Vec<Pair> = Vec::new();
        let mut cheapest = i64::MAX;
        for pair in joined.into_iter().rev().flatten() {
            if pair.cost < cheapest {
                cheapest = pair.cost;
                pairs.push(pair);
            }
        }
        pairs.reverse();
        pairs
    }

    /// The lengths for which one unit can be cut beside units that come to one
    /// of `before` and one of `after`.
    pub fn possible(
        &mut self,
        before: &[Pair],
        after: &[Pair],
        kind: &Kind,
        front: &Front,
    ) -> Vec<Stretch> {
        let Some(last) = front.points.last() else {
            return Vec::new();
        };
        let mut stretches: Vec<Stretch> = Vec::new();
        // The least that the others cost, by how much they lack of all worth.
        let least = self.least_lacking(before, after, last.pair.worth);
        for (i, point) in front.points.iter().enumerate() {
            let Pair { worth, cost } = point.pair;
            // The dearest others that can be paid lack least.
            let paid = least.partition_point(|pair| pair.cost + cost < self.most);
            let Some(lacking) = paid.checked_sub(1).map(|p| least[p].worth) else {
                continue;
            };
            let end = front.points.get(i + 1).map_or(kind.room, |next| next.length - 1);
            if lacking <= worth && point.length <= end {
                stretches.push(Stretch { first: point.length, last: end, worth: lacking });
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
            let needed = self.worth - first.worth - most;
            let from = after.partition_point(|pair| pair.worth < needed);
            for second in &after[from..] {
                self.steps += 1;
                let lacking = (self.worth - first.worth - second.worth).max(0);
                let cost = first.cost + second.cost;
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
