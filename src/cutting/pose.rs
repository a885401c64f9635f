//! Demands and sources put as a question to the solver.
//!
//! # Why a frame of one stick is one item
//!
//! A `stick` match is an item of several parts that must share a unit of stock, a
//! `wrap` an item of one long part. The solver needs no other notion of a frame.

use std::collections::{BTreeMap, BTreeSet};

use super::{Ask, Bench, ClearRun, Demand, Source, clear_runs};
use crate::measure::{Length, Mitre, Worth};
use crate::shop::{Kind, Match};
use crate::solve::{Item, Problem, Run, Stock};

/// A question to the solver, with what it takes to read the answer.
#[derive(Debug, Clone)]
pub struct Posed {
    /// The question.
    pub problem: Problem,
    /// The same with a little more room in each run than there is, where mitres
    /// are mixed: its bound is a bound for every plan. `None` where the question
    /// itself is exact.
    pub relaxed: Option<Problem>,
    /// Each unit of worth counts so much in the problem's costs; what is below
    /// it counts sticks.
    pub scale: i64,
    /// For each item, who wants it.
    pub(super) wants: Vec<Vec<Want>>,
    /// For each item, the mitre of its rails.
    pub(super) mitres: Vec<Mitre>,
    /// Whether mitres of reversible stock are mixed and a stick whose rails all have
    /// one is cut head to tail: then a pattern costs what [`Posed::cost`] says.
    pub turns_by_stick: bool,
    /// For each stock, the sources that are alike.
    pub(super) sources: Vec<Vec<usize>>,
    /// For each stock, its clear runs.
    pub(super) runs: Vec<Vec<ClearRun>>,
    /// Whether neighbours are cut head to tail.
    pub(super) turning: bool,
}

/// A bundle of parts that one demand wants from one stick, so many times.
#[derive(Debug, Clone)]
pub(super) struct Want {
    pub demand: usize,
    pub parts: Vec<BlockRails>,
    pub count: u32,
}

/// Rails cut one after the other, as indices into an ask's rails.
pub(super) type BlockRails = Vec<usize>;

/// Puts the demands and sources of one moulding as a question to the solver.
///
/// Where the rails are of more than one mitre, neighbours of different mitre
/// lose the larger joint: laid with the larger joints first, a run then loses
/// every joint but its smallest. The question takes the smallest joint of all,
/// which no run can fall short of; see [`Posed::relaxed`].
pub fn pose(bench: &Bench, demands: &[Demand], sources: &[Source]) -> Posed {
    let mitres: Vec<Mitre> = distinct(demands.iter().map(|d| d.ask.mitre));
    let turning = bench.moulding.kind == Kind::Reversible && mitres.len() == 1;
    let step = |mitre| {
        let overlap = if turning { bench.overlap(mitre) } else { Length::ZERO };
        bench.joint_loss(mitre) - overlap
    };
    let (items, wants) = items(bench, demands, &step);
    let scale = items.iter().map(|item| i64::from(item.demand)).sum::<i64>() + 1;
    let joints = mitres.iter().map(|m| bench.joint_loss(*m));
    let widest = joints.max().unwrap_or_default().max(bench.joint_at_flaws);
    let least = mitres.iter().map(|m| step(*m)).min().unwrap_or_default();
    let overlap = if turning { bench.overlap(mitres[0]) } else { Length::ZERO };
    let named: BTreeSet<u32> = demands.iter().filter_map(|demand| demand.lot).collect();
    let (groups, runs) = alike(bench, sources, widest, &named);
    let stock = groups.iter().zip(&runs).map(|(group, runs)| {
        stock(bench, &sources[group[0]], group.len(), runs, Edge { spare: least, overlap }, scale)
    });
    let problem = Problem { stock: stock.collect(), items };
    let mixed = mitres.len() > 1;
    let relaxed = mixed.then(|| relax(bench, &problem, &mitres, least));
    let of_item = |wants: &Vec<Want>| demands[wants[0].demand].ask.mitre;
    let mitres = wants.iter().map(of_item).collect();
    let (sources, turns_by_stick) = (groups, false);
    Posed { problem, relaxed, scale, wants, mitres, turns_by_stick, sources, runs, turning }
}

