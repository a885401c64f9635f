//! Small problems exactly: dynamic programming over what has been cut so far.
//!
//! A state says how many pieces of each type are cut. Limited stock is taken
//! kind by kind; after that, stock that never runs out is taken so that each
//! unit holds the first type still wanted (any plan can be put in that order).
//! Exact wherever the number of states times patterns stays within the limit:
//! in practice up to some fifteen pieces of any kind, many more of few types.

use super::links;
use crate::solve::cutting_plan::{Column, CuttingPlan};
use crate::solve::instance::Instance;
use crate::solve::layout::{Contents, arrange};
use crate::solve::outcome::Settled;
use crate::solve::watchman::Watchman;

/// States, links between them and patterns beyond which the table would take too
/// much memory: some 80, 70 and 20 MB. There are seldom as many patterns as
/// states, whose product the steps limit.
const MOST_STATES: u64 = 1 << 22;
const MOST_LINKS: usize = 1 << 22;
const MOST_CUTS: u64 = 1 << 17;
/// States between two looks at the clock.
const LOOK: usize = 1 << 10;

/// The best way to cut `wanted` from `supply`, if it costs less than `cutoff`.
///
/// `most` limits the steps, and `steps` counts them. Too large, too, is what is
/// not done in time.
pub(crate) fn solve(
    instance: &Instance,
    wanted: &[u32],
    supply: &[u32],
    cutoff: i64,
    most: u64,
    steps: &mut u64,
    watchman: Watchman,
) -> Settled<CuttingPlan> {
    let Some(grid) = Grid::new(wanted, most) else {
        return Settled::Unknown;
    };
    let Some(stacks) = Stacks::new(instance, &grid, wanted, supply, most, steps) else {
        return Settled::Unknown;
    };
    if stacks.work(&grid) > most {
        return Settled::Unknown;
    }
    let mut table = StateTable::new(&grid, if stacks.pays { i64::MAX } else { cutoff }, watchman);
    for stack in &stacks.limited {
        for _ in 0..stack.times {
            if table.is_given_up || !table.take_one_more(&grid, &stack.cuts, steps) {
                break;
            }
        }
    }
    table.fill_up(&grid, &stacks.endless, steps);
    if table.is_given_up {
        return Settled::Unknown;
    }
    match table.plan(&grid) {
        Some(plan) if plan.cost < cutoff => Settled::Yes(plan),
        _ => Settled::No,
    }
}

/// The states: a digit a type, in mixed radix as an index and packed with a
/// guard bit a digit for comparing all digits at once.
struct Grid {
    wanted: Vec<u32>,
    stride: Vec<usize>,
    shift: Vec<u32>,
    guards: u64,
    /// Packed digits of each state.
    packed: Vec<u64>,
}

impl Grid {
    fn new(wanted: &[u32], most: u64) -> Option<Grid> {
        let mut stride = vec![0; wanted.len()];
        let mut shift = vec![0; wanted.len()];
        let (mut size, mut bits, mut guards) = (1usize, 0u32, 0u64);
        // The first type gets the greatest stride: states rise with it.
        for t in (0..wanted.len()).rev() {
            stride[t] = size;
            shift[t] = bits;
            let digits = usize::try_from(wanted[t]).ok()?.checked_add(1)?;
            size = size.checked_mul(digits)?;
            bits += u32::BITS - wanted[t].leading_zeros() + 1;
            if bits > 64 || size as u64 > most.min(MOST_STATES) {
                return None;
            }
            guards |= 1 << (bits - 1);
        }
        let mut grid = Grid {
            wanted: wanted.to_vec(),
            stride,
            shift,
            guards,
            packed: Vec::with_capacity(size),
        };
        for state in 0..size {
            let pieces = (0..wanted.len()).map(|t| (t, grid.digit(state, t)));
            let packed = pieces.fold(0, |sum, (t, count)| sum + grid.pack(t, count));
            grid.packed.push(packed);
        }
        Some(grid)
    }

    fn digit(&self, state: usize, t: usize) -> u32 {
        let radix = self.wanted[t] as usize + 1;
        u32::try_from(state / self.stride[t] % radix).expect("a digit is at most a demand")
    }

