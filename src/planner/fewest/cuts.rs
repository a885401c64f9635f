//! Every way to cut a unit of a stock that costs no more than another with the
//! same pieces.

use std::collections::BTreeMap;

use super::question::Question;
use crate::solve::{Item, Pattern, Piece, Problem, Stock};

/// One way to cut a unit of a stock.
pub(super) struct StockCut {
    /// How many of each item.
    pub counts: Vec<u32>,
    pub cost: i64,
    pub pattern: Pattern,
}

/// A cut with what it does to the stop.
pub(super) struct CutMoves<'a> {
    pub cut: &'a StockCut,
    pub passing: Vec<Vec<usize>>,
    /// How often the stop is moved from one of its cuts to the next.
    pub moves: usize,
}

impl<'a> CutMoves<'a> {
    /// What a cut does.
    pub fn of(question: &Question, cut: &'a StockCut) -> CutMoves<'a> {
        let passing = question.passing(&cut.pattern);
        let moves = question.moves(&passing);
        CutMoves { cut, passing, moves }
    }
}

/// Every way to cut some of these items from a unit of a stock.
pub(super) fn cuts_of(
    problem: &Problem,
    stock: usize,
    wanted: &[u32],
    steps: &mut usize,
) -> Option<Vec<StockCut>> {
    let runs = problem.stock[stock].runs.len();
    let group = problem.stock[stock].group;
    let may_be = |item: &usize| {
        let Item { group: own, .. } = problem.items[*item];
        wanted[*item] > 0 && own.is_none_or(|own| own == group)
    };
    let mut listing = CutLister {
        open: (0..problem.items.len()).filter(may_be).collect(),
        problem,
        stock: &problem.stock[stock],
        place: stock,
        wanted,
        counts: vec![0; problem.items.len()],
        taken: vec![0; runs],
        laid: vec![BTreeMap::new(); runs],
        found: BTreeMap::new(),
        steps,
    };
    listing.list(0)?;
    let cuts = listing.found.into_iter().flat_map(|(counts, (cost, patterns))| {
        patterns.into_iter().map(move |pattern| StockCut { counts: counts.clone(), cost, pattern })
    });
    Some(cuts.collect())
}

struct CutLister<'a> {
    problem: &'a Problem,
    stock: &'a Stock,
    place: usize,
    /// How many of each item at the most.
    wanted: &'a [u32],
    /// The items that are wanted and may come from the stock: no more than there
    /// are rails in question, so that what goes from one to the next is not deep.
    open: Vec<usize>,
    counts: Vec<u32>,
    /// What is taken of each run.
    taken: Vec<i64>,
    /// How many of which part of an item are laid in each run.
    laid: Vec<BTreeMap<(usize, usize), u32>>,
    found: BTreeMap<Vec<u32>, (i64, Vec<Pattern>)>,
    steps: &'a mut usize,
}

impl CutLister<'_> {
    /// Everything with the open items from this one on; `None` if it is too much.
    fn list(&mut self, at: usize) -> Option<()> {
        if at == self.open.len() {
            if self.counts.iter().any(|count| *count > 0) {
                self.keep();
            }
            return Some(());
        }
        self.list(at + 1)?;
        self.one_more(at, 0, &mut Vec::new(), &[])
    }

    /// One more of an item, each of its parts in some run, and all that goes with
    /// it. Copies are laid in rising order of their runs.
    fn one_more(
        &mut self,
        at: usize,
        part: usize,
        runs: &mut Vec<usize>,
        least: &[usize],
    ) -> Option<()> {
        let item = self.open[at];
        let Some(length) = self.problem.items[item].parts.get(part) else {
            self.counts[item] += 1;
            let own = std::mem::take(runs);
            self.list(at + 1)?;
            if self.counts[item] < self.wanted[item] {
                self.one_more(at, 0, &mut Vec::new(), &own)?;
            }
            *runs = own;
            self.counts[item] -= 1;
            return Some(());
        };
        for run in 0..self.stock.runs.len() {
            runs.push(run);
            let is_later = least.get(..=part).is_none_or(|least| runs[..] >= *least);
            if is_later && self.taken[run] + length <= self.stock.runs[run].room {
                *self.steps = self.steps.checked_sub(1)?;
                self.taken[run] += length;
                *self.laid[run].entry((item, part)).or_default() += 1;
                self.one_more(at, part + 1, runs, least)?;
                self.taken[run] -= length;
                let count = self.laid[run].get_mut(&(item, part)).expect("it was laid");
                *count -= 1;
                if *count == 0 {
                    self.laid[run].remove(&(item, part));
                }
            }
            runs.pop();
        }
        Some(())
    }

    fn keep(&mut self) {
        let cost = self.stock.net_cost(&self.taken);
        let known = self.found.entry(self.counts.clone()).or_insert((cost, Vec::new()));
        if cost > known.0 {
            return;
        }
        if cost < known.0 {
            *known = (cost, Vec::new());
        }
        let piece = |(&(item, part), &count): (&(usize, usize), &u32)| Piece { item, part, count };
        let run = |run: &BTreeMap<_, _>| run.iter().map(piece).collect();
        let runs = self.laid.iter().map(run).collect();
        let pattern = Pattern { stock: self.place, times: 1, runs };
        if !known.1.contains(&pattern) {
            known.1.push(pattern);
        }
    }
}
