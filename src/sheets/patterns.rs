//! Sheets cut alike: where many pieces are of few sizes, the best single sheet again and again,
//! and the search for the rest.
//!
//! # Why the rest is left to the search
//!
//! A sheet that holds the most says nothing of the last few pieces. So a pattern is taken as
//! often as there are pieces for it, at least twice; the size of which there are too few for
//! that is left to the search with all its like.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::measure::Length;

use super::breakdown::{Breakdown, BrokenSheet, SheetFrom, SheetQuestion};
use super::most::{WantedSize, most_within};
use super::pane::area;

/// Of so many sizes at the most, those that are wanted oftenest.
const SIZES: usize = 8;
/// So many looks at a cut for one pattern, and for all of them.
const LOOKS_EACH: usize = 20_000_000;
const LOOKS: usize = 200_000_000;
/// A part of the usual tries is enough for the rest.
const REST: usize = 4;

/// What the best sheet is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum PatternAim {
    /// The one with most of the largest size, then with the largest area of pieces.
    LargestFirst,
    /// The one with the largest area of pieces.
    Area,
}

/// Pieces alike, by number.
#[derive(Debug, Clone, PartialEq, Eq)]
struct PiecesAlike {
    width: Length,
    height: Length,
    turn: bool,
    pieces: Vec<usize>,
}

impl SheetQuestion {
    /// Sheets to begin with, in each of several ways; none if no sheet would be cut twice
    /// alike.
    pub(super) fn sheets_alike(&self) -> Vec<Vec<BrokenSheet>> {
        let all: Vec<usize> = (0..self.pieces.len()).collect();
        let mut asked = vec![all];
        if !self.remnants.is_empty() {
            // What the remnants hold needs no sheet.
            let remnants = SheetQuestion { wholes: Vec::new(), ..self.clone() };
            asked.push(remnants.by_habit().without);
        }
        let mut ways: Vec<Vec<BrokenSheet>> = Vec::new();
        for (asked, aim) in asked
            .iter()
            .flat_map(|asked| [PatternAim::LargestFirst, PatternAim::Area].map(|aim| (asked, aim)))
        {
            let sheets = self.repeated(asked, aim);
            if !sheets.is_empty() && !ways.contains(&sheets) {
                ways.push(sheets);
            }
        }
        ways
    }

    /// These sheets, and the rest as the search cuts it.
    pub(super) fn with_rest(&self, sheets: Vec<BrokenSheet>) -> Breakdown {
        let mut is_cut = vec![false; self.pieces.len()];
        let mut wholes = self.wholes.clone();
        for sheet in &sheets {
            sheet.pieces.iter().for_each(|piece| is_cut[piece.0] = true);
            if let SheetFrom::Whole(at) = sheet.from {
                wholes[at].2 -= 1;
            }
        }
        let left: Vec<usize> = (0..is_cut.len()).filter(|number| !is_cut[*number]).collect();
        let pieces = left.iter().map(|number| self.pieces[*number]).collect();
        let rest =
            SheetQuestion { rules: self.rules, pieces, remnants: self.remnants.clone(), wholes };
        let mut done = rest.in_orders(rest.usual_tries() / REST);
        for sheet in &mut done.sheets {
            sheet.pieces.iter_mut().for_each(|piece| piece.0 = left[piece.0]);
        }
        done.without.iter_mut().for_each(|number| *number = left[*number]);
        done.sheets.splice(0..0, sheets);
        done.cost = self.cost(&done);
        done
    }

    /// The best sheet as often as there are pieces for it, then the best for the others, until
    /// no sheet would be cut twice.
    fn repeated(&self, asked: &[usize], aim: PatternAim) -> Vec<BrokenSheet> {
        let mut there: Vec<u32> = self.wholes.iter().map(|whole| whole.2).collect();
        let mut sizes = self.often(asked);
        let (mut sheets, mut looks) = (Vec::new(), LOOKS);
        while !sizes.is_empty() {
            let Some((at, pattern)) = self.pattern(&sizes, &there, aim, &mut looks) else {
                sizes.remove(0);
                continue;
            };
            let mut used = vec![0; sizes.len()];
            pattern.pieces.iter().for_each(|piece| used[piece.0] += 1);
            let fits = used.iter().enumerate().filter(|(_, used)| **used > 0);
            let fits = fits.map(|(size, used)| (sizes[size].pieces.len() / used, Reverse(size)));
            let Some((times, Reverse(scarce))) = fits.min() else { break };
            if times < 2 {
                sizes.remove(scarce);
                continue;
            }
            let stands = there[at] as usize;
            let times = if stands == 0 { times } else { times.min(stands) };
            for _ in 0..times {
                sheets.push(self.filled(at, stands > 0, &pattern, &mut sizes));
            }
            there[at] -= if stands == 0 { 0 } else { times as u32 };
            sizes.retain(|size| !size.pieces.is_empty());
        }
        sheets
    }

