//! Branch and bound over the choices of a component.
//!
//! A node is a choice in the making: of the first classes of some levels it says
//! how many are cut. Whatever is added to it, it takes at least the length of the
//! least frames that complete it, and so uses up at least what the [`Curve`] of
//! each moulding says of that length; and if its own frames have no room, nothing
//! made of it has. Nodes are looked at in the order of these bounds (Lawler and
//! Wood 1966, "Branch-and-bound methods: a survey", Operations Research 14), so
//! that the bound of the next one holds for all that are left; among equals, and
//! where there are no curves, the deepest first.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;

use super::choice::{FrameChoice, MOST_CHOICES, Packings, asked_by, join, may_search, spend, sum};
use super::component::Cardinality;
use super::curve::Curve;
use super::front::NonDominated;
use super::packing::{Packing, Sufficiency};
use super::work::Class;

/// So many nodes are looked at.
const MOST_NODES: usize = 20_000;

/// So many lengths are added up for the bounds of nodes.
const MOST_STEPS: usize = 10_000_000;

/// So many times it is asked whether frames have room; what is remembered costs
/// nothing.
const MOST_LOOKS: usize = 600;

/// So many of these looks may be full ones.
const MOST_FULL_LOOKS: usize = 40;

/// What a node takes, in steps, and for how many lengths added up one is counted.
const STEPS_OF_A_NODE: u64 = 4;
const LENGTHS_OF_A_STEP: u64 = 16;

/// Choices given by their levels, and what they compete for.
pub(crate) struct ChoiceSearch<'a, 'p> {
    front: &'a NonDominated<'a>,
    pub levels: Vec<Cardinality>,
    pub packings: &'a mut Packings<'p>,
    /// Of each moulding what is cut in any case, and what a frame of each class
    /// takes.
    takes: BTreeMap<String, (i64, BTreeMap<usize, i64>)>,
    curves: BTreeMap<String, Curve>,
    nodes: usize,
    steps: usize,
    looks: usize,
    pub full_looks: usize,
    may_list: bool,
}

/// A choice in the making.
#[derive(Clone)]
struct ChoiceNode {
    /// The level and the class that come next.
    level: usize,
    place: usize,
    /// How many frames of this level are still to be chosen.
    left: u32,
    choice: FrameChoice,
}

impl<'a, 'p> ChoiceSearch<'a, 'p> {
    pub fn new(
        front: &'a NonDominated,
        levels: Vec<Cardinality>,
        packings: &'a mut Packings<'p>,
    ) -> Self {
        let all: Vec<usize> = levels.iter().flat_map(|level| level.most().into_keys()).collect();
        let takes = |(id, packing): (&String, &Packing)| {
            let taken = |class: &usize| (*class, taken(&front.classes[*class], id, packing));
            let base = packing.length(&sum(front.asked.get(id), None));
            (id.clone(), (base, all.iter().map(taken).collect()))
        };
        let takes = packings.iter().map(takes).collect();
        let (nodes, steps, looks) = (MOST_NODES, MOST_STEPS, MOST_LOOKS);
        let (curves, full_looks) = (BTreeMap::new(), MOST_FULL_LOOKS);
        let may_list = true;
        ChoiceSearch {
            front,
            levels,
            packings,
            takes,
            curves,
            nodes,
            steps,
            looks,
            full_looks,
            may_list,
        }
    }

    /// Tabulates what lengths use up, so as to look at the cheapest nodes first.
    pub fn with_curves(mut self) -> Self {
        let mut all = FrameChoice::new();
        self.levels.iter().for_each(|level| join(&mut all, &level.most()));
        let curve = |(id, packing): (&String, &Packing)| {
            let (base, takes) = &self.takes[id];
            let most = (base + length(takes, &all)).min(packing.all_room()).max(1);
            packing.spend(Curve::steps(packing));
            (id.clone(), Curve::new(packing, most))
        };
        self.curves = self.packings.iter().map(curve).collect();
        self
    }

    /// The choices that have room, and whether these are all; where there are, or once
    /// were, too many to list, one of them.
    pub fn fitting(&mut self) -> (Vec<FrameChoice>, bool) {
        // What listing takes is limited by how much is listed.
        let limits = (self.nodes, self.steps, self.looks);
        let listed = if self.may_list { self.listed() } else { None };
        self.may_list = listed.is_some();
        if let Some(listed) = listed {
            let (mut found, mut settled) = (Vec::new(), true);
            for choice in listed {
                // After one full look in vain there is none at the others.
                match self.room(&choice, settled) {
                    Sufficiency::Ample => found.push(choice),
                    Sufficiency::Lacking => {}
                    Sufficiency::Unknown => settled = false,
                }
            }
            if settled || !found.is_empty() {
                (self.nodes, self.steps, self.looks) = limits;
                return (found, settled);
            }
        }
        (self.nodes, self.steps, self.looks) = limits;
        let (mut found, mut settled) = (Vec::new(), true);
        let left = self.walk(true, |search, choice, _| match search.room(choice, true) {
            Sufficiency::Ample => {
                found.push(choice.clone());
                ControlFlow::Break(())
            }
            room => {
                settled &= room == Sufficiency::Lacking;
                ControlFlow::Continue(())
            }
        });
        (found, settled && left.is_none())
    }

