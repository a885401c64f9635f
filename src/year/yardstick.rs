//! What money everything counts, whatever the practice: the same measure for all.
//!
//! A new stick counts its list price. So does a whole stick on the rack; an offcut that
//! the shop keeps counts a share of the list price of its length, `spare` of the shop's
//! rules for buying, and anything shorter nothing. What an offcut is *said* to be worth
//! when cuts are planned is another thing: a practice may be wrong about it.

use super::customers::bench;
use crate::cutting::Bench;
use crate::measure::{Length, Rate, Worth};
use crate::shop::{Moulding, Shop, Stick};

/// The shop's own figures.
#[derive(Debug, Clone, Copy)]
pub(super) struct Yardstick<'a> {
    pub shop: &'a Shop,
}

impl Yardstick<'_> {
    /// What a new stick costs; nothing where the moulding has no price.
    pub fn price(&self, moulding: &str, length: Length) -> Worth {
        let moulding = self.shop.moulding(moulding);
        moulding.price.map_or(Worth(0), |_| rate(moulding).of(length))
    }

    /// What the rack counts.
    pub fn rack(&self, rack: &[Stick]) -> Worth {
        rack.iter().map(|stick| self.stick(stick)).sum()
    }

    fn stick(&self, stick: &Stick) -> Worth {
        let Bench { moulding, settings, .. } = bench(self.shop, &stick.moulding);
        let whole = self.price(&moulding.id, stick.length);
        if stick.length >= moulding.stick {
            return whole;
        }
        if stick.length < settings.keep {
            return Worth(0);
        }
        let share = i128::from(whole.0) * i128::from(settings.buying.spare) / 1_000_000;
        Worth(i64::try_from(share).unwrap_or(i64::MAX))
    }
}

pub(super) fn rate(moulding: &Moulding) -> Rate {
    let (amount, per) = moulding.rate();
    Rate { amount, per }
}
