//! In which ways one stick can be cut: from which setting to which, with how
//! many moves in between.
//!
//! What lies in a clear run can be cut in any order, as long as a frame that runs
//! on around its corners keeps its own. A run with cuts at `n` settings is then
//! done with `n - 1` moves of the stop, from any of them to any other.

use std::collections::{BTreeMap, BTreeSet};

use super::exact;
use super::passage::{Ends, Passage, StopPosition};

/// Rails of a stick that are cut one after the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Block {
    /// The setting of the first.
    pub first: StopPosition,
    /// The setting of the last.
    pub last: StopPosition,
    /// How often the stop is moved in between.
    pub moves: usize,
}

impl Block {
    /// Rails at these settings, one after the other; at least one.
    pub fn of(settings: &[StopPosition]) -> Block {
        let moves = settings.windows(2).filter(|pair| pair[0] != pair[1]).count();
        Block { first: settings[0], last: settings[settings.len() - 1], moves }
    }

    /// Whether all of it is cut at one setting.
    pub fn is_single(&self) -> bool {
        self.moves == 0 && self.first == self.last
    }
}

/// A stick whose cuts may change places within each clear run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Free<'a> {
    /// Which moulding; sticks of one are kept together.
    pub moulding: &'a str,
    /// The blocks of each run, in the order of the runs.
    pub runs: Vec<Vec<Block>>,
    /// The settings of rails that are too short to be cut from the end of a stick,
    /// if another can be.
    pub short: BTreeSet<StopPosition>,
}

/// One way to cut a stick: the ends of it all and of each run.
#[derive(Debug, Clone)]
pub(super) struct CutWay {
    pub ends: Ends,
    pub moves: usize,
    pub runs: Vec<Ends>,
    /// Whether its last rail is a short one.
    pub short: bool,
}

/// The ways to cut a stick with the fewest moves, and with one more; none if
/// nothing is cut from it.
#[derive(Debug, Clone)]
pub struct CutWays(pub(super) Vec<CutWay>);

impl CutWays {
    /// Those of a stick.
    pub fn of(stick: &Free) -> CutWays {
        CutWays(ways_of(stick))
    }

    /// The fewest moves from one cut to the next.
    pub fn least(&self) -> usize {
        self.0.iter().map(|way| way.moves).min().unwrap_or(0)
    }
}

fn ways_of(stick: &Free) -> Vec<CutWay> {
    let mut ways: Vec<CutWay> = Vec::new();
    for run in stick.runs.iter().filter(|run| !run.is_empty()) {
        let own = ways_of_run(run);
        if ways.is_empty() {
            let way = |(ends, moves): (Ends, usize)| CutWay {
                ends,
                moves,
                runs: vec![ends],
                short: false,
            };
            ways = own.into_iter().map(way).collect();
            continue;
        }
        let mut both: BTreeMap<Ends, CutWay> = BTreeMap::new();
        for before in &ways {
            for &(ends, moves) in &own {
                let moves = before.moves + moves + usize::from(before.ends.1 != ends.0);
                let all = (before.ends.0, ends.1);
                if both.get(&all).is_none_or(|known| moves < known.moves) {
                    let runs = before.runs.iter().copied().chain([ends]).collect();
                    both.insert(all, CutWay { ends: all, moves, runs, short: false });
                }
            }
        }
        let least = both.values().map(|way| way.moves).min().unwrap_or(0);
        ways = both.into_values().filter(|way| way.moves <= least + 1).collect();
    }
    for way in &mut ways {
        way.short = way.ends.1.is_some_and(|last| stick.short.contains(&last));
    }
    ways
}

/// From which setting to which a run can be cut, and with how many moves.
fn ways_of_run(blocks: &[Block]) -> Vec<(Ends, usize)> {
    let inner: usize = blocks.iter().map(|block| block.moves).sum();
    if !blocks.iter().all(Block::is_single) {
        let passed = exact::ways(&arrows(blocks), &(0..blocks.len()).collect::<Vec<_>>());
        return passed.into_iter().map(|(ends, (moves, _))| (ends, moves + inner)).collect();
    }
    let settings: BTreeSet<StopPosition> = blocks.iter().map(|block| block.first).collect();
    let moves = settings.len() - 1;
    let pairs = settings.iter().flat_map(|first| settings.iter().map(move |last| (first, last)));
    let pairs = pairs.filter(|(first, last)| moves == 0 || first != last);
    pairs.map(|(first, last)| ((Some(*first), Some(*last)), moves)).collect()
}

/// The order of a run's blocks from one of its ends to the other, what is short as
/// early as it can be.
pub(super) fn order_of_run(
    blocks: &[Block],
    ends: Ends,
    short: &BTreeSet<StopPosition>,
) -> Vec<usize> {
    let all: Vec<usize> = (0..blocks.len()).collect();
    if !blocks.iter().all(Block::is_single) {
        return exact::ways(&arrows(blocks), &all).remove(&ends).expect("it is one of its ways").1;
    }
    let mut seen: Vec<StopPosition> = Vec::new();
    seen.extend(ends.0);
    let (early, others): (Vec<&Block>, Vec<&Block>) =
        blocks.iter().partition(|block| short.contains(&block.first));
    for block in early.into_iter().chain(others) {
        if !seen.contains(&block.first) && ends.1 != Some(block.first) {
            seen.push(block.first);
        }
    }
    seen.extend(ends.1.filter(|_| ends.0 != ends.1));
    let at =
        |setting: StopPosition| all.iter().copied().filter(move |&b| blocks[b].first == setting);
    seen.into_iter().flat_map(at).collect()
}

fn arrows(blocks: &[Block]) -> Vec<Passage<'static>> {
    let arrow =
        |block: &Block| Passage { moulding: "", first: Some(block.first), last: Some(block.last) };
    blocks.iter().map(arrow).collect()
}
