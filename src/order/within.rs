//! Whether a way buys no more beyond need than it may (`limit`).

use std::collections::{BTreeMap, BTreeSet};

use super::choices::{SoldOffer, arriving};
use super::finish::cut_of_each;
use super::limit::BeyondLimit;
use super::split_packings::KnownPacking;
use super::ways::MouldingWays;

/// More purchases than this are not compared for what is needed; then it is taken to
/// cost as little as can be.
const MOST_COMPARED: usize = 100_000;

/// What is bought of one supplier: so many of each kind, and what that costs.
type BoughtOf = (Vec<u32>, i64);

impl MouldingWays<'_> {
    /// How a way is cut best, as far as is known, where that is within the limit, and
    /// what it uses up.
    pub fn best_within(
        &self,
        case: usize,
        known: &KnownPacking,
        picks: &[u32],
    ) -> Option<(usize, i64)> {
        let (_, used_up) = known.best?;
        let some = arriving(&self.pieces, &self.sold, picks);
        let of = (&self.wants, &self.pieces, &self.kept);
        let mut all = self.cases[case].as_good(of, &some, known);
        let record = all.find(|record| self.is_within_limit(case, *record, picks))?;
        Some((record, used_up))
    }

    /// Whether a way, cut as in a packing, buys no more beyond need than it may.
    fn is_within_limit(&self, case: usize, place: usize, picks: &[u32]) -> bool {
        if self.limit == BeyondLimit::NONE {
            return true;
        }
        let some = arriving(&self.pieces, &self.sold, picks);
        let record = self.cases[case].record(place);
        let beyond = some.iter().sum::<u32>().saturating_sub(record.cut.iter().sum());
        let left = record.rack_left_of(&self.wants).len();
        if beyond <= self.limit.beside(left) {
            return true;
        }
        let cut = cut_of_each(self, case, place, picks);
        let lacking = self.limit.lacking(left);
        let needed: Vec<(usize, u32)> =
            cut.into_iter().map(|(seller, cut)| (seller, cut.saturating_add(lacking))).collect();
        let bought = self.bought_of(picks);
        let is_cheapest =
            |(seller, needed): &(usize, u32)| self.is_cheapest(*seller, &bought[seller], *needed);
        if !needed.iter().all(is_cheapest) {
            return false;
        }
        // What the rack lacks of one supplier's it does not lack of another's.
        let kept = |(seller, needed): &(usize, u32)| {
            let least = self.least_needed(*seller, &bought[seller], *needed);
            (least + lacking).saturating_sub(*needed)
        };
        needed.len() == 1 || needed.iter().map(kept).sum::<u32>() <= lacking
    }

    /// Whether a way that is not within the limit as it is known to be cut might be if it
    /// were cut as well otherwise.
    pub fn may_be_within(&self, case: usize, known: &KnownPacking, picks: &[u32]) -> bool {
        let Some((place, used_up)) = known.best else { return true };
        let some = arriving(&self.pieces, &self.sold, picks);
        let opened = self.cases[case].record(place).opened;
        let of_rack = self.cases[case].rack_cut_least(&self.pieces, &self.kept, &some, used_up);
        let cut = u32::try_from(opened.saturating_sub(of_rack)).unwrap_or(u32::MAX);
        let left = self.kept.rack_whole().saturating_sub(opened);
        if some.iter().sum::<u32>().saturating_sub(cut) <= self.limit.beside(left) {
            return true;
        }
        let needed = cut.saturating_add(self.limit.lacking(left));
        let bought = self.bought_of(picks);
        if !bought.iter().all(|(seller, bought)| self.is_cheapest(*seller, bought, needed)) {
            return false;
        }
        // What is cut of one supplier's is not cut of another's.
        let least =
            |(seller, bought): (&usize, &BoughtOf)| self.least_needed(*seller, bought, needed);
        bought.len() == 1 || bought.iter().map(least).sum::<u32>() <= needed
    }

    fn bought_of(&self, picks: &[u32]) -> BTreeMap<usize, BoughtOf> {
        let mut bought = BTreeMap::new();
        let chosen = self.sold.iter().zip(picks).map(|(sold, &at)| &sold.choices[at as usize]);
        for (choice, goods) in chosen.filter_map(|choice| Some((choice, choice.goods?))) {
            let none = || (vec![0; self.pieces.kinds.len()], 0);
            let (kinds, paid): &mut BoughtOf = bought.entry(goods.supplier).or_insert_with(none);
            *paid += goods.cost;
            choice.pieces.iter().for_each(|(kind, count)| kinds[*kind] += count);
        }
        bought
    }

    /// Of how many needed at the least a supplier has no fewer for less, where they have
    /// none for so many.
    fn least_needed(&self, seller: usize, bought: &BoughtOf, most: u32) -> u32 {
        let (mut from, mut to) = (0, most.min(bought.0.iter().sum()));
        while from < to {
            let needed = from.midpoint(to);
            match self.is_cheapest(seller, bought, needed) {
                true => to = needed,
                false => from = needed + 1,
            }
        }
        to
    }

    /// Whether a supplier has no fewer of what is bought from them for less: as many as
    /// are needed, whichever those are.
    fn is_cheapest(&self, seller: usize, (kinds, paid): &BoughtOf, needed: u32) -> bool {
        needs(kinds, needed).into_iter().any(|needs| {
            let least = self.least_goods(seller, needs);
            least.is_none_or(|least| *paid <= least)
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

/// All that may be needed of what is bought: so many altogether, of whichever kinds; too
/// many to tell are all of it.
fn needs(kinds: &[u32], needed: u32) -> BTreeSet<Vec<u32>> {
    let mut all = BTreeSet::from([Vec::new()]);
    for (place, count) in kinds.iter().enumerate() {
        let rest: u32 = kinds[place + 1..].iter().sum();
        let with = |before: &Vec<u32>| {
            let left = needed.saturating_sub(before.iter().sum());
            let range = left.saturating_sub(rest).min(*count)..=left.min(*count);
            range.map(|own| [&before[..], &[own]].concat()).collect::<Vec<_>>()
        };
        all = all.iter().flat_map(with).collect();
        if all.len() * kinds.len() > MOST_COMPARED {
            return BTreeSet::from([kinds.to_vec()]);
        }
    }
    all
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
