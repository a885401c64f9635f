//! Ways to get one moulding, shown as they are asked for.
//!
//! What a way costs at the given prices is the sum of what each offer adds and of
//! what the split's packing uses up; both have bounds (`case`) that are sums over
//! the offers too, so that most ways are struck out before they are complete, and
//! the others are met in the order of their bound.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

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

    /// Shows the way of this split with these choices, if it is cheap enough.
    /// The steps taken.
    fn leaf(
        &self,
        at: &Pricing,
        (case, chops): (usize, i128),
        (picks, price): (&[u32], i128),
        below: &mut i128,
        met: &mut dyn FnMut(Way) -> i128,
    ) -> u64 {
        let some = arriving(&self.pieces, &self.sold, picks);
        let mut steps = 1 + self.cases[case].size();
        let Some(known) = self.known(case, &some) else { return steps };
        if price + chops + at.plain(known.least) >= *below {
            return steps;
        }
        steps += if self.has_budget() { STEPS_A_BUDGET } else { 1 };
        let way = self.way(case, picks);
        if let Some(way) = way.filter(|way| at.of(way).is_some_and(|price| price < *below)) {
            *below = met(way);
        }
        steps
    }
}

/// Choices of the first offers, or of all and a split.
#[derive(Clone, Copy)]
struct Node {
    /// The choices before the last of these.
    before: usize,
    /// Offers chosen from before the last; with all of them, the last is a split.
    level: usize,
    /// The place of the last in its list, cheapest first.
    place: usize,
    price: i128,
    with: [i128; BOUNDS],
}

/// The search for cheap ways: best first, by the first bound.
///
/// The choices of each offer are gone through cheapest first, and so are the
/// splits. What is taken up gives rise to two others at most: the next in its
/// list, which is no cheaper, and the first of the next list, which is as cheap. So
/// ways are met in the order of their bound, and when the search is cut off, none
/// that was not met is below the next (Lawler 1972, "A procedure for computing the
/// K best solutions to discrete optimization problems", Management Science 18).
struct Search<'a> {
    showing: &'a Showing,
    nodes: Vec<Node>,
    /// What is to be taken up, by its bound.
    open: BinaryHeap<Reverse<(i128, usize)>>,
}

impl Search<'_> {
    fn new(showing: &Showing) -> Search<'_> {
        let none = Node { before: 0, level: 0, place: 0, price: 0, with: [0; BOUNDS] };
        Search { showing, nodes: vec![none], open: BinaryHeap::new() }
    }

    /// What choices come to at the least, with each bound.
    fn least(&self, node: &Node) -> [i128; BOUNDS] {
        let Showing { offers, rest, least, .. } = self.showing;
        match node.level == offers.len() {
            true => node.with,
            false => std::array::from_fn(|b| node.with[b] + rest[node.level + 1][b] + least[b]),
        }
    }

    /// Adds to some choices one more, if that is cheap enough.
    fn push(&mut self, before: usize, level: usize, place: usize, below: i128) {
        let Showing { offers, cases, .. } = self.showing;
        let Node { price, with, .. } = self.nodes[before];
        let more = match offers.get(level) {
            Some(offer) => offer.get(place).map(|added| (added.price, added.with)),
            None => cases.get(place).map(|(_, own, _)| (0, *own)),
        };
        let Some((more, own)) = more else { return };
        let with = std::array::from_fn(|bound| with[bound] + own[bound]);
        let node = Node { before, level, place, price: price + more, with };
        let least = self.least(&node)[0];
        if least < below {
            self.open.push(Reverse((least, self.nodes.len())));
            self.nodes.push(node);
        }
    }

    /// The choices that a node stands for; a split is not among them.
    fn picks(&self, mut at: usize) -> Vec<u32> {
        let offers = &self.showing.offers;
        let mut picks = vec![0; offers.len()];
        while at > 0 {
            let Node { before, level, place, .. } = self.nodes[at];
            if let Some(offer) = offers.get(level) {
                picks[level] = offer[place].choice;
            }
            at = before;
        }
        picks
    }
}

impl buy::Ways for Ways<'_> {
    fn sellers(&self) -> Vec<(usize, bool)> {
        self.sellers.clone()
    }

    fn show(
        &self,
        at_prices: &Pricing,
        mut below: i128,
        steps: &mut u64,
        met: &mut dyn FnMut(Way) -> i128,
    ) -> Option<i128> {
        let showing = self.showing(at_prices, below);
        let size: usize = self.sold.iter().map(|sold| sold.choices.len()).sum();
        *steps = steps.saturating_sub((size + self.cases.len()) as u64);
        let Showing { offers, rest, least, cases } = &showing;
        if cases.is_empty() {
            return None;
        }
        let all = (0..BOUNDS).map(|bound| rest[0][bound] + least[bound]).max().unwrap_or(i128::MIN);
        let mut own = MOST_STEPS.min(*steps);
        let begun = own;
        let mut search = Search::new(&showing);
        search.push(0, 0, 0, below);
        let mut left = None;
        while let Some(Reverse((bound, at))) = search.open.pop() {
            if bound >= below {
                break;
            }
            if own == 0 {
                left = Some(all.max(bound));
                break;
            }
            own -= 1;
            let node = search.nodes[at];
            search.push(node.before, node.level, node.place + 1, below);
            if search.least(&node)[1..].iter().any(|least| *least >= below) {
                continue;
            }
            if node.level < offers.len() {
                let is_last = node.level + 1 == offers.len();
                let goes = !is_last || {
                    let some = arriving(&self.pieces, &self.sold, &search.picks(at));
                    self.go_together(&some)
                };
                if goes {
                    search.push(at, node.level + 1, 0, below);
                }
                continue;
            }
            let (case, _, chops) = cases[node.place];
            let picks = search.picks(at);
            let taken = self.leaf(at_prices, (case, chops), (&picks, node.price), &mut below, met);
            own = own.saturating_sub(taken);
        }
        *steps = steps.saturating_sub(begun - own + 1);
        left
    }
}
