//! What whole units of stock cost at least that hold all the worth wanted.
//!
//! At given prices a unit of a kind trades cost for worth along a front: for
//! each length cut, the most that the pieces in it can be worth. The linear
//! program mixes points of a front, and so takes a small share of a unit that is
//! hardly cut, which costs next to nothing where its long remainder is credited.
//! Here each unit takes one point: a knapsack with choices (Kellerer, Pferschy
//! and Pisinger 2004, "Knapsack Problems", chapter 11) over undominated pairs of
//! worth and cost, within the gap between the bound of the prices and the best
//! plan. The bound is never below that of the prices, nor below that of the
//! total length where prices follow length.
//!
//! Run forwards and backwards over the units, the knapsack also tells what a
//! plan costs at least in which a unit is cut for such a length: lengths that no
//! better plan can have are ruled out (the fixing of variables by reduced costs,
//! with the knapsack's bound in place of the linear program's).
//!
//! Pairs that are close to one another are joined to a better one, so that the
//! bound never exceeds the truth.

use super::bounds::ceil_div;
use super::instance::{Instance, Kind};
use super::pricing::Prices;

/// Cells of the longest room at most.
const CELLS: i64 = 4_000;
/// Joined pairs on the fine way for one on the coarse way.
const COARSER: i64 = 8;
/// Pairs that the worth of everything is divided into at most.
const MOST_PAIRS: i64 = 100_000;

/// A point of a front, or what some units come to: worth, and cost with
/// charges, in fixed point. Never worth more than its cost.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Pair {
    worth: i64,
    cost: i64,
}

/// What the knapsack says.
pub(super) struct Told {
    /// No plan costs less than this, or than the best one known.
    pub least: i128,
    /// For each kind of one run, the lengths that units of a better plan can be
    /// cut for, rising.
    pub stretches: Vec<Option<Vec<Stretch>>>,
    pub steps: u64,
}

/// Lengths from `first` to `last` that a unit can be cut for, if its pieces are
/// worth at least so much.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Stretch {
    pub first: i64,
    pub last: i64,
    pub worth: i64,
}

/// Solves the knapsack for plans that cost less than `beat`, with so many joined
/// pairs to the gap; nothing where the prices tell nothing or the steps do not
/// suffice.
pub(super) fn tell(
    instance: &Instance,
    prices: &Prices,
    beat: i64,
    joins: i64,
    most_steps: u64,
) -> Option<Told> {
    let Question { kinds, charged, mut sack } = Question::new(instance, prices, beat, most_steps)?;
    let nothing = |steps| Some(Told { least: i128::from(beat), stretches: Vec::new(), steps });
    if sack.gap <= 0 {
        return nothing(0);
    }
    // The dearest to leave out first, so that most pairs die at once.
    let mut order: Vec<usize> = (0..kinds.len()).collect();
    order.sort_by_key(|&k| -kinds[k].charge);
    let units: Vec<(&Front, u32)> =
        order.iter().map(|&k| (&kinds[k], instance.kinds[k].supply)).collect();
    // A coarse way back says what is hopeless on a fine way forth.
    sack.join(joins / COARSER);
    let coarse = sack.backwards(&units, None)?;
    sack.join(joins);
    let before = sack.forwards(&units, &coarse)?;
    let enough = before[units.len()].iter().filter(|pair| pair.worth >= sack.worth);
    let Some(cost) = enough.map(|pair| pair.cost).min() else {
        return nothing(sack.steps);
    };
    let least = ceil_div(i128::from(cost) - charged, i128::from(prices.scale));
    let after = sack.backwards(&units, Some(&before))?;
    let mut stretches = vec![None; kinds.len()];
    for (i, &k) in order.iter().enumerate() {
        let kind = &instance.kinds[k];
        if kind.is_plain() {
            let others = sack.units(after[i + 1].clone(), &kinds[k], kind.supply - 1)?;
            stretches[k] = Some(sack.possible(&before[i], &others, kind, &kinds[k]));
        }
    }
    Some(Told { least, stretches, steps: sack.steps })
}

/// What is still to be paid, kind after kind, when so much worth is cut.
pub(super) struct Ahead {
    scale: i64,
    sack: Sack,
    /// The charges for all units of the first kinds.
    charged: Vec<i64>,
    /// What the units of the other kinds can come to.
    after: Vec<Vec<Pair>>,
}

impl Ahead {
    /// For plans that cost less than `beat`, with the kinds in this order.
    pub fn new(
        instance: &Instance,
        prices: &Prices,
        beat: i64,
        order: &[usize],
        joins: i64,
        most_steps: u64,
    ) -> Option<Ahead> {
        let Question { kinds, mut sack, .. } = Question::new(instance, prices, beat, most_steps)?;
        if sack.gap <= 0 {
            return None;
        }
        sack.join(joins);
        let units: Vec<(&Front, u32)> =
            order.iter().map(|&k| (&kinds[k], instance.kinds[k].supply)).collect();
        let after = sack.backwards(&units, None)?;
        let mut charged = vec![0i64];
        for (front, units) in units {
            let before = charged.last().expect("there is a first");
            charged.push(before.checked_add(front.charge.checked_mul(i64::from(units))?)?);
        }
        Some(Ahead { scale: prices.scale, sack, charged, after })
    }

