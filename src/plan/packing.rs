//! One moulding and what its rails may come from: packs counts of asks, and
//! remembers what it has packed before.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex};

use super::effort::Effort;
use super::lots::Placed;
use super::material::Material;
use super::shares::{Origin, Root, origins};
use crate::cutting::{Ask, Bench, Demand, Posed, Source, pose};
use crate::measure::Worth;
use crate::shop::Match;
use crate::solve::{Outcome, Pattern, Solution, least, solve};

/// How many of which ask, as an index into the packing's asks.
pub(super) type Counts = BTreeMap<usize, u32>;

/// The steps of search for a first look at a packing.
pub(super) const GLANCE: u64 = 30_000;

/// One moulding on its bench.
pub(super) struct Packing<'a> {
    pub bench: Bench<'a>,
    pub asks: &'a [Ask],
    /// For each source its place in the rack.
    pub places: Vec<Option<usize>>,
    pub sources: Vec<Source>,
    pub(super) limits: Effort<'a>,
    pub(super) material: Material,
    /// Where rails can come from, with the room there is.
    pub(super) origins: Vec<(Origin, Option<i64>)>,
    /// Whether an origin can give one of an ask, as far as it was asked.
    pub(super) giving: Mutex<BTreeMap<(usize, usize), bool>>,
    packed: BTreeMap<Counts, Packed>,
    glanced: BTreeMap<Counts, Packed>,
    /// What came of packing with every rail from any stick.
    free: BTreeMap<Counts, Option<Arc<Fit>>>,
    /// Counts that have room, as far as more is not known of them.
    ample: BTreeSet<Counts>,
}

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

/// Whether there is room for everything that was asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Room {
    /// There is.
    Ample,
    /// There is not.
    Lacking,
    /// Not settled within the limits.
    Unknown,
}

