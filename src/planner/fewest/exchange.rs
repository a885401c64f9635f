//! Rails exchanged between two sticks at a time, so that stops are moved less.
//!
//! Two sticks that are cut at a setting both are cut anew in every way that gives
//! the same rails for the same cost, and the way with the fewest moves within the
//! two is kept. Fewer moves within sticks are mostly fewer in all; where they turn
//! out not to be, everything stays as it was.

use std::collections::{BTreeMap, BTreeSet};

use super::cuts::{CutMoves, StockCut, cuts_of};
use super::question::Question;
use crate::planner::packing::Fit;
use crate::solve::Pattern;
use crate::stops::settings;

/// Steps of listing the ways to cut a stick, for all pairs of a moulding.
const MOST_STEPS: usize = 15_000;

/// A stick with the settings of its blocks.
struct StickMoves {
    pattern: Pattern,
    passing: Vec<Vec<usize>>,
    moves: usize,
}

impl StickMoves {
    fn of(CutMoves { cut, passing, moves }: CutMoves) -> StickMoves {
        StickMoves { pattern: cut.pattern.clone(), passing, moves }
    }
}

/// A fit's sticks cut with fewer settings for the same cost; `None` if no exchange
/// was found. `question` is what the fit answers.
pub(super) fn exchanged(question: &Question, fit: &Fit) -> Option<Fit> {
    if !question.is_as_posed(&fit.posed) {
        return None;
    }
    let before = &fit.solution.patterns;
    let patterns = fewer_moves(question, before)?;
    let count = |patterns: &[Pattern]| settings(&question.sticks(patterns));
    let is_better = count(&patterns) < count(before);
    is_better.then(|| fit.repacked(patterns))
}

/// The same sticks cut with fewer moves within them.
fn fewer_moves(question: &Question, patterns: &[Pattern]) -> Option<Vec<Pattern>> {
    let unit = |pattern: &Pattern| {
        let passing = question.passing(pattern);
        let moves = question.moves(&passing);
        StickMoves { pattern: Pattern { times: 1, ..pattern.clone() }, passing, moves }
    };
    let mut units: Vec<StickMoves> = Pattern::units(patterns).map(unit).collect();
    let mut steps = MOST_STEPS;
    let mut is_better = false;
    while let Some(true) = round(question, &mut units, &mut steps) {
        is_better = true;
    }
    is_better.then(|| units.into_iter().map(|unit| unit.pattern).collect())
}

/// Exchanges between any two sticks once, as far as there are steps; whether that
/// helped.
fn round(question: &Question, units: &mut [StickMoves], steps: &mut usize) -> Option<bool> {
    let mut is_better = false;
    for one in 0..units.len() {
        for other in one + 1..units.len() {
            if !may_gain(&units[one], &units[other]) {
                continue;
            }
            let Some(found) = pair(question, &units[one], &units[other], steps) else {
                return is_better.then_some(true);
            };
            if let Some((a, b)) = found {
                (units[one], units[other]) = (a, b);
                is_better = true;
            }
        }
    }
    Some(is_better)
}

/// Whether two sticks are cut at a setting both.
fn may_gain(one: &StickMoves, other: &StickMoves) -> bool {
    let blocks =
        |unit: &StickMoves| -> BTreeSet<usize> { unit.passing.iter().flatten().copied().collect() };
    one.moves + other.moves > 0 && !blocks(one).is_disjoint(&blocks(other))
}

/// Two sticks cut anew; `None` if there is no step left.
fn pair(
    question: &Question,
    one: &StickMoves,
    other: &StickMoves,
    steps: &mut usize,
) -> Option<Option<(StickMoves, StickMoves)>> {
    let problem = &question.posed.problem;
    let patterns = [&one.pattern, &other.pattern];
    let mut all = vec![0; problem.items.len()];
    let pieces = patterns.iter().flat_map(|pattern| pattern.runs.iter().flatten());
    for piece in pieces.filter(|piece| piece.part == 0) {
        all[piece.item] += piece.count;
    }
    let cost: i64 = patterns.iter().map(|pattern| pattern.net_cost(problem)).sum();
    let ones = cuts_of(problem, one.pattern.stock, &all, steps)?;
    let others = match one.pattern.stock == other.pattern.stock {
        true => None,
        false => Some(cuts_of(problem, other.pattern.stock, &all, steps)?),
    };
    let mut by_counts: BTreeMap<&[u32], Vec<&StockCut>> = BTreeMap::new();
    for cut in others.as_ref().unwrap_or(&ones) {
        by_counts.entry(&cut.counts).or_default().push(cut);
    }
    let mut best = (one.moves + other.moves, None);
    for cut in &ones {
        let rest: Vec<u32> = all.iter().zip(&cut.counts).map(|(all, own)| all - own).collect();
        let seconds = by_counts.get(rest.as_slice()).into_iter().flatten();
        for second in seconds.filter(|second| cut.cost + second.cost == cost) {
            let (first, second) = (CutMoves::of(question, cut), CutMoves::of(question, second));
            let moves = first.moves + second.moves;
            if moves < best.0 {
                best = (moves, Some((first, second)));
            }
        }
    }
    Some(best.1.map(|(one, other)| (StickMoves::of(one), StickMoves::of(other))))
}
