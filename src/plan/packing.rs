//! One moulding and what its rails may come from: packs counts of asks, and
//! remembers what it has packed before.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::lots::{self, Placed};
use crate::cutting::{Ask, Bench, Demand, Posed, Source, pose};
use crate::measure::Worth;
use crate::shop::Match;
use crate::solve::{Limits, Outcome, Solution, solve};

/// How many of which ask, as an index into the packing's asks.
pub(super) type Counts = BTreeMap<usize, u32>;

/// More ways to share frames out over lots than this are not compared.
const MOST_SHARES: usize = 300;

/// The steps of search for a first look at a packing.
const GLANCE: u64 = 30_000;

/// One moulding on its bench.
pub(super) struct Packing<'a> {
    pub bench: Bench<'a>,
    pub asks: &'a [Ask],
    /// For each source its place in the rack.
    pub places: Vec<Option<usize>>,
    pub sources: Vec<Source>,
    limits: Limits<'a>,
    packed: BTreeMap<Counts, Packed>,
    glanced: BTreeMap<Counts, Packed>,
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

impl<'a> Packing<'a> {
    pub fn new(
        bench: Bench<'a>,
        asks: &'a [Ask],
        sources: Vec<Placed>,
        limits: Limits<'a>,
    ) -> Packing<'a> {
        let (places, sources) = sources.into_iter().unzip();
        Packing {
            bench,
            asks,
            places,
            sources,
            limits,
            packed: BTreeMap::new(),
            glanced: BTreeMap::new(),
        }
    }

    /// Packs these counts as well as the limits allow, or recalls what came of
    /// them.
    pub fn pack(&mut self, counts: &Counts) -> Packed {
        if let Some(known) = self.packed.get(counts) {
            return known.clone();
        }
        let packed = self.over_lots(counts, &self.limits);
        self.packed.insert(counts.clone(), packed.clone());
        packed
    }

    /// As [`pack`](Self::pack), but with little search: enough to tell in most
    /// cases whether everything fits, and roughly what it uses up.
    pub fn glance(&mut self, counts: &Counts) -> Packed {
        if let Some(known) = self.packed.get(counts).or_else(|| self.glanced.get(counts)) {
            return known.clone();
        }
        let little = Limits { work: self.limits.work.min(GLANCE), ..self.limits };
        let packed = self.over_lots(counts, &little);
        let settled = match &packed {
            Packed::Fits(fit) => fit.proven,
            Packed::Impossible => true,
            Packed::Unknown => false,
        };
        let known = if settled { &mut self.packed } else { &mut self.glanced };
        known.insert(counts.clone(), packed.clone());
        packed
    }

    /// Whether there is room for all of these: a glance, and a full look where
    /// that does not settle it.
    pub fn has_room(&mut self, counts: &Counts) -> bool {
        let packed = match self.glance(counts) {
            Packed::Unknown => self.pack(counts),
            settled => settled,
        };
        matches!(packed, Packed::Fits(_))
    }

    /// How many different counts have been packed.
    pub fn effort(&self) -> usize {
        self.packed.len() + self.glanced.len()
    }

    /// As [`pack`](Self::pack), with every rail from any stick, where a match
    /// rule is in force at all.
    pub fn pack_freely(&self, counts: &Counts) -> Option<Rc<Fit>> {
        if counts.keys().all(|ask| self.asks[*ask].match_ == Match::Any) {
            return None;
        }
        let free = |(&of, &count): (&usize, &u32)| {
            let ask = Ask { match_: Match::Any, ..self.asks[of].clone() };
            (of, Demand { ask, lot: None, count })
        };
        match self.settle(counts.iter().map(free).collect(), &self.limits) {
            Packed::Fits(fit) => Some(fit),
            Packed::Impossible | Packed::Unknown => None,
        }
    }

    /// Packs with each way to share the frames out over the lots: the one that
    /// uses up least, then the one that takes fewest sticks.
    fn over_lots(&self, counts: &Counts, limits: &Limits) -> Packed {
        let lots = lots::distinct(&self.sources);
        let wanted: Vec<(usize, u32, usize)> = counts
            .iter()
            .map(|(&ask, &count)| (ask, count, if self.by_lot(ask) { lots.len() } else { 1 }))
            .collect();
        if wanted.iter().any(|(_, count, ways)| *count > 0 && *ways == 0) {
            return Packed::Impossible;
        }
        let (shares, whole) = lots::shares(&wanted, MOST_SHARES);
        let mut best = Best::new(whole);
        for share in &shares {
            let demands = share.iter().map(|&(of, lot, count)| {
                let lot = self.by_lot(of).then(|| lots[lot]);
                (of, Demand { ask: self.asks[of].clone(), lot, count })
            });
            best.offer(self.settle(demands.collect(), limits));
        }
        best.packed()
    }

    fn by_lot(&self, ask: usize) -> bool {
        matches!(self.asks[ask].match_, Match::Lot | Match::Halves)
    }

    fn settle(&self, demands: Vec<(usize, Demand)>, limits: &Limits) -> Packed {
        let (of, demands): (Vec<usize>, Vec<Demand>) = demands.into_iter().unzip();
        let posed = pose(&self.bench, &demands, &self.sources);
        let relaxed = posed.relaxed.as_ref().map(|problem| solve(problem, limits));
        let solution = match solve(&posed.problem, limits) {
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
        let uncounted = posed.uncounted(&self.bench, &solution);
        Packed::Fits(Rc::new(Fit::new(of, demands, posed, solution, Known { bound, uncounted })))
    }
}

