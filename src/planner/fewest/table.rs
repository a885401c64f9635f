//! All packings of the least cost, unit by unit of the stock.
//!
//! Forward, every number of items that the units so far can give is kept with
//! the least that this costs, and with the fewest moves of the stop within
//! sticks among the ways that cost so little (dynamic programming as in the
//! solver's table of states). Since what is cut from the units so far costs the
//! least in a packing of the least cost, walking back over what was kept meets
//! every such packing. Prices cut short what leads to none.

use std::collections::{BTreeSet, HashMap};

use foldhash::fast::FixedState;

use super::cuts::{CutMoves, StockCut};
use super::prices::{SlackPrices, units};
use super::question::{Passing, Question};
use crate::solve::Problem;

/// More units of stock than this are not walked through: the walk goes as deep.
const MOST_UNITS: usize = 1_000;

/// What was reached with some units: the least slack, and of that the fewest
/// moves within sticks.
type ReachedStates = HashMap<u128, (i128, usize), FixedState>;

/// Counts of items in one number, with a bit between them.
struct PackedCounts {
    shifts: Vec<u32>,
    guards: u128,
    all: u128,
}

/// The units of the stock one after the other with what they can give.
pub(super) struct SlackTable<'a> {
    /// For each stock its cuts that may be of use, with their counts and slack.
    cuts: Vec<Vec<(CutMoves<'a>, u128, i128)>>,
    /// The stock of each unit.
    units: Vec<usize>,
    prices: &'a SlackPrices,
    packed: PackedCounts,
    /// What the first so many units can give.
    reached: Vec<ReachedStates>,
}

impl<'a> SlackTable<'a> {
    /// Every packing that has just the slack of the prices; `None` if that takes
    /// more than so many steps.
    pub fn new(
        question: &Question,
        cuts: &'a [Vec<StockCut>],
        prices: &'a SlackPrices,
        steps: &mut usize,
    ) -> Option<SlackTable<'a>> {
        let problem = &question.posed.problem;
        let packed = PackedCounts::new(problem)?;
        let of_use = |cuts: &'a Vec<StockCut>| {
            let with_slack = cuts.iter().map(|cut| (cut, prices.slack_of(cut)));
            let cheap = with_slack.filter(|(_, slack)| *slack <= prices.slack);
            let told = cheap.map(|(cut, slack)| {
                (CutMoves::of(question, cut), packed.counts(&cut.counts), slack)
            });
            let mut told: Vec<(CutMoves, u128, i128)> = told.collect();
            // Of cuts of the same counts that do the same to the stop one is enough.
            let mut seen: BTreeSet<(u128, Passing)> = BTreeSet::new();
            told.retain(|(told, counts, _)| seen.insert((*counts, told.passing.clone())));
            told
        };
        let cuts: Vec<Vec<_>> = cuts.iter().map(of_use).collect();
        let unit = |stock| std::iter::repeat_n(stock, units(problem, stock) as usize);
        let units: Vec<usize> = (0..cuts.len()).flat_map(unit).collect();
        if units.len() > MOST_UNITS {
            return None;
        }
        let start = ReachedStates::from_iter([(0, (0, 0))]);
        let mut table = SlackTable { cuts, units, prices, packed, reached: vec![start] };
        for unit in 0..table.units.len() {
            let next = table.with_one_more(unit, steps)?;
            table.reached.push(next);
        }
        Some(table)
    }

    fn with_one_more(&self, unit: usize, steps: &mut usize) -> Option<ReachedStates> {
        let stock = self.units[unit];
        let mut next = ReachedStates::default();
        let mut reach = |counts: u128, slack: i128, moves: usize| {
            if slack <= self.prices.slack {
                let known = next.entry(counts).or_insert((slack, moves));
                *known = (*known).min((slack, moves));
            }
        };
        for (counts, (slack, moves)) in &self.reached[unit] {
            *steps = steps.checked_sub(1 + self.cuts[stock].len())?;
            reach(*counts, slack + self.prices.charge(stock), *moves);
            for (cut, more, own) in &self.cuts[stock] {
                if self.packed.is_room(*counts, *more) {
                    reach(counts + more, slack + own, moves + cut.moves);
                }
            }
        }
        Some(next)
    }

    /// The fewest moves within sticks of any packing; `None` if there is none of
    /// this cost.
    pub fn fewest(&self) -> Option<usize> {
        let all = self.reached.last()?.get(&self.packed.all)?;
        (all.0 == self.prices.slack).then_some(all.1)
    }

    /// Visits the packings that have fewer moves within sticks than this, each as
    /// its sticks from the last; a visit says fewer than what the others must have.
    /// Packings that differ in nothing but which of equal units is cut how are
    /// visited once. False if that takes more than so many steps.
    pub fn walk(
        &self,
        under: usize,
        steps: &mut usize,
        visit: &mut dyn FnMut(&[&CutMoves]) -> usize,
    ) -> bool {
        if self.fewest().is_none_or(|fewest| fewest >= under) {
            return true;
        }
        let mut walk = Walk { table: self, under, steps, visit, picks: Vec::new() };
        walk.back(self.units.len(), self.packed.all, self.prices.slack, 0, None).is_some()
    }
}

