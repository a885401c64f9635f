//! What is left when the gap cannot be closed from a list: branching on units
//! and on pairs, and mending, in turns.
//!
//! None of them is the best on every problem, and each may go on for ever, so
//! that each turn takes twice as long as the one before. Branching on units
//! goes on where it was; branching on pairs starts again, which costs at most as
//! much as it would have taken alone. With one kind of stock there are only pairs
//! to branch on, and dives near the best one after a first turn of that.
//!
//! # Why in this order
//!
//! Where the best plan takes a stick more than the linear program rounds up to,
//! branching may not end; a handful of cuts over sets of up to three types
//! (`tree::subset_rows`) does in seconds in most cases. Where a plan must leave
//! nothing at all, dives end a few sticks short of it: the program is solved again
//! with a row that keeps all but a dozen of the patterns of the furthest dive, and
//! dived from anew (`tree::local_branching`). Neither is known beforehand to be the
//! case, so cuts come first, then a turn of branching, then dives near the best one;
//! with other orders one of the sets of `benches/RESULTS.md` got slower than it was.

use super::root::Root;
use super::unit_branching::UnitTree;
use super::{local_branching, pair_branching};
use crate::solve::exact::small::outright;
use crate::solve::heuristics::neighbourhood::NeighbourhoodSearch;
use crate::solve::search::Search;

/// Turns at most, and steps for the first, and for that of pairs alone.
const MOST_TURNS: u32 = 12;
const FIRST_TURN: u64 = 4_000_000;
const FIRST_ALONE: u64 = 12_000_000;
/// Steps for solving a problem outright at most.
const OUTRIGHT: u64 = 100_000_000;
/// Steps for mending without success when all else has ended.
const IMPROVE_AT_LAST: u64 = 500_000_000;

/// Takes turns until the best plan is proven or all have ended; whether that
/// settled the problem. Solving it outright takes no more than `work`.
pub(crate) fn take(
    search: &mut Search,
    root: &Root,
    improver: &mut NeighbourhoodSearch,
    work: u64,
) -> bool {
    let Some(mut tree) = UnitTree::new(search, root) else {
        return alone(search, root, improver, work);
    };
    let prices = root.proven_prices(search);
    let mut steps = FIRST_TURN;
    for turn in 0..MOST_TURNS {
        tree.grow(search, improver, steps);
        if !search.is_proven() {
            pair_branching::branch(search, root, steps);
        }
        if search.is_proven() || turn == 0 && outright(search, work.min(OUTRIGHT)) {
            return true;
        }
        if search.is_stopped() || tree.is_done() {
            break;
        }
        improver.improve(search, Some(&prices), steps);
        steps = steps.saturating_mul(2);
    }
    improver.improve(search, Some(&prices), IMPROVE_AT_LAST);
    search.is_proven()
}

/// The same with pairs alone, which have one short turn before dives near the
/// best one and then all that is left.
fn alone(search: &mut Search, root: &Root, improver: &mut NeighbourhoodSearch, work: u64) -> bool {
    if local_branching::applies(search, root) {
        pair_branching::branch(search, root, FIRST_ALONE);
        if search.is_proven() || local_branching::dive(search, root) {
            return true;
        }
    }
    pair_branching::branch(search, root, u64::MAX);
    if search.is_proven() || outright(search, work.min(OUTRIGHT)) {
        return true;
    }
    let prices = root.proven_prices(search);
    improver.improve(search, Some(&prices), IMPROVE_AT_LAST);
    search.is_proven()
}
