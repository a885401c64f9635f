//! What came of packing one moulding: the way to cut it, and how good that is.
//!
//! # Why the cost counts sticks in its last digits
//!
//! "Least worth used up, then fewest sticks" is one integer: worth x scale + 1 a
//! stick, with a scale larger than any number of sticks. Comparing such integers
//! compares the two in order, and a bound on them is a bound on both.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::cutting::{Demand, Posed};
use crate::measure::Worth;
use crate::solve::{Pattern, Solution, check_certificate, check_solution};

/// Steps of working out again what prices prove: a millisecond or so for a packing. More
/// is left to `pack --certificate`.
const CERTIFICATE_STEPS: usize = 1 << 18;

/// What came of packing.
#[derive(Clone)]
pub(crate) enum Packed {
    /// Every rail has its place.
    Fits(Arc<Fit>),
    /// No way to cut all of them from these sources.
    Impossible,
    /// Not settled within the limits.
    Unknown,
}

impl Packed {
    /// The way that was found.
    pub(crate) fn fit(&self) -> Option<Arc<Fit>> {
        match self {
            Packed::Fits(fit) => Some(fit.clone()),
            Packed::Impossible | Packed::Unknown => None,
        }
    }

    /// The better of two answers to the same question, with what both know.
    pub(crate) fn or_better(self, other: Packed) -> Packed {
        match (self, other) {
            (Packed::Fits(one), Packed::Fits(other)) => Packed::Fits(one.or_better(&other)),
            (Packed::Unknown, other) => other,
            (one, _) => one,
        }
    }

    /// Whether looking longer would change nothing.
    pub(crate) fn is_settled(&self) -> bool {
        match self {
            Packed::Fits(fit) => fit.proven,
            Packed::Impossible => true,
            Packed::Unknown => false,
        }
    }

    /// The fit, proven, if it is as good as one without the match rules.
    pub(crate) fn as_good_as(&self, floor: Option<&Fit>) -> Option<Arc<Fit>> {
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
pub(crate) struct Fit {
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

impl Fit {
    /// For each of its demands the owners that it serves, of all who ask for each ask, in
    /// order: where one ask is shared out over lots, the earliest to the first lot.
    pub fn owners(&self, all: Option<&BTreeMap<usize, Vec<usize>>>) -> Vec<Vec<usize>> {
        let mut all = all.cloned().unwrap_or_default();
        let hand_out = |(of, demand): (&usize, &Demand)| {
            let owners = all.get_mut(of).expect("what is cut was counted");
            owners.drain(..demand.count as usize).collect()
        };
        self.of.iter().zip(&self.demands).map(hand_out).collect()
    }

    /// The better of two ways to cut the same, with what is known from both.
    fn or_better(self: Arc<Fit>, other: &Arc<Fit>) -> Arc<Fit> {
        let is_better = (other.used_up, other.sticks) < (self.used_up, self.sticks);
        let (better, worse) = if is_better { (other, &self) } else { (&self, other) };
        let bound = better.bound.max(worse.bound).min(better.used_up);
        Arc::new(Fit { bound, ..Fit::clone(better) })
    }

    /// Whether no plan for the same rails is better, even if every rail may come
    /// from any stick, as it may in `free`.
    pub(crate) fn is_as_good_as(&self, free: &Fit) -> bool {
        free.proven && (self.used_up, self.sticks) == (free.used_up, free.sticks)
    }

    /// The same with what is known from packing without the match rules: they
    /// can only cost something.
    pub(crate) fn sharpened(&self, free: &Fit) -> Fit {
        let proven = self.proven || self.is_as_good_as(free);
        Fit { proven, bound: self.bound.max(free.bound).min(self.used_up), ..self.clone() }
    }

    /// Re-checks the packing against its question, with none of the solver's code. What
    /// sticks of several mitres take no question says; the check of the plan sees those.
    ///
    /// # Errors
    /// What is wrong with it, which is a mistake of the program.
    pub(crate) fn check(&self) -> Result<(), String> {
        if self.posed.turns_by_stick || self.posed.relaxed.is_some() {
            return Ok(());
        }
        let (problem, solution) = (&self.posed.problem, &self.solution);
        let certificate = solution.certificate.as_ref();
        let proven = |certificate| check_certificate(problem, certificate, CERTIFICATE_STEPS);
        check_solution(problem, solution)
            .and_then(|()| certificate.map(proven).transpose())
            .map_or_else(|fault| Err(fault.to_string()), |_| Ok(()))
    }

    /// The same frames from as many sticks that use up as much, packed otherwise.
    pub(crate) fn repacked(&self, patterns: Vec<Pattern>) -> Fit {
        let patterns = Pattern::merged(patterns);
        let solution = Solution { patterns, certificate: None, ..self.solution.clone() };
        Fit { solution, ..self.clone() }
    }

    /// Splits the solver's cost, which counts worth in `scale`s and sticks in ones;
    /// no plan costs less than `bound`.
    pub(crate) fn new(
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
