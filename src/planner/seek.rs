//! The best of choices too many to list: a search that takes them apart.
//!
//! A node is a choice in the making: of the first classes of some levels it says
//! how many are cut. Whatever is added to it, it takes at least the length of the
//! least frames that complete it, and so uses up at least what the [`Curve`] of
//! each moulding says of that length; and if its own frames have no room, nothing
//! made of it has. Nodes are looked at in the order of these bounds (Lawler and
//! Wood 1966, "Branch-and-bound methods: a survey", Operations Research 14), so
//! that the bound of the next one holds for all that are left.

use std::collections::{BTreeMap, BTreeSet};

use super::choice::{Asked, FrameChoice, Packings, asked_by, join, may_search, spend, sum};
use super::curve::Curve;
use super::front::Cardinality;
use super::packing::{Packing, Room};
use super::work::Class;

/// So many nodes are looked at.
const MOST_NODES: usize = 20_000;

/// So many lengths are added up for the bounds of nodes.
const MOST_STEPS: usize = 10_000_000;

/// So many times it is asked whether frames have room; what is remembered costs
/// nothing.
const MOST_LOOKS: usize = 600;

/// So many of these looks may be full ones.
const MOST_FULL_LOOKS: usize = 20;

/// What a node takes, in steps, and for how many lengths added up one is counted.
const STEPS_OF_A_NODE: u64 = 4;
const LENGTHS_OF_A_STEP: u64 = 16;

/// What came of a search.
pub(crate) enum Sought<T> {
    /// This was found.
    Found(T),
    /// There is none.
    Nothing,
    /// Whether there is one was not settled within the limits.
    Unknown,
}

/// Choices given by their levels, and what they compete for.
pub(crate) struct Seek<'a, 'p> {
    classes: &'a [Class],
    levels: Vec<Cardinality>,
    asked: &'a Asked,
    pub packings: &'a mut Packings<'p>,
    curves: BTreeMap<String, (Curve, i64)>,
    /// What a frame of each class takes of each moulding.
    takes: BTreeMap<String, BTreeMap<usize, i64>>,
    /// The classes of each level, those that take least first.
    orders: Vec<Vec<usize>>,
    left: SearchLeft,
}

/// What is left of the limits.
struct SearchLeft {
    nodes: usize,
    steps: usize,
    looks: usize,
    full_looks: usize,
}

impl SearchLeft {
    const ALL: SearchLeft = SearchLeft {
        nodes: MOST_NODES,
        steps: MOST_STEPS,
        looks: MOST_LOOKS,
        full_looks: MOST_FULL_LOOKS,
    };

    fn is_spent(&self) -> bool {
        self.nodes == 0 || self.steps == 0 || self.looks == 0
    }
}

/// A choice in the making.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct ChoiceNode {
    /// The least that anything made of it uses up.
    least: i64,
    /// The level and the class that come next.
    level: usize,
    place: usize,
    /// How many frames of this level are still to be chosen.
    left: u32,
    choice: FrameChoice,
}

/// What the search is after.
#[derive(Clone, Copy, PartialEq, Eq)]
enum SearchGoal {
    /// Any choice: the deepest node first.
    Deepest,
    /// The one that uses up least: the node of the least bound first.
    Least,
}

impl<'a, 'p> Seek<'a, 'p> {
    pub fn new(
        classes: &'a [Class],
        levels: Vec<Cardinality>,
        asked: &'a Asked,
        packings: &'a mut Packings<'p>,
    ) -> Self {
        let all = all_of(&levels);
        let most = asked_by(classes, &all);
        let curve = |(id, packing): (&String, &Packing)| {
            let base = packing.length(&sum(asked.get(id), None));
            let most = base + packing.length(&sum(most.get(id), None));
            let most = most.min(packing.all_room()).max(1);
            (id.clone(), (Curve::new(packing, most), base))
        };
        let curves = packings.iter().map(curve).collect();
        packings.values().for_each(|packing| packing.spend(Curve::steps(packing)));
        let takes = |(id, packing): (&String, &Packing)| {
            let taken = |class: &usize| (*class, taken(&classes[*class], id, packing));
            (id.clone(), all.keys().map(taken).collect())
        };
        let takes = packings.iter().map(takes).collect();
        let (orders, left) = (Vec::new(), SearchLeft::ALL);
        let mut seek = Seek { classes, levels, asked, packings, curves, takes, orders, left };
        seek.orders = seek.levels.iter().map(|level| seek.smallest_first(level)).collect();
        seek
    }

    /// Asks for one level more than before.
    pub fn set_last(&mut self, levels: &[Cardinality], last: Cardinality) {
        self.levels = levels.iter().cloned().chain([last]).collect();
        self.orders = self.levels.iter().map(|level| self.smallest_first(level)).collect();
    }

