//! Rails of more than one mitre from the same sticks, exactly, where they are few.
//!
//! What a run loses between its rails hangs on which mitres lie in it, and a stick
//! is cut head to tail only if all that is cut from it has one mitre. Neither can
//! be said of an item by itself, so the question to the solver is a little too
//! strict and its twin a little too lenient. Here every way to cut one stick is
//! listed with what it really takes, and the sticks are combined by dynamic
//! programming over how many of each item are cut so far.
//!
//! # Why mixed mitres need this
//!
//! Where squares and polygons share a stick, a run laid with the larger joints first
//! loses all joints but its smallest, and only a stick of one mitre is cut head to
//! tail. Neither can be said of an item by itself. So where they are few (20,000
//! counts of items, 4,000 ways to cut a stick), every way to cut one stick is listed
//! with what it really takes, and sticks are combined by dynamic programming. With
//! more, the question takes the smallest joint of all and turns nothing; the bound
//! comes from a second, roomier question (`Posed::relaxed`), so `proven` stays true.

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

/// So many ways are listed, and so many steps made, in one step of the search.
const LISTED_A_STEP: u64 = 2;
const MADE_A_STEP: u64 = 32;

/// What lies in one run.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord)]
struct LaidRun {
    /// The items and their parts.
    pieces: Vec<(usize, usize)>,
    /// Their lengths, with a joint for each.
    taken: i64,
    /// What it would save to lay neighbours head to tail, were there one more.
    nested: i64,
}

/// One way to cut a stick: what it gives, what it costs, and how it lies.
struct StickWay {
    counts: Vec<u32>,
    /// How far it leads from one state's place to the next's.
    leads: usize,
    cost: i64,
    stick: Vec<LaidRun>,
}

/// Where a state comes from.
#[derive(Clone, Copy)]
struct StateOrigin {
    before: usize,
    stock: usize,
    way: usize,
}

impl Posed {
    /// The best way to cut everything, of a question of mixed mitres; no solution
    /// if there is none. `None` if there is too much to list. And the steps that it
    /// took, one way or the other.
    pub fn exactly(&self, bench: &Bench) -> (Option<Option<Solution>>, u64) {
        let wanted: Vec<u32> = self.problem.items.iter().map(|item| item.demand).collect();
        let Some(mut table) = CostTable::new(&wanted) else { return (None, 1) };
        let mut listing = StickLister { posed: self, bench, wanted: &wanted, listed: 0 };
        let solved = self.combined(&mut listing, &mut table);
        let made = u64::try_from(MOST_STEPS - table.left).unwrap_or(u64::MAX);
        let work = 1 + listing.listed / LISTED_A_STEP + made / MADE_A_STEP;
        let solution = |(cost, patterns)| {
            let (bound, certificate) = (cost, None);
            Solution { patterns, cost, bound, work, certificate }
        };
        (solved.map(|solved| solved.map(solution)), work)
    }

    /// The least that everything costs and how it is cut; nothing if there is no way.
    fn combined(
        &self,
        listing: &mut StickLister,
        table: &mut CostTable,
    ) -> Option<Option<(i64, Vec<Pattern>)>> {
        let mut ways: Vec<Vec<StickWay>> = Vec::new();
        for stock in 0..self.runs.len() {
            ways.push(listing.ways(stock, &table.weights)?);
        }
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
        Some(table.best().map(|(cost, steps)| {
            let pattern =
                |step: &StateOrigin| self.pattern(step.stock, &ways[step.stock][step.way].stick);
            (cost, Pattern::merged(steps.iter().map(pattern).collect()))
        }))
    }

    /// What a pattern costs once what is left of its stick is credited.
    pub fn cost(&self, bench: &Bench, pattern: &Pattern) -> i64 {
        if !self.turns_by_stick {
            return pattern.net_cost(&self.problem);
        }
        let listing = StickLister { posed: self, bench, wanted: &Vec::new(), listed: 0 };
        let mut stick: Vec<LaidRun> = vec![LaidRun::default(); pattern.runs.len()];
        for (run, pieces) in pattern.runs.iter().enumerate() {
            for piece in pieces {
                (0..piece.count).for_each(|_| {
                    listing.lay(&mut stick[run], piece.item, piece.part);
                });
            }
        }
        listing.cost(pattern.stock, &stick)
    }