    fn pack(&self, t: usize, count: u32) -> u64 {
        u64::from(count) << self.shift[t]
    }

    fn len(&self) -> usize {
        self.packed.len()
    }

    /// Whether the cut is still wanted in the state.
    fn admits(&self, state: usize, cut: &PatternStep) -> bool {
        let full = self.packed[self.len() - 1];
        let open = (full - self.packed[state]) | self.guards;
        (open - cut.packed) & self.guards == self.guards
    }

    /// The first type still wanted in the state.
    fn first_open(&self, state: usize) -> Option<usize> {
        (0..self.wanted.len()).find(|&t| self.digit(state, t) < self.wanted[t])
    }
}

/// A pattern as a step between states.
struct PatternStep {
    step: usize,
    packed: u64,
    column: Column,
}

/// The patterns of one limited kind and how often they can be used.
struct Stack {
    cuts: Vec<PatternStep>,
    times: u32,
}

struct Stacks {
    limited: Vec<Stack>,
    /// Patterns of stock that never runs out, by their first type.
    endless: Vec<Vec<PatternStep>>,
    /// Whether some pattern costs less than nothing.
    pays: bool,
}

impl Stacks {
    fn new(
        instance: &Instance,
        grid: &Grid,
        wanted: &[u32],
        supply: &[u32],
        most: u64,
        steps: &mut u64,
    ) -> Option<Stacks> {
        let mut stacks = Stacks {
            limited: Vec::new(),
            endless: (0..wanted.len()).map(|_| Vec::new()).collect(),
            pays: false,
        };
        let mut left = (most / 8).min(MOST_CUTS);
        for (kind, &units) in supply.iter().enumerate().filter(|&(_, &units)| units > 0) {
            let mut listing = Listing {
                instance,
                grid,
                wanted,
                kind,
                cuts: Vec::new(),
                pieces: Vec::new(),
                left,
            };
            let complete = listing.list(0, 0);
            *steps += left - listing.left;
            left = listing.left;
            if !complete {
                return None;
            }
            let cuts = listing.cuts;
            stacks.pays |= cuts.iter().any(|cut| cut.column.cost < 0);
            let servable =
                (0..wanted.len()).filter(|&t| instance.kinds[kind].serves(instance.types[t].group));
            if u64::from(units) >= servable.map(|t| u64::from(wanted[t])).sum() {
                for cut in cuts {
                    stacks.endless[cut.column.pieces[0].0].push(cut);
                }
            } else {
                stacks.limited.push(Stack { cuts, times: units });
            }
        }
        Some(stacks)
    }

    /// The steps that the table will take at most.
    fn work(&self, grid: &Grid) -> u64 {
        let limited = self.limited.iter().map(|s| s.cuts.len() as u64 * u64::from(s.times));
        let endless = self.endless.iter().map(|cuts| cuts.len() as u64);
        (limited.sum::<u64>() + endless.sum::<u64>()).saturating_mul(grid.len() as u64)
    }
}

/// Lists every pattern of a kind.
struct Listing<'a> {
    instance: &'a Instance,
    grid: &'a Grid,
    wanted: &'a [u32],
    kind: usize,
    cuts: Vec<PatternStep>,
    pieces: Contents,
    left: u64,
}

impl Listing<'_> {
    /// Adds all patterns that extend the present one from type `t` on; false if
    /// there are too many.
    fn list(&mut self, t: usize, taken: i64) -> bool {
        let kind = &self.instance.kinds[self.kind];
        for t in t..self.wanted.len() {
            let of_type = &self.instance.types[t];
            if !kind.serves(of_type.group) {
                continue;
            }
            let (mut count, mut taken) = (0, taken);
            while count < self.wanted[t] && taken + of_type.length <= kind.room {
                count += 1;
                taken += of_type.length;
                self.pieces.push((t, count));
                let Some(arrangement) = arrange(self.instance, kind, &self.pieces) else {
                    self.pieces.pop();
                    break;
                };
                if self.left == 0 || !arrangement.sure {
                    return false;
                }
                self.left -= 1;
                self.add(arrangement.cost);
                if !self.list(t + 1, taken) {
                    return false;
                }
                self.pieces.pop();
            }
        }
        true
    }

    fn add(&mut self, cost: i64) {
        let grid = self.grid;
        let step = |&(t, count): &(usize, u32)| grid.stride[t] * count as usize;
        self.cuts.push(PatternStep {
            step: self.pieces.iter().map(step).sum(),
            packed: self.pieces.iter().map(|&(t, count)| grid.pack(t, count)).sum(),
            column: Column { kind: self.kind, pieces: self.pieces.clone(), cost },
        });
    }
}

