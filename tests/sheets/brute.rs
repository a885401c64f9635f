//! Small weeks against every way to cut them, which shares no code with the search.

use std::collections::HashMap;

use longpoint::sheets::{SheetQuestion, area, faults};

use crate::mm;
use crate::shops::{Dice, keeping};

/// Every way to cut a rectangle from edge to edge at every millimetre.
struct EveryWay {
    pieces: Vec<(i64, i64, bool)>,
    known: HashMap<(u32, i64, i64), bool>,
}

impl EveryWay {
    /// Whether all pieces of a set can be cut from a rectangle.
    fn can(&mut self, set: u32, wide: i64, high: i64) -> bool {
        if set == 0 {
            return true;
        }
        if let Some(known) = self.known.get(&(set, wide, high)) {
            return *known;
        }
        let own = (0..self.pieces.len()).filter(|at| set >> at & 1 == 1);
        let area: i64 = own.map(|at| self.pieces[at].0 * self.pieces[at].1).sum();
        let can = area <= wide * high && self.tried(set, wide, high);
        self.known.insert((set, wide, high), can);
        can
    }

    fn tried(&mut self, set: u32, wide: i64, high: i64) -> bool {
        if set.count_ones() == 1 {
            let (width, height, turn) = self.pieces[set.trailing_zeros() as usize];
            return width <= wide && height <= high || turn && height <= wide && width <= high;
        }
        let mut part = (set - 1) & set;
        while part > 0 {
            for at in 1..wide {
                if self.can(part, at, high) && self.can(set & !part, wide - at, high) {
                    return true;
                }
            }
            for at in 1..high {
                if self.can(part, wide, at) && self.can(set & !part, wide, high - at) {
                    return true;
                }
            }
            part = (part - 1) & set;
        }
        false
    }

    /// The fewest whole sheets beside these remnants; `None` if a piece fits nowhere.
    fn fewest(&mut self, sheet: (i64, i64), remnants: &[(i64, i64)]) -> Option<usize> {
        let all = (1_usize << self.pieces.len()) - 1;
        // What the remnants hold together, set by set.
        let mut free = vec![false; all + 1];
        free[0] = true;
        for remnant in remnants {
            let before = free.clone();
            for (set, is_free) in free.iter_mut().enumerate() {
                let mut part = set;
                while part > 0 && !*is_free {
                    let set_of = |set: usize| u32::try_from(set).unwrap();
                    *is_free = before[set & !part] && self.can(set_of(part), remnant.0, remnant.1);
                    part = (part - 1) & set;
                }
            }
        }
        let mut least: Vec<Option<usize>> = free.iter().map(|free| free.then_some(0)).collect();
        for set in 1..=all {
            let mut part = set;
            while part > 0 {
                if let Some(before) = least[set & !part] {
                    if least[set].is_none_or(|least| before + 1 < least)
                        && self.can(u32::try_from(part).unwrap(), sheet.0, sheet.1)
                    {
                        least[set] = Some(before + 1);
                    }
                }
                part = (part - 1) & set;
            }
        }
        least[all]
    }
}

/// So many weeks of so many pieces: what all of them open together, what they must open, and
/// how many are proven.
fn together(pieces: usize, weeks: u64) -> (i128, i128, usize) {
    let (mut opened, mut fewest, mut proven) = (0, 0, 0);
    for seed in 0..weeks {
        let mut dice = Dice::new(seed * 31 + u64::try_from(pieces).unwrap());
        let sheet = (8 + dice.below(5), 6 + dice.below(5));
        let wanted: Vec<(i64, i64, bool)> = (0..pieces)
            .map(|_| (2 + dice.below(5), 2 + dice.below(4), dice.below(4) > 0))
            .collect();
        let remnants: Vec<(i64, i64)> =
            (0..dice.below(3)).map(|_| (2 + dice.below(5), 2 + dice.below(5))).collect();
        let question = SheetQuestion {
            rules: keeping(mm(2)),
            pieces: wanted.iter().map(|piece| (mm(piece.0), mm(piece.1), piece.2)).collect(),
            remnants: remnants.iter().map(|size| (mm(size.0), mm(size.1))).collect(),
            wholes: vec![(mm(sheet.0), mm(sheet.1), 0)],
        };
        let done = question.together(question.usual_tries());
        assert_eq!(faults(&question, &done), Vec::<String>::new(), "seed {seed}");
        let least = question.least_opened();
        let mut every = EveryWay { pieces: wanted, known: HashMap::new() };
        let Some(count) = every.fewest(sheet, &remnants) else {
            assert!(!done.without.is_empty(), "seed {seed}");
            continue;
        };
        let one = area(mm(sheet.0), mm(sheet.1));
        let count = i128::try_from(count).unwrap();
        assert!(done.without.is_empty() && least <= count * one, "seed {seed}: the bound is true");
        assert!(done.cost.opened >= count * one, "seed {seed}: nothing is better than the best");
        opened += done.cost.opened / one;
        fewest += count;
        proven += usize::from(done.cost.opened == least);
    }
    (opened, fewest, proven)
}

/// Within 2 % of the fewest sheets, over all small weeks together.
#[test]
fn small_weeks_are_within_two_per_cent_of_the_best() {
    for (pieces, weeks) in [(2, 200), (4, 200), (5, 150), (6, 100)] {
        let (opened, fewest, proven) = together(pieces, weeks);
        println!("{pieces} pieces: {opened} opened, {fewest} at least, {proven} proven");
        assert!(opened * 100 <= fewest * 102, "{pieces} pieces: {opened} for {fewest}");
    }
}
