//! Ruling out lengths to cut, and solving the linear program without them.
//!
//! The knapsack over whole units (`bounds::knapsack`) says for which lengths the units of
//! a better plan can be cut. Where the others cost as much as the next longer
//! one that is left, the linear program can no longer mix a full stick with one
//! that is hardly cut; its new prices make the knapsack tell more, and so on, as
//! long as that helps (iterated variable fixing, as for columns in Baldacci and
//! others 2008, for the lengths of units instead).
//!
//! # Why targets
//!
//! Whether there is a plan below a cost close to the bound is a far smaller question
//! than which plan is best: fewer lengths are left, and fewer patterns. The search
//! asks it for one target after another; each answer raises the bound or brings a
//! plan.

use super::gap;
use super::root::{self, Root};
use crate::solve::bounds::knapsack::LengthRange;
use crate::solve::bounds::whole_units::{bound, knapsack_bound};
use crate::solve::columns::generation::Reached;
use crate::solve::heuristics::neighbourhood::NeighbourhoodSearch;
use crate::solve::instance::Instance;
use crate::solve::prices::Prices;
use crate::solve::search::Search;

/// Rounds at most.
const ROUNDS: u32 = 8;
/// Turns of mending and closing in at most.
const TURNS: u32 = 8;
/// The share of the gap that is closed in on first, and the least that is
/// tried, in parts of the whole.
const FIRST_SHARE: i128 = 16;
const LAST_SHARE: i128 = 1;
const WHOLE: i128 = 256;
/// Dives after each round.
const TRIES: u32 = 2;

/// Fixes lengths, improves the best plan and closes in on the bound by turns, with about
/// half of the work and as long as that leads on; the linear program of what is
/// left to search.
pub(crate) fn fix_and_improve(
    search: &mut Search,
    root: Root,
    prices: &Prices,
    improver: &mut NeighbourhoodSearch,
    work: u64,
) -> Root {
    let (mut root, mut prices) = (root, prices.clone());
    let mut steps = work / 32;
    let mut share = FIRST_SHARE;
    bound(search, &prices);
    if search.is_proven() || search.is_stopped() {
        return root;
    }
    if gap::glance(search, &root) {
        search.raise(i128::from(search.cutoff()));
        return root;
    }
    for _ in 0..TURNS {
        let before = (search.cutoff(), search.bound);
        improver.improve(search, Some(&prices), steps);
        if let Some(fixed) = fix_lengths(search, &root, &prices) {
            prices = fixed.proven_prices(search);
            root = fixed;
        }
        share = close_in(search, &root, &prices, share);
        if search.is_proven() || search.is_stopped() {
            break;
        }
        if before == (search.cutoff(), search.bound) {
            break;
        }
        steps *= 2;
    }
    root
}

/// Looks for plans close above the bound first and then further up: the closer
/// the target, the fewer lengths are left and the fewer patterns there are. The
/// share of the gap to begin with the next time.
pub(crate) fn close_in(search: &mut Search, root: &Root, prices: &Prices, first: i128) -> i128 {
    let mut share = first;
    while !search.is_proven() && !search.is_stopped() {
        let (bottom, top) = (i128::from(search.bound), i128::from(search.cutoff()));
        let target = search.round_up(bottom + 1 + (top - bottom) * share / WHOLE).min(top);
        let Ok(target) = i64::try_from(target) else { break };
        let mut settled = false;
        search.with_target(target, |search| {
            let fixed = fix_lengths(search, root, prices);
            if !search.is_proven() && gap::close(search, fixed.as_ref().unwrap_or(root)) {
                search.raise(i128::from(search.cutoff()));
            }
            settled = search.is_proven();
        });
        if settled {
            share = (share * 2).min(WHOLE);
        } else if share > LAST_SHARE {
            share = LAST_SHARE;
        } else {
            break;
        }
    }
    share
}

/// Raises the bound, and narrows the search down to lengths that a better plan
/// can have; the last linear program, if there is a new one.
fn fix_lengths(search: &mut Search, root: &Root, prices: &Prices) -> Option<Root> {
    let mut last: Option<Root> = None;
    let mut prices = prices.clone();
    for _ in 0..ROUNDS {
        let before = search.bound;
        let Some(knapsack_bound) = knapsack_bound(search, &prices) else {
            return last;
        };
        if search.is_proven() || search.is_stopped() {
            return last;
        }
        let lengths = knapsack_bound.stretches.iter().map(|of_kind| of_kind.as_deref().map(joined));
        let Some(instance) = narrowed(&search.instance, lengths.collect()) else {
            return last;
        };
        search.narrow(instance);
        let again = root::again(search, last.as_ref().unwrap_or(root), TRIES);
        if again.reached == Reached::Infeasible {
            search.raise(i128::from(search.cutoff()));
        }
        prices = again.proven_prices(search);
        last = Some(again);
        if search.is_proven() || search.is_stopped() || search.bound == before {
            return last;
        }
    }
    last
}

/// Stretches that touch as one.
fn joined(stretches: &[LengthRange]) -> Vec<(i64, i64)> {
    let mut joined: Vec<(i64, i64)> = Vec::new();
    for stretch in stretches {
        match joined.last_mut() {
            Some(last) if last.1 + 1 >= stretch.first => last.1 = stretch.last,
            _ => joined.push((stretch.first, stretch.last)),
        }
    }
    joined
}

/// The instance with the lengths that are left; nothing if they are hardly
/// fewer.
fn narrowed(instance: &Instance, lengths: Vec<Option<Vec<(i64, i64)>>>) -> Option<Instance> {
    let mut narrowed = instance.clone();
    let (mut had, mut has) = (0, 0);
    for (kind, stretches) in narrowed.kinds.iter_mut().zip(lengths) {
        let before = kind.lengths.as_ref().map_or(kind.room, |lengths| total(lengths));
        had += before;
        let Some(stretches) = stretches.filter(|_| kind.credit.is_some()) else {
            has += before;
            continue;
        };
        let left = match &kind.lengths {
            Some(before) => common(before, &stretches),
            None => stretches,
        };
        has += total(&left);
        kind.lengths = Some(left.into());
    }
    (has < had - had / 16).then_some(narrowed)
}

fn total(stretches: &[(i64, i64)]) -> i64 {
    stretches.iter().map(|(first, last)| last - first + 1).sum()
}

/// What two lists of stretches share.
fn common(one: &[(i64, i64)], other: &[(i64, i64)]) -> Vec<(i64, i64)> {
    let mut shared = Vec::new();
    let (mut a, mut b) = (0, 0);
    while let (Some(x), Some(y)) = (one.get(a), other.get(b)) {
        let (first, last) = (x.0.max(y.0), x.1.min(y.1));
        if first <= last {
            shared.push((first, last));
        }
        if x.1 < y.1 { a += 1 } else { b += 1 }
    }
    shared
}
