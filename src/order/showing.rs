//! What each offer and each split of a moulding adds at some prices, and what the
//! offers that are not chosen from yet add at the least.
//!
//! What a way costs is the sum of what each offer adds and of what the split's packing
//! uses up; that has bounds (`split_packings`) which are sums over the offers too. A way costs no
//! less than the greatest of these sums. With as little as can be by the first bound
//! too few pieces are bought, as another one says; so what the other offers add is kept
//! as the pairs of sums by the first bound and by another of which no other is less by
//! both (a Pareto front), and the least of the greater of the two is looked up. Before that, what
//! is too dear by two bounds in the best shares is dropped (`weighed`).

use super::choices::{Choice, SoldOffer};
use super::pieces::BOUNDS;
use super::ways::MouldingWays;
use super::weighed::Weighed;
use crate::buy::Pricing;

/// Bounds beside the first.
const OTHERS: usize = BOUNDS - 1;

/// More pairs than this are not told apart.
const MOST_PAIRS: usize = 96;

/// So many pairs are compared in a step.
const PAIRS_A_STEP: u64 = 16;

/// So many choices are glanced at in a step.
const GLANCES_A_STEP: u64 = 16;

/// What offers and splits add at some prices, with pieces that are no later than so
/// many dates.
pub(super) struct Showing {
    /// How late they may be.
    pub late: usize,
    /// Each offer with its choices and what they add, those of few choices first.
    pub offers: Vec<(usize, Vec<Added>)>,
    /// The splits that could be cheap enough.
    pub cases: Vec<Opened>,
    /// The first bound and each of the others in the shares that tell most.
    weighed: Vec<Weighed>,
    /// What the offers from each place on add, by the first bound and by each of the
    /// others.
    fronts: Vec<[ParetoPairs; OTHERS]>,
}

/// What a choice of an offer adds.
#[derive(Clone, Copy)]
pub(super) struct Added {
    pub choice: u32,
    pub price: i128,
    /// The price less its premiums, for each bound.
    pub with: [i128; BOUNDS],
}

/// What a split comes to before anything is bought.
#[derive(Clone, Copy)]
pub(super) struct Opened {
    pub case: usize,
    pub chops: i128,
    /// With what it uses up at the least, for each bound.
    pub with: [i128; BOUNDS],
}

impl MouldingWays<'_> {
    /// What could be part of a way priced below `below`, and the steps taken.
    pub(super) fn showing(&self, at: &Pricing, late: usize, below: i128) -> (Showing, u64) {
        let added = |sold| self.added(sold, late, at);
        let mut offers: Vec<(usize, Vec<Added>)> =
            self.sold.iter().map(added).enumerate().collect();
        let mut rest = vec![[0; BOUNDS]; offers.len() + 1];
        for place in (0..offers.len()).rev() {
            rest[place] = std::array::from_fn(|bound| {
                let least = offers[place].1.iter().map(|added| added.with[bound]).min();
                rest[place + 1][bound] + least.unwrap_or(0)
            });
        }
        let mut cases = self.opened(at, late);
        cases.retain(|of| (0..BOUNDS).all(|bound| rest[0][bound] + of.with[bound] < below));
        // What is too dear with all others at their least is too dear.
        let least = |bound: usize| cases.iter().map(|of| of.with[bound]).min().unwrap_or(below);
        let room: [i128; BOUNDS] =
            std::array::from_fn(|at| below.saturating_sub(rest[0][at].saturating_add(least(at))));
        for (place, (_, offer)) in offers.iter_mut().enumerate() {
            let own = |bound: usize| rest[place][bound] - rest[place + 1][bound];
            offer.retain(|added| {
                (0..BOUNDS).all(|bound| added.with[bound] - own(bound) < room[bound])
            });
        }
        let (mut weighed, mut glances) = (Vec::new(), 0);
        for other in 1..BOUNDS {
            let (own, more) = Weighed::new(&mut cases, &mut offers, other, below);
            weighed.push(own);
            glances += more;
        }
        offers.sort_by_key(|(_, choices)| choices.len());
        weighed.iter_mut().for_each(|weighed| weighed.look_ahead(&offers));
        let fronts = vec![Default::default()];
        let mut showing = Showing { late, offers, cases, weighed, fronts };
        let steps = if showing.cases.is_empty() { 0 } else { showing.look_ahead(below) };
        (showing, steps + glances as u64 / GLANCES_A_STEP)
    }

    /// What each split comes to that is not known to be impossible.
    fn opened(&self, at: &Pricing, late: usize) -> Vec<Opened> {
        let kept = at.plain(self.kept.most_more());
        let opened = |case: usize| {
            let bounds = self.cases[case].bounds(late)?;
            let chops = self.chops[case].iter().map(|goods| at.goods(*goods));
            let chops = chops.sum::<Option<i128>>()?;
            let with = bounds.map(|bound| chops + at.plain(bound) - kept);
            Some(Opened { case, chops, with })
        };
        (0..self.cases.len()).filter_map(opened).collect()
    }

    /// What each choice of an offer adds of which nothing is later than so many dates.
    fn added(&self, sold: &SoldOffer, late: usize, at: &Pricing) -> Vec<Added> {
        let is_later = |(kind, _): &(usize, u32)| {
            let kind = &self.pieces.kinds[*kind];
            kind.is_of_use && !kind.is_by(late)
        };
        let of = |(place, choice): (usize, &Choice)| {
            if choice.pieces.iter().any(is_later) {
                return None;
            }
            let goods = choice.goods.map_or(Some(0), |goods| at.goods(goods))?;
            let price = goods - at.plain(choice.worth);
            let with = choice.premiums.map(|premium| price - at.plain(premium));
            Some(Added { choice: u32::try_from(place).unwrap_or(u32::MAX), price, with })
        };
        sold.choices.iter().enumerate().filter_map(of).collect()
    }
}

