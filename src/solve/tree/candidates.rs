//! Sums of columns that are whole in every plan: what selection branches on.
//!
//! # Why branch on how many units are cut for little
//!
//! For the same reason: from a list of patterns the linear program still mixes full
//! sticks with a share of one that is hardly cut. How many units of a kind cost at
//! most so much is a whole number in every plan; branching on that first, and on
//! single patterns next, proves in half a million steps about what branching on
//! pieces and pairs proved in five million (`benches/RESULTS.md`).

use crate::solve::cutting_plan::Column;

/// A sum of columns that must be whole in any plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum BranchCandidate {
    /// Units of a kind.
    Kind(usize),
    /// Units of a kind that cost at most so much: those of which much is left.
    Cheap(usize, i64),
    /// Pieces of a type from a kind.
    Piece(usize, usize),
    /// Units that hold both types, or two of one.
    Pair(usize, usize),
    /// One column.
    Column(usize),
}

impl BranchCandidate {
    /// How often the sum counts a column.
    pub fn counts(self, index: usize, column: &Column) -> i64 {
        let count = |t: usize| {
            let found = column.pieces.iter().find(|&&(other, _)| other == t);
            found.map_or(0, |&(_, count)| i64::from(count))
        };
        match self {
            BranchCandidate::Kind(k) => i64::from(column.kind == k),
            BranchCandidate::Cheap(k, cost) => i64::from(column.kind == k && column.cost <= cost),
            BranchCandidate::Piece(k, t) => {
                if column.kind == k {
                    count(t)
                } else {
                    0
                }
            }
            BranchCandidate::Pair(a, b) if a == b => i64::from(count(a) > 1),
            BranchCandidate::Pair(a, b) => i64::from(count(a) > 0 && count(b) > 0),
            BranchCandidate::Column(c) => i64::from(c == index),
        }
    }
}

/// The sum of the units of its kind.
pub(crate) fn kinds(_: usize, column: &Column) -> Vec<BranchCandidate> {
    vec![BranchCandidate::Kind(column.kind)]
}

/// The sum of the units of its kind that cost no more.
pub(crate) fn cheap(_: usize, column: &Column) -> Vec<BranchCandidate> {
    vec![BranchCandidate::Cheap(column.kind, column.cost)]
}

/// The sums of pieces from its kind.
pub(crate) fn pieces(_: usize, column: &Column) -> Vec<BranchCandidate> {
    column.pieces.iter().map(|&(t, _)| BranchCandidate::Piece(column.kind, t)).collect()
}

/// The sums of units that hold two of its types.
pub(crate) fn pairs(_: usize, column: &Column) -> Vec<BranchCandidate> {
    let mut pairs = Vec::new();
    for (i, &(a, count)) in column.pieces.iter().enumerate() {
        if count > 1 {
            pairs.push(BranchCandidate::Pair(a, a));
        }
        pairs.extend(column.pieces[i + 1..].iter().map(|&(b, _)| BranchCandidate::Pair(a, b)));
    }
    pairs
}

/// The column by itself.
pub(crate) fn alone(c: usize, _: &Column) -> Vec<BranchCandidate> {
    vec![BranchCandidate::Column(c)]
}
