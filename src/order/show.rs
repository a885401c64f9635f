//! Ways to get one moulding, shown as they are asked for.
//!
//! A split, and one offer after another what is bought of it: what could be cheap
//! enough is taken up in the order of what it comes to at the least (`showing`).

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::choices::arriving;
use super::pieces::BOUNDS;
use super::showing::{Opened, Showing};
use super::ways::MouldingWays;
use crate::buy::{self, Pricing, Way};

/// Steps of one showing at most.
const MOST_STEPS: u64 = 200_000;

/// So many choices are glanced at in a step.
const GLANCES_A_STEP: u64 = 8;

/// A split and choices of the first offers, with what can be chosen next.
struct SplitNode {
    /// The node without the last choice, and the place of that.
    before: Option<(usize, usize)>,
    /// What comes next: a split, or a choice of the offer of this place less one.
    level: usize,
    /// What was chosen is priced at.
    price: i128,
    /// What it comes to by each bound, with the split.
    with: [i128; BOUNDS],
    /// What can be chosen next, by what that comes to at the least.
    next: Vec<(i128, usize)>,
}

/// The search for cheap ways: best first.
///
/// What can be chosen next is gone through cheapest first. What is taken up gives rise
/// to two others at most: the next in its list, which comes to no less, and the first
/// of what can be chosen after it, which neither does. So ways are met in the order of
/// their bound, and when the search is cut off, none that was not met is below the next
/// (Lawler 1972, "A procedure for computing the K best solutions to discrete
/// optimization problems", Management Science 18).
struct WaySearch<'a> {
    showing: &'a Showing,
    nodes: Vec<SplitNode>,
    /// What is to be taken up, by its bound: the node, and the place in its list.
    open: BinaryHeap<Reverse<(i128, usize, usize)>>,
}

impl WaySearch<'_> {
    fn new(showing: &Showing, below: i128) -> WaySearch<'_> {
        let mut search = WaySearch { showing, nodes: Vec::new(), open: BinaryHeap::new() };
        let none =
            SplitNode { before: None, level: 0, price: 0, with: [0; BOUNDS], next: Vec::new() };
        search.grow(none, showing.cases.len(), below);
        search
    }

    /// What a node with one of its choices comes to: its price, and by each bound.
    fn with(&self, node: &SplitNode, place: usize) -> (i128, [i128; BOUNDS]) {
        let Some(offer) = node.level.checked_sub(1) else {
            return (0, self.showing.cases[place].with);
        };
        let added = &self.showing.offers[offer].1[place];
        let with = std::array::from_fn(|bound| node.with[bound] + added.with[bound]);
        (node.price + added.price, with)
    }

    /// Adds a node with those of its so many choices that are cheap enough.
    fn grow(&mut self, mut node: SplitNode, count: usize, below: i128) {
        let least = |place| (self.showing.least(&self.with(&node, place).1, node.level), place);
        let mut next: Vec<(i128, usize)> = (0..count).map(least).collect();
        next.retain(|(least, _)| *least < below);
        next.sort_unstable();
        node.next = next;
        if let Some((least, _)) = node.next.first() {
            self.open.push(Reverse((*least, self.nodes.len(), 0)));
            self.nodes.push(node);
        }
    }

    /// Takes up the next of what is open: what it comes to at the least, the node and the
    /// place in its list.
    fn pop(&mut self) -> Option<(i128, usize, usize)> {
        let Reverse((least, at, place)) = self.open.pop()?;
        if let Some((next, _)) = self.nodes[at].next.get(place + 1) {
            self.open.push(Reverse((*next, at, place + 1)));
        }
        Some((least, at, self.nodes[at].next[place].1))
    }

    /// The split and the choices that a node with one choice more stands for.
    fn picks(&self, mut at: usize, mut place: usize) -> (Opened, Vec<u32>) {
        let mut picks = vec![0; self.showing.offers.len()];
        while let Some((before, last)) = self.nodes[at].before {
            let (offer, choices) = &self.showing.offers[self.nodes[at].level - 1];
            picks[*offer] = choices[place].choice;
            (at, place) = (before, last);
        }
        (self.showing.cases[place], picks)
    }
}

impl MouldingWays<'_> {
    /// Shows what is in a showing; what is priced at the least that is not shown for
    /// lack of steps.
    fn search(
        &self,
        at: &Pricing,
        showing: &Showing,
        below: &mut i128,
        own: &mut u64,
        met: &mut dyn FnMut(Way) -> i128,
    ) -> Option<i128> {
        let is_first = self.pieces.lateness().first() == Some(&showing.late);
        let mut search = WaySearch::new(showing, *below);
        while let Some((bound, of, place)) = search.pop() {
            if bound >= *below {
                break;
            }
            if *own == 0 {
                return Some(bound);
            }
            let level = search.nodes[of].level;
            let (price, with) = search.with(&search.nodes[of], place);
            if let Some((_, offer)) = showing.offers.get(level) {
                *own = own.saturating_sub(1 + offer.len() as u64 / GLANCES_A_STEP);
                let (before, next) = (Some((of, place)), Vec::new());
                let node = SplitNode { before, level: level + 1, price, with, next };
                search.grow(node, offer.len(), *below);
                continue;
            }
            let (opened, picks) = search.picks(of, place);
            let some = arriving(&self.pieces, &self.sold, &picks);
            // What is all in time was met with the first.
            let is_due = self.pieces.late(&some).is_some_and(|late| is_first || late > 0);
            let way = (&picks[..], &some[..], price);
            let taken = if is_due { self.leaf(at, opened, way, below, met) } else { 1 };
            *own = own.saturating_sub(taken);
        }
        None
    }

    /// Shows the way of this split with these choices, if it is cheap enough.
    /// The steps taken.
    fn leaf(
        &self,
        at: &Pricing,
        Opened { case, chops, .. }: Opened,
        (picks, some, price): (&[u32], &[u32], i128),
        below: &mut i128,
        met: &mut dyn FnMut(Way) -> i128,
    ) -> u64 {
        let steps = 1 + self.cases[case].size();
        let Some(known) = self.known(case, some) else { return steps };
        if price + chops + at.plain(known.least) >= *below {
            return steps;
        }
        let before = self.taken();
        let way = self.way(case, picks);
        if let Some(way) = way.filter(|way| at.of(way).is_some_and(|price| price < *below)) {
            *below = met(way);
        }
        steps + self.taken() - before
    }
}

impl buy::Ways for MouldingWays<'_> {
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
        let lateness = self.pieces.lateness();
        let size: usize = self.sold.iter().map(|sold| sold.choices.len()).sum();
        let mut taken = (lateness.len() * (size + self.cases.len())) as u64;
        let showing = |late: &usize| {
            let (showing, more) = self.showing(at_prices, *late, below);
            taken += more;
            Some((showing.all()?, showing))
        };
        let mut showings: Vec<(i128, Showing)> = lateness.iter().filter_map(showing).collect();
        *steps = steps.saturating_sub(taken);
        showings.sort_by_key(|(all, showing)| (*all, showing.late));
        let mut own = MOST_STEPS.min(*steps);
        let begun = own;
        let mut left: Option<i128> = None;
        for (_, showing) in &showings {
            let more = self.search(at_prices, showing, &mut below, &mut own, met);
            left = left.into_iter().chain(more).min();
        }
        *steps = steps.saturating_sub(begun - own + 1);
        left
    }
}