struct Walk<'w, 'a> {
    table: &'w SlackTable<'a>,
    under: usize,
    steps: &'w mut usize,
    visit: &'w mut dyn FnMut(&[&CutMoves]) -> usize,
    picks: Vec<&'w CutMoves<'a>>,
}

impl Walk<'_, '_> {
    /// The first units give these counts; the stop was moved so often within the
    /// others. Of equal units the first are those that are cut, and in rising
    /// order of their cuts, of which this was the last.
    fn back(
        &mut self,
        unit: usize,
        counts: u128,
        slack: i128,
        moves: usize,
        last: Option<usize>,
    ) -> Option<()> {
        if unit == 0 {
            self.under = (self.visit)(&self.picks);
            return Some(());
        }
        let SlackTable { units, cuts, prices, packed, reached, .. } = self.table;
        let stock = units[unit - 1];
        let before = &reached[unit - 1];
        let is_same = unit > 1 && units[unit - 2] == stock;
        *self.steps = self.steps.checked_sub(1 + cuts[stock].len())?;
        let left = slack - prices.charge(stock);
        if last.is_none()
            && let Some(&(known, own)) = before.get(&counts)
            && known == left
            && own + moves < self.under
        {
            self.back(unit - 1, counts, left, moves, None)?;
        }
        for (place, (cut, own_counts, own_slack)) in cuts[stock].iter().enumerate() {
            if last.is_some_and(|last| place > last) || !packed.holds(counts, *own_counts) {
                continue;
            }
            let (left, then) = (slack - own_slack, counts - own_counts);
            let moves = moves + cut.moves;
            if let Some(&(known, own)) = before.get(&then)
                && known == left
                && own + moves < self.under
            {
                self.picks.push(cut);
                self.back(unit - 1, then, left, moves, is_same.then_some(place))?;
                self.picks.pop();
            }
        }
        Some(())
    }
}

impl PackedCounts {
    fn new(problem: &Problem) -> Option<PackedCounts> {
        let mut packed = PackedCounts { shifts: Vec::new(), guards: 0, all: 0 };
        let mut shift = 0;
        for item in &problem.items {
            let bits = u32::BITS - item.demand.leading_zeros() + 1;
            packed.shifts.push(shift);
            if shift + bits > u128::BITS {
                return None;
            }
            packed.all |= u128::from(item.demand) << shift;
            shift += bits;
            packed.guards |= 1 << (shift - 1);
        }
        Some(packed)
    }

    fn counts(&self, counts: &[u32]) -> u128 {
        counts.iter().zip(&self.shifts).map(|(count, shift)| u128::from(*count) << shift).sum()
    }

    /// Whether so many more are still wanted.
    fn is_room(&self, counts: u128, more: u128) -> bool {
        self.holds(self.all - counts, more)
    }

    /// Whether there are at least so many.
    fn holds(&self, counts: u128, fewer: u128) -> bool {
        ((counts | self.guards) - fewer) & self.guards == self.guards
    }
}
