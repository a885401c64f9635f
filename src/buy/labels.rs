//! The cheapest choices in given states of the suppliers, moulding by moulding.
//!
//! A label is a choice for the first mouldings: what it costs, and how much it
//! buys of each supplier whose bill still changes with that. Of two labels the
//! one that costs no less and has bought no more is dropped, and so is one that
//! cannot lead to a cheaper whole at the prices of the states, or not to as much of some
//! supplier's goods as there must be in their state (label setting with
//! dominance for constrained choice: Desrochers and Soumis, 1988; the bounds by
//! Lagrangian prices as in Handler and Zang, 1980; both from memory). Where too
//! many are left the dearest are dropped as well, and the least of what they could
//! have led to bounds the rest.

use super::question::{BuyingProblem, FINE, Pricing, WHOLE, Way};
use super::states::SupplierState;

/// Labels that are kept for the first so many mouldings at the most.
const WIDTH: usize = 1_500;
/// Labels at the most before those that are dominated are dropped.
const MOST_WAITING: usize = 6 * WIDTH;
/// So many comparisons of two labels are a step.
const LOOKS_A_STEP: u64 = 32;
/// Choices that are shown at the most.
const MOST_SHOWN: usize = 30;

/// What of a supplier's goods matters in a state.
#[derive(Clone, Copy)]
struct GoodsScope {
    supplier: usize,
    /// Goods from which more changes nothing.
    enough: i64,
    /// Less does not do.
    from: i64,
    /// More does not do.
    to: Option<i64>,
    /// A smaller bill is made up to this.
    minimum: i64,
}

/// Given states, and what they add to every choice.
pub(super) struct Leaf<'a, 'q> {
    question: &'a BuyingProblem<'q>,
    scopes: Vec<GoodsScope>,
    /// What the states charge in any case, in thousandths.
    charge: i64,
}

#[derive(Clone)]
struct Label {
    /// At the prices of the states.
    price: i128,
    /// What it costs if all doubt turns out well, then what of that is goods.
    cost: (i64, i64),
    spare: i64,
    /// For each scope.
    goods: Vec<i64>,
    /// The label before it, and the way that was added to that.
    before: usize,
    way: usize,
}

/// What came of it.
pub(super) struct Cheapest {
    /// The cheapest choices that were found with what they cost in these states if
    /// all doubt turns out well; a place in its list for each moulding.
    pub choices: Vec<(i64, Vec<usize>)>,
    /// No other choice costs less than this, at the prices.
    pub rest: Option<i128>,
}

impl<'a, 'q> Leaf<'a, 'q> {
    pub fn new(question: &'a BuyingProblem<'q>, given: &[Option<SupplierState>]) -> Leaf<'a, 'q> {
        let (mut scopes, mut charge) = (Vec::new(), 0);
        for (supplier, state) in given.iter().enumerate() {
            let Some(state) = state.filter(|state| state.used) else { continue };
            charge += state.charge * FINE;
            let minimum = question.suppliers[supplier].minimum;
            let from = if state.from > 1 { state.from } else { 0 };
            let enough = from.max(minimum);
            if enough > 0 || state.to.is_some() {
                scopes.push(GoodsScope { supplier, enough, from, to: state.to, minimum });
            }
        }
        Leaf { question, scopes, charge }
    }

    /// Drops the ways that another is no worse than whatever the others are; false
    /// if that took more steps than there were.
    pub fn thin(&self, ways: &mut Vec<Way>, steps: &mut u64) -> bool {
        let label = |(place, way): (usize, &Way)| self.origin().and(self, 0, place, 0, way);
        let labels: Vec<Label> = ways.iter().enumerate().filter_map(label).collect();
        let (labels, looks) = self.undominated(labels, usize::MAX);
        *steps = steps.saturating_sub(looks / LOOKS_A_STEP);
        let mut kept: Vec<usize> = labels.iter().map(|label| label.way).collect();
        kept.sort_unstable();
        *ways = kept.into_iter().map(|place| ways[place].clone()).collect();
        *steps > 0
    }