    /// The sizes that are wanted several times, the largest first.
    fn often(&self, asked: &[usize]) -> Vec<PiecesAlike> {
        let mut alike: BTreeMap<(Length, Length, bool), Vec<usize>> = BTreeMap::new();
        for number in asked {
            let (width, height, turn) = self.pieces[*number];
            let size = if turn { (width.min(height), width.max(height)) } else { (width, height) };
            alike.entry((size.0, size.1, turn)).or_default().push(*number);
        }
        let mut sizes: Vec<PiecesAlike> = alike
            .into_iter()
            .filter(|(_, pieces)| pieces.len() > 1)
            .map(|((width, height, turn), mut pieces)| {
                // The first of them is taken first.
                pieces.reverse();
                PiecesAlike { width, height, turn, pieces }
            })
            .collect();
        sizes.sort_by_key(|size| Reverse(size.pieces.len()));
        sizes.truncate(SIZES);
        sizes.sort_by_key(|size| Reverse(area(size.width, size.height)));
        sizes
    }

    /// The best whole sheet for these sizes, its pieces numbered as they are: of one that
    /// stands there, then the one that wastes least. `None` if none holds any.
    fn pattern(
        &self,
        sizes: &[PiecesAlike],
        there: &[u32],
        aim: PatternAim,
        looks: &mut usize,
    ) -> Option<(usize, BrokenSheet)> {
        let mut best: Option<((bool, i128, i128), usize, BrokenSheet)> = None;
        for (at, &(width, height, _)) in self.wholes.iter().enumerate() {
            let whole = area(width, height);
            let mut wanted: Vec<WantedSize> = sizes
                .iter()
                .map(|size| WantedSize {
                    width: size.width,
                    height: size.height,
                    turn: size.turn,
                    value: area(size.width, size.height),
                })
                .collect();
            if aim == PatternAim::LargestFirst {
                wanted[0].value += whole;
            }
            let mut cut = |wanted: &[WantedSize]| {
                let mut within = LOOKS_EACH.min(*looks);
                let before = within;
                let found = most_within((width, height), wanted, &self.rules, &mut within);
                *looks -= before - within;
                found
            };
            // With too many places for cuts, the largest size alone.
            let found = cut(&wanted).or_else(|| cut(&wanted[..1]));
            let Some(sheet) = found.filter(|sheet| !sheet.pieces.is_empty()) else { continue };
            let held: i128 = sheet.pieces.iter().map(|piece| piece.1.area()).sum();
            let waste = (whole - held) / (whole / 1_000_000).max(1);
            let merit = (there[at] == 0, waste, whole);
            if best.as_ref().is_none_or(|(least, ..)| merit < *least) {
                best = Some((merit, at, sheet));
            }
        }
        best.map(|(_, at, sheet)| (at, sheet))
    }

    /// A sheet cut by a pattern, with the next pieces of each size.
    fn filled(
        &self,
        at: usize,
        stands: bool,
        pattern: &BrokenSheet,
        sizes: &mut [PiecesAlike],
    ) -> BrokenSheet {
        let from = if stands { SheetFrom::Whole(at) } else { SheetFrom::ToBuy(at) };
        let mut sheet = BrokenSheet { from, ..pattern.clone() };
        for (number, pane, turned) in &mut sheet.pieces {
            if let Some(piece) = sizes[*number].pieces.pop() {
                let (width, height, _) = self.pieces[piece];
                (*number, *turned) = (piece, (pane.width, pane.height) != (width, height));
            }
        }
        sheet
    }
}
