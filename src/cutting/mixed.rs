//! Rails of more than one mitre from the same sticks, exactly, where they are few.
//!
//! What a run loses between its rails hangs on which mitres lie in it, and a stick
//! is cut head to tail only if all that is cut from it has one mitre. Neither can
//! be said of an item by itself, so the question to the solver is a little too
//! strict and its twin a little too lenient. Here every way to cut one stick is
//! listed with what it really takes, and the sticks are combined by dynamic
//! programming over how many of each item are cut so far.

use std::collections::BTreeMap;

use super::Bench;
use super::pose::Posed;
use crate::solve::{Pattern, Piece, Solution};

/// No more ways to cut one stick than this are listed.
const MOST_WAYS: usize = 4_000;

/// No more states than this are kept.
const MOST_STATES: usize = 20_000;

/// No more steps than this are made from one state to the next.
const MOST_STEPS: usize = 3_000_000;

/// How many of each item.
type Counts = Vec<u32>;

/// What lies in one run.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Laid {
    /// The items and their parts.
    pieces: Vec<(usize, usize)>,
    /// Their lengths, with a joint for each.
    taken: i64,
    /// What it would save to lay neighbours head to tail, were there one more.
    nested: i64,
}

/// A stick as it is cut.
type Stick = Vec<Laid>;

/// One way to cut a stick: what it gives, what it costs, and how it lies.
struct Way {
    counts: Counts,
    cost: i64,
    stick: Stick,
}

/// Where a state comes from.
#[derive(Clone, Copy)]
struct Step {
    before: usize,
    stock: usize,
    way: usize,
}

impl Posed {
    /// The best way to cut everything, of a question of mixed mitres; no solution
    /// if there is none. `None` if there is too much to list.
    pub fn exactly(&self, bench: &Bench) -> Option<Option<Solution>> {
        let wanted: Counts = self.problem.items.iter().map(|item| item.demand).collect();
        let states = wanted.iter().try_fold(1_usize, |all, count| {
            all.checked_mul(usize::try_from(*count).ok()?.checked_add(1)?)
        });
        states.filter(|states| *states <= MOST_STATES)?;
        let listing = Listing { posed: self, bench, wanted: &wanted };
        let ways: Vec<Vec<Way>> =
            (0..self.runs.len()).map(|stock| listing.ways(stock)).collect::<Option<_>>()?;
        let mut table = Table::new(&wanted);
        for (stock, ways) in ways.iter().enumerate() {
            match self.problem.stock[stock].supply {
                Some(supply) => {
                    for _ in 0..supply {
                        if !table.add(stock, ways)? {
                            break;
                        }
                    }
                }
                None => table.add_without_end(stock, ways)?,
            }
        }
        // A step of the table is little beside one of the search.
        let work = u64::try_from((MOST_STEPS - table.left) / 16).unwrap_or(u64::MAX);
        Some(table.best(&wanted).map(|(cost, steps)| {
            let pattern = |step: &Step| self.pattern(step.stock, &ways[step.stock][step.way].stick);
            let patterns = Pattern::merged(steps.iter().map(pattern).collect());
            Solution { patterns, cost, bound: cost, work, certificate: None }
        }))
    }

    /// What a pattern costs once what is left of its stick is credited.
    pub fn cost(&self, bench: &Bench, pattern: &Pattern) -> i64 {
        if !self.by_stick {
            return pattern.net_cost(&self.problem);
        }
        let listing = Listing { posed: self, bench, wanted: &Vec::new() };
        let mut stick: Stick = vec![Laid::default(); pattern.runs.len()];
        for (run, pieces) in pattern.runs.iter().enumerate() {
            for piece in pieces {
                (0..piece.count).for_each(|_| {
                    listing.lay(&mut stick[run], piece.item, piece.part);
                });
            }
        }
        listing.cost(pattern.stock, &stick)
    }

