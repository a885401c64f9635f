//! One moulding's packing as a question of settings: what each part of an item
//! does to the stop.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use crate::cutting::{Ask, Demand, Posed};
use crate::measure::{Length, Mitre};
use crate::planner::packing::Fit;
use crate::rails::Rail;
use crate::shop::Stop;
use crate::solve::Pattern;
use crate::stops::{Block, CutWays, Free, StopPosition};

/// What a moulding is cut with.
pub(super) struct At<'a> {
    pub stop: Stop,
    /// What is lost between two rails of a mitre.
    pub joint: &'a (dyn Fn(Mitre) -> Length + Sync),
}

/// A packing to be cut with few settings.
pub(super) struct Question {
    /// The packing, with items told apart that differ in their settings.
    pub posed: Posed,
    /// The different blocks.
    blocks: Vec<Block>,
    /// For each block its joint; in a run the larger come first. All alike where
    /// any order will do.
    joints: Vec<Length>,
    /// For each item and part its block.
    of: Vec<Vec<usize>>,
    settings: BTreeSet<StopPosition>,
}

impl Question {
    /// How a fit is packed.
    pub fn new(fit: &Fit, at: &At) -> Question {
        let (posed, demands) = (&fit.posed, &fit.demands);
        let block = |demand: usize, part: &[usize]| block(at.stop, &demands[demand], part);
        let apart = posed.apart(&|demand, part| {
            let Block { first, last, moves } = block(demand, part);
            (first, last, moves)
        });
        let mut numbers: BTreeMap<(StopPosition, StopPosition, usize), usize> = BTreeMap::new();
        let (mut blocks, mut joints) = (Vec::new(), Vec::new());
        let mut number = |demand: usize, block: Block| {
            *numbers.entry((block.first, block.last, block.moves)).or_insert_with(|| {
                blocks.push(block);
                joints.push((at.joint)(demands[demand].ask.mitre));
                blocks.len() - 1
            })
        };
        let of = apart.blocks().map(|(demand, parts)| {
            parts.iter().map(|part| number(demand, block(demand, part))).collect()
        });
        let of: Vec<Vec<usize>> = of.collect();
        let settings = settings(at.stop, demands);
        Question { posed: apart, blocks, joints, of, settings }
    }

    /// What a pattern's runs do to the stop.
    pub fn passing(&self, pattern: &Pattern) -> Vec<Vec<usize>> {
        let mut passing = Vec::new();
        for run in pattern.runs.iter().filter(|run| !run.is_empty()) {
            let mut stretches: BTreeMap<Reverse<Length>, Vec<usize>> = BTreeMap::new();
            for piece in run {
                let block = self.of[piece.item][piece.part];
                let times = if self.is_single(block) { 1 } else { piece.count as usize };
                let stretch = stretches.entry(Reverse(self.joints[block])).or_default();
                stretch.extend(std::iter::repeat_n(block, times));
            }
            for mut blocks in stretches.into_values() {
                blocks.sort_unstable();
                blocks.dedup_by(|next, before| *next == *before && self.is_single(*next));
                passing.push(blocks);
            }
        }
        passing
    }

    /// The sticks of a packing.
    pub fn sticks(&self, patterns: &[Pattern]) -> Vec<Free<'static>> {
        Pattern::units(patterns).map(|pattern| self.free(&self.passing(pattern))).collect()
    }

    /// A stick that passes so.
    fn free(&self, passing: &[Vec<usize>]) -> Free<'static> {
        let run = |run: &Vec<usize>| run.iter().map(|block| self.blocks[*block]).collect();
        Free { moulding: "", runs: passing.iter().map(run).collect(), short: BTreeSet::new() }
    }

    /// The ways to cut what passes so.
    pub fn ways(&self, passing: &[Vec<usize>]) -> CutWays {
        CutWays::of(&self.free(passing))
    }

    /// How often the stop is moved at the least from one cut of a stick to the
    /// next.
    pub fn moves(&self, passing: &[Vec<usize>]) -> usize {
        match passing {
            [run] if run.iter().all(|block| self.is_single(*block)) => run.len() - 1,
            _ => self.ways(passing).least(),
        }
    }

    /// The settings of all rails.
    pub fn settings(&self) -> &BTreeSet<StopPosition> {
        &self.settings
    }

    /// Whether no item was told apart.
    pub fn is_as_posed(&self, posed: &Posed) -> bool {
        self.posed.problem.items.len() == posed.problem.items.len()
    }

    fn is_single(&self, block: usize) -> bool {
        self.blocks[block].is_single()
    }
}

/// The settings of all rails of these demands.
fn settings(stop: Stop, demands: &[Demand]) -> BTreeSet<StopPosition> {
    let wanted = demands.iter().filter(|demand| demand.count > 0);
    wanted.flat_map(|demand| settings_of(stop, &demand.ask)).collect()
}

/// The setting of each rail of a layer.
pub(super) fn settings_of(stop: Stop, ask: &Ask) -> Vec<StopPosition> {
    let setting = |rail: &Rail| (stop.reading(rail.long_point, rail.rabbet, rail.sight), ask.mitre);
    ask.rails.iter().map(setting).collect()
}

/// What some rails of a demand, cut one after the other, do to the stop.
fn block(stop: Stop, demand: &Demand, rails: &[usize]) -> Block {
    let all = settings_of(stop, &demand.ask);
    let settings: Vec<StopPosition> = rails.iter().map(|rail| all[*rail]).collect();
    Block::of(&settings)
}
