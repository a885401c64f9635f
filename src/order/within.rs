//! Whether a way buys no more beyond need than it may (`limit`).

use std::collections::{BTreeMap, BTreeSet};

use super::choices::{Choice, SoldOffer, arriving};
use super::finish::cut_of_each;
use super::limit::{BeyondLimit, BySent, FewerGoods};
use super::split_packings::KnownPacking;
use super::ways::MouldingWays;

/// More purchases than this are not compared for what is needed; then no fewer is taken to be
/// had for less.
const MOST_COMPARED: usize = 100_000;

/// Steps of working out how many of each supplier's are cut.
const STEPS_A_LIMIT: u64 = 4;

/// So many purchases are compared in a step.
const COMPARED_A_STEP: u64 = 2;

/// Steps of telling what is bought of one supplier for a lower price alone, at the most.
const MOST_STEPS: u64 = 200_000;

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
        let is_within = |record: &usize| self.is_within_limit(case, *record, picks);
        let mut all = self.cases[case].as_good(of, &some, known);
        let best = all.next().filter(is_within);
        let other = || {
            self.take(self.cases[case].size());
            all.find(is_within)
        };
        best.or_else(other).map(|record| (record, used_up))
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
        self.take(STEPS_A_LIMIT);
        let cut: Vec<(usize, u32)> = cut_of_each(self, case, place, picks).into_iter().collect();
        let more = self.limit.lacking(left);
        self.is_shared(&cut, &self.bought_of(picks), (more, self.limit.most), false)
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
        // What is cut of one supplier's is not cut of another's.
        let sellers: Vec<(usize, u32)> = bought.keys().map(|seller| (*seller, 0)).collect();
        self.is_shared(&sellers, &bought, (needed, self.limit.most), true)
    }

    /// Whether sellers of whose sticks so many are cut can share so many more that are needed
    /// so that of all together no more than `most` are bought for a lower price alone; or might
    /// where not all was compared, if that will do.
    fn is_shared(
        &self,
        sellers: &[(usize, u32)],
        bought: &BTreeMap<usize, BoughtOf>,
        (more, most): (u32, u32),
        might_do: bool,
    ) -> bool {
        let Some(((seller, cut), others)) = sellers.split_first() else { return true };
        let of = &bought[seller];
        let all = more.min(of.0.iter().sum());
        let does = |own: u32| {
            let known = self.for_price(*seller, of, cut.saturating_add(own));
            let (for_price, might_be_fewer) = known;
            let for_price = if might_be_fewer && might_do { Some(0) } else { for_price };
            for_price.filter(|for_price| *for_price <= most).is_some_and(|for_price| {
                self.is_shared(others, bought, (more - own, most - for_price), might_do)
            })
        };
        // The more is needed the less is for the price.
        if others.is_empty() { does(all) } else { (0..=all).any(does) }
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

    /// How many of what is bought of a supplier, of which so many are needed, whichever those
    /// are, they would not have to be sent for these: what is bought for a lower price alone.
    /// `None` where fewer of theirs cost less; and whether it might be fewer, since not all was
    /// compared. Many ways buy the same of one supplier, so it is worked out once.
    fn for_price(
        &self,
        seller: usize,
        (kinds, paid): &BoughtOf,
        needed: u32,
    ) -> (Option<u32>, bool) {
        self.take(1);
        let key = (seller, kinds.clone(), *paid, needed);
        let known = || self.for_price.lock().expect("nobody panics with it");
        if let Some(for_price) = known().get(&key) {
            return *for_price;
        }
        let bought = kinds.iter().sum();
        let for_price = |needs: Vec<u32>| match self.fewer_goods(seller, &needs, bought) {
            Some(FewerGoods { least: Some(least), .. }) if *paid > least => None,
            Some(FewerGoods { fewest, .. }) => Some(bought - fewest),
            None => Some(0),
        };
        let before = self.taken();
        let mut told = (None, false);
        for needs in needs(kinds, needed) {
            self.take(1);
            if self.taken() - before > MOST_STEPS {
                told.1 = true;
                break;
            }
            told.0 = told.0.into_iter().chain(for_price(needs)).min();
        }
        known().insert(key, told);
        told
    }

    /// What a supplier has so many of each kind in, but no more than so many in all; `None`
    /// where there are too many purchases to compare.
    ///
    /// What is worked out for up to a power of two serves all that are no more; only where
    /// that is too much to compare it is worked out for just so many.
    fn fewer_goods(&self, seller: usize, kinds: &[u32], most: u32) -> Option<FewerGoods> {
        let rounded = most.checked_next_power_of_two().unwrap_or(most);
        let of = |up_to| self.with_goods(seller, kinds, up_to, |by_sent| fewer(by_sent, most));
        of(rounded).or_else(|| of(most)).flatten()
    }

    /// Does something with the least price of goods by how many are sent, which is worked out
    /// once; `None` where there are too many purchases to compare.
    fn with_goods<T>(
        &self,
        seller: usize,
        kinds: &[u32],
        most: u32,
        does: impl Fn(&BySent) -> T,
    ) -> Option<T> {
        let key = (seller, kinds.to_vec(), most);
        let known = || self.goods_by_sent.lock().expect("nobody panics with it");
        if let Some(by_sent) = known().get(&key) {
            return by_sent.as_ref().map(does);
        }
        let is_theirs = |sold: &&SoldOffer| {
            let mut goods = sold.choices.iter().filter_map(|choice| choice.goods);
            goods.next().is_some_and(|goods| goods.supplier == seller)
        };
        let mut compared = 0;
        let by_sent = by_sent(self.sold.iter().filter(is_theirs), kinds, most, &mut compared);
        self.take(compared as u64 / COMPARED_A_STEP);
        let found = by_sent.as_ref().map(does);
        known().insert(key, by_sent);
        found
    }
}

