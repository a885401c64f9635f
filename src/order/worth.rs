//! What a moulding counts today: one rate for all of it, wherever it comes from,
//! and what a stick of it counts that is left over or kept on the rack.
//!
//! # Why there is one rate for a moulding
//!
//! At the price of the offer that is chosen, what is left of a dear stick would count
//! more than of a cheap one, and the cheapest order would be the one with the dearest
//! offcuts. At the least for which it can be had today nothing that is bought ever
//! counts more than was paid for it.

use crate::buy::{sticks_in, unit_price};
use crate::cutting::{Bench, Source};
use crate::measure::{Length, Rate, Worth};
use crate::planner::offered::Supply;
use crate::shop::Shop;

/// A minor unit: what a stick for the rack counts less than it is worth, so that
/// none is bought which changes nothing.
const MINOR: i64 = 1000;

/// Millionths in a whole share.
const WHOLE: i128 = 1_000_000;

/// What a moulding counts.
#[derive(Debug, Clone, Copy)]
pub(super) struct LengthWorth {
    /// The least that a length of it costs today.
    full: Rate,
    /// The share of that which counts for what is left over.
    pub back: Rate,
    /// From which length on a stick is a whole one.
    whole_from: Length,
    /// The usual length of a stick.
    usual: Length,
}

impl LengthWorth {
    pub fn new(shop: &Shop, bench: &Bench, supplies: &[Supply]) -> LengthWorth {
        let moulding = bench.moulding;
        let (amount, per) = moulding.rate();
        let own = if moulding.price.is_some() { amount } else { Worth(0) };
        let mut full: Option<Rate> = None;
        let mut longest = None;
        for supply in supplies {
            let offer = &shop.offers[supply.offer];
            for piece in supply.pieces.iter().filter(|piece| !piece.halved) {
                longest = longest.max(Some(piece.length));
                let holds = piece.stick * i64::from(sticks_in(offer, piece.stick).max(1));
                for step in 0..=offer.steps.len() {
                    let (over, under) = unit_price(offer, step, piece.stick);
                    let rate = rate(over, under * i128::from(holds.nm()));
                    full = Some(full.map_or(rate, |known| known.lower(rate)));
                }
            }
        }
        let full = full.unwrap_or(Rate { amount: own, per });
        let share = i128::from(shop.settings.buying.spare);
        let back = rate(i128::from(full.amount.0) * share, i128::from(full.per.nm()) * WHOLE);
        let usual = moulding.stick;
        let whole_from = longest.map_or(usual, |longest: Length| longest.min(usual));
        LengthWorth { full, back, whole_from, usual }
    }

    /// What a stick or offcut of this length counts, in thousandths.
    pub fn of(&self, bench: &Bench, length: Length) -> i64 {
        bench.credit_at(self.back, 1).at(length.nm())
    }

    /// What a stick of this length costs today at the least.
    pub fn price(&self, length: Length) -> Worth {
        self.full.of(length)
    }

    /// Whether a stick of this length is a whole one, if nothing is wrong with it.
    pub fn is_long_enough(&self, length: Length) -> bool {
        length >= self.whole_from
    }

    /// Whether a stick of the rack is a whole one.
    pub fn is_whole(&self, source: &Source) -> bool {
        source.flaws.is_empty() && self.is_long_enough(source.length)
    }

    /// How much more a whole stick of this length counts if it is for the rack.
    pub fn more(&self, bench: &Bench, length: Length) -> i64 {
        self.full.of(length.min(self.usual)).0 - MINOR - self.of(bench, length)
    }
}

/// So many thousandths over so many nanometres, in lowest terms; where these are
/// too large for a rate, rounded down.
fn rate(mut over: i128, mut under: i128) -> Rate {
    let (mut a, mut b) = (over, under);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    (over, under) = (over / a.max(1), under / a.max(1));
    loop {
        if let (Ok(amount), Ok(per)) = (i64::try_from(over), i64::try_from(under)) {
            return Rate { amount: Worth(amount), per: Length::from_nm(per.max(1)) };
        }
        (over, under) = (over / 2, (under + 1) / 2);
    }
}