    fn origin(&self) -> Label {
        let goods = vec![0; self.scopes.len()];
        Label { price: 0, cost: (0, 0), spare: 0, goods, before: 0, way: 0 }
    }

    /// The choices of one way from each list that come to less than `below`, at
    /// `fixed` beside their ways.
    pub fn cheapest(
        &self,
        lists: &[Vec<Way>],
        pricing: &Pricing,
        (fixed, below): (i128, i64),
        steps: &mut u64,
    ) -> Cheapest {
        let priced: Vec<Vec<(i128, usize)>> =
            lists.iter().map(|ways| sorted(ways, pricing)).collect();
        let mut rest = vec![0; lists.len() + 1];
        for place in (0..lists.len()).rev() {
            let Some((least, _)) = priced[place].first() else {
                return Cheapest { choices: Vec::new(), rest: None };
            };
            rest[place] = rest[place + 1] + least;
        }
        let reach = self.reach(lists);
        // What a choice costs is a whole number of thousandths.
        let most = (i128::from(below) - 1) * WHOLE - fixed;
        let mut dropped: Option<i128> = None;
        let mut stages = vec![vec![self.origin()]];
        for (place, ways) in priced.iter().enumerate() {
            let mut next = Vec::new();
            let last = &stages[place];
            for (before, label) in last.iter().enumerate() {
                if *steps == 0 {
                    dropped = dropped.into_iter().chain([label.price + rest[place]]).min();
                    continue;
                }
                for &(price, way) in ways {
                    if label.price + price + rest[place + 1] > most {
                        break;
                    }
                    *steps = steps.saturating_sub(1);
                    let with = label.and(self, price, way, before, &lists[place][way]);
                    next.extend(with.filter(|with| self.can_reach(with, &reach[place + 1])));
                }
                if next.len() > MOST_WAITING {
                    next = self.narrowed(next, rest[place + 1], &mut dropped, steps);
                }
            }
            let next = self.narrowed(next, rest[place + 1], &mut dropped, steps);
            stages.push(next);
        }
        let choices = self.choices(&stages, below);
        Cheapest { choices, rest: dropped.map(|dropped| dropped + fixed) }
    }

    /// For each list, what it and those after it buy at the most of what each scope is of.
    fn reach(&self, lists: &[Vec<Way>]) -> Vec<Vec<i64>> {
        let mut reach = vec![vec![0; self.scopes.len()]];
        for ways in lists.iter().rev() {
            let last = reach.last().expect("there is one of nothing");
            let most =
                |scope: &GoodsScope| ways.iter().map(|way| bought(way, scope.supplier)).max();
            let with = self.scopes.iter().zip(last);
            let with = with.map(|(scope, after)| after + most(scope).unwrap_or(0)).collect();
            reach.push(with);
        }
        reach.reverse();
        reach
    }

    /// Whether a label can still come to as much of all goods as there must be, where what
    /// follows buys so much at the most.
    fn can_reach(&self, label: &Label, after: &[i64]) -> bool {
        let goods = label.goods.iter().zip(after);
        self.scopes.iter().zip(goods).all(|(scope, (goods, after))| goods + after >= scope.from)
    }

    fn narrowed(
        &self,
        labels: Vec<Label>,
        rest: i128,
        dropped: &mut Option<i128>,
        steps: &mut u64,
    ) -> Vec<Label> {
        let (mut labels, looks) = self.undominated(labels, WIDTH);
        *steps = steps.saturating_sub(looks / LOOKS_A_STEP);
        if labels.len() > WIDTH {
            labels.sort_by_key(|label| (label.price, label.cost));
            let least = labels[WIDTH].price + rest;
            *dropped = Some(dropped.map_or(least, |dropped| dropped.min(least)));
            labels.truncate(WIDTH);
        }
        labels
    }