/// The fewest, and what fewer than so many cost at the least; `None` where none does.
fn fewer(by_sent: &BySent, most: u32) -> Option<FewerGoods> {
    let (&fewest, _) = by_sent.range(..=most).next()?;
    let least = by_sent.range(..most).next_back().map(|(_, cost)| *cost);
    Some(FewerGoods { fewest, least })
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

/// One offer after another is chosen from, and of as many that lack the same the cheapest is
/// kept.
fn by_sent<'a>(
    sold: impl Iterator<Item = &'a SoldOffer>,
    kinds: &[u32],
    most: u32,
    compared: &mut usize,
) -> Option<BySent> {
    let mut lacking = BTreeMap::from([((kinds.to_vec(), 0), 0_i64)]);
    for sold in sold {
        let count = |choice: &Choice| choice.pieces.iter().map(|(_, count)| count).sum::<u32>();
        let choices = sold.choices.iter().map(|choice| (choice, count(choice)));
        let choices: Vec<(&Choice, u32)> = choices.filter(|(_, count)| *count <= most).collect();
        let more = lacking.len() * choices.len();
        if *compared + more > MOST_COMPARED {
            return None;
        }
        *compared += more;
        let mut next: BTreeMap<(Vec<u32>, u32), i64> = BTreeMap::new();
        for ((lacks, sent), cost) in &lacking {
            for (choice, count) in choices.iter().filter(|(_, count)| sent + count <= most) {
                let mut lacks = lacks.clone();
                for (kind, count) in &choice.pieces {
                    lacks[*kind] = lacks[*kind].saturating_sub(*count);
                }
                let cost = cost + choice.goods.map_or(0, |goods| goods.cost);
                let known = next.entry((lacks, sent + count)).or_insert(cost);
                *known = (*known).min(cost);
            }
        }
        lacking = next;
    }
    let none = vec![0; kinds.len()];
    let mut enough = BySent::new();
    for ((_, sent), cost) in lacking.into_iter().filter(|((lacks, _), _)| *lacks == none) {
        // What costs no less than fewer do is left out.
        if enough.last_key_value().is_none_or(|(_, least)| cost < *least) {
            enough.insert(sent, cost);
        }
    }
    Some(enough)
}
