//! The cheapest mix of sheets that holds so many pieces of each size, were parts of sheets
//! allowed: what it costs nothing can go below, and its whole sheets are a good beginning.
//!
//! # How it is found, and why rounding does no harm
//!
//! A linear program over all ways to cut one sheet, of which the best is made when it is asked
//! for (P. Gilmore and R. Gomory, "Multistage cutting stock problems of two and more
//! dimensions", 1965). Its basis is kept in fixed point, so it may be a little off, and that
//! decides nothing: whatever the prices of pieces are, what all pieces are worth over the most
//! that one sheet can be worth is a bound (A. Farley, "A note on bounding a class of linear
//! programming problems", 1990), and both are worked out exactly.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::measure::Length;
use crate::shop::SheetRules;

use super::bounds::least_area;
use super::breakdown::{BrokenSheet, SheetQuestion};
use super::most::{WantedSize, most_within};
use super::pane::{Pane, area};
use super::ways::fits;

/// What one is in fixed point, and the least that counts as something.
const ONE: i128 = 1 << 40;
const SOME: i128 = 1 << 20;
/// Of so many sizes at the most, those that are wanted oftenest; where fewer pieces than these
/// are wanted of each, what is wanted once is left out.
const SIZES: usize = 64;
const EACH: usize = 3;
/// So often at the most one sheet takes the place of another.
const STEPS: usize = 2_000;
/// Of so many sizes at the most a sheet is made quickly, as long as that finds a better one.
const FEW: usize = 6;

/// Pieces of one size, by number, the last to be cut first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PiecesAlike {
    pub width: Length,
    pub height: Length,
    pub turn: bool,
    pub pieces: Vec<usize>,
}

/// Sheets of one size cut alike, and how many of each size of piece they hold.
#[derive(Debug, Clone)]
pub(super) struct SheetPattern {
    /// Which whole sheet.
    pub whole: usize,
    /// How it is cut, its pieces numbered as the sizes are.
    pub sheet: BrokenSheet,
    /// How many of each size.
    pub held: Vec<i128>,
    /// How often it is cut, in fixed point.
    pub times: i128,
}

/// The program under way: a row for each size.
struct SheetMix<'q> {
    question: &'q SheetQuestion,
    rules: SheetRules,
    sizes: Vec<PiecesAlike>,
    /// What each row is met by; `None` for more pieces than are wanted.
    basis: Vec<Option<SheetPattern>>,
    inverse: Vec<Vec<i128>>,
    level: Vec<i128>,
}

impl SheetQuestion {
    /// Pieces of one size together, in the order of their sizes; `asked` are their numbers.
    pub(super) fn alike(&self, asked: impl Iterator<Item = usize>) -> Vec<PiecesAlike> {
        let mut alike: BTreeMap<(Length, Length, bool), Vec<usize>> = BTreeMap::new();
        for number in asked {
            let (width, height, turn) = self.pieces[number];
            let size = if turn { (width.min(height), width.max(height)) } else { (width, height) };
            alike.entry((size.0, size.1, turn)).or_default().push(number);
        }
        let all = alike.into_iter().map(|((width, height, turn), mut pieces)| {
            // The first of them is taken first.
            pieces.reverse();
            PiecesAlike { width, height, turn, pieces }
        });
        all.collect()
    }

    fn is_cut_from_a_whole(&self, number: usize) -> bool {
        let (width, height, turn) = self.pieces[number];
        let whole = |of: &(Length, Length, u32)| Pane::whole(of.0, of.1);
        self.wholes.iter().any(|of| fits(whole(of), (width, height), turn, &self.rules))
    }

    /// The sheets of the cheapest mix for these pieces within so many looks at a cut, and the
    /// sizes that their pieces are numbered by; nothing where it is not found.
    pub(super) fn mixed(
        &self,
        asked: &[usize],
        mut looks: usize,
    ) -> Option<(Vec<SheetPattern>, Vec<PiecesAlike>)> {
        let mut mix = SheetMix::new(self, asked, self.rules, &mut looks)?;
        mix.solve(&mut looks);
        let SheetMix { basis, level, sizes, .. } = mix;
        let cut = basis.into_iter().zip(level);
        let cut = cut.filter_map(|(of, times)| Some(SheetPattern { times, ..of? }));
        Some((cut.collect(), sizes))
    }