    fn pattern(&self, stock: usize, stick: &Stick) -> Pattern {
        let run = |laid: &Laid| {
            let mut counts: BTreeMap<(usize, usize), u32> = BTreeMap::new();
            for piece in &laid.pieces {
                *counts.entry(*piece).or_default() += 1;
            }
            let piece = |((item, part), count)| Piece { item, part, count };
            counts.into_iter().map(piece).collect()
        };
        Pattern { stock, times: 1, runs: stick.iter().map(run).collect() }
    }
}

/// The ways to cut the sticks of a question.
struct Listing<'a> {
    posed: &'a Posed,
    bench: &'a Bench<'a>,
    wanted: &'a Counts,
}

impl Listing<'_> {
    /// Every way to cut one stick; of those that give the same, the cheapest.
    fn ways(&self, stock: usize) -> Option<Vec<Way>> {
        let runs = self.posed.runs[stock].len();
        let none = (vec![0; self.wanted.len()], vec![Laid::default(); runs]);
        let mut all: Vec<(Counts, Stick)> = vec![none];
        for (item, most) in self.wanted.iter().enumerate() {
            let of = &self.posed.problem.items[item];
            if of.group.is_some_and(|group| group != self.posed.problem.stock[stock].group) {
                continue;
            }
            let mut newest = all.clone();
            for _ in 0..*most {
                let mut next: Vec<(Counts, Stick)> = Vec::new();
                for (counts, stick) in &newest {
                    let mut counts = counts.clone();
                    counts[item] += 1;
                    let sticks = self.with(stock, stick, item);
                    next.extend(sticks.into_iter().map(|stick| (counts.clone(), stick)));
                }
                next.sort();
                next.dedup();
                if next.is_empty() {
                    break;
                }
                all.extend(next.iter().cloned());
                if all.len() > MOST_WAYS {
                    return None;
                }
                newest = next;
            }
        }
        let mut best: BTreeMap<Counts, (i64, Stick)> = BTreeMap::new();
        for (counts, stick) in all.into_iter().skip(1) {
            let cost = self.cost(stock, &stick);
            let known = best.entry(counts).or_insert((cost, stick.clone()));
            if cost < known.0 {
                *known = (cost, stick);
            }
        }
        let way = |(counts, (cost, stick))| Way { counts, cost, stick };
        Some(best.into_iter().map(way).collect())
    }

    /// Every way to lay the parts of one more of an item on a stick.
    fn with(&self, stock: usize, stick: &Stick, item: usize) -> Vec<Stick> {
        let mut sticks = vec![stick.clone()];
        for part in 0..self.posed.problem.items[item].parts.len() {
            let mut next = Vec::new();
            for stick in &sticks {
                for run in 0..stick.len() {
                    let mut stick = stick.clone();
                    self.lay(&mut stick[run], item, part);
                    if self.fits(stock, &stick) {
                        next.push(stick);
                    }
                }
            }
            next.sort();
            next.dedup();
            sticks = next;
        }
        sticks
    }

    fn lay(&self, run: &mut Laid, item: usize, part: usize) {
        run.pieces.push((item, part));
        run.pieces.sort_unstable();
        run.taken += self.posed.problem.items[item].parts[part];
        run.nested += self.bench.overlap(self.posed.mitres[item]).nm();
    }

    /// Whether all that is cut from a stick has one mitre, so that neighbours may
    /// lie head to tail.
    fn is_turned(&self, stick: &Stick) -> bool {
        let mut mitres = stick.iter().flat_map(|run| &run.pieces);
        let Some((first, _)) = mitres.next() else { return false };
        mitres.all(|(item, _)| self.posed.mitres[*item] == self.posed.mitres[*first])
    }

    /// What a run takes with a joint for each rail.
    fn taken(&self, run: &Laid, is_turned: bool) -> i64 {
        // Of so many rails one less lies head to tail with the one before it.
        let pieces = i64::try_from(run.pieces.len()).unwrap_or(1).max(1);
        if is_turned { run.taken - run.nested / pieces * (pieces - 1) } else { run.taken }
    }

    /// Laid with the larger joints first, a run loses each but the least.
    fn fits(&self, stock: usize, stick: &Stick) -> bool {
        let is_turned = self.is_turned(stick);
        stick.iter().zip(&self.posed.runs[stock]).all(|(run, clear)| {
            let joints = run.pieces.iter();
            let joints = joints.map(|(item, _)| self.bench.joint(self.posed.mitres[*item]).nm());
            let least = joints.min().unwrap_or(0);
            self.taken(run, is_turned) - least <= (clear.to - clear.from).nm()
        })
    }

    fn cost(&self, stock: usize, stick: &Stick) -> i64 {
        let is_turned = self.is_turned(stick);
        let of = &self.posed.problem.stock[stock];
        let Some(credit) = &of.credit else { return of.cost };
        let last = stick.iter().rposition(|run| !run.pieces.is_empty()).unwrap_or(0);
        let left = |(at, run): (usize, &Laid)| {
            let question = &of.runs[at];
            let whole = if at == last { question.tail } else { question.gap };
            credit.at(whole - self.taken(run, is_turned))
        };
        of.cost - stick[..=last].iter().enumerate().map(left).sum::<i64>()
    }
}

