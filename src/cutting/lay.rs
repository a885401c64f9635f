//! The solver's answer read back: every rail in its place on its stick.

use std::cmp::Reverse;
use std::collections::{BTreeMap, VecDeque};

use super::pose::{BlockRails, Posed, Want};
use super::{Bench, ClearRun, Demand, Source};
use crate::measure::Length;
use crate::rails::Rail;
use crate::solve::{Pattern, Solution};

/// A stick with its rails in cutting order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LaidStick {
    /// Which of the sources.
    pub source: usize,
    /// Its rails, from the marked end.
    pub rails: Vec<LaidRail>,
    /// For each stretch of a run that is cut with one joint, how many rails each
    /// block of it has: these may change places, as they stand or turned as their
    /// places are, and take up as much.
    pub blocks: Vec<Vec<usize>>,
    /// What remains beyond the last rail.
    pub left: Remnant,
    /// What remains of each earlier run before its flaw.
    pub between: Vec<Remnant>,
}

/// A rail in its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LaidRail {
    /// The caller's number for the frame copy that it is for.
    pub owner: usize,
    /// Which demand asked for it.
    pub demand: usize,
    /// The rail itself.
    pub rail: Rail,
    /// Where it begins along the back edge.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
    /// Whether the stick is turned over for it.
    pub turned: bool,
}

/// A piece that remains.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Remnant {
    /// Where it begins along the back edge.
    pub from: Length,
    /// How long it is along the back edge.
    pub length: Length,
}

/// One bundle handed out to an owner.
struct Bundle<'a> {
    owner: usize,
    demand: usize,
    parts: &'a [BlockRails],
}

/// A block of rails waiting to be laid in a run.
struct WaitingBlock<'a> {
    owner: usize,
    demand: usize,
    block: &'a [usize],
}

impl Posed {
    /// Lays out a solution of the question. `owners[d]` numbers those who want
    /// demand `d`, one for each of its count; lower numbers are served first.
    ///
    /// Within a run the larger joints come first and then the longest, but the
    /// rails of a block keep their order.
    pub fn lay(
        &self,
        bench: &Bench,
        demands: &[Demand],
        sources: &[Source],
        owners: &[Vec<usize>],
        solution: &Solution,
    ) -> Vec<LaidStick> {
        let mut queues = self.queues(owners);
        let mut free: Vec<VecDeque<usize>> =
            self.sources.iter().map(|s| s.iter().copied().collect()).collect();
        let mut laid = Vec::new();
        for pattern in &solution.patterns {
            for _ in 0..pattern.times {
                let group = &mut free[pattern.stock];
                let source = if sources[group[0]].is_new {
                    group[0]
                } else {
                    group.pop_front().expect("supply is kept")
                };
                let blocks = hand_out(pattern, &mut queues);
                let turning =
                    self.turning || self.turns_by_stick && has_one_mitre(demands, &blocks);
                let layer = LayState { bench, demands, turning };
                laid.push(layer.stick(source, &sources[source], &self.runs[pattern.stock], blocks));
            }
        }
        laid
    }

    /// The sources from which a solution takes anything.
    pub fn touched<'a>(&'a self, solution: &'a Solution) -> impl Iterator<Item = usize> + 'a {
        let mut used = vec![0_usize; self.sources.len()];
        for pattern in &solution.patterns {
            used[pattern.stock] += pattern.times as usize;
        }
        self.sources.iter().zip(used).flat_map(|(group, used)| group.iter().copied().take(used))
    }

    /// A solution as one of another question about the same items, whose sources
    /// give each run at least as much room and may be alike in other sets.
    pub fn moved_to(&self, other: &Posed, solution: &Solution) -> Vec<Pattern> {
        let mut free: Vec<VecDeque<usize>> =
            self.sources.iter().map(|s| s.iter().copied().collect()).collect();
        let mut moved = Vec::new();
        for pattern in &solution.patterns {
            for _ in 0..pattern.times {
                let source = free[pattern.stock].pop_front().expect("supply is kept");
                let holds = |group: &Vec<usize>| group.contains(&source);
                let stock = other.sources.iter().position(holds).expect("it has a clear run");
                let mut runs = pattern.runs.clone();
                runs.resize(other.runs[stock].len(), Vec::new());
                moved.push(Pattern { stock, times: 1, runs });
            }
        }
        Pattern::merged(moved)
    }

    /// How many sticks a solution takes of each source that can be bought.
    pub fn bought(&self, sources: &[Source], solution: &Solution) -> BTreeMap<usize, u32> {
        let mut bought = BTreeMap::new();
        for pattern in &solution.patterns {
            let source = self.sources[pattern.stock][0];
            if sources[source].is_new {
                *bought.entry(source).or_default() += pattern.times;
            }
        }
        bought
    }

    /// The source of each stick that is to be bought, in the order in which
    /// [`lay`](Self::lay) gives them.
    pub fn bought_in_order(&self, sources: &[Source], solution: &Solution) -> Vec<usize> {
        let of = |pattern: &Pattern| (self.sources[pattern.stock][0], pattern.times as usize);
        let each = solution.patterns.iter().map(of).filter(|(source, _)| sources[*source].is_new);
        each.flat_map(|(source, times)| std::iter::repeat_n(source, times)).collect()
    }