    /// The steps that it took.
    pub fn steps(&self) -> u64 {
        self.sack.steps
    }

    /// Whether a better plan may begin with so much worth at such a cost from
    /// all of the first `out` kinds, and from some units of the next.
    pub fn is_hopeful(&self, out: usize, worth: i64, cost: i64) -> bool {
        // A unit of the next kind costs at least its charge: the list for all of
        // them, less the charges of some, is none too dear for the others.
        let cost = self.scale.saturating_mul(cost).saturating_add(self.charged[out]);
        self.sack.is_hopeful(&Pair { worth, cost }, &self.after[out])
    }
}

/// The fronts of all kinds, and what is asked of them.
struct Question {
    kinds: Vec<Front>,
    /// The charges for all units.
    charged: i128,
    sack: Sack,
}

impl Question {
    fn new(instance: &Instance, prices: &Prices, beat: i64, most_steps: u64) -> Option<Question> {
        if beat == i64::MAX || !prices.costs {
            return None;
        }
        let fronts = Fronts::new(instance, prices);
        let kinds: Vec<Front> = instance.kinds.iter().map(|kind| fronts.of(kind, prices)).collect();
        let pieces = instance.types.iter().zip(&prices.piece);
        let worth: i128 = pieces.map(|(t, &piece)| i128::from(t.demand) * i128::from(piece)).sum();
        let units = instance.kinds.iter().zip(&kinds);
        let charged: i128 =
            units.map(|(kind, front)| i128::from(kind.supply) * i128::from(front.charge)).sum();
        let scale = i128::from(prices.scale);
        let gap = i64::try_from(i128::from(beat) * scale - (worth - charged)).ok()?;
        let worth = i64::try_from(worth).ok()?;
        let most = worth.checked_add(gap)?;
        let sack = Sack { worth, gap, most, join: 1, steps: 0, most_steps };
        Some(Question { kinds, charged, sack })
    }
}

/// What is common to all knapsacks of one question.
struct Sack {
    /// The worth that is wanted.
    worth: i64,
    /// What cost may exceed worth by, and cost in all: less than this.
    gap: i64,
    most: i64,
    join: i64,
    steps: u64,
    most_steps: u64,
}

impl Sack {
    /// Joins pairs so that there are about so many to the gap.
    fn join(&mut self, joins: i64) {
        self.join = (self.gap / joins.max(1)).max(self.worth / MOST_PAIRS).max(1);
    }