    fn pattern(&self, stock: usize, stick: &[LaidRun]) -> Pattern {
        let run = |laid: &LaidRun| {
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
struct StickLister<'a> {
    posed: &'a Posed,
    bench: &'a Bench<'a>,
    wanted: &'a Vec<u32>,
    /// How many ways were listed.
    listed: u64,
}

impl StickLister<'_> {
    /// Every way to cut one stick; of those that give the same, the cheapest.
    fn ways(&mut self, stock: usize, weights: &[usize]) -> Option<Vec<StickWay>> {
        let runs = self.posed.runs[stock].len();
        let none = (vec![0; self.wanted.len()], vec![LaidRun::default(); runs]);
        let mut all: Vec<(Vec<u32>, Vec<LaidRun>)> = vec![none];
        for (item, most) in self.wanted.iter().enumerate() {
            let of = &self.posed.problem.items[item];
            if of.group.is_some_and(|group| group != self.posed.problem.stock[stock].group) {
                continue;
            }
            let mut newest = all.clone();
            for _ in 0..*most {
                let mut next: Vec<(Vec<u32>, Vec<LaidRun>)> = Vec::new();
                for (counts, stick) in &newest {
                    let mut counts = counts.clone();
                    counts[item] += 1;
                    let sticks = self.with(stock, stick, item)?;
                    next.extend(sticks.into_iter().map(|stick| (counts.clone(), stick)));
                }
                next.sort();
                next.dedup();
                if next.is_empty() {
                    break;
                }
                all.extend(next.iter().cloned());
                self.listed += next.len() as u64;
                if all.len() > MOST_WAYS {
                    return None;
                }
                newest = next;
            }
        }
        let mut best: BTreeMap<Vec<u32>, (i64, Vec<LaidRun>)> = BTreeMap::new();
        for (counts, stick) in all.into_iter().skip(1) {
            let cost = self.cost(stock, &stick);
            let known = best.entry(counts).or_insert((cost, stick.clone()));
            if cost < known.0 {
                *known = (cost, stick);
            }
        }
        let way = |(counts, (cost, stick)): (Vec<u32>, (i64, Vec<LaidRun>))| {
            let leads = counts.iter().zip(weights).map(|(&count, weight)| count as usize * weight);
            StickWay { leads: leads.sum(), counts, cost, stick }
        };
        Some(best.into_iter().map(way).collect())
    }

    /// Every way to lay the parts of one more of an item on a stick; `None` if they
    /// are too many.
    fn with(&mut self, stock: usize, stick: &[LaidRun], item: usize) -> Option<Vec<Vec<LaidRun>>> {
        let mut sticks = vec![stick.to_vec()];
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
            self.listed += next.len() as u64;
            next.sort();
            next.dedup();
            if next.len() > MOST_WAYS {
                return None;
            }
            sticks = next;
        }
        Some(sticks)
    }

    fn lay(&self, run: &mut LaidRun, item: usize, part: usize) {
        run.pieces.push((item, part));
        run.pieces.sort_unstable();
        run.taken += self.posed.problem.items[item].parts[part];
        run.nested += self.bench.overlap(self.posed.mitres[item]).nm();
    }

    /// Whether all that is cut from a stick has one mitre, so that neighbours may
    /// lie head to tail.
    fn is_turned(&self, stick: &[LaidRun]) -> bool {
        let mut mitres = stick.iter().flat_map(|run| &run.pieces);
        let Some((first, _)) = mitres.next() else { return false };
        mitres.all(|(item, _)| self.posed.mitres[*item] == self.posed.mitres[*first])
    }

    /// What a run takes with a joint for each rail.
    fn taken(&self, run: &LaidRun, is_turned: bool) -> i64 {
        // Of so many rails one less lies head to tail with the one before it.
        let pieces = i64::try_from(run.pieces.len()).unwrap_or(1).max(1);
        if is_turned { run.taken - run.nested / pieces * (pieces - 1) } else { run.taken }
    }

