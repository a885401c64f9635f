//! A few sheets of a layout taken up again, and their pieces cut anew together.
//!
//! # Why a few at a time
//!
//! Of fifty pieces nearly every small change of their order spoils what stood well, so a search
//! over all of them stops a sheet or two above the least. Two to four sheets have so few pieces
//! that their orders are gone through quickly, and what is left of one grows at the cost of the
//! others, since one large remnant is worth more than two halves, until it is not opened at all
//! (P. Shaw, "Using constraint programming and local search methods to solve vehicle routing
//! problems", 1998, has the idea: take a part away and put it back better).

use super::breakdown::{Breakdown, BrokenSheet, SheetFrom, SheetQuestion};
use super::pane::{Pane, area};
use super::search::Xorshift;

/// So many sheets are taken up together, from the first to the second figure.
const FEWEST: usize = 2;
const MOST: usize = 4;
/// So many orders of their pieces are tried each time.
const ORDERS: usize = 250;
/// So often for each sheet, up to so many sheets; of a list that wants many more most are cut
/// alike. Our own figures, see `benches/RESULTS.md`.
const EACH: usize = 12;
const COUNTED: usize = 25;
const SHEETS: usize = 150;

impl SheetQuestion {
    /// This layout, or a better one with a few sheets at a time cut anew, as long as one sheet
    /// fewer might do. With fewer tries than usual it is done less often.
    pub(super) fn anew(&self, mut best: Breakdown, tries: usize) -> Breakdown {
        let count = best.sheets.len();
        let usual = self.usual_tries().max(1);
        let times = EACH * count.min(COUNTED) * tries.min(usual) / usual;
        let mut dice = Xorshift::new();
        for _ in 0..if count > SHEETS { 0 } else { times } {
            if best.sheets.len() <= FEWEST || !self.might_do_with_less(&best) {
                break;
            }
            let (again, stay) = picked(&best, &mut dice);
            let found = self.cut_again(again, stay, &best.without);
            if found.cost <= best.cost {
                best = found;
            }
        }
        best
    }

    /// Whether the area of the pieces leaves room for a whole sheet less.
    fn might_do_with_less(&self, of: &Breakdown) -> bool {
        let held = of.sheets.iter().flat_map(|sheet| &sheet.pieces);
        let pieces: i128 = held.map(|piece| piece.1.area()).sum();
        let sheet = |sheet: &BrokenSheet| area(sheet.size.0, sheet.size.1);
        let all: i128 = of.sheets.iter().map(sheet).sum();
        let wholes = of.sheets.iter().filter(|sheet| !matches!(sheet.from, SheetFrom::Remnant(_)));
        wholes.map(sheet).min().is_some_and(|least| pieces <= all - least)
    }

    /// What these sheets held, cut anew beside those that stay.
    fn cut_again(
        &self,
        again: Vec<BrokenSheet>,
        stay: Vec<BrokenSheet>,
        without: &[usize],
    ) -> Breakdown {
        let held = again.iter().flat_map(|sheet| &sheet.pieces).map(|piece| piece.0);
        let mut numbers: Vec<usize> = held.chain(without.iter().copied()).collect();
        numbers.sort_unstable();
        let mut wholes = self.wholes.clone();
        for sheet in &stay {
            if let SheetFrom::Whole(at) = sheet.from {
                wholes[at].2 -= 1;
            }
        }
        // Of the remnants those that they were cut from: a rack may hold a hundred.
        let own = again.iter().filter_map(|sheet| match sheet.from {
            SheetFrom::Remnant(at) => Some(at),
            _ => None,
        });
        let mut free: Vec<usize> = own.collect();
        free.sort_unstable();
        let few = SheetQuestion {
            rules: self.rules,
            pieces: numbers.iter().map(|number| self.pieces[*number]).collect(),
            remnants: free.iter().map(|at| self.remnants[*at]).collect(),
            wholes,
        };
        let mut done = few.in_orders(ORDERS);
        for sheet in &mut done.sheets {
            sheet.pieces.iter_mut().for_each(|piece| piece.0 = numbers[piece.0]);
            if let SheetFrom::Remnant(at) = &mut sheet.from {
                *at = free[*at];
            }
        }
        done.without.iter_mut().for_each(|number| *number = numbers[*number]);
        done.sheets.splice(0..0, stay);
        self.take_what_stands(&mut done.sheets);
        done.cost = self.cost(&done);
        done
    }

    /// Nothing is bought as long as a sheet of that size stands there.
    fn take_what_stands(&self, sheets: &mut [BrokenSheet]) {
        let mut there: Vec<u32> = self.wholes.iter().map(|whole| whole.2).collect();
        for sheet in sheets.iter() {
            if let SheetFrom::Whole(at) = sheet.from {
                there[at] -= 1;
            }
        }
        for sheet in sheets {
            if let SheetFrom::ToBuy(at) = sheet.from
                && there[at] > 0
            {
                there[at] -= 1;
                sheet.from = SheetFrom::Whole(at);
            }
        }
    }
}

/// A few sheets of a layout, every second time with the one of which most is left, and the
/// others.
fn picked(of: &Breakdown, dice: &mut Xorshift) -> (Vec<BrokenSheet>, Vec<BrokenSheet>) {
    let mut stay = of.sheets.clone();
    let count = (FEWEST + dice.below(MOST - FEWEST + 1)).min(stay.len());
    let mut again = Vec::with_capacity(count);
    if dice.below(2) == 0 {
        let left = |sheet: &BrokenSheet| sheet.left.iter().map(Pane::area).max();
        let emptiest = (0..stay.len()).max_by_key(|at| left(&stay[*at]));
        again.extend(emptiest.map(|at| stay.remove(at)));
    }
    while again.len() < count {
        again.push(stay.remove(dice.below(stay.len())));
    }
    (again, stay)
}