    /// The least area of whole sheets that the cheapest mix must open, within so many looks at
    /// a cut.
    pub(super) fn least_by_mix(&self, mut looks: usize) -> i128 {
        let all: Vec<usize> = (0..self.pieces.len()).collect();
        // What no strip hinders holds the more.
        let rules = self.rules.unbroken();
        let Some(mut mix) = SheetMix::new(self, &all, rules, &mut looks) else { return 0 };
        mix.solve(&mut looks)
    }
}

impl SheetPattern {
    /// How often it is cut, but for a part of one.
    pub(super) fn whole_times(&self) -> i128 {
        (self.times + SOME) / ONE
    }

    /// The part of one that is left.
    pub(super) fn part(&self) -> i128 {
        (self.times + SOME) % ONE
    }
}

impl SheetMix<'_> {
    /// Begins with sheets of one size of piece each.
    fn new<'q>(
        question: &'q SheetQuestion,
        asked: &[usize],
        rules: SheetRules,
        looks: &mut usize,
    ) -> Option<SheetMix<'q>> {
        let can = asked.iter().copied().filter(|number| question.is_cut_from_a_whole(*number));
        let mut sizes = question.alike(can);
        let pieces: usize = sizes.iter().map(|of| of.pieces.len()).sum();
        if pieces < EACH * sizes.len() {
            sizes.retain(|of| of.pieces.len() > 1);
        }
        sizes.sort_by_key(|of| Reverse(of.pieces.len()));
        sizes.truncate(SIZES);
        let count = sizes.len();
        if count == 0 {
            return None;
        }
        let (inverse, level) = (vec![vec![0; count]; count], vec![0; count]);
        let mut mix = SheetMix { question, rules, sizes, basis: Vec::new(), inverse, level };
        for at in 0..count {
            let mut prices = vec![0; count];
            prices[at] = ONE;
            let pattern = mix
                .best(&prices, usize::MAX, looks)?
                .into_iter()
                .max_by_key(|(of, _)| ONE * of.held[at] / mix.cost(of.whole))?;
            let held = pattern.0.held[at];
            if held == 0 {
                return None;
            }
            mix.inverse[at][at] = ONE / held;
            mix.level[at] = ONE * mix.sizes[at].pieces.len() as i128 / held;
            mix.basis.push(Some(pattern.0));
        }
        Some(mix)
    }

    /// What a whole sheet costs: its share of the largest.
    fn cost(&self, whole: usize) -> i128 {
        let (width, height, _) = self.question.wholes[whole];
        (area(width, height) * ONE / self.question.largest()).max(1)
    }

    /// The most that each whole sheet is worth at these prices, and how it is cut then, with no
    /// more than so many sizes on it: those that are worth most for their area.
    fn best(
        &self,
        prices: &[i128],
        few: usize,
        looks: &mut usize,
    ) -> Option<Vec<(SheetPattern, i128)>> {
        let wholes = self.question.wholes.iter().enumerate();
        let of = wholes.map(|(whole, &(width, height, _))| {
            let sheet = self.most((width, height), prices, few, looks)?;
            let mut held = vec![0; self.sizes.len()];
            sheet.pieces.iter().for_each(|piece| held[piece.0] += 1);
            let worth = held.iter().zip(prices).map(|(held, price)| held * price).sum();
            Some((SheetPattern { whole, sheet, held, times: 0 }, worth))
        });
        of.collect()
    }

    fn most(
        &self,
        size: (Length, Length),
        prices: &[i128],
        few: usize,
        looks: &mut usize,
    ) -> Option<BrokenSheet> {
        // What is worth nothing is not asked for, so that fewer places are looked at.
        let mut priced: Vec<usize> = (0..prices.len()).filter(|at| prices[*at] > 0).collect();
        if priced.len() > few {
            let of = |at: &usize| {
                let PiecesAlike { width, height, .. } = self.sizes[*at];
                prices[*at] * (1 << 40) / (area(width, height) >> 40).max(1)
            };
            priced.sort_by_key(|at| Reverse(of(at)));
            priced.truncate(few);
        }
        let wanted: Vec<WantedSize> = priced
            .iter()
            .map(|at| {
                let PiecesAlike { width, height, turn, .. } = self.sizes[*at];
                WantedSize { width, height, turn, value: prices[*at] }
            })
            .collect();
        let mut sheet = most_within(size, &wanted, &self.rules, looks)?;
        sheet.pieces.iter_mut().for_each(|piece| piece.0 = priced[piece.0]);
        Some(sheet)
    }

    /// Takes in better sheets as long as there are any and there are looks for it. Gives the
    /// best bound on the area of whole sheets.
    fn solve(&mut self, looks: &mut usize) -> i128 {
        let mut least = 0;
        for _ in 0..STEPS {
            let prices = self.prices();
            if let Some(at) = (0..prices.len()).find(|at| prices[*at] < -SOME) {
                // More of a size than is wanted.
                let along: Vec<i128> = self.inverse.iter().map(|row| -row[at]).collect();
                if !self.enter(&along, None) {
                    return least;
                }
                continue;
            }
            let prices: Vec<i128> = prices.into_iter().map(|price| price.max(0)).collect();
            let quick = self.best(&prices, FEW, looks).and_then(|of| self.better(of));
            let pattern = match quick {
                Some(pattern) => pattern,
                None => {
                    let Some(best) = self.best(&prices, usize::MAX, looks) else { return least };
                    least = least.max(self.bound(&prices, &best, looks));
                    let Some(pattern) = self.better(best) else { return least };
                    pattern
                }
            };
            let along = |row: &Vec<i128>| {
                row.iter().zip(&pattern.held).map(|(part, held)| part * held).sum::<i128>()
            };
            let along: Vec<i128> = self.inverse.iter().map(along).collect();
            if !self.enter(&along, Some(pattern)) {
                return least;
            }
        }
        least
    }

    /// The sheet that is worth most for what it costs, if that is more than what it costs.
    fn better(&self, of: Vec<(SheetPattern, i128)>) -> Option<SheetPattern> {
        let best = of.into_iter().max_by_key(|(of, worth)| worth * ONE / self.cost(of.whole));
        best.filter(|(of, worth)| *worth > self.cost(of.whole) + SOME).map(|(of, _)| of)
    }

    /// What one more piece of each size costs.
    fn prices(&self) -> Vec<i128> {
        let costs: Vec<i128> =
            self.basis.iter().map(|of| of.as_ref().map_or(0, |of| self.cost(of.whole))).collect();
        let price = |at: usize| -> i128 {
            self.inverse.iter().zip(&costs).map(|(row, cost)| row[at] * cost).sum::<i128>() / ONE
        };
        (0..costs.len()).map(price).collect()
    }

    /// Lets a sheet take the place of the one that runs out first; `false` if none does.
    fn enter(&mut self, along: &[i128], pattern: Option<SheetPattern>) -> bool {
        let rows = (0..along.len()).filter(|row| along[*row] > SOME);
        let Some(out) = rows.min_by(|a, b| {
            (self.level[*a] * along[*b]).cmp(&(self.level[*b] * along[*a])).then(a.cmp(b))
        }) else {
            return false;
        };
        let by = along[out];
        self.level[out] = self.level[out] * ONE / by;
        self.inverse[out].iter_mut().for_each(|part| *part = *part * ONE / by);
        let (pivot, level) = (self.inverse[out].clone(), self.level[out]);
        for (row, along) in along.iter().enumerate().filter(|(row, _)| *row != out) {
            self.level[row] = (self.level[row] - along * level / ONE).max(0);
            for (part, pivot) in self.inverse[row].iter_mut().zip(&pivot) {
                *part -= along * pivot / ONE;
            }
        }
        self.basis[out] = pattern;
        true
    }

    /// What all pieces are worth at these prices, less the most that the remnants hold, over
    /// the most of each whole sheet.
    fn bound(&self, prices: &[i128], best: &[(SheetPattern, i128)], looks: &mut usize) -> i128 {
        let worth = |of: &PiecesAlike, price: &i128| of.pieces.len() as i128 * price;
        let mut needed: i128 = self.sizes.iter().zip(prices).map(|(of, p)| worth(of, p)).sum();
        for &(width, height) in &self.question.remnants {
            let Some(sheet) = self.most((width, height), prices, usize::MAX, looks) else {
                return 0;
            };
            needed -= sheet.pieces.iter().map(|piece| prices[piece.0]).sum::<i128>();
        }
        let whole = |(of, worth): &(SheetPattern, i128)| {
            let (width, height, _) = self.question.wholes[of.whole];
            (*worth, area(width, height))
        };
        least_area(needed, &best.iter().map(whole).collect::<Vec<_>>())
    }
}