/// The least cost of every number of items, and how it is come by.
struct Table {
    states: BTreeMap<Counts, (i64, usize)>,
    steps: Vec<Step>,
    wanted: Counts,
    left: usize,
}

impl Table {
    fn new(wanted: &Counts) -> Table {
        let none = vec![0; wanted.len()];
        let first = Step { before: 0, stock: usize::MAX, way: 0 };
        let states = BTreeMap::from([(none, (0, 0))]);
        Table { states, steps: vec![first], wanted: wanted.clone(), left: MOST_STEPS }
    }

    /// One stick more or none. Whether that changes anything; `None` if there is
    /// too much to look at.
    fn add(&mut self, stock: usize, ways: &[Way]) -> Option<bool> {
        let before: Vec<(Counts, (i64, usize))> =
            self.states.iter().map(|(counts, at)| (counts.clone(), *at)).collect();
        let mut changed = false;
        for (counts, at) in &before {
            changed |= self.from(counts, *at, stock, ways)?;
        }
        Some(changed)
    }

    /// As many sticks as wanted: each leads only to states that come later.
    fn add_without_end(&mut self, stock: usize, ways: &[Way]) -> Option<()> {
        let mut at = self.states.keys().next().cloned();
        while let Some(counts) = at {
            let state = self.states[&counts];
            self.from(&counts, state, stock, ways)?;
            let later = (std::ops::Bound::Excluded(counts), std::ops::Bound::Unbounded);
            at = self.states.range(later).next().map(|(next, _)| next.clone());
        }
        Some(())
    }

    fn from(
        &mut self,
        counts: &Counts,
        (cost, before): (i64, usize),
        stock: usize,
        ways: &[Way],
    ) -> Option<bool> {
        self.left = self.left.checked_sub(ways.len())?;
        let mut changed = false;
        for (place, way) in ways.iter().enumerate() {
            let sum: Counts = counts.iter().zip(&way.counts).map(|(a, b)| a + b).collect();
            if sum.iter().zip(&self.wanted).any(|(sum, most)| sum > most) {
                continue;
            }
            let cost = cost.checked_add(way.cost)?;
            if self.states.get(&sum).is_none_or(|(known, _)| cost < *known) {
                self.states.insert(sum, (cost, self.steps.len()));
                self.steps.push(Step { before, stock, way: place });
                changed = true;
            }
        }
        Some(changed)
    }

    fn best(&self, wanted: &Counts) -> Option<(i64, Vec<Step>)> {
        let &(cost, mut at) = self.states.get(wanted)?;
        let mut steps = Vec::new();
        while at > 0 {
            steps.push(self.steps[at]);
            at = self.steps[at].before;
        }
        Some((cost, steps))
    }
}