    /// Any choice that has room.
    pub fn any(&mut self) -> Sought<FrameChoice> {
        let mut found = None;
        let end = self.walk(SearchGoal::Deepest, |_, choice, _| {
            found = Some(choice.clone());
            Verdict::Enough
        });
        match (found, end) {
            (Some(choice), _) => Sought::Found(choice),
            (None, None) => Sought::Nothing,
            (None, Some(_)) => Sought::Unknown,
        }
    }

    /// Shows the choices that have room to `judge`, those first that may use up
    /// least, until it has seen enough. What is left then, or was not settled,
    /// uses up at least what is returned; `None` if nothing is left.
    pub fn each(
        &mut self,
        judge: impl FnMut(&mut Packings<'p>, &FrameChoice, i64) -> Verdict,
    ) -> Option<i64> {
        self.walk(SearchGoal::Least, judge)
    }

    /// Looks as long again as at first.
    pub fn renew(&mut self) {
        self.left = SearchLeft::ALL;
    }

    /// The least that each moulding uses up in any of the choices.
    pub fn least_of_each(&self) -> BTreeMap<String, i64> {
        let start = self.start();
        let at = |id: &String| (id.clone(), self.least_of(id, &start).unwrap_or(0));
        self.curves.keys().map(at).collect()
    }

    fn walk(
        &mut self,
        order: SearchGoal,
        mut judge: impl FnMut(&mut Packings<'p>, &FrameChoice, i64) -> Verdict,
    ) -> Option<i64> {
        let mut open: BTreeSet<(i64, usize, ChoiceNode)> = BTreeSet::new();
        let mut unsettled: Option<i64> = None;
        let key = |node: &ChoiceNode, made: usize| match order {
            SearchGoal::Deepest => (0, usize::MAX - made),
            SearchGoal::Least => (node.least, made),
        };
        let mut made = 0;
        let start = self.start();
        if let Some(least) = self.bound(&start) {
            open.insert((least, 0, ChoiceNode { least, ..start }));
        }
        while let Some((_, _, node)) = open.pop_first() {
            if self.left.is_spent() || !may_search(self.packings) {
                open.insert((node.least, 0, node));
                break;
            }
            self.left.nodes -= 1;
            spend(self.packings, STEPS_OF_A_NODE);
            let whole = node.level == self.levels.len();
            match self.room(&node.choice, whole) {
                Room::Lacking => continue,
                Room::Unknown if whole => {
                    unsettled = Some(unsettled.map_or(node.least, |known| known.min(node.least)));
                    continue;
                }
                Room::Ample | Room::Unknown => {}
            }
            if whole {
                match judge(self.packings, &node.choice, node.least) {
                    Verdict::More => continue,
                    Verdict::Enough => {
                        open.insert((node.least, 0, node));
                        break;
                    }
                }
            }
            for child in self.children(&node) {
                if let Some(least) = self.bound(&child) {
                    made += 1;
                    let child = ChoiceNode { least: least.max(node.least), ..child };
                    let (first, second) = key(&child, made);
                    open.insert((first, second, child));
                }
            }
        }
        open.into_iter().map(|(_, _, node)| node.least).chain(unsettled).min()
    }

    fn start(&self) -> ChoiceNode {
        let left = self.levels.first().map_or(0, total);
        ChoiceNode { least: 0, level: 0, place: 0, left, choice: FrameChoice::new() }
    }

    /// The choices one step further; the smaller frames and more of them last,
    /// so that a search for any choice begins with them.
    fn children(&self, node: &ChoiceNode) -> Vec<ChoiceNode> {
        let after = |choice: FrameChoice| {
            let left = self.levels.get(node.level + 1).map_or(0, total);
            ChoiceNode { least: 0, level: node.level + 1, place: 0, left, choice }
        };
        let with = |more: &FrameChoice| {
            let mut choice = node.choice.clone();
            join(&mut choice, more);
            choice
        };
        match &self.levels[node.level] {
            Cardinality::OneOf(choices) => {
                choices.iter().rev().map(|one| after(with(one))).collect()
            }
            Cardinality::Some { wanted, .. } => {
                let order = &self.orders[node.level];
                let rest: u32 = order[node.place..].iter().map(|class| wanted[class]).sum();
                let class = order[node.place];
                let (most, others) = (wanted[&class].min(node.left), rest - wanted[&class]);
                let least = node.left.saturating_sub(others);
                let child = |count: u32| {
                    let choice = match count {
                        0 => node.choice.clone(),
                        count => with(&FrameChoice::from([(class, count)])),
                    };
                    if count == node.left {
                        return after(choice);
                    }
                    ChoiceNode {
                        place: node.place + 1,
                        left: node.left - count,
                        choice,
                        ..node.clone()
                    }
                };
                (least..=most).map(child).collect()
            }
        }
    }

    fn smallest_first(&self, level: &Cardinality) -> Vec<usize> {
        let Cardinality::Some { wanted, .. } = level else { return Vec::new() };
        let mut order: Vec<usize> = wanted.keys().copied().collect();
        order.sort_by_key(|class| {
            let all = self.takes.values().map(|takes| takes[class]);
            (all.sum::<i64>(), *class)
        });
        order
    }

    /// The least that anything made of a node uses up; `None` if there is not
    /// length enough for any.
    fn bound(&mut self, node: &ChoiceNode) -> Option<i64> {
        let lengths = node.choice.len() + self.orders.iter().map(Vec::len).sum::<usize>() + 1;
        let lengths = self.curves.len() * lengths;
        self.left.steps = self.left.steps.saturating_sub(lengths);
        spend(self.packings, 1 + lengths as u64 / LENGTHS_OF_A_STEP);
        let mut least = 0_i64;
        for id in self.curves.keys() {
            least = least.saturating_add(self.least_of(id, node)?);
        }
        Some(least)
    }

    fn least_of(&self, moulding: &str, node: &ChoiceNode) -> Option<i64> {
        let (curve, base) = &self.curves[moulding];
        let takes = &self.takes[moulding];
        let chosen: i64 = node.choice.iter().map(|(class, n)| takes[class] * i64::from(*n)).sum();
        let rest = node.level..self.levels.len();
        let rest: i64 = rest.map(|level| self.least_left(takes, node, level)).sum();
        let length = base + chosen + rest;
        if length > self.packings[moulding].all_room() {
            return None;
        }
        curve.at(length)
    }

    /// The least length of a moulding that completes a level.
    fn least_left(&self, takes: &BTreeMap<usize, i64>, node: &ChoiceNode, level: usize) -> i64 {
        let of = |choice: &FrameChoice| {
            choice.iter().map(|(class, n)| takes[class] * i64::from(*n)).sum::<i64>()
        };
        match &self.levels[level] {
            Cardinality::OneOf(choices) => choices.iter().map(of).min().unwrap_or(0),
            Cardinality::Some { wanted, total } => {
                let begun = level == node.level;
                let skipped = if begun { node.place } else { 0 };
                let open = self.orders[level][skipped..].iter();
                let mut lengths: Vec<(i64, u32)> =
                    open.map(|class| (takes[class], wanted[class])).collect();
                lengths.sort_unstable();
                let mut left = if begun { node.left } else { *total };
                let mut least = 0;
                for (length, count) in lengths {
                    let some = count.min(left);
                    least += length * i64::from(some);
                    left -= some;
                }
                least
            }
        }
    }

    /// Whether the frames of a choice have room.
    fn room(&mut self, choice: &FrameChoice, whole: bool) -> Room {
        let asked = asked_by(self.classes, choice);
        let mut all = Room::Ample;
        for (moulding, packing) in &mut *self.packings {
            let Some(more) = asked.get(moulding) else { continue };
            let counts = sum(self.asked.get(moulding), Some(more));
            let before = packing.effort();
            let mut room = packing.glance_room(&counts);
            if room == Room::Unknown && whole && self.left.full_looks > 0 {
                self.left.full_looks -= 1;
                room = packing.room(&counts);
            }
            self.left.looks = self.left.looks.saturating_sub(packing.effort() - before);
            match room {
                Room::Lacking => return Room::Lacking,
                Room::Unknown => all = Room::Unknown,
                Room::Ample => {}
            }
        }
        all
    }
}

/// Whether a judge wants to see more choices.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Verdict {
    More,
    /// Neither more nor this one again: it counts as not looked at.
    Enough,
}

/// How many frames of a level are cut, where that is counted.
fn total(level: &Cardinality) -> u32 {
    match level {
        Cardinality::OneOf(_) => 0,
        Cardinality::Some { total, .. } => *total,
    }
}

/// Every frame of all levels.
fn all_of(levels: &[Cardinality]) -> FrameChoice {
    let mut all = FrameChoice::new();
    levels.iter().flat_map(Cardinality::parts).for_each(|part| join(&mut all, part));
    all
}

/// What a frame of a class takes of a moulding.
fn taken(class: &Class, moulding: &str, packing: &Packing) -> i64 {
    let own = class.layers.iter().filter(|layer| layer.moulding == moulding);
    // What is kept is cut another day.
    let lengths = &packing.material.lengths;
    own.map(|layer| lengths.get(layer.ask).copied().unwrap_or(0)).sum()
}
