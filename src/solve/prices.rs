//! Dual values in fixed point: what a piece is worth, what a unit costs beside.

use super::instance::Instance;
use super::layout::Contents;

/// Prices in fixed point: `scale` stands for one unit of cost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Prices {
    pub scale: i64,
    /// What a piece of each type is worth, never negative.
    pub piece: Vec<i64>,
    /// What a unit of each kind costs beside its net cost, never negative.
    pub charge: Vec<i64>,
    /// What a pattern pays for each time that a cut counts it, never negative.
    pub cut: Vec<i64>,
    /// Whether net costs count at all; without them prices speak of
    /// feasibility alone.
    pub costs: bool,
}

/// No pattern's pieces are worth more together, so that sums stay within 64 bits.
const MOST_WORTH: i128 = 1 << 62;

impl Prices {
    /// The same, no piece worth more than its length's share of the most that a
    /// pattern may be worth. Whatever prices there are prove a bound; only where
    /// they would be an error of the numbers do these prove less.
    pub fn within_reach(mut self, instance: &Instance) -> Prices {
        let room = instance.kinds.iter().map(|kind| kind.room).max().unwrap_or(0).max(1);
        for (price, piece) in self.piece.iter_mut().zip(&instance.types) {
            let most = MOST_WORTH * i128::from(piece.length) / i128::from(room);
            *price = (*price).min(i64::try_from(most).unwrap_or(i64::MAX));
        }
        self
    }

    /// What the kind costs when `cost` is its net cost.
    pub fn paid(&self, kind: usize, cost: i64) -> i64 {
        let cost = if self.costs { self.scale.saturating_mul(cost) } else { 0 };
        self.charge[kind].saturating_add(cost)
    }

    /// What cuts take off the worth of everything that is wanted.
    pub fn cut_worth(&self, instance: &Instance, wanted: &[u32]) -> i128 {
        let cuts = instance.cuts.iter().zip(&self.cut);
        cuts.map(|(cut, &price)| i128::from(cut.most(wanted)) * i128::from(price)).sum()
    }

    /// What a pattern of these pieces pays for cuts.
    pub fn cut_paid(&self, instance: &Instance, pieces: &Contents) -> i64 {
        let cuts = instance.cuts.iter().zip(&self.cut);
        cuts.map(|(cut, &price)| i64::from(cut.times(pieces)) * price).sum()
    }
}