impl Posed {
    /// The same question, read so that sticks of one mitre are cut head to tail.
    pub fn turned_by_stick(self, turns_by_stick: bool) -> Posed {
        Posed { turns_by_stick, ..self }
    }

    /// The same question with items told apart that differ by what is said of each
    /// block of a demand's rails; without the roomier one, which bounds of costs need.
    pub fn apart<K: Ord>(&self, of: &dyn Fn(usize, &[usize]) -> K) -> Posed {
        let mut wants = Vec::new();
        // For each item the one that it was told from, and how many are wanted.
        let mut told: Vec<(usize, u32)> = Vec::new();
        for (item, all) in self.wants.iter().enumerate() {
            let mut kinds: BTreeMap<Vec<K>, Vec<Want>> = BTreeMap::new();
            for want in all {
                let kind = want.parts.iter().map(|part| of(want.demand, part)).collect();
                kinds.entry(kind).or_default().push(want.clone());
            }
            for kind in kinds.into_values() {
                told.push((item, kind.iter().map(|want| want.count).sum()));
                wants.push(kind);
            }
        }
        let item =
            |&(item, demand): &(usize, u32)| Item { demand, ..self.problem.items[item].clone() };
        let items = told.iter().map(item).collect();
        let problem = Problem { stock: self.problem.stock.clone(), items };
        let mitres = told.iter().map(|(item, _)| self.mitres[*item]).collect();
        Posed { problem, relaxed: None, wants, mitres, ..self.clone() }
    }

    /// For each demand what all its rails are worth, at so much for each item.
    pub fn worth(&self, items: &BTreeMap<usize, i64>) -> Vec<i128> {
        let demands = self.wants.iter().flatten().map(|want| want.demand + 1).max();
        let mut worth = vec![0; demands.unwrap_or(0)];
        for (item, wants) in self.wants.iter().enumerate() {
            let each = i128::from(items.get(&item).copied().unwrap_or(0));
            for want in wants {
                worth[want.demand] += each * i128::from(want.count);
            }
        }
        worth
    }

    /// For each item one of the demands that want it, and the rails of each part.
    pub fn blocks(&self) -> impl Iterator<Item = (usize, &[Vec<usize>])> {
        self.wants.iter().map(|wants| (wants[0].demand, wants[0].parts.as_slice()))
    }
}

/// What the ends of a run add to it.
#[derive(Clone, Copy)]
struct Edge {
    /// The joint that the last rail need not have to fit.
    spare: Length,
    /// The overlap that the first rail has with nobody: of `n` rails cut head to
    /// tail only `n - 1` overlap with one before them. It comes off what is left
    /// of a run that is cut, and of no other.
    overlap: Length,
}

fn distinct<T: Ord>(values: impl Iterator<Item = T>) -> Vec<T> {
    values.collect::<BTreeSet<T>>().into_iter().collect()
}

/// The bundles of one demand: each must come from one stick, each of its parts
/// from one run.
fn bundles(demand: &Demand) -> Vec<Vec<BlockRails>> {
    let bundles = bundles_of(&demand.ask);
    if !demand.together {
        return bundles;
    }
    let rails = &demand.ask.rails;
    let longest =
        |part: &BlockRails| part.iter().map(|&rail| rails[rail].long_point).sum::<Length>();
    let mut parts: Vec<BlockRails> = bundles.into_iter().flatten().collect();
    parts.sort_by_key(|part| std::cmp::Reverse(longest(part)));
    vec![parts]
}

fn bundles_of(ask: &Ask) -> Vec<Vec<BlockRails>> {
    let each = 0..ask.rails.len();
    match ask.match_ {
        Match::Any | Match::Lot => each.map(|rail| vec![vec![rail]]).collect(),
        Match::Halves => each
            .clone()
            .step_by(2)
            .map(|first| vec![(first..(first + 2).min(ask.rails.len())).collect()])
            .collect(),
        Match::Stick => {
            let mut parts: Vec<BlockRails> = each.map(|rail| vec![rail]).collect();
            parts.sort_by_key(|part| std::cmp::Reverse(ask.rails[part[0]].long_point));
            vec![parts]
        }
        Match::Wrap => vec![vec![each.collect()]],
    }
}

