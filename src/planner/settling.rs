//! One question put to the solver: demands and sources posed, and what came of it.

use std::sync::Arc;

use super::effort::Effort;
use super::packing::{Fit, GLANCE, Packed, Packing, overhead};
use crate::cutting::{Demand, Source, pose};
use crate::measure::Worth;
use crate::shop::Kind;
use crate::solve::{Outcome, Problem, solve_counting};

impl Packing<'_> {
    /// Whether these demands have no room in these sources, whatever the match
    /// rules.
    pub(crate) fn is_impossible(&self, demands: &[Demand], sources: &[Source]) -> bool {
        let glance = self.affordable(self.limits.at_most(GLANCE));
        let (outcome, _) = self.relaxed(demands, sources, glance);
        matches!(outcome, Outcome::Impossible(_))
    }

    /// What these demands use up at the least, as far as the effort tells, whatever
    /// turns by the stick; `None` if there is no way.
    pub(crate) fn bound(&self, demands: &[Demand], effort: Effort) -> Option<Worth> {
        let (outcome, scale) = self.relaxed(demands, &self.sources, effort);
        let bound = match outcome {
            Outcome::Solved(solution) => solution.bound,
            Outcome::Interrupted { bound, .. } => bound,
            Outcome::Impossible(_) => return None,
        };
        Some(Worth(bound.div_euclid(scale)))
    }

    /// What comes of these demands from these sources with as much room as there could be
    /// where mitres are mixed, and what one of worth counts in it.
    fn relaxed(&self, demands: &[Demand], sources: &[Source], effort: Effort) -> (Outcome, i64) {
        let posed = pose(&self.bench, demands, sources);
        let problem = posed.relaxed.as_ref().unwrap_or(&posed.problem);
        let (outcome, steps) = solve_counting(problem, &effort.limits());
        self.spend(steps.saturating_add(overhead(problem)));
        (outcome, posed.scale)
    }

    /// Packs these demands, each from the lot that it names.
    pub(crate) fn settle(
        &self,
        (of, demands): (Vec<usize>, Vec<Demand>),
        effort: Effort,
    ) -> Packed {
        let limits = effort.limits();
        let posed = pose(&self.bench, &demands, &self.sources);
        if posed.relaxed.is_some() {
            let (exact, steps) = posed.exactly(&self.bench);
            self.spend(steps.saturating_add(overhead(&posed.problem)));
            if let Some(exact) = exact {
                let posed = posed.turned_by_stick(self.bench.moulding.kind == Kind::Reversible);
                return exact.map_or(Packed::Impossible, |solution| {
                    let bound = solution.cost;
                    Packed::Fits(Arc::new(Fit::new(of, demands, posed, solution, bound)))
                });
            }
        }
        let solve = |problem: &Problem| {
            let (outcome, steps) = solve_counting(problem, &limits);
            self.spend(steps.saturating_add(overhead(problem)));
            outcome
        };
        let relaxed = posed.relaxed.as_ref().map(solve);
        let solution = match solve(&posed.problem) {
            Outcome::Solved(solution) => solution,
            Outcome::Impossible(_) => {
                return match relaxed {
                    None | Some(Outcome::Impossible(_)) => Packed::Impossible,
                    Some(_) => Packed::Unknown,
                };
            }
            Outcome::Interrupted { .. } => return Packed::Unknown,
        };
        let bound = match relaxed {
            None => solution.bound,
            Some(Outcome::Solved(relaxed)) => relaxed.bound.min(solution.bound),
            Some(Outcome::Interrupted { bound, .. }) => bound.min(solution.bound),
            Some(Outcome::Impossible(_)) => unreachable!("what fits a run fits a roomier one"),
        };
        Packed::Fits(Arc::new(Fit::new(of, demands, posed, solution, bound)))
    }
}
