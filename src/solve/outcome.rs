//! The solver's answer, and how far it can be trusted.

use std::collections::BTreeMap;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

use super::problem::Problem;

/// What came of a question that may be too large to answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Settled<T> {
    /// This is it.
    Yes(T),
    /// There is none, or none that is good enough.
    No,
    /// The limits were met; nothing is known.
    Unknown,
}

/// How much the solver may spend.
///
/// `work` counts steps of the search, so the same limit gives the same answer
/// on every machine; the deadline and the flag only cut it off.
#[derive(Clone, Copy)]
pub struct Limits<'a> {
    /// Steps of search allowed (nodes, pivots and the like, weighed alike).
    pub work: u64,
    /// When to stop at the latest.
    pub deadline: Option<Instant>,
    /// Set from outside to stop at once with the best found so far.
    pub stop: Option<&'a AtomicBool>,
    /// Told of each better plan or bound while the search runs.
    pub watch: Option<&'a dyn Fn(Progress)>,
}

/// Where a running search stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// The cost of the best plan so far, if there is one.
    pub best: Option<i64>,
    /// No plan can cost less than this.
    pub bound: i64,
    /// Steps taken so far.
    pub work: u64,
}

/// What came of a problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// A plan that meets every demand.
    Solved(Solution),
    /// No plan can meet every demand.
    Impossible(Shortfall),
    /// Neither a plan nor a proof that there is none was found within the limits.
    Interrupted {
        /// No plan can cost less than this: never less than what the lengths
        /// alone prove, which is known before any search.
        bound: i64,
        /// Steps taken.
        work: u64,
    },
}

/// A plan that meets every demand, with a bound.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Solution {
    /// What is taken from which stock.
    pub patterns: Vec<Pattern>,
    /// The sum of the net costs of the patterns.
    pub cost: i64,
    /// No plan can cost less than this. Equal to `cost` when proven.
    pub bound: i64,
    /// Steps taken.
    pub work: u64,
    /// Prices that prove the bound of the linear program without the solver,
    /// where it was solved.
    pub certificate: Option<Certificate>,
}

/// Prices in fixed point that prove a lower bound.
///
/// They hold if for every pattern of every stock its items are worth no more
/// than `scale` times its net cost plus the charge of the stock. Then no plan
/// costs less than the worth of all items less the charges of all units of
/// stock, divided by `scale` and rounded up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Certificate {
    /// What one unit of cost counts.
    pub scale: i64,
    /// What one of each item is worth, by its index; never negative.
    pub items: BTreeMap<usize, i64>,
    /// The charge for a unit of each stock, by its index; never negative, and
    /// zero for stock whose supply cannot run out. Stock left out is of no use.
    pub stock: BTreeMap<usize, i64>,
}

impl Certificate {
    /// The bound that the prices prove, if they hold.
    pub fn bound(&self, problem: &Problem) -> i64 {
        let worth = |(item, &value): (&usize, &i64)| {
            i128::from(value) * i128::from(problem.items[*item].demand)
        };
        let worth: i128 = self.items.iter().map(worth).sum();
        let charged = self.charged(problem);
        let scale = i128::from(self.scale);
        let bound = (worth - charged).div_euclid(scale);
        let more = (worth - charged).rem_euclid(scale) != 0;
        i64::try_from(bound + i128::from(more)).unwrap_or(i64::MIN)
    }

    /// The charges of all units of stock.
    pub fn charged(&self, problem: &Problem) -> i128 {
        let charged = |(stock, &charge): (&usize, &i64)| {
            i128::from(charge) * i128::from(problem.stock[*stock].supply.unwrap_or(0))
        };
        self.stock.iter().map(charged).sum()
    }
}

impl Solution {
    /// Whether no plan is better.
    pub fn is_proven(&self) -> bool {
        self.bound == self.cost
    }

    /// How many units of stock are taken.
    pub fn sticks(&self) -> u64 {
        self.patterns.iter().map(|p| u64::from(p.times)).sum()
    }
}

/// One way to cut one unit of a stock, used `times` over.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Pattern {
    /// The index of the stock in the problem.
    pub stock: usize,
    /// How many units are cut this way; at least one.
    pub times: u32,
    /// What is cut from each run, one entry for each run of the stock.
    pub runs: Vec<Vec<Piece>>,
}

impl Pattern {
    /// What one unit costs once what is left of it is credited, if the pattern is
    /// of this problem.
    pub fn net_cost(&self, problem: &Problem) -> i64 {
        let length =
            |piece: &Piece| problem.items[piece.item].parts[piece.part] * i64::from(piece.count);
        let taken = |run: &Vec<Piece>| run.iter().map(length).sum();
        let taken: Vec<i64> = self.runs.iter().map(taken).collect();
        problem.stock[self.stock].net_cost(&taken)
    }

    /// The pattern of each unit, as often as it is used.
    pub fn units(patterns: &[Pattern]) -> impl Iterator<Item = &Pattern> {
        patterns.iter().flat_map(|pattern| std::iter::repeat_n(pattern, pattern.times as usize))
    }

    /// The patterns in the order of their stock, equal ones as one.
    pub fn merged(mut patterns: Vec<Pattern>) -> Vec<Pattern> {
        patterns.sort_by(|a, b| (a.stock, &a.runs).cmp(&(b.stock, &b.runs)));
        let mut merged: Vec<Pattern> = Vec::new();
        for pattern in patterns {
            match merged.last_mut() {
                Some(last) if last.stock == pattern.stock && last.runs == pattern.runs => {
                    last.times += pattern.times;
                }
                _ => merged.push(pattern),
            }
        }
        merged
    }
}

/// Some equal parts of an item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Piece {
    /// The index of the item in the problem.
    pub item: usize,
    /// Which of its parts.
    pub part: usize,
    /// How many.
    pub count: u32,
}

/// Why no plan can meet every demand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shortfall {
    /// These items fit no unit of stock that they may come from, even alone.
    TooLong(Vec<usize>),
    /// All the stock together is too short: `wanted` units of length against
    /// `room` in the stock that the `items` may come from.
    TooLittle {
        /// The items that compete for the stock.
        items: Vec<usize>,
        /// The sum of their lengths.
        wanted: i64,
        /// The greatest sum of lengths that the stock can give.
        room: i64,
    },
    /// There is length enough, but the items are so long that all the stock they
    /// may come from has no more than `places` for them.
    TooFew {
        /// The items that compete for the places.
        items: Vec<usize>,
        /// How many of them are wanted together.
        wanted: u64,
        /// The greatest number of them that the stock can give.
        places: u64,
    },
    /// There is length enough and there are places enough, but it is proven that
    /// no way to share them out serves all of these items.
    NoArrangement(Vec<usize>),
}