/// What sources that are alike have in common.
type SourceKey = (bool, Option<u32>, Length, Vec<(Length, Length)>, Option<Worth>);

/// How often a bundle is wanted, and by whom.
type BundleWanted = (u32, Vec<Want>);

fn items(
    bench: &Bench,
    demands: &[Demand],
    step: &dyn Fn(Mitre) -> Length,
) -> (Vec<Item>, Vec<Vec<Want>>) {
    let mut found: BTreeMap<(Option<u32>, Vec<i64>, Mitre), BundleWanted> = BTreeMap::new();
    for (index, demand) in demands.iter().enumerate().filter(|(_, d)| d.count > 0) {
        let ask = &demand.ask;
        for parts in bundles(demand) {
            let taken = |block: &BlockRails| {
                let points: Length = block.iter().map(|&rail| ask.rails[rail].long_point).sum();
                let joints = i64::try_from(block.len()).expect("a frame of at most 16 sides") - 1;
                (points + bench.joint_loss(ask.mitre) * joints + step(ask.mitre)).nm()
            };
            let lengths: Vec<i64> = parts.iter().map(taken).collect();
            let entry = found.entry((demand.lot, lengths, ask.mitre)).or_default();
            entry.0 += demand.count;
            entry.1.push(Want { demand: index, parts, count: demand.count });
        }
    }
    found
        .into_iter()
        .map(|((group, parts, _), (demand, wants))| (Item { parts, demand, group }, wants))
        .unzip()
}

/// Sources that are alike in all that matters, as groups of indices with their
/// clear runs; those with no clear run at all are left out. The lots of sticks on
/// the rack matter if they are `named` by a demand.
fn alike(
    bench: &Bench,
    sources: &[Source],
    widest: Length,
    named: &BTreeSet<u32>,
) -> (Vec<Vec<usize>>, Vec<Vec<ClearRun>>) {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut seen: BTreeMap<SourceKey, usize> = BTreeMap::new();
    let mut all_runs = Vec::new();
    for (index, source) in sources.iter().enumerate() {
        let runs = clear_runs(bench, source, widest);
        if runs.is_empty() {
            continue;
        }
        let flaws = source.flaws.iter().map(|flaw| (flaw.from, flaw.to)).collect();
        let lot = (source.is_new || named.contains(&source.lot)).then_some(source.lot);
        let price = source.paid.map(|paid| paid.price);
        let alike = (source.is_new, lot, source.length, flaws, price);
        let group = *seen.entry(alike).or_insert(groups.len());
        if group == groups.len() {
            groups.push(Vec::new());
            all_runs.push(runs);
        }
        groups[group].push(index);
    }
    (groups, all_runs)
}

fn stock(
    bench: &Bench,
    source: &Source,
    supply: usize,
    runs: &[ClearRun],
    edge: Edge,
    scale: i64,
) -> Stock {
    let is_endless = source.is_new && source.paid.is_none_or(|paid| paid.endless);
    let run = |run: &ClearRun| Run {
        room: (run.to - run.from + edge.spare).nm(),
        tail: (source.length - run.from - edge.overlap).nm(),
        gap: (run.to - run.from - edge.overlap).nm(),
        untouched: (run.to - run.from).nm(),
    };
    Stock {
        runs: runs.iter().map(run).collect(),
        cost: bench.price(source).0 * scale + 1,
        supply: (!is_endless).then(|| u32::try_from(supply).unwrap_or(u32::MAX)),
        credit: Some(bench.credit_of(source, scale)),
        group: source.lot,
    }
}

/// The question with every rail as short, and every run as roomy, as any order
/// of the rails could make them.
fn relax(bench: &Bench, problem: &Problem, mitres: &[Mitre], least: Length) -> Problem {
    let most = mitres.iter().map(|m| bench.joint_loss(*m)).max().unwrap_or_default();
    let turned = mitres.iter().map(|m| bench.overlap(*m)).max().unwrap_or_default();
    let mut relaxed = problem.clone();
    for part in relaxed.items.iter_mut().flat_map(|item| &mut item.parts) {
        *part = (*part - turned.nm()).max(1);
    }
    for run in relaxed.stock.iter_mut().flat_map(|stock| &mut stock.runs) {
        run.room += (most - least).nm();
    }
    relaxed
}