    /// Laid with the larger joints first, a run loses each but the least.
    fn fits(&self, stock: usize, stick: &[LaidRun]) -> bool {
        let is_turned = self.is_turned(stick);
        stick.iter().zip(&self.posed.runs[stock]).all(|(run, clear)| {
            let joints = run.pieces.iter();
            let joints =
                joints.map(|(item, _)| self.bench.joint_loss(self.posed.mitres[*item]).nm());
            let least = joints.min().unwrap_or(0);
            self.taken(run, is_turned) - least <= (clear.to - clear.from).nm()
        })
    }

    fn cost(&self, stock: usize, stick: &[LaidRun]) -> i64 {
        let is_turned = self.is_turned(stick);
        let of = &self.posed.problem.stock[stock];
        let Some(credit) = &of.credit else { return of.cost };
        let last = stick.iter().rposition(|run| !run.pieces.is_empty()).unwrap_or(0);
        let left = |(at, run): (usize, &LaidRun)| {
            let question = &of.runs[at];
            let whole = if at == last { question.tail } else { question.gap };
            credit.at(whole - self.taken(run, is_turned))
        };
        of.cost - stick[..=last].iter().enumerate().map(left).sum::<i64>()
    }
}

/// The least cost of every number of items, and how it is come by. The place of a
/// state is its numbers written one after the other, the first with most weight.
struct CostTable {
    states: Vec<Option<(i64, usize)>>,
    steps: Vec<StateOrigin>,
    weights: Vec<usize>,
    wanted: Vec<u32>,
    left: usize,
}

impl CostTable {
    /// `None` if there are too many states.
    fn new(wanted: &Vec<u32>) -> Option<CostTable> {
        let (mut weights, mut size) = (vec![0; wanted.len()], 1_usize);
        for (weight, count) in weights.iter_mut().zip(wanted).rev() {
            *weight = size;
            size = size.checked_mul(usize::try_from(*count).ok()?.checked_add(1)?)?;
            if size > MOST_STATES {
                return None;
            }
        }
        let mut states = vec![None; size];
        states[0] = Some((0, 0));
        let first = StateOrigin { before: 0, stock: usize::MAX, way: 0 };
        let wanted = wanted.clone();
        Some(CostTable { states, steps: vec![first], weights, wanted, left: MOST_STEPS })
    }

    /// One stick more or none. Whether that changes anything; `None` if there is
    /// too much to look at.
    fn add(&mut self, stock: usize, ways: &[StickWay]) -> Option<bool> {
        let before = self.states.clone();
        let mut changed = false;
        for (place, state) in before.into_iter().enumerate() {
            let Some(state) = state else { continue };
            changed |= self.from(place, state, stock, ways)?;
        }
        Some(changed)
    }

    /// As many sticks as wanted: each leads only to states that come later.
    fn add_without_end(&mut self, stock: usize, ways: &[StickWay]) -> Option<()> {
        for place in 0..self.states.len() {
            let Some(state) = self.states[place] else { continue };
            self.from(place, state, stock, ways)?;
        }
        Some(())
    }

    fn from(
        &mut self,
        place: usize,
        (cost, before): (i64, usize),
        stock: usize,
        ways: &[StickWay],
    ) -> Option<bool> {
        self.left = self.left.checked_sub(ways.len())?;
        let room = self.wanting(place);
        let mut changed = false;
        for (at, way) in ways.iter().enumerate() {
            if way.counts.iter().zip(&room).any(|(count, room)| count > room) {
                continue;
            }
            let cost = cost.checked_add(way.cost)?;
            let state = &mut self.states[place + way.leads];
            if state.is_none_or(|(known, _)| cost < known) {
                *state = Some((cost, self.steps.len()));
                self.steps.push(StateOrigin { before, stock, way: at });
                changed = true;
            }
        }
        Some(changed)
    }

    /// How many of each item a state still lacks.
    fn wanting(&self, mut place: usize) -> Vec<u32> {
        let lacks = |(weight, wanted): (&usize, &u32)| {
            let count = place / weight;
            place %= weight;
            wanted - u32::try_from(count).unwrap_or(0)
        };
        self.weights.iter().zip(&self.wanted).map(lacks).collect()
    }

    fn best(&self) -> Option<(i64, Vec<StateOrigin>)> {
        let (cost, mut at) = (*self.states.last()?)?;
        let mut steps = Vec::new();
        while at > 0 {
            steps.push(self.steps[at]);
            at = self.steps[at].before;
        }
        Some((cost, steps))
    }
}