/// The best of several ways to pack the same frames.
struct Best {
    fit: Option<Rc<Fit>>,
    bound: Option<Worth>,
    proven: bool,
    settled: bool,
}

impl Best {
    fn new(whole: bool) -> Best {
        Best { fit: None, bound: None, proven: whole, settled: whole }
    }

    fn offer(&mut self, packed: Packed) {
        match packed {
            Packed::Fits(fit) => {
                self.bound = Some(self.bound.map_or(fit.bound, |bound| bound.min(fit.bound)));
                self.proven &= fit.proven;
                let better =
                    |best: &Rc<Fit>| (fit.used_up, fit.sticks) < (best.used_up, best.sticks);
                if self.fit.as_ref().is_none_or(better) {
                    self.fit = Some(fit);
                }
            }
            Packed::Impossible => {}
            Packed::Unknown => (self.proven, self.settled) = (false, false),
        }
    }

    fn packed(self) -> Packed {
        let Some(fit) = self.fit else {
            return if self.settled { Packed::Impossible } else { Packed::Unknown };
        };
        let bound = if self.settled { self.bound.unwrap_or_default() } else { Worth(0) };
        let proven = self.settled && (self.proven || (fit.proven && bound == fit.used_up));
        Packed::Fits(Rc::new(Fit { bound, proven, ..Rc::unwrap_or_clone(fit) }))
    }
}

/// What is known of a solution beside its own account.
struct Known {
    /// No plan costs less than this.
    bound: i64,
    /// What goes back beyond what the solution counts.
    uncounted: Worth,
}

impl Fit {
    /// Splits the solver's cost, which counts worth in `scale`s and sticks in ones.
    fn new(
        of: Vec<usize>,
        demands: Vec<Demand>,
        posed: Posed,
        solution: Solution,
        known: Known,
    ) -> Fit {
        let sticks = solution.sticks();
        let in_sticks = i64::try_from(sticks).expect("fewer sticks than rails");
        Fit {
            used_up: Worth((solution.cost - in_sticks) / posed.scale) - known.uncounted,
            bound: Worth(known.bound.div_euclid(posed.scale)),
            sticks: u32::try_from(sticks).expect("fewer sticks than rails"),
            proven: known.bound == solution.cost - known.uncounted.0 * posed.scale,
            of,
            demands,
            posed,
            solution,
        }
    }
}
