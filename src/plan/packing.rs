//! One moulding and what its rails may come from: packs counts of asks, and
//! remembers what it has packed before.

use std::collections::BTreeMap;
use std::rc::Rc;

use crate::cutting::{Ask, Bench, Demand, Posed, Source, pose};
use crate::measure::Worth;
use crate::shop::Match;
use crate::solve::{Limits, Outcome, Solution, solve};

/// How many of which ask, from which lot where that matters.
pub(super) type Counts = BTreeMap<(usize, Option<u32>), u32>;

/// A source and its place in the rack, unless it is still to be bought.
pub(super) type Placed = (Option<usize>, Source);

/// One moulding on its bench.
pub(super) struct Packing<'a> {
    pub bench: Bench<'a>,
    pub asks: &'a [Ask],
    /// For each source its place in the rack.
    pub places: Vec<Option<usize>>,
    pub sources: Vec<Source>,
    limits: Limits<'a>,
    seen: BTreeMap<Counts, Packed>,
}

/// What came of packing.
#[derive(Clone)]
pub(super) enum Packed {
    /// Every rail has its place.
    Fits(Rc<Fit>),
    /// No way to cut all of them from these sources.
    Impossible,
    /// Not settled within the limits.
    Unknown,
}

/// A way to cut everything that was asked.
pub(super) struct Fit {
    pub demands: Vec<Demand>,
    pub posed: Posed,
    pub solution: Solution,
    pub used_up: Worth,
    pub bound: Worth,
    pub sticks: u32,
    pub proven: bool,
}

impl<'a> Packing<'a> {
    pub fn new(
        bench: Bench<'a>,
        asks: &'a [Ask],
        sources: Vec<Placed>,
        limits: Limits<'a>,
    ) -> Packing<'a> {
        let (places, sources) = sources.into_iter().unzip();
        Packing { bench, asks, places, sources, limits, seen: BTreeMap::new() }
    }

    /// Packs these counts, or recalls what came of them.
    pub fn pack(&mut self, counts: &Counts) -> Packed {
        if let Some(known) = self.seen.get(counts) {
            return known.clone();
        }
        let packed = self.settle(self.demands(counts));
        self.seen.insert(counts.clone(), packed.clone());
        packed
    }

    /// How many different counts have been packed.
    pub fn effort(&self) -> usize {
        self.seen.len()
    }

    /// As [`pack`](Self::pack), with every rail from any stick, where a match
    /// rule is in force at all.
    pub fn pack_freely(&self, counts: &Counts) -> Option<Rc<Fit>> {
        if counts.keys().all(|(ask, _)| self.asks[*ask].match_ == Match::Any) {
            return None;
        }
        let free = |demand: Demand| Demand {
            ask: Ask { match_: Match::Any, ..demand.ask },
            lot: None,
            ..demand
        };
        match self.settle(self.demands(counts).into_iter().map(free).collect()) {
            Packed::Fits(fit) => Some(fit),
            Packed::Impossible | Packed::Unknown => None,
        }
    }

    fn demands(&self, counts: &Counts) -> Vec<Demand> {
        counts
            .iter()
            .map(|(&(ask, lot), &count)| Demand { ask: self.asks[ask].clone(), lot, count })
            .collect()
    }

    fn settle(&self, demands: Vec<Demand>) -> Packed {
        let posed = pose(&self.bench, &demands, &self.sources);
        let relaxed = posed.relaxed.as_ref().map(|problem| solve(problem, &self.limits));
        let solution = match solve(&posed.problem, &self.limits) {
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
        Packed::Fits(Rc::new(Fit::new(demands, posed, solution, bound)))
    }
}

impl Fit {
    /// Splits the solver's cost, which counts worth in `scale`s and sticks in ones.
    fn new(demands: Vec<Demand>, posed: Posed, solution: Solution, bound: i64) -> Fit {
        let sticks = solution.sticks();
        let in_sticks = i64::try_from(sticks).expect("fewer sticks than rails");
        Fit {
            used_up: Worth((solution.cost - in_sticks) / posed.scale),
            bound: Worth(bound.div_euclid(posed.scale)),
            sticks: u32::try_from(sticks).expect("fewer sticks than rails"),
            proven: bound == solution.cost,
            demands,
            posed,
            solution,
        }
    }
}
