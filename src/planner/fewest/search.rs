//! The search through one moulding's packings of the least cost for those that
//! move the stop least.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::cuts::{CutMoves, cuts};
use super::moulding::BestPassages;
use super::prices::SlackPrices;
use super::question::{Passing, Question};
use super::table::SlackTable;
use crate::planner::packing::Fit;
use crate::planner::shares::LotShare;
use crate::stops::{CutWays, Ends, Setting, passed};

/// How much is looked at for a moulding.
pub(super) struct LookLimits {
    /// Steps of listing the ways to cut a stick.
    listing: usize,
    /// Steps of the table and of the walk through it.
    table: usize,
    /// Packings that are passed in every order of their sticks.
    packings: usize,
}

impl Default for LookLimits {
    fn default() -> LookLimits {
        LookLimits { listing: 8_000, table: 2_000_000, packings: 300 }
    }
}

/// What was found so far.
pub(super) struct PassageSearch {
    ways: BestPassages,
    fits: Vec<Arc<Fit>>,
    /// The settings at which other mouldings may begin or end.
    shared: Vec<Setting>,
    /// How many moves the different settings take.
    apart: usize,
    /// What must be had for fewer moves to be of any use.
    under: usize,
    /// The fewest moves within sticks of any packing; none if there was too much
    /// to look at.
    within: Option<usize>,
    /// Whether nothing was passed over.
    whole: bool,
}

/// What is known of one way to share the frames out.
#[derive(Default)]
struct ShareKnown {
    /// The ways to cut sticks.
    ways: BTreeMap<Passing, CutWays>,
    /// Packings that have been passed.
    passed: BTreeSet<Vec<Passing>>,
}

impl PassageSearch {
    /// Begins with the ways of a fit, as far as they are known, of rails of so many
    /// settings.
    pub fn new(
        ways: BestPassages,
        fits: Vec<Arc<Fit>>,
        shared: Vec<Setting>,
        settings: usize,
    ) -> PassageSearch {
        let (apart, within) = (settings.saturating_sub(1), Some(usize::MAX));
        let mut search = PassageSearch { ways, fits, shared, apart, under: 0, within, whole: true };
        search.under = search.worth_while();
        search
    }

    /// Whether no beginning and end have fewer moves than was found.
    pub fn is_whole(&self) -> bool {
        self.whole && !self.ways.is_empty()
    }

    /// No packing has fewer moves.
    pub fn floor(&self) -> usize {
        self.within.filter(|within| *within < usize::MAX).unwrap_or(0).max(self.apart)
    }

    /// The fewest moves by beginning and end.
    pub fn moves(&self) -> BTreeMap<Ends, usize> {
        self.ways.iter().map(|(ends, (moves, _))| (*ends, *moves)).collect()
    }

    /// The ways that were found, and the packings.
    pub fn found(self) -> (BestPassages, Vec<Arc<Fit>>) {
        (self.ways, self.fits)
    }

    /// Looks through one way to share the frames out.
    pub fn root(&mut self, (question, root): (&Question, &LotShare), limits: &mut LookLimits) {
        let within = self.look(question, root, limits);
        self.whole &= within.is_some();
        self.within = self.within.zip(within).map(|(known, within)| known.min(within));
    }

    /// The fewest moves within sticks, the most there is if nothing costs so
    /// little; `None` if there is too much to look at.
    fn look(
        &mut self,
        question: &Question,
        root: &LotShare,
        limits: &mut LookLimits,
    ) -> Option<usize> {
        let problem = &question.posed.problem;
        let cuts = cuts(problem, &mut limits.listing)?;
        let prices =
            SlackPrices::best(problem, &cuts, question.cost, question.certificate.as_ref());
        let table = SlackTable::new(question, &cuts, &prices, &mut limits.table)?;
        let mut known = ShareKnown::default();
        let (steps, packings) = (&mut limits.table, &mut limits.packings);
        let whole = table.walk(self.under, steps, &mut |picks| {
            let sticks = Sticks::new(question, picks);
            self.visit(&sticks, root, &mut known, packings);
            self.under
        });
        self.whole &= whole;
        Some(table.fewest().unwrap_or(usize::MAX))
    }

    /// See [`under`](Self::under).
    fn worth_while(&self) -> usize {
        let Some(least) = self.ways.values().map(|(moves, _)| *moves).min() else {
            return usize::MAX;
        };
        let fewest = |first: Option<Setting>, last: Option<Setting>| {
            let is_it = |ends: &Ends| {
                (first.is_none() || ends.0 == first) && (last.is_none() || ends.1 == last)
            };
            let of = self.ways.iter().filter(|(ends, _)| is_it(ends));
            of.map(|(_, (moves, _))| *moves).min().unwrap_or(usize::MAX).min(least + 2)
        };
        let each = || std::iter::once(None).chain(self.shared.iter().map(|shared| Some(*shared)));
        let pairs = each().flat_map(|first| each().map(move |last| (first, last)));
        let pairs = pairs.filter(|(first, last)| first.is_none() || first != last);
        let under = pairs.map(|(first, last)| fewest(first, last)).max().unwrap_or(0);
        if under <= self.apart { 0 } else { under }
    }

    fn visit(
        &mut self,
        sticks: &Sticks,
        root: &LotShare,
        known: &mut ShareKnown,
        left: &mut usize,
    ) {
        if sticks.least >= self.under || known.passed.contains(&sticks.passings) {
            return;
        }
        let is_left = *left > 0;
        *left = left.saturating_sub(1);
        let Some(passed) = sticks.passed(known).filter(|_| is_left) else {
            self.whole = false;
            return;
        };
        known.passed.insert(sticks.passings.clone());
        let place = self.fits.len();
        let mut is_better = false;
        for (ends, moves) in passed {
            if self.ways.get(&ends).is_none_or(|(known, _)| moves < *known) {
                self.ways.insert(ends, (moves, place));
                is_better = true;
            }
        }
        if is_better {
            let patterns = sticks.picks.iter().map(|told| told.cut.pattern.clone()).collect();
            let posed = sticks.question.posed.clone();
            self.fits.push(Arc::new(self.fits[0].repacked(root.clone(), posed, patterns)));
            self.under = self.worth_while();
        }
    }
}

/// A packing, stick by stick.
struct Sticks<'a> {
    question: &'a Question,
    picks: &'a [&'a CutMoves<'a>],
    passings: Vec<Passing>,
    /// No order of its sticks moves the stop less.
    least: usize,
}

impl<'a> Sticks<'a> {
    fn new(question: &'a Question, picks: &'a [&'a CutMoves<'a>]) -> Sticks<'a> {
        let mut passings: Vec<Passing> = picks.iter().map(|told| told.passing.clone()).collect();
        passings.sort_unstable();
        let within: usize = picks.iter().map(|told| told.moves).sum();
        let least = within + question.apart(&passings).saturating_sub(1);
        Sticks { question, picks, passings, least }
    }

    fn passed(&self, known: &mut ShareKnown) -> Option<BTreeMap<Ends, usize>> {
        for passing in &self.passings {
            let ways = known.ways.entry(passing.clone());
            ways.or_insert_with(|| self.question.ways(passing));
        }
        let each: Vec<&CutWays> =
            self.passings.iter().map(|passing| &known.ways[passing]).collect();
        passed(&each)
    }
}