    /// The choices for which there is length enough, if they are few enough to pack
    /// each of them.
    fn listed(&mut self) -> Option<BTreeSet<FrameChoice>> {
        let looked = self.packings.values().map(Packing::effort).sum::<usize>();
        let mut listed = BTreeSet::new();
        let left = self.walk(false, |_, choice, _| {
            listed.insert(choice.clone());
            match listed.len() + looked > MOST_CHOICES {
                true => ControlFlow::Break(()),
                false => ControlFlow::Continue(()),
            }
        });
        left.is_none().then_some(listed)
    }

    /// One choice more or less at hand, frame by frame of these: not known to be
    /// the best.
    pub fn one_by_one(&mut self, mut choice: FrameChoice, wanted: &[(usize, u32)]) -> FrameChoice {
        let frames: Vec<usize> =
            wanted.iter().flat_map(|(class, n)| vec![*class; *n as usize]).collect();
        // All of them, else the smaller half of them before the other.
        let mut open = vec![frames.as_slice()];
        while let Some(some) = open.pop().filter(|some| !some.is_empty()) {
            let mut more = choice.clone();
            some.iter().for_each(|class| *more.entry(*class).or_default() += 1);
            if self.room(&more, false) == Sufficiency::Ample {
                choice = more;
            } else if some.len() > 1 {
                let (smaller, larger) = some.split_at(some.len() / 2);
                open.extend([larger, smaller]);
            }
        }
        choice
    }

    /// The least that a moulding uses up in any of the choices.
    pub fn least_of(&self, moulding: &str) -> i64 {
        self.bound_of(moulding, &self.start()).unwrap_or(0)
    }

    /// Whether it may look no further.
    pub fn is_spent(&self) -> bool {
        self.nodes == 0 || self.steps == 0 || self.looks == 0 || !may_search(self.packings)
    }

    /// Shows `judge` the choices, with what they use up at the least, until it
    /// breaks off. With `looks`, none that come of frames that have no room. What is
    /// left, the last one included, uses up at least what is returned; `None` if
    /// nothing is left.
    pub fn walk(
        &mut self,
        looks: bool,
        mut judge: impl FnMut(&mut Self, &FrameChoice, i64) -> ControlFlow<()>,
    ) -> Option<i64> {
        let mut made = usize::MAX;
        let start = self.start();
        let mut open: BTreeMap<(i64, usize), ChoiceNode> =
            self.bound(&start).map(|least| ((least, made), start)).into_iter().collect();
        while let Some((key, node)) = open.pop_first() {
            let is_whole = node.level == self.levels.len();
            if self.is_spent() || (is_whole && judge(self, &node.choice, key.0).is_break()) {
                open.insert(key, node);
                break;
            }
            self.nodes -= 1;
            spend(self.packings, STEPS_OF_A_NODE);
            if is_whole || (looks && self.room(&node.choice, false) == Sufficiency::Lacking) {
                continue;
            }
            for child in self.children(&node) {
                if let Some(least) = self.bound(&child) {
                    made -= 1;
                    open.insert((least.max(key.0), made), child);
                }
            }
        }
        open.first_key_value().map(|((least, _), _)| *least)
    }

    fn start(&self) -> ChoiceNode {
        let left = self.levels.first().map_or(0, Cardinality::total);
        ChoiceNode { level: 0, place: 0, left, choice: FrameChoice::new() }
    }

    /// The choices one step further; the smaller frames and more of them last,
    /// so that of equals the search begins with them.
    fn children(&self, node: &ChoiceNode) -> Vec<ChoiceNode> {
        let with = |more: &FrameChoice, left: u32| {
            let mut child = ChoiceNode { place: node.place + 1, left, ..node.clone() };
            join(&mut child.choice, more);
            if left == 0 {
                (child.level, child.place) = (node.level + 1, 0);
                child.left = self.levels.get(child.level).map_or(0, Cardinality::total);
            }
            child
        };
        match &self.levels[node.level] {
            Cardinality::OneOf(choices) => choices.iter().rev().map(|one| with(one, 0)).collect(),
            Cardinality::Some { wanted, .. } => {
                let (class, count) = wanted[node.place];
                let others: u32 = wanted[node.place + 1..].iter().map(|(_, n)| n).sum();
                let some = node.left.saturating_sub(others)..=count.min(node.left);
                let cut = |n: u32| (n > 0).then_some((class, n)).into_iter().collect();
                some.map(|n| with(&cut(n), node.left - n)).collect()
            }
        }
    }

