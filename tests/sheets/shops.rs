//! Made-up pieces and weeks, the same each time.

use longpoint::measure::Length;
use longpoint::sheets::{Breakdown, SheetFrom, SheetQuestion};
use longpoint::shop::{Parting, SheetRules};

/// Numbers without a pattern.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Dice {
        let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        for _ in 0..8 {
            dice.below(2);
        }
        dice
    }

    pub fn below(&mut self, bound: i64) -> i64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        i64::try_from((self.0 >> 33) % u64::try_from(bound).unwrap()).unwrap()
    }
}

/// So many quarters of an inch.
pub fn quarters(count: i64) -> Length {
    Length::from_64ths(16 * count)
}

pub fn inches(count: i64) -> Length {
    quarters(4 * count)
}

/// Rules that keep what is at least so large.
pub fn keeping(keep: Length) -> SheetRules {
    SheetRules { keep, keep_long: keep, parting: Some(Parting::Knife), ..SheetRules::default() }
}

/// The sizes of the trade and how often each comes: our own guess, from 5 x 7 to 30 x 40 and
/// mostly 8 x 10, 11 x 14 and 16 x 20.
const SIZES: [(i64, i64, i64); 12] = [
    (5, 7, 1),
    (8, 10, 4),
    (9, 12, 1),
    (11, 14, 4),
    (12, 16, 2),
    (16, 20, 4),
    (18, 24, 2),
    (20, 24, 1),
    (20, 30, 1),
    (24, 30, 1),
    (24, 36, 1),
    (30, 40, 1),
];

/// The pieces of a week: six of ten of an odd size, an inch about a usual one at the most.
pub fn week(dice: &mut Dice, jobs: usize) -> Vec<(Length, Length, bool)> {
    let all: i64 = SIZES.iter().map(|size| size.2).sum();
    let mut pieces = Vec::new();
    for _ in 0..jobs {
        let mut at = dice.below(all);
        let mut sizes = SIZES.iter();
        let size = loop {
            let size = sizes.next().unwrap();
            if at < size.2 {
                break size;
            }
            at -= size.2;
        };
        let (mut width, mut height) = (4 * size.0, 4 * size.1);
        if dice.below(10) < 6 {
            width = (width + dice.below(9) - 4).min(120);
            height = (height + dice.below(9) - 4).min(160);
        }
        pieces.push((quarters(width), quarters(height), true));
    }
    pieces
}

/// The remnants that stand there afterwards.
pub fn rack_after(question: &SheetQuestion, done: &Breakdown) -> Vec<(Length, Length)> {
    let taken: Vec<usize> = done
        .sheets
        .iter()
        .filter_map(|sheet| match sheet.from {
            SheetFrom::Remnant(at) => Some(at),
            _ => None,
        })
        .collect();
    let left = question.remnants.iter().enumerate().filter(|(at, _)| !taken.contains(at));
    let left = left.map(|(_, size)| *size);
    let new = done.sheets.iter().flat_map(|sheet| &sheet.left);
    let kept = new.filter(|pane| question.rules.keeps(pane.width, pane.height));
    left.chain(kept.map(|pane| (pane.width, pane.height))).collect()
}