    /// The labels that none dominates, and the comparisons that took; of more than
    /// some those that a few of the best do not.
    fn undominated(&self, mut labels: Vec<Label>, most: usize) -> (Vec<Label>, u64) {
        labels.sort_by(|a, b| {
            (a.cost, a.spare).cmp(&(b.cost, b.spare)).then_with(|| b.goods.cmp(&a.goods))
        });
        let mut kept: Vec<Label> = Vec::new();
        let mut looks = 0;
        for label in labels {
            let is_dominated = kept.iter().take(most).any(|other| {
                looks += 1;
                self.dominates(other, &label)
            });
            if !is_dominated {
                kept.push(label);
            }
        }
        (kept, looks)
    }

    /// Whether `one`, which costs no more than `other`, is no worse with any
    /// choice of the rest.
    fn dominates(&self, one: &Label, other: &Label) -> bool {
        let has_room = self.question.budget.is_none() || one.spare <= other.spare;
        let is_enough = |(scope, (one, other)): (&GoodsScope, (&i64, &i64))| {
            let is_no_less = one.min(&scope.enough) >= other.min(&scope.enough);
            is_no_less && (scope.to.is_none() || one <= other)
        };
        let goods = one.goods.iter().zip(&other.goods);
        has_room && self.scopes.iter().zip(goods).all(is_enough)
    }

    /// What it costs in these states; `None` if it is not in them.
    fn cost(&self, label: &Label) -> Option<i64> {
        let mut cost = label.cost.0 + self.charge;
        for (scope, goods) in self.scopes.iter().zip(&label.goods) {
            if *goods < scope.from {
                return None;
            }
            cost += (scope.minimum - goods).max(0) * FINE;
        }
        Some(cost)
    }

    fn choices(&self, stages: &[Vec<Label>], below: i64) -> Vec<(i64, Vec<usize>)> {
        let last = stages.last().into_iter().flatten().enumerate();
        let cheap = |(place, label): (usize, &Label)| {
            let cost = self.cost(label).filter(|cost| *cost < below)?;
            Some((cost, label.cost.1, place))
        };
        let mut ends: Vec<(i64, i64, usize)> = last.filter_map(cheap).collect();
        ends.sort_unstable();
        ends.truncate(MOST_SHOWN);
        let chosen = |(cost, _, mut place): (i64, i64, usize)| {
            let mut chosen = Vec::new();
            for stage in stages[1..].iter().rev() {
                chosen.push(stage[place].way);
                place = stage[place].before;
            }
            chosen.reverse();
            (cost, chosen)
        };
        ends.into_iter().map(chosen).collect()
    }
}

impl Label {
    /// With one more way; `None` if that is beyond what the states allow.
    fn and(
        &self,
        leaf: &Leaf,
        price: i128,
        way: usize,
        before: usize,
        added: &Way,
    ) -> Option<Label> {
        let spare = self.spare + added.spare_least;
        if leaf.question.budget.is_some_and(|budget| spare > budget) {
            return None;
        }
        let mut goods = self.goods.clone();
        for (goods, scope) in goods.iter_mut().zip(&leaf.scopes) {
            *goods += bought(added, scope.supplier);
            match scope.to {
                Some(to) if *goods > to => return None,
                Some(_) => {}
                None => *goods = (*goods).min(scope.enough),
            }
        }
        let all: i64 = added.goods.iter().map(|goods| goods.cost).sum();
        let cost = (self.cost.0 + added.cost() - added.doubt, self.cost.1 + all);
        Some(Label { price: self.price + price, cost, spare, goods, before, way })
    }
}

/// What a way buys of a supplier.
fn bought(way: &Way, supplier: usize) -> i64 {
    way.goods.iter().filter(|goods| goods.supplier == supplier).map(|goods| goods.cost).sum()
}

/// The ways that can be bought with what they are priced at, cheapest first.
fn sorted(ways: &[Way], pricing: &Pricing) -> Vec<(i128, usize)> {
    let of = |(place, way)| pricing.of(way).map(|price| (price, place));
    let mut sorted: Vec<(i128, usize)> = ways.iter().enumerate().filter_map(of).collect();
    sorted.sort_unstable();
    sorted
}