/// The cheapest way found to each state.
struct StateTable<'a> {
    cost: Vec<i64>,
    /// The last link of the way to each state.
    last: Vec<u32>,
    /// The link before and the cut taken.
    links: Vec<(u32, Option<&'a PatternStep>)>,
    cutoff: i64,
    watchman: Watchman<'a>,
    /// Whether it is late, or there are too many links.
    is_given_up: bool,
}

impl<'a> StateTable<'a> {
    fn new(grid: &Grid, cutoff: i64, watchman: Watchman<'a>) -> StateTable<'a> {
        let mut table = StateTable {
            cost: vec![i64::MAX; grid.len()],
            last: vec![0; grid.len()],
            links: vec![(0, None)],
            cutoff,
            watchman,
            is_given_up: false,
        };
        table.cost[0] = 0;
        table
    }

    fn reach(&mut self, state: usize, cut: &'a PatternStep) -> bool {
        let to = state + cut.step;
        let cost = self.cost[state] + cut.column.cost;
        if cost >= self.cost[to] || cost >= self.cutoff {
            return false;
        }
        if self.links.len() >= MOST_LINKS {
            self.forget_links();
        }
        if self.is_given_up {
            return false;
        }
        let link = u32::try_from(self.links.len()).expect("no more links than MOST_LINKS");
        self.cost[to] = cost;
        self.links.push((self.last[state], Some(cut)));
        self.last[to] = link;
        true
    }

    /// Drops the links that are on no state's way any more; gives up where they
    /// are too many still.
    fn forget_links(&mut self) {
        links::forget(&mut self.links, &mut self.last);
        self.is_given_up |= self.links.len() > MOST_LINKS / 2;
    }

    /// Whether to go on at a state.
    fn goes_on(&mut self, state: usize) -> bool {
        self.is_given_up |= state % LOOK == 0 && self.watchman.is_late();
        !self.is_given_up
    }

    /// Takes at most one more unit from every state; whether that helped.
    fn take_one_more(&mut self, grid: &Grid, cuts: &'a [PatternStep], steps: &mut u64) -> bool {
        let mut helped = false;
        // Downwards, so that no state is reached with the new unit twice.
        for state in (0..grid.len()).rev() {
            if !self.goes_on(state) {
                return false;
            }
            if self.cost[state] == i64::MAX {
                continue;
            }
            *steps += cuts.len() as u64;
            for cut in cuts {
                if grid.admits(state, cut) {
                    helped |= self.reach(state, cut);
                }
            }
        }
        helped
    }

    /// Covers the first open type of every state from endless stock.
    fn fill_up(&mut self, grid: &Grid, endless: &'a [Vec<PatternStep>], steps: &mut u64) {
        for state in 0..grid.len() {
            if !self.goes_on(state) {
                return;
            }
            if self.cost[state] == i64::MAX {
                continue;
            }
            let Some(t) = grid.first_open(state) else {
                continue;
            };
            *steps += endless[t].len() as u64;
            for cut in &endless[t] {
                if grid.admits(state, cut) {
                    self.reach(state, cut);
                }
            }
        }
    }

    fn plan(&self, grid: &Grid) -> Option<CuttingPlan> {
        let end = grid.len() - 1;
        if self.cost[end] == i64::MAX {
            return None;
        }
        let mut uses = Vec::new();
        let mut link = self.last[end] as usize;
        while let (before, Some(cut)) = self.links[link] {
            uses.push((cut.column.clone(), 1));
            link = before as usize;
        }
        Some(CuttingPlan::new(uses))
    }
}
