//! What came of packing one moulding: the way to cut it, and how good that is.

use std::sync::Arc;

use super::shares::Root;
use crate::cutting::{Bench, Demand, Posed, Source, pose};
use crate::measure::{Length, Worth};
use crate::solve::{Pattern, Problem, Solution, Stock};

/// What came of packing.
#[derive(Clone)]
pub(super) enum Packed {
    /// Every rail has its place.
    Fits(Arc<Fit>),
    /// No way to cut all of them from these sources.
    Impossible,
    /// Not settled within the limits.
    Unknown,
}

impl Packed {
    /// The way that was found.
    pub(super) fn fit(&self) -> Option<Arc<Fit>> {
        match self {
            Packed::Fits(fit) => Some(fit.clone()),
            Packed::Impossible | Packed::Unknown => None,
        }
    }

    /// The better of two answers to the same question, with what both know.
    pub(super) fn or_better(self, other: Packed) -> Packed {
        match (self, other) {
            (Packed::Fits(one), Packed::Fits(other)) => Packed::Fits(one.or_better(&other)),
            (Packed::Unknown, other) => other,
            (one, _) => one,
        }
    }

    /// Whether looking longer would change nothing.
    pub(super) fn is_settled(&self) -> bool {
        match self {
            Packed::Fits(fit) => fit.proven,
            Packed::Impossible => true,
            Packed::Unknown => false,
        }
    }

    /// The fit, proven, if it is as good as one without the match rules.
    pub(super) fn as_good_as(&self, floor: Option<&Fit>) -> Option<Arc<Fit>> {
        match (self, floor) {
            (Packed::Fits(fit), Some(floor)) if fit.is_as_good_as(floor) => {
                Some(Arc::new(fit.sharpened(floor)))
            }
            _ => None,
        }
    }
}

/// A way to cut everything that was asked.
#[derive(Clone)]
pub(super) struct Fit {
    pub demands: Vec<Demand>,
    /// For each demand, which ask it is of.
    pub of: Vec<usize>,
    pub posed: Posed,
    pub solution: Solution,
    pub used_up: Worth,
    pub bound: Worth,
    pub sticks: u32,
    pub proven: bool,
}

/// A packing read at other prices than it was made at.
pub(super) struct Read {
    /// The same cuts from the same sticks, with no bound.
    pub fit: Fit,
    /// The least length that any packing of the same buys: nothing where sticks
    /// at hand might do.
    pub bought: Length,
    /// How much rounding may hide, in thousandths: one for the price of each stick
    /// and one for each of its remnants, at either price.
    pub rounding: i64,
}

impl Fit {
    /// The better of two ways to cut the same, with what is known from both.
    fn or_better(self: Arc<Fit>, other: &Arc<Fit>) -> Arc<Fit> {
        let is_better = (other.used_up, other.sticks) < (self.used_up, self.sticks);
        let (better, worse) = if is_better { (other, &self) } else { (&self, other) };
        let bound = better.bound.max(worse.bound).min(better.used_up);
        Arc::new(Fit { bound, ..Fit::clone(better) })
    }

    /// Whether no plan for the same rails is better, even if every rail may come
    /// from any stick, as it may in `free`.
    pub(super) fn is_as_good_as(&self, free: &Fit) -> bool {
        free.proven && (self.used_up, self.sticks) == (free.used_up, free.sticks)
    }

    /// The same with what is known from packing without the match rules: they
    /// can only cost something.
    pub(super) fn sharpened(&self, free: &Fit) -> Fit {
        let proven = self.proven || self.is_as_good_as(free);
        Fit { proven, bound: self.bound.max(free.bound).min(self.used_up), ..self.clone() }
    }

    /// The same at what these sources cost; they differ from its own in nothing
    /// but that.
    pub(super) fn read_at(&self, bench: &Bench, sources: &[Source]) -> Read {
        let posed = pose(bench, &self.demands, sources);
        let posed = posed.turned_by_stick(self.posed.by_stick);
        let cost = |pattern: &Pattern| posed.cost(bench, pattern) * i64::from(pattern.times);
        let cost: i64 = self.solution.patterns.iter().map(cost).sum();
        let runs = posed.problem.stock.iter().map(|stock| stock.runs.len()).max().unwrap_or(1);
        let sticks: i64 = posed.problem.items.iter().map(|item| i64::from(item.demand)).sum();
        let rounding = sticks * (2 + 2 * i64::try_from(runs).unwrap_or(1)) + 2;
        let bought = least_bought(posed.relaxed.as_ref().unwrap_or(&posed.problem), sources);
        let used_up = Worth((cost - i64::from(self.sticks)) / posed.scale);
        let solution = Solution { cost, bound: 0, certificate: None, ..self.solution.clone() };
        let (bound, proven) = (Worth(0), false);
        let fit = Fit { posed, solution, used_up, bound, proven, ..self.clone() };
        Read { fit, bought, rounding }
    }

    /// The same frames from as many sticks that use up as much, packed otherwise.
    pub(super) fn repacked(
        &self,
        (of, demands): Root,
        posed: Posed,
        patterns: Vec<Pattern>,
    ) -> Fit {
        let (cost, work) = (self.cost_in(&posed), self.solution.work);
        let bound = self.bound.0 * posed.scale;
        let patterns = Pattern::merged(patterns);
        let solution = Solution { patterns, cost, bound, work, certificate: None };
        Fit { of, demands, posed, solution, ..self.clone() }
    }

    /// What it costs, in the terms of a question about the same frames.
    pub(super) fn cost_in(&self, posed: &Posed) -> i64 {
        self.used_up.0 * posed.scale + i64::from(self.sticks)
    }

    /// The same where nothing uses up less than this.
    pub(super) fn bounded(self, bound: Worth) -> Fit {
        let bound = Worth(bound.0.clamp(0, self.used_up.0.max(0)));
        let solution = Solution { bound: bound.0 * self.posed.scale, ..self.solution };
        Fit { bound, proven: bound == self.used_up, solution, ..self }
    }

    /// Splits the solver's cost, which counts worth in `scale`s and sticks in ones;
    /// no plan costs less than `bound`.
    pub(super) fn new(
        of: Vec<usize>,
        demands: Vec<Demand>,
        posed: Posed,
        solution: Solution,
        bound: i64,
    ) -> Fit {
        let sticks = solution.sticks();
        let in_sticks = i64::try_from(sticks).expect("fewer sticks than rails");
        Fit {
            used_up: Worth((solution.cost - in_sticks) / posed.scale),
            bound: Worth(bound.div_euclid(posed.scale)),
            sticks: u32::try_from(sticks).expect("fewer sticks than rails"),
            proven: bound == solution.cost,
            of,
            demands,
            posed,
            solution,
        }
    }
}

/// See [`Read::bought`].
fn least_bought(problem: &Problem, sources: &[Source]) -> Length {
    if sources.iter().any(|source| !source.is_new) {
        return Length::ZERO;
    }
    let all: i64 = problem.items.iter().map(|item| item.length() * i64::from(item.demand)).sum();
    let room = problem.stock.iter().map(Stock::room).max().unwrap_or(1).max(1);
    let shortest = sources.iter().map(|source| source.length).min().unwrap_or_default();
    shortest * ((all + room - 1) / room)
}