impl Showing {
    /// Works out the fronts, and drops the splits that they show to be too dear. The
    /// steps taken.
    fn look_ahead(&mut self, below: i128) -> u64 {
        let mut pairs = 0;
        for (_, offer) in self.offers.iter().rev() {
            let last = self.fronts.last().expect("there is one of nothing");
            let next = std::array::from_fn(|other| {
                let own = ParetoPairs::of(offer, other + 1);
                pairs += last[other].0.len() * own.0.len() + offer.len();
                last[other].with(&own)
            });
            self.fronts.push(next);
        }
        self.fronts.reverse();
        let mut cases = std::mem::take(&mut self.cases);
        cases.retain(|of| self.least(&of.with, 0) < below);
        self.cases = cases;
        pairs as u64 / PAIRS_A_STEP
    }

    /// What comes to so much by each bound comes to at the least with something from
    /// each offer from a place on.
    pub fn least(&self, with: &[i128; BOUNDS], place: usize) -> i128 {
        let fronts = self.fronts[place].iter().zip(&with[1..]);
        let fronts = fronts.map(|(front, other)| front.least(with[0], *other));
        let weighed = self.weighed.iter().map(|weighed| weighed.least(with, place));
        fronts.chain(weighed).max().unwrap_or(i128::MIN)
    }

    /// What anything in it comes to at the least; `None` if there is nothing.
    pub fn all(&self) -> Option<i128> {
        self.cases.iter().map(|of| self.least(&of.with, 0)).min()
    }
}

/// Pairs of which no other is less by both, the first rising.
struct ParetoPairs(Vec<(i128, i128)>);

impl Default for ParetoPairs {
    /// Nothing more is added.
    fn default() -> ParetoPairs {
        ParetoPairs(vec![(0, 0)])
    }
}

impl ParetoPairs {
    /// What one offer can add by the first bound and by another.
    fn of(offer: &[Added], other: usize) -> ParetoPairs {
        ParetoPairs::least_of(offer.iter().map(|of| (of.with[0], of.with[other])).collect())
    }

    /// One from each of both together.
    fn with(&self, other: &ParetoPairs) -> ParetoPairs {
        let sums = self.0.iter().flat_map(|&(first, last)| {
            other.0.iter().map(move |(more, most)| (first + more, last + most))
        });
        ParetoPairs::least_of(sums.collect())
    }

    /// Where pairs are too many, neighbours are made one that is as little as any of
    /// them by each.
    fn least_of(mut all: Vec<(i128, i128)>) -> ParetoPairs {
        all.sort_unstable();
        let mut pairs: Vec<(i128, i128)> = Vec::new();
        for (first, last) in all {
            if pairs.last().is_none_or(|(_, least)| last < *least) {
                pairs.push((first, last));
            }
        }
        let each = pairs.len().div_ceil(MOST_PAIRS).max(1);
        let one = |some: &[(i128, i128)]| (some[0].0, some[some.len() - 1].1);
        ParetoPairs(pairs.chunks(each).map(one).collect())
    }

    /// The least that the greater of both sums comes to, begun with these.
    fn least(&self, first: i128, last: i128) -> i128 {
        let at = self.0.partition_point(|pair| first + pair.0 < last + pair.1);
        let rising = self.0.get(at).map(|pair| first + pair.0);
        let falling = at.checked_sub(1).map(|before| last + self.0[before].1);
        rising.into_iter().chain(falling).min().unwrap_or(i128::MAX)
    }
}