    /// For each item, the bundles to hand out, lowest owner first.
    fn queues(&self, owners: &[Vec<usize>]) -> Vec<VecDeque<Bundle<'_>>> {
        self.wants.iter().map(|wants| queue(wants, owners)).collect()
    }
}

/// Whether all that is cut from a stick has one mitre.
fn has_one_mitre(demands: &[Demand], runs: &[Vec<WaitingBlock>]) -> bool {
    let mut mitres = runs.iter().flatten().map(|waiting| demands[waiting.demand].ask.mitre);
    let first = mitres.next();
    mitres.all(|mitre| Some(mitre) == first)
}

/// The bundles of one item, lowest owner first.
fn queue<'a>(wants: &'a [Want], owners: &[Vec<usize>]) -> VecDeque<Bundle<'a>> {
    let mut bundles: Vec<Bundle> = Vec::new();
    for want in wants {
        let bundle = |&owner| Bundle { owner, demand: want.demand, parts: &want.parts };
        bundles.extend(owners[want.demand].iter().map(bundle));
    }
    bundles.sort_by_key(|bundle| (bundle.owner, bundle.demand, bundle.parts));
    bundles.into()
}

/// Takes what one unit of a pattern needs from the queues: the blocks of each run.
fn hand_out<'a>(
    pattern: &Pattern,
    queues: &mut [VecDeque<Bundle<'a>>],
) -> Vec<Vec<WaitingBlock<'a>>> {
    let mut runs: Vec<Vec<WaitingBlock>> = pattern.runs.iter().map(|_| Vec::new()).collect();
    let mut places: BTreeMap<usize, Vec<Vec<usize>>> = BTreeMap::new();
    for (run, pieces) in pattern.runs.iter().enumerate() {
        for piece in pieces {
            let parts = places.entry(piece.item).or_default();
            parts.resize_with(parts.len().max(piece.part + 1), Vec::new);
            parts[piece.part].extend(std::iter::repeat_n(run, piece.count as usize));
        }
    }
    for (item, parts) in places {
        for copy in 0..parts[0].len() {
            let bundle = queues[item].pop_front().expect("demand is met exactly");
            for (part, block) in bundle.parts.iter().enumerate() {
                let waiting = WaitingBlock { owner: bundle.owner, demand: bundle.demand, block };
                runs[parts[part][copy]].push(waiting);
            }
        }
    }
    runs
}

/// What it takes to lay rails one after the other.
struct LayState<'a> {
    bench: &'a Bench<'a>,
    demands: &'a [Demand],
    turning: bool,
}

impl LayState<'_> {
    fn stick(
        &self,
        source: usize,
        stick: &Source,
        runs: &[ClearRun],
        blocks: Vec<Vec<WaitingBlock>>,
    ) -> LaidStick {
        let last = blocks.iter().rposition(|blocks| !blocks.is_empty()).unwrap_or(0);
        let mut rails = Vec::new();
        let mut cut = Vec::new();
        let mut between = Vec::new();
        let mut left = Remnant { from: Length::ZERO, length: stick.length };
        for (index, (run, mut blocks)) in runs.iter().zip(blocks).enumerate().take(last + 1) {
            self.sort(&mut blocks);
            cut.extend(self.movable(&blocks));
            let from = self.run(run, &blocks, &mut rails);
            let end = if index == last { stick.length } else { run.to };
            let remnant = Remnant { from, length: (end - from).max(Length::ZERO) };
            if index == last {
                left = remnant;
            } else {
                between.push(remnant);
            }
        }
        LaidStick { source, rails, blocks: cut, left, between }
    }

    /// How many rails each block of a run has, in stretches of one joint each: the
    /// larger joints come first.
    fn movable(&self, blocks: &[WaitingBlock]) -> Vec<Vec<usize>> {
        let joint =
            |waiting: &WaitingBlock| self.bench.joint_loss(self.demands[waiting.demand].ask.mitre);
        let stretches = blocks.chunk_by(|one, other| joint(one) == joint(other));
        let lengths = |blocks: &[WaitingBlock]| blocks.iter().map(|w| w.block.len()).collect();
        stretches.map(lengths).collect()
    }

    /// The larger joints come first and then the longest.
    fn sort(&self, blocks: &mut [WaitingBlock]) {
        blocks.sort_by_key(|waiting| {
            let ask = &self.demands[waiting.demand].ask;
            let points: Length = waiting.block.iter().map(|&rail| ask.rails[rail].long_point).sum();
            (
                Reverse(self.bench.joint_loss(ask.mitre)),
                Reverse(points),
                waiting.owner,
                waiting.block[0],
            )
        });
    }

    /// Lays the blocks of one run; returns where what remains begins.
    fn run(&self, run: &ClearRun, blocks: &[WaitingBlock], rails: &mut Vec<LaidRail>) -> Length {
        let mut from = run.from;
        let mut turned = false;
        for (index, waiting) in blocks.iter().enumerate() {
            let ask = &self.demands[waiting.demand].ask;
            if self.turning && index > 0 {
                from -= self.bench.overlap(ask.mitre);
                turned = !turned;
            }
            for &rail in waiting.block {
                let rail = ask.rails[rail];
                let to = from + rail.long_point;
                let (owner, demand) = (waiting.owner, waiting.demand);
                rails.push(LaidRail { owner, demand, rail, from, to, turned });
                from = to + self.bench.joint_loss(ask.mitre);
            }
        }
        from
    }
}
