//! Ways to get one moulding, shown as they are asked for.
//!
//! Offers are gone through one after the other (depth first). What a way costs at
//! the given prices is the sum of what each offer adds and of what the split's
//! packing uses up; both have bounds (`case`) that are sums over the offers too,
//! so that most ways are struck out before they are complete.

use super::choices::{Choice, Sold};
use super::pieces::BOUNDS;
use super::ways::{Ways, arriving};
use crate::buy::{self, Pricing, Way};

/// Steps of one showing at most.
const MOST_STEPS: u64 = 200_000;

/// Steps of working out what a way spends beyond need, where that is limited.
const STEPS_A_BUDGET: u64 = 20;

/// A showing: what each offer adds at the given prices.
struct Showing {
    /// For each offer its choices with what they add, and what they add with each
    /// bound of the packing, cheapest first by the first bound.
    offers: Vec<Vec<Added>>,
    /// What the offers from each place on add at the least, with each bound.
    rest: Vec<[i128; BOUNDS]>,
    /// The cases that could be cheap enough, with what they add at the least with
    /// each bound and what their chops add, the cheapest by the first bound first.
    cases: Vec<(usize, [i128; BOUNDS], i128)>,
    /// What they add at the least, with each bound.
    least: [i128; BOUNDS],
}

#[derive(Clone, Copy)]
struct Added {
    choice: u32,
    price: i128,
    with: [i128; BOUNDS],
}

impl Ways<'_> {
    fn showing(&self, at: &Pricing, below: i128) -> Showing {
        let mut offers: Vec<Vec<Added>> =
            self.sold.iter().map(|sold| self.added(sold, at)).collect();
        let mut rest = vec![[0; BOUNDS]; offers.len() + 1];
        for place in (0..offers.len()).rev() {
            rest[place] = std::array::from_fn(|bound| {
                let least = offers[place].iter().map(|added| added.with[bound]).min();
                rest[place + 1][bound] + least.unwrap_or(0)
            });
        }
        let kept = at.plain(self.kept.most_more());
        let (mut cases, mut least) = (Vec::new(), [i128::MAX; BOUNDS]);
        for (place, case) in self.cases.iter().enumerate().filter(|(_, c)| !c.is_impossible()) {
            let chops = self.chops[place].iter().map(|goods| at.goods(*goods));
            let Some(chops) = chops.sum::<Option<i128>>() else { continue };
            let own = case.bounds().map(|bound| chops + at.plain(bound) - kept);
            if (0..BOUNDS).all(|bound| rest[0][bound] + own[bound] < below) {
                cases.push((place, own, chops));
                least = std::array::from_fn(|bound| own[bound].min(least[bound]));
            }
        }
        cases.sort_by_key(|(place, own, _)| (own[0], *place));
        // What is too dear with all others at their least is too dear.
        let room: [i128; BOUNDS] =
            std::array::from_fn(|at| below.saturating_sub(rest[0][at].saturating_add(least[at])));
        for (place, offer) in offers.iter_mut().enumerate() {
            let own = |bound: usize| rest[place][bound] - rest[place + 1][bound];
            offer.retain(|added| {
                (0..BOUNDS).all(|bound| added.with[bound] - own(bound) < room[bound])
            });
            offer.sort_by_key(|added| (added.with[0], added.choice));
        }
        Showing { offers, rest, cases, least }
    }

    /// What each choice of an offer adds.
    fn added(&self, sold: &Sold, at: &Pricing) -> Vec<Added> {
        let of = |(place, choice): (usize, &Choice)| {
            let goods = choice.goods.map_or(Some(0), |goods| at.goods(goods))?;
            let price = goods - at.plain(choice.worth);
            let with = choice.premiums.map(|premium| price - at.plain(premium));
            Some(Added { choice: u32::try_from(place).unwrap_or(u32::MAX), price, with })
        };
        sold.choices.iter().enumerate().filter_map(of).collect()
    }

    /// Shows the ways with just these choices. The steps taken.
    fn leaf(
        &self,
        showing: &Showing,
        at: &Pricing,
        (picks, price, with): (&[u32], i128, [i128; BOUNDS]),
        below: &mut i128,
        met: &mut dyn FnMut(Way) -> i128,
    ) -> u64 {
        let some = arriving(&self.pieces, &self.sold, picks);
        if !self.go_together(&some) {
            return 1;
        }
        let mut steps = 1;
        for &(case, own, chops) in &showing.cases {
            let is_cheap = |bound: usize| with[bound] + own[bound] < *below;
            // So are all others.
            if !is_cheap(0) {
                break;
            }
            steps += 1;
            if !(1..BOUNDS).all(is_cheap) {
                continue;
            }
            steps += self.cases[case].size();
            let Some(known) = self.known(case, &some) else { continue };
            if price + chops + at.plain(known.least) >= *below {
                continue;
            }
            steps += if self.has_budget() { STEPS_A_BUDGET } else { 1 };
            let way = self.way(case, picks);
            if let Some(way) = way.filter(|way| at.of(way).is_some_and(|price| price < *below)) {
                *below = met(way);
            }
        }
        steps
    }
}

impl buy::Ways for Ways<'_> {
    fn sellers(&self) -> Vec<(usize, bool)> {
        self.sellers.clone()
    }

    fn show(
        &self,
        at: &Pricing,
        mut below: i128,
        steps: &mut u64,
        met: &mut dyn FnMut(Way) -> i128,
    ) -> Option<i128> {
        let showing = self.showing(at, below);
        let size: usize = self.sold.iter().map(|sold| sold.choices.len()).sum();
        *steps = steps.saturating_sub((size + self.cases.len()) as u64);
        let Showing { offers, rest, least, .. } = &showing;
        if showing.cases.is_empty() {
            return None;
        }
        let all = (0..BOUNDS).map(|bound| rest[0][bound] + least[bound]).max().unwrap_or(i128::MIN);
        let mut own = MOST_STEPS.min(*steps);
        let begun = own;
        // For each offer that is gone through the next of its choices to take.
        let mut next = vec![0];
        let mut sums = vec![(0, [0; BOUNDS])];
        let mut picks = vec![0; offers.len()];
        let is_all = loop {
            let Some(place) = next.len().checked_sub(1) else { break true };
            let (price, with) = sums[place];
            if place == offers.len() {
                let steps = self.leaf(&showing, at, (&picks, price, with), &mut below, met);
                own = own.saturating_sub(steps);
            } else if let Some(added) = offers[place].get(next[place]) {
                let sum = |bound: usize| with[bound] + added.with[bound];
                let is_cheap =
                    |bound: usize| sum(bound) + rest[place + 1][bound] + least[bound] < below;
                if is_cheap(0) {
                    if own == 0 {
                        break false;
                    }
                    own -= 1;
                    next[place] += 1;
                    if (1..BOUNDS).all(is_cheap) {
                        picks[place] = added.choice;
                        next.push(0);
                        sums.push((price + added.price, std::array::from_fn(sum)));
                    }
                    continue;
                }
            }
            next.pop();
            sums.pop();
        };
        *steps = steps.saturating_sub(begun - own + 1);
        (!is_all).then_some(all)
    }
}
