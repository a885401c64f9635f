//! Sheets cut alike: where many pieces are of few sizes, the whole sheets of their cheapest mix,
//! and the search for the rest.
//!
//! # Why the rest is left to the search
//!
//! A mix says nothing of the last few pieces, of which it would cut a part of a sheet. So its
//! sheets are cut as often as they are whole in it, and then once more each, those first of
//! which most is left, as long as there are pieces for all of it. What is over, and every size
//! that is wanted once, is searched for.

use std::cmp::Reverse;

use super::breakdown::{Breakdown, BrokenSheet, SheetFrom, SheetQuestion};
use super::mix::{PiecesAlike, SheetPattern};

/// So many looks at a cut for the mix.
const LOOKS: usize = 200_000_000;
/// A part of the usual tries is enough for the rest.
const REST: usize = 4;

impl SheetQuestion {
    /// Sheets to begin with, in each of several ways; none if no sheet would be cut alike.
    pub(super) fn sheets_alike(&self) -> Vec<Vec<BrokenSheet>> {
        let asked = match self.remnants.is_empty() {
            true => (0..self.pieces.len()).collect(),
            // What the remnants hold needs no sheet.
            false => SheetQuestion { wholes: Vec::new(), ..self.clone() }.by_habit().without,
        };
        let ways = self.mixed(&asked, LOOKS).map(|(patterns, sizes)| self.rounded(patterns, sizes));
        let mut ways: Vec<_> = ways.into_iter().flatten().collect();
        ways.retain(|sheets| !sheets.is_empty());
        ways.dedup();
        ways
    }

    /// The whole sheets of a mix, and those with further ones of which most were to be cut.
    fn rounded(
        &self,
        mut patterns: Vec<SheetPattern>,
        mut sizes: Vec<PiecesAlike>,
    ) -> [Vec<BrokenSheet>; 2] {
        let mut there: Vec<u32> = self.wholes.iter().map(|whole| whole.2).collect();
        let mut sheets = Vec::new();
        let mut take = |pattern: &SheetPattern, sizes: &mut [PiecesAlike], sheets: &mut Vec<_>| {
            let mut all = pattern.held.iter().zip(&*sizes);
            let is_left = all.all(|(held, size)| *held <= size.pieces.len() as i128);
            if is_left {
                let stands = there[pattern.whole] > 0;
                there[pattern.whole] -= u32::from(stands);
                sheets.push(self.filled(pattern.whole, stands, &pattern.sheet, sizes));
            }
            is_left
        };
        for pattern in &patterns {
            for _ in 0..pattern.whole_times() {
                if !take(pattern, &mut sizes, &mut sheets) {
                    break;
                }
            }
        }
        let whole = sheets.clone();
        patterns.sort_by_key(|pattern| Reverse(pattern.part()));
        for pattern in &patterns {
            take(pattern, &mut sizes, &mut sheets);
        }
        [whole, sheets]
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