    /// The least that anything made of a node uses up; `None` if there is not
    /// length enough for any.
    fn bound(&mut self, node: &ChoiceNode) -> Option<i64> {
        let lengths = self.takes.values().map(|(_, takes)| takes.len() + 1).sum::<usize>();
        self.steps = self.steps.saturating_sub(lengths);
        spend(self.packings, 1 + lengths as u64 / LENGTHS_OF_A_STEP);
        let mut each = self.takes.keys().map(|id| self.bound_of(id, node));
        each.try_fold(0, |sum: i64, least| Some(sum.saturating_add(least?)))
    }

    fn bound_of(&self, moulding: &str, node: &ChoiceNode) -> Option<i64> {
        let (base, takes) = &self.takes[moulding];
        let rest = node.level..self.levels.len();
        let rest: i64 = rest.map(|level| self.least_left(takes, node, level)).sum();
        let length = base + length(takes, &node.choice) + rest;
        let is_enough = length <= self.packings[moulding].all_room();
        let curve = self.curves.get(moulding);
        is_enough.then(|| curve.map_or(Some(0), |curve| curve.at(length))).flatten()
    }

    /// The least length of a moulding that completes a level.
    fn least_left(&self, takes: &BTreeMap<usize, i64>, node: &ChoiceNode, level: usize) -> i64 {
        match &self.levels[level] {
            Cardinality::OneOf(choices) => {
                choices.iter().map(|choice| length(takes, choice)).min().unwrap_or(0)
            }
            Cardinality::Some { wanted, total } => {
                let (place, mut left) =
                    if level == node.level { (node.place, node.left) } else { (0, *total) };
                let mut lengths: Vec<(i64, u32)> =
                    wanted[place..].iter().map(|(class, n)| (takes[class], *n)).collect();
                lengths.sort_unstable();
                let some = |(length, count): (i64, u32)| {
                    let some = count.min(left);
                    left -= some;
                    length * i64::from(some)
                };
                lengths.into_iter().map(some).sum()
            }
        }
    }

    /// Whether the frames of a choice have room; a `whole` one is looked at harder.
    fn room(&mut self, choice: &FrameChoice, whole: bool) -> Sufficiency {
        let asked = asked_by(self.front.classes, choice);
        let mut all = Sufficiency::Ample;
        for (moulding, packing) in &mut *self.packings {
            let Some(more) = asked.get(moulding) else { continue };
            let counts = sum(self.front.asked.get(moulding), Some(more));
            let before = packing.effort();
            let mut room = packing.glance_room(&counts);
            if room == Sufficiency::Unknown && whole && self.full_looks > 0 {
                self.full_looks -= 1;
                room = packing.room(&counts);
            }
            self.looks = self.looks.saturating_sub(packing.effort() - before);
            match room {
                Sufficiency::Lacking => return Sufficiency::Lacking,
                Sufficiency::Unknown => all = Sufficiency::Unknown,
                Sufficiency::Ample => {}
            }
        }
        all
    }
}

/// What the frames of a choice take, by what one of each class takes.
fn length(takes: &BTreeMap<usize, i64>, choice: &FrameChoice) -> i64 {
    choice.iter().map(|(class, n)| takes[class] * i64::from(*n)).sum()
}

/// What a frame of a class takes of a moulding.
pub(crate) fn taken(class: &Class, moulding: &str, packing: &Packing) -> i64 {
    let own = class.layers.iter().filter(|layer| layer.moulding == moulding);
    // What is kept is cut another day.
    let lengths = &packing.material.lengths;
    own.map(|layer| lengths.get(layer.ask).copied().unwrap_or(0)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::planner::choice::Asked;

    /// What is listed where nothing is scarce.
    fn listed(levels: Vec<Cardinality>) -> Option<BTreeSet<FrameChoice>> {
        let front = NonDominated::new(&[], Asked::new());
        let mut packings = Packings::new();
        ChoiceSearch::new(&front, levels, &mut packings).listed()
    }

    #[test]
    fn every_choice_is_there_once() {
        let level =
            |wanted: &[(usize, u32)], total| Cardinality::Some { wanted: wanted.to_vec(), total };
        let few = [(0, 2), (1, 1)];
        let all = FrameChoice::from(few);
        assert_eq!(listed(vec![level(&few, 3)]), Some(BTreeSet::from([all.clone()])));
        assert_eq!(listed(vec![level(&few, 2)]).unwrap().len(), 2);
        assert_eq!(listed(vec![level(&few, 0)]), Some(BTreeSet::from([FrameChoice::new()])));
        let before = Cardinality::OneOf(vec![all, FrameChoice::from([(2, 1)])]);
        assert_eq!(listed(vec![before, level(&few, 2)]).unwrap().len(), 4);
        let many: Vec<(usize, u32)> = (0..40).map(|class| (class, 1)).collect();
        assert_eq!(listed(vec![level(&many, 20)]), None);
    }
}