impl Room {
    fn of(packed: &Packed) -> Room {
        match packed {
            Packed::Fits(_) => Room::Ample,
            Packed::Impossible => Room::Lacking,
            Packed::Unknown => Room::Unknown,
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

impl<'a> Packing<'a> {
    pub fn new(
        bench: Bench<'a>,
        asks: &'a [Ask],
        sources: Vec<Placed>,
        effort: Effort<'a>,
    ) -> Packing<'a> {
        let (places, sources): (_, Vec<Source>) = sources.into_iter().unzip();
        let material = Material::new(&bench, asks, &sources);
        Packing {
            origins: origins(&sources, &material.rooms),
            material,
            giving: Mutex::default(),
            bench,
            asks,
            places,
            sources,
            limits: effort,
            packed: BTreeMap::new(),
            glanced: BTreeMap::new(),
            free: BTreeMap::new(),
            ample: BTreeSet::new(),
        }
    }

    /// Packs these counts as well as the limits allow, or recalls what came of
    /// them.
    pub fn pack(&mut self, counts: &Counts) -> Packed {
        if let Some(known) = self.packed.get(counts) {
            return known.clone();
        }
        let floor = if self.is_shared_out(counts) { self.pack_freely(counts) } else { None };
        let packed = self.over_lots(counts, self.limits, floor.as_deref());
        self.packed.insert(counts.clone(), packed.clone());
        packed
    }

    /// How these counts are packed, which were chosen because they can be; with
    /// what is known from packing them without the match rules.
    pub fn sharp(&mut self, counts: &Counts) -> Arc<Fit> {
        let Packed::Fits(fit) = self.pack(counts) else {
            unreachable!("what was chosen was packed");
        };
        self.pack_freely(counts).map_or(fit.clone(), |free| Arc::new(fit.sharpened(&free)))
    }

    /// As [`pack`](Self::pack), but with little search: enough to tell in most
    /// cases whether everything fits, and roughly what it uses up.
    pub fn glance(&mut self, counts: &Counts) -> Packed {
        if let Some(known) = self.packed.get(counts).or_else(|| self.glanced.get(counts)) {
            return known.clone();
        }
        let packed = self.over_lots(counts, self.limits.at_most(GLANCE), None);
        let known = if packed.is_settled() { &mut self.packed } else { &mut self.glanced };
        known.insert(counts.clone(), packed.clone());
        packed
    }

    /// Whether there is room for all of these, looking no harder than it takes:
    /// a peek, then a glance, then a full look.
    pub fn room(&mut self, counts: &Counts) -> Room {
        match self.glance_room(counts) {
            Room::Unknown => Room::of(&self.pack(counts)),
            settled => settled,
        }
    }

    /// As [`room`](Self::room), without the full look.
    pub fn glance_room(&mut self, counts: &Counts) -> Room {
        let known = self.packed.contains_key(counts) || self.glanced.contains_key(counts);
        if !known && (self.ample.contains(counts) || self.fits_with_ease(counts)) {
            self.ample.insert(counts.clone());
            return Room::Ample;
        }
        Room::of(&self.glance(counts))
    }

    /// The least length that these counts take.
    pub fn length(&self, counts: &Counts) -> i64 {
        let length = |(ask, count): (&usize, &u32)| {
            self.material.lengths[*ask].saturating_mul(i64::from(*count))
        };
        counts.iter().map(length).fold(0, i64::saturating_add)
    }

    /// The most length that all sticks give.
    pub fn all_room(&self) -> i64 {
        if self.sources.iter().any(|source| source.is_new) {
            return i64::MAX;
        }
        self.material.rooms.iter().sum()
    }

    /// How many different counts have been packed.
    pub fn effort(&self) -> usize {
        self.packed.len() + self.glanced.len() + self.ample.len()
    }

    /// As [`pack`](Self::pack), with every rail from any stick, where a match
    /// rule is in force at all.
    pub fn pack_freely(&mut self, counts: &Counts) -> Option<Arc<Fit>> {
        if let Some(known) = self.free.get(counts) {
            return known.clone();
        }
        let free = self.settle_freely(counts);
        self.free.insert(counts.clone(), free.clone());
        free
    }

    fn settle_freely(&self, counts: &Counts) -> Option<Arc<Fit>> {
        if counts.keys().all(|ask| self.asks[*ask].match_ == Match::Any) {
            return None;
        }
        match self.settle(self.freely(counts), self.limits) {
            Packed::Fits(fit) => Some(fit),
            Packed::Impossible | Packed::Unknown => None,
        }
    }

    /// These counts with every rail from any stick.
    fn freely(&self, counts: &Counts) -> (Vec<usize>, Vec<Demand>) {
        let free = |(&of, &count): (&usize, &u32)| {
            let ask = Ask { match_: Match::Any, ..self.asks[of].clone() };
            (of, Demand { ask, lot: None, together: false, count })
        };
        counts.iter().map(free).unzip()
    }

    /// What these counts use up at the least, whatever the match rules, as far as
    /// the limits tell; `None` if that is nothing.
    pub fn least(&self, counts: &Counts) -> Option<Worth> {
        match self.settle(self.freely(counts), self.limits) {
            Packed::Fits(fit) => Some(fit.bound),
            Packed::Impossible | Packed::Unknown => None,
        }
    }

    /// What these counts use up at the least, by lengths alone.
    pub fn least_by_length(&self, counts: &Counts) -> Worth {
        let (_, demands) = self.freely(counts);
        let posed = pose(&self.bench, &demands, &self.sources);
        let problem = posed.relaxed.as_ref().unwrap_or(&posed.problem);
        Worth(least(problem).div_euclid(posed.scale))
    }

    /// Packs these demands, each from the lot that it names.
    pub(super) fn settle(
        &self,
        (of, demands): (Vec<usize>, Vec<Demand>),
        effort: Effort,
    ) -> Packed {
        let limits = effort.limits();
        let posed = pose(&self.bench, &demands, &self.sources);
        let relaxed = posed.relaxed.as_ref().map(|problem| solve(problem, &limits));
        let solution = match solve(&posed.problem, &limits) {
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

impl Fit {
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

    /// Splits the solver's cost, which counts worth in `scale`s and sticks in ones;
    /// no plan costs less than `bound`.
    fn new(
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
