//! A knapsack with choices: what units of stock can come to in worth and cost.
//!
//! Dynamic programming over undominated pairs (Nemhauser and Ullmann 1969,
//! "Discrete dynamic programming and capital allocation", Management Science
//! 15), unit by unit, within a gap between cost and worth; see
//! [`fronts`](super::fronts).

use super::front::Front;
use super::instance::Kind;

/// Bits of a word of marks.
const WORD: usize = u64::BITS as usize;

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
    gap: i64,
    most: i64,
    join: i64,
    pub steps: u64,
    most_steps: u64,
    shelf: Shelf,
}

/// Pairs by their worth in joins, those of one place joined.
#[derive(Default)]
struct Shelf {
    pairs: Vec<Pair>,
    /// A bit for each place that is taken: most are empty where the gap is small.
    marks: Vec<u64>,
}

/// A point of a front with its worth in whole joins and the rest.
struct Step {
    pair: Pair,
    joins: i64,
    rest: i64,
}

impl Sack {
    /// For so much worth, within a gap, at a cost below `most`.
    pub fn new(worth: i64, gap: i64, most: i64, most_steps: u64) -> Sack {
        let shelf = Shelf::default();
        Sack { worth, gap, most, join: 1, steps: 0, most_steps, shelf }
    }

    /// Whether there is nothing within the gap.
    pub fn is_closed(&self) -> bool {
        self.gap <= 0
    }

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
        let first = points.first().map(|pair| self.step(*pair));
        let mut steps: Vec<Step> = points.into_iter().map(|pair| self.step(pair)).collect();
        // What exceeds its worth least first: the others are out of the gap together.
        steps.sort_by_key(|step| step.pair.cost - step.pair.worth);
        for _ in 0..units {
            let with = self.unit(&pairs, &steps, first.as_ref(), front.charge);
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

    fn step(&self, pair: Pair) -> Step {
        Step { pair, joins: pair.worth / self.join, rest: pair.worth % self.join }
    }

    /// One more unit, at one of its points, the first of which is worth least, or
    /// idle at this cost.
    fn unit(
        &mut self,
        pairs: &[Pair],
        steps: &[Step],
        first: Option<&Step>,
        idle: i64,
    ) -> Vec<Pair> {
        let width = usize::try_from(self.most / self.join).unwrap_or(0) + 2;
        let Sack { worth, gap, most, join, .. } = *self;
        self.shelf.widen(width);
        for &pair in pairs {
            let left = gap - (pair.cost - pair.worth);
            let Step { joins, rest, .. } = self.step(pair);
            let mut put = |pair: Pair, joins: i64| {
                let place = usize::try_from(joins).unwrap_or(0).min(width - 1);
                self.shelf.put(pair, place);
            };
            if idle < left {
                put(Pair { worth: pair.worth, cost: pair.cost + idle }, joins);
            }
            let mut with = |step: &Step| {
                let cost = pair.cost + step.pair.cost;
                if cost < most {
                    let more = i64::from(rest + step.rest >= join);
                    let worth = pair.worth + step.pair.worth;
                    put(Pair { worth, cost }, joins + step.joins + more);
                }
            };
            let fits = |step: &&Step| step.pair.cost - step.pair.worth < left;
            // With all the worth that is wanted, only cheapness counts.
            if pair.worth < worth {
                steps.iter().take_while(fits).for_each(with);
                self.steps += steps.len() as u64 + 1;
            } else {
                first.iter().copied().filter(fits).for_each(&mut with);
                self.steps += u64::from(first.is_some()) + 1;
            }
        }
        self.shelf.clear()
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

impl Shelf {
    /// Nothing is dearer, and worth less.
    const NOTHING: Pair = Pair { worth: i64::MIN, cost: i64::MAX };

    /// Makes room for so many places.
    fn widen(&mut self, width: usize) {
        if self.pairs.len() < width {
            self.pairs.resize(width, Shelf::NOTHING);
            self.marks.resize(width.div_ceil(WORD), 0);
        }
    }

    fn put(&mut self, pair: Pair, place: usize) {
        let kept = &mut self.pairs[place];
        kept.worth = kept.worth.max(pair.worth);
        kept.cost = kept.cost.min(pair.cost);
        self.marks[place / WORD] |= 1 << (place % WORD);
    }

    /// Takes everything off; of that what is cheaper than all that is worth more,
    /// rising.
    fn clear(&mut self) -> Vec<Pair> {
        let mut kept: Vec<Pair> = Vec::new();
        let mut cheapest = i64::MAX;
        for (word, marks) in self.marks.iter_mut().enumerate().rev() {
            while *marks != 0 {
                let bit = WORD - 1 - marks.leading_zeros() as usize;
                *marks ^= 1 << bit;
                let pair = std::mem::replace(&mut self.pairs[word * WORD + bit], Shelf::NOTHING);
                if pair.cost < cheapest {
                    cheapest = pair.cost;
                    kept.push(pair);
                }
            }
        }
        kept.reverse();
        kept
    }
}
