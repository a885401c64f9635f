//! Whether a way buys no more beyond need than it may (`limit`).

use std::collections::{BTreeMap, BTreeSet};

use super::choices::{SoldOffer, arriving};
use super::ways::MouldingWays;

/// More purchases than this are not compared for what is needed; then it is taken to
/// cost as little as can be.
const MOST_COMPARED: usize = 100_000;

impl MouldingWays<'_> {
    /// Whether a way, cut as it is known to be, buys no more beyond need than it may.
    pub fn is_within_limit(&self, case: usize, record: usize, picks: &[u32]) -> bool {
        let some = arriving(&self.pieces, &self.sold, picks);
        let opened = self.cases[case].record(record).opened;
        let opened = u32::try_from(opened).unwrap_or(u32::MAX);
        let beyond = some.iter().sum::<u32>().saturating_sub(opened);
        beyond <= self.limit.0 || self.is_cheapest(picks, opened)
    }

    /// Whether each supplier has no fewer of what is bought from them for less: as many
    /// as are cut and kept, whichever those are.
    fn is_cheapest(&self, picks: &[u32], opened: u32) -> bool {
        let mut bought: BTreeMap<usize, (Vec<u32>, i64)> = BTreeMap::new();
        let chosen = self.sold.iter().zip(picks).map(|(sold, &at)| &sold.choices[at as usize]);
        for (choice, goods) in chosen.filter_map(|choice| Some((choice, choice.goods?))) {
            let none = || (vec![0; self.pieces.kinds.len()], 0);
            let (kinds, paid) = bought.entry(goods.supplier).or_insert_with(none);
            *paid += goods.cost;
            choice.pieces.iter().for_each(|(kind, count)| kinds[*kind] += count);
        }
        let needed = opened.saturating_add(self.wants.moulding.keep_on_rack);
        bought.into_iter().all(|(seller, (kinds, paid))| {
            needs(&kinds, needed).into_iter().any(|needs| {
                let least = self.least_goods(seller, needs);
                least.is_none_or(|least| paid <= least)
            })
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
