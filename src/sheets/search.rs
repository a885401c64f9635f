//! The week's pieces together: many orders tried, the best kept.
//!
//! # Why orders, and not patterns
//!
//! In a framing shop nearly every size is wanted once. Patterns that may repeat a size do
//! not help then; an order of pieces, put one after the other where they fit tightest, gives
//! a layout at once, and a neighbour of a good order is often better still. It is never worse
//! than the habit, since the habit's own layout is among those compared. Where many are of one
//! size after all, sheets cut alike (`patterns`) are compared as well.

use super::breakdown::{Breakdown, Departure, SheetQuestion, Turn};
use super::pane::area;

/// How many orders are tried: our own figure, see `benches/RESULTS.md`.
const TRIED: usize = 5_000;
/// Fewer where a walk is long: so many looks at a pane in all.
const LOOKS: usize = 50_000_000;

/// An order from which the search begins.
#[derive(Debug, Clone, Copy)]
enum StartOrder {
    AsTheyCome,
    LargestFirst,
    LongestFirst,
}

/// Numbers without a pattern, the same each time (Marsaglia, "Xorshift RNGs", 2003; from
/// memory).
pub(super) struct Xorshift(u64);

impl Xorshift {
    pub(super) const fn new() -> Xorshift {
        Xorshift(0x9E37_79B9_7F4A_7C15)
    }

    pub(super) fn below(&mut self, bound: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from((self.0 >> 33) % bound as u64).expect("below a bound")
    }
}

impl SheetQuestion {
    /// The habit: each piece as it comes, from the tightest remnant that it fits into, cut
    /// so that the largest stays; what is not worth keeping is thrown away as it falls. Of what
    /// is never cut, those that may not be turned come first.
    pub fn by_habit(&self) -> Breakdown {
        let mut turns = self.as_they_come();
        if self.rules.made_to_size {
            turns.sort_by_key(|turn| self.pieces[turn.piece].2);
        }
        self.walk(&turns, false)
    }

    /// The best of so many orders and of sheets cut alike, and never worse than the habit.
    pub fn together(&self, tries: usize) -> Breakdown {
        let mut best = self.in_orders(tries);
        for alike in self.sheets_alike() {
            let found = self.with_rest(alike);
            if found.cost < best.cost {
                best = found;
            }
        }
        self.anew(best, tries)
    }

    /// The best of so many orders, and never worse than the habit.
    pub(super) fn in_orders(&self, tries: usize) -> Breakdown {
        let mut best = self.by_habit();
        if self.pieces.is_empty() {
            return best;
        }
        let mut turns = self.as_they_come();
        let mut start: Option<(Breakdown, Vec<Turn>)> = None;
        for by in [StartOrder::AsTheyCome, StartOrder::LargestFirst, StartOrder::LongestFirst] {
            turns.sort_by_key(|turn| (self.rank(turn, by), turn.piece));
            let found = self.walk(&turns, true);
            if start.as_ref().is_none_or(|(least, _)| found.cost < least.cost) {
                start = Some((found, turns.clone()));
            }
        }
        let Some((mut least, mut order)) = start else { return best };
        let mut dice = Xorshift::new();
        let (mut since, patience) = (0, 60 * self.pieces.len().max(8));
        let (mut at, mut at_cost) = (order.clone(), least.cost);
        for _ in 0..tries {
            let mut other = at.clone();
            self.change(&mut other, &mut dice);
            let found = self.walk(&other, true);
            since += 1;
            if found.cost <= at_cost {
                if found.cost < at_cost {
                    since = 0;
                }
                (at, at_cost) = (other, found.cost);
            }
            if at_cost < least.cost {
                (least, order) = (self.walk(&at, true), at.clone());
            }
            if since > patience {
                // Nothing nearby is better: a few steps away from the best, and on from there.
                at = order.clone();
                for _ in 0..2 + dice.below(6) {
                    self.change(&mut at, &mut dice);
                }
                (at_cost, since) = (self.walk(&at, true).cost, 0);
            }
        }
        if least.cost < best.cost {
            best = least;
        }
        best
    }

    /// How many orders a week is given.
    pub fn usual_tries(&self) -> usize {
        let pieces = self.pieces.len().max(1);
        TRIED.min(LOOKS / (pieces * (pieces + self.remnants.len())))
    }

    fn as_they_come(&self) -> Vec<Turn> {
        let turn = |piece| Turn { piece, departs: Departure::default() };
        (0..self.pieces.len()).map(turn).collect()
    }

    /// Where a piece stands in an order to begin with.
    fn rank(&self, turn: &Turn, by: StartOrder) -> i128 {
        let (width, height, _) = self.pieces[turn.piece];
        match by {
            StartOrder::AsTheyCome => 0,
            StartOrder::LargestFirst => -area(width, height),
            StartOrder::LongestFirst => -i128::from(width.max(height).nm()),
        }
    }

    /// One small change of an order.
    fn change(&self, turns: &mut [Turn], dice: &mut Xorshift) {
        let count = turns.len();
        let at = dice.below(count);
        match dice.below(8) {
            0..3 => {
                let to = dice.below(count);
                turns.swap(at, to);
            }
            3..5 => {
                let to = dice.below(count);
                match at < to {
                    true => turns[at..=to].rotate_left(1),
                    false => turns[to..=at].rotate_right(1),
                }
            }
            5 => turns[at].departs.pane = u8::from(dice.below(3) == 0) * (1 + dice.below(2) as u8),
            _ => turns[at].departs.way = dice.below(4) as u8,
        }
    }
}