    /// What the units before each kind, and before the end, come to, as far as
    /// the units `after` it leave hope.
    fn forwards(&mut self, units: &[(&Front, u32)], after: &[Vec<Pair>]) -> Option<Vec<Vec<Pair>>> {
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
    fn backwards(
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
    fn is_hopeful(&self, pair: &Pair, others: &[Pair]) -> bool {
        let enough = others.partition_point(|other| other.worth + pair.worth < self.worth);
        others.get(enough).is_some_and(|other| other.cost + pair.cost < self.most)
    }

    /// So many more units, each at one of its points or idle; nothing once the
    /// steps are used up.
    fn units(&mut self, mut pairs: Vec<Pair>, front: &Front, units: u32) -> Option<Vec<Pair>> {
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
    fn possible(
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

/// For each group of stock, the most that pieces are worth by their length in
/// cells, rounded down piece by piece.
struct Fronts {
    cell: i64,
    shortest: i64,
    groups: Vec<(u32, Vec<i64>)>,
}

/// A point with the least length that it is reached at.
struct Point {
    length: i64,
    pair: Pair,
}

/// What a unit of a kind may be cut for.
struct Front {
    /// So high that no point is worth more than its cost.
    charge: i64,
    /// With worth and cost rising.
    points: Vec<Point>,
}

impl Fronts {
    fn new(instance: &Instance, prices: &Prices) -> Fronts {
        let longest = instance.kinds.iter().map(|kind| kind.room).max().unwrap_or(1);
        let cell = (longest / CELLS).max(1);
        let size = usize::try_from(longest / cell).unwrap_or(0) + 1;
        let mut groups: Vec<(u32, Vec<i64>)> = Vec::new();
        for kind in &instance.kinds {
            if groups.iter().any(|&(group, _)| group == kind.group) {
                continue;
            }
            let mut best = vec![0i64; size];
            for (t, of_type) in instance.types.iter().enumerate() {
                let serves = of_type.group.is_none_or(|group| group == kind.group);
                if serves && prices.piece[t] > 0 {
                    let length = usize::try_from(of_type.length / cell).unwrap_or(usize::MAX);
                    add_pieces(&mut best, length, prices.piece[t], of_type.demand);
                }
            }
            groups.push((kind.group, best));
        }
        let shortest = instance.types.iter().map(|t| t.length).min().unwrap_or(1);
        Fronts { cell, shortest, groups }
    }

    fn of(&self, kind: &Kind, prices: &Prices) -> Front {
        let group = self.groups.iter().find(|&&(group, _)| group == kind.group);
        let best = group.map_or(&[][..], |(_, best)| best);
        let cells = usize::try_from(kind.room / self.cell).unwrap_or(0);
        let mut points: Vec<Point> = Vec::new();
        let mut charge = 0;
        for (g, &worth) in best.iter().enumerate().take(cells + 1) {
            // Stock that pays to be cut is cut for pieces worth nothing too.
            let length = (g as i64 * self.cell).max(self.shortest.min(kind.room));
            let cost = prices.scale.saturating_mul(kind.cost_at(length));
            charge = charge.max(worth - cost);
            let rises = |last: &Point| last.pair.worth < worth || last.pair.cost < cost;
            if points.last().is_none_or(rises) {
                points.push(Point { length, pair: Pair { worth, cost } });
            }
        }
        for point in &mut points {
            point.pair.cost = point.pair.cost.saturating_add(charge);
        }
        Front { charge, points }
    }
}

impl Front {
    /// The undominated points within the gap, close ones joined.
    fn joined(&self, gap: i64, join: i64) -> Vec<Pair> {
        let mut points: Vec<Pair> = Vec::new();
        for &Point { pair, .. } in &self.points {
            if pair.cost - pair.worth >= gap {
                continue;
            }
            match points.last_mut() {
                Some(last) if pair.worth / join == last.worth / join => {
                    last.worth = last.worth.max(pair.worth);
                }
                Some(last) if pair.worth <= last.worth => {}
                Some(last) if pair.cost <= last.cost => *last = pair,
                _ => points.push(pair),
            }
        }
        points
    }
}

/// Adds up to `count` pieces of a length and worth to the most that each length
/// can hold.
fn add_pieces(best: &mut [i64], length: usize, worth: i64, count: u32) {
    let mut left = count;
    let mut share = 1;
    while left > 0 {
        let times = share.min(left);
        left -= times;
        share *= 2;
        let Some(taken) = length.checked_mul(times as usize).filter(|&l| l < best.len()) else {
            continue;
        };
        let gained = worth.saturating_mul(i64::from(times));
        for g in (taken..best.len()).rev() {
            best[g] = best[g].max(best[g - taken].saturating_add(gained));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::problem::{Credit, Item, Problem, Run, Stock, WHOLE};
    use super::*;

    /// Sticks of 40 for 40, where 20 left are worth 10 and less is worth nothing.
    fn instance(length: i64, demand: u32) -> Instance {
        let credit = Credit { keep: 20, full: 40, share: WHOLE / 2, rate: 1, per: 1, scale: 1 };
        let stock = Stock {
            runs: vec![Run::clear(40)],
            cost: 40,
            supply: None,
            credit: Some(credit),
            group: 0,
        };
        let item = Item { parts: vec![length], demand, group: None };
        Instance::new(&Problem { stock: vec![stock], items: vec![item] })
    }

    // Computed by hand: three halves of a stick cost 60 to the linear program;
    // of whole sticks, one is cut in two for 40 and one once for 40 - 10.
    #[test]
    fn no_half_of_a_stick_is_cut() {
        let instance = instance(20, 3);
        let prices = Prices { scale: 1, piece: vec![20], charge: vec![0], costs: true };
        let told = tell(&instance, &prices, 100, 16, 1_000).expect("few steps");
        assert_eq!(told.least, 70);
        assert_eq!(tell(&instance, &prices, 70, 16, 1_000).expect("few steps").least, 70);
    }

    // Computed by hand: ten pieces of 4 fill one stick for 40; any other way to
    // take them costs more, so that below 41 no other length is possible.
    #[test]
    fn lengths_that_cost_too_much_are_ruled_out() {
        let instance = instance(4, 10);
        let prices = Prices { scale: 1, piece: vec![4], charge: vec![0], costs: true };
        let told = tell(&instance, &prices, 41, 16, 1_000).expect("few steps");
        let whole = Stretch { first: 10, last: 10, worth: 40 };
        assert_eq!((told.least, &told.stretches[..]), (40, &[Some(vec![whole])][..]));
        let all = tell(&instance, &prices, 1_000, 16, 1_000).expect("few steps");
        let lengths = all.stretches[0].iter().flatten().map(|s| (s.first, s.last));
        assert!(lengths.eq((1..=10).map(|length| (length, length))));
    }

    #[test]
    fn there_is_an_end_to_the_steps() {
        let prices = Prices { scale: 1, piece: vec![4], charge: vec![0], costs: true };
        assert!(tell(&instance(4, 10), &prices, 1_000, 16, 3).is_none());
    }
}
