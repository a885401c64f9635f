//! What may be bought of a moulding beyond need.
//!
//! Sticks that are bought and cut for nobody fill the rack up to what is kept on it, or
//! up to what the shop uses of the moulding in the months that it covers, and are never
//! more than so many. More than that is bought from a supplier only where nothing costs
//! less that has what is cut of theirs and kept: a box where they sell no single stick
//! for less, a price step that makes the whole cheaper.
//!
//! # Why what is cut says what is needed
//!
//! What arrives is cut so that it counts most afterwards (`split_packings`), so a
//! purchase says by itself what of it is beyond need, and a way is within the limit or
//! is none. A way of which that is not known yet is one that nobody knows how to make:
//! it counts for the bound and is never chosen.

use std::collections::BTreeMap;

use super::choices::{SoldOffer, arriving};
use super::finish::{Bought, bought};
use super::wants::Wants;
use super::ways::MouldingWays;

/// More purchases than this are not compared for what is needed; then it is taken to
/// cost as little as can be.
const MOST_COMPARED: usize = 100_000;

/// Thousandths in one.
const FINE: u64 = 1000;

/// How many sticks of a moulding may be bought beyond need.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct BeyondLimit {
    /// Up to so many whole sticks on the rack.
    cover: u32,
    /// Never more than so many.
    most: u32,
}

impl BeyondLimit {
    pub fn new(wants: &Wants) -> BeyondLimit {
        let buying = &wants.shop.settings.buying;
        let used = u64::from(wants.moulding.monthly.unwrap_or(0));
        let cover = used * u64::from(buying.cover_months) / (FINE * FINE);
        BeyondLimit { cover: u32::try_from(cover).unwrap_or(u32::MAX), most: buying.beyond_most }
    }

    /// No limit at all.
    pub const NONE: BeyondLimit = BeyondLimit { cover: u32::MAX, most: u32::MAX };

    /// The most that may ever be bought beyond need and for no less money.
    pub fn spare(self) -> u32 {
        self.cover.min(self.most)
    }
}

impl MouldingWays<'_> {
    /// Whether a way, cut as it is known to be, buys no more beyond need than it may.
    pub fn is_within_limit(&self, case: usize, record: usize, picks: &[u32]) -> bool {
        let arrive: u32 = arriving(&self.pieces, &self.sold, picks).iter().sum();
        let cut: u32 = self.cases[case].record(record).cut.iter().sum();
        if self.limit == BeyondLimit::NONE || arrive == cut {
            return true;
        }
        let bought = bought(self, case, record, picks);
        let spare: u32 = bought.iter().map(|of| of.pieces - of.cut - of.restock).sum();
        if spare == 0 {
            return true;
        }
        let idle: u32 = bought.iter().map(|of| of.pieces - of.cut).sum();
        let rack = self.cases[case].record(record).rack_left_of(&self.wants).len();
        let whole = idle.saturating_add(u32::try_from(rack).unwrap_or(u32::MAX));
        idle <= self.limit.most && whole <= self.limit.cover || self.is_cheapest(&bought, picks)
    }

    /// Whether what is bought from each supplier who has something left over could be had
    /// from them for no less.
    fn is_cheapest(&self, bought: &[Bought], picks: &[u32]) -> bool {
        // For each supplier what is needed by kind, and how much is left over.
        let mut needed: BTreeMap<usize, (Vec<u32>, u32)> = BTreeMap::new();
        let mut paid: BTreeMap<usize, i64> = BTreeMap::new();
        let chosen = self.sold.iter().zip(picks).map(|(sold, &at)| &sold.choices[at as usize]);
        let mut sellers = BTreeMap::new();
        for (choice, goods) in chosen.filter_map(|choice| Some((choice, choice.goods?))) {
            *paid.entry(goods.supplier).or_default() += goods.cost;
            sellers.insert(choice.supply, goods.supplier);
        }
        for of in bought {
            let none = || (vec![0; self.pieces.kinds.len()], 0);
            let (kinds, spare) = needed.entry(sellers[&of.supply]).or_insert_with(none);
            kinds[of.kind] += of.cut + of.restock;
            *spare += of.pieces - of.cut - of.restock;
        }
        let mut needed = needed.into_iter().filter(|(_, (_, spare))| *spare > 0);
        needed.all(|(seller, (kinds, _))| {
            let least = self.least_goods(seller, kinds);
            least.is_none_or(|least| paid[&seller] <= least)
        })
    }

    /// The least price of goods at which a supplier has so many of each kind; `None`
    /// where there are too many purchases to compare.
    fn least_goods(&self, seller: usize, kinds: Vec<u32>) -> Option<i64> {
        let key = (seller, kinds);
        let known = || self.least_goods.lock().expect("nobody panics with it");
        if let Some(least) = known().get(&key) {
            return *least;
        }
        let is_theirs = |sold: &&SoldOffer| {
            let mut goods = sold.choices.iter().filter_map(|choice| choice.goods);
            goods.next().is_some_and(|goods| goods.supplier == seller)
        };
        let least = least(self.sold.iter().filter(is_theirs), &key.1);
        known().insert(key, least);
        least
    }
}

/// One offer after another is chosen from, and of what lacks the same the cheapest is
/// kept.
fn least<'a>(sold: impl Iterator<Item = &'a SoldOffer>, kinds: &[u32]) -> Option<i64> {
    let mut lacking = BTreeMap::from([(kinds.to_vec(), 0_i64)]);
    let mut compared = 0;
    for sold in sold {
        compared += lacking.len() * sold.choices.len();
        if compared > MOST_COMPARED {
            return None;
        }
        let mut next: BTreeMap<Vec<u32>, i64> = BTreeMap::new();
        for (lacks, cost) in &lacking {
            for choice in &sold.choices {
                let mut lacks = lacks.clone();
                for (kind, count) in &choice.pieces {
                    lacks[*kind] = lacks[*kind].saturating_sub(*count);
                }
                let cost = cost + choice.goods.map_or(0, |goods| goods.cost);
                let known = next.entry(lacks).or_insert(cost);
                *known = (*known).min(cost);
            }
        }
        lacking = next;
    }
    lacking.get(&vec![0; kinds.len()]).copied()
}
