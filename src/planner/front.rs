//! All choices of frames that are best so far, kept as a product.
//!
//! What every one of them cuts is kept once. What they differ in is kept in
//! factors that share no moulding: any choice of one factor goes with any of
//! another, and each may be decided by itself. A factor of few choices lists
//! them; of more it says only what they have in common, as levels.

use std::collections::BTreeSet;

use super::choice::{Asked, FrameChoice, MOST_CHOICES, add, asked_by, join, sum};
use super::packing::Counts;
use super::ties::Ties;
use super::work::Class;

/// Frames of which some are cut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Cardinality {
    /// One of these choices.
    OneOf(Vec<FrameChoice>),
    /// So many of these frames, whichever.
    Some {
        /// How many there are of each class.
        wanted: FrameChoice,
        /// How many of them all are cut.
        total: u32,
    },
}

impl Cardinality {
    /// The choices that it is made of, each a part or the whole of one.
    pub fn parts(&self) -> &[FrameChoice] {
        match self {
            Cardinality::OneOf(choices) => choices,
            Cardinality::Some { wanted, .. } => std::slice::from_ref(wanted),
        }
    }

    /// The most frames of a class that may be cut.
    fn most(&self, class: usize) -> u32 {
        let most = self.parts().iter().filter_map(|part| part.get(&class)).max();
        let most = most.copied().unwrap_or(0);
        match self {
            Cardinality::OneOf(_) => most,
            Cardinality::Some { total, .. } => most.min(*total),
        }
    }
}

/// Choices of which one is to be taken: of each level some frames, all of which
/// can be cut together.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Component {
    pub levels: Vec<Cardinality>,
    /// The mouldings that some of the choices take from.
    pub mouldings: BTreeSet<String>,
    /// One of the choices, known to have room.
    seen: FrameChoice,
}

/// The choices that are best so far.
pub(crate) struct NonDominated {
    /// What is cut in any case.
    pub common: FrameChoice,
    /// What is asked of each moulding in any case.
    pub asked: Asked,
    pub factors: Vec<Component>,
    /// The mouldings of which a better choice may have been overlooked.
    pub doubtful: BTreeSet<String>,
}

fn mouldings(classes: &[Class], class: usize) -> impl Iterator<Item = &String> {
    classes[class].layers.iter().map(|layer| &layer.moulding)
}

impl Component {
    fn new(classes: &[Class], levels: Vec<Cardinality>, seen: FrameChoice) -> Component {
        let parts = levels.iter().flat_map(Cardinality::parts);
        let all = parts.flat_map(FrameChoice::keys);
        let mouldings = all.flat_map(|class| mouldings(classes, *class)).cloned().collect();
        Component { levels, mouldings, seen }
    }

    /// One of its choices.
    pub fn seen(&self) -> &FrameChoice {
        &self.seen
    }

    /// All its choices, if it lists them.
    pub fn listed(&self) -> Option<&[FrameChoice]> {
        match &self.levels[..] {
            [Cardinality::OneOf(choices)] => Some(choices),
            _ => None,
        }
    }

    /// The classes that some of its choices cut.
    pub fn classes(&self) -> impl Iterator<Item = usize> {
        self.levels.iter().flat_map(Cardinality::parts).flat_map(FrameChoice::keys).copied()
    }

    /// Of each class as many as any of the choices can cut.
    fn at_most(&self) -> FrameChoice {
        let mut most = FrameChoice::new();
        for level in &self.levels {
            let classes: BTreeSet<usize> =
                level.parts().iter().flat_map(FrameChoice::keys).copied().collect();
            join(&mut most, &classes.into_iter().map(|class| (class, level.most(class))).collect());
        }
        most
    }

    /// Every choice of each factor with every choice of the others; `None` if
    /// there are more than `most` or some factor does not list its own.
    pub fn product(factors: &[Component], most: usize) -> Option<Vec<FrameChoice>> {
        let listed: Vec<&[FrameChoice]> =
            factors.iter().map(Component::listed).collect::<Option<_>>()?;
        let count = |count: usize, choices: &&[FrameChoice]| count.saturating_mul(choices.len());
        if listed.iter().fold(1, count) > most {
            return None;
        }
        let mut product = vec![FrameChoice::new()];
        for choices in listed {
            let with = |before: &FrameChoice| -> Vec<FrameChoice> {
                let both = |choice: &FrameChoice| {
                    let mut both = before.clone();
                    join(&mut both, choice);
                    both
                };
                choices.iter().map(both).collect()
            };
            product = product.iter().flat_map(with).collect();
        }
        Some(product)
    }
}

impl NonDominated {
    /// The one choice of nothing but what is asked in any case.
    pub fn new(asked: Asked) -> NonDominated {
        let (common, factors, doubtful) = (FrameChoice::new(), Vec::new(), BTreeSet::new());
        NonDominated { common, asked, factors, doubtful }
    }

    /// Cuts these whatever else is chosen.
    pub fn cut(&mut self, classes: &[Class], certain: &FrameChoice) {
        join(&mut self.common, certain);
        add(&mut self.asked, classes, certain);
    }

    /// What a moulding is asked for, after each of the choices; where they are
    /// not listed, more than after any of them.
    pub fn loads(&self, classes: &[Class], moulding: &str) -> BTreeSet<Counts> {
        let asked = self.asked.get(moulding);
        let factor = self.factors.iter().find(|factor| factor.mouldings.contains(moulding));
        let Some(factor) = factor else { return BTreeSet::from([sum(asked, None)]) };
        let load = |choice: &FrameChoice| {
            let more = asked_by(classes, choice);
            sum(asked, more.get(moulding))
        };
        match factor.listed() {
            Some(choices) => choices.iter().map(load).collect(),
            None => BTreeSet::from([load(&factor.at_most())]),
        }
    }

    /// Takes out the factors that touch any of these mouldings.
    pub fn take_factors(&mut self, touched: &BTreeSet<String>) -> Vec<Component> {
        let (taken, left) = std::mem::take(&mut self.factors)
            .into_iter()
            .partition(|factor| !factor.mouldings.is_disjoint(touched));
        self.factors = left;
        taken
    }

    /// Takes in choices of which one is to be taken. What they have in common is
    /// cut in any case.
    pub fn admit(&mut self, classes: &[Class], mut choices: Vec<FrameChoice>) {
        let Some(first) = choices.first() else { return };
        let least = |class: &usize| {
            choices.iter().map(|choice| choice.get(class).copied().unwrap_or(0)).min()
        };
        let common: FrameChoice = first
            .keys()
            .filter_map(|class| Some((*class, least(class)?)))
            .filter(|(_, count)| *count > 0)
            .collect();
        for choice in &mut choices {
            for (class, count) in &common {
                choice.entry(*class).and_modify(|all| *all -= count);
            }
            choice.retain(|_, count| *count > 0);
        }
        self.cut(classes, &common);
        if choices.len() > 1 {
            let seen = choices[0].clone();
            self.factors.push(Component::new(classes, vec![Cardinality::OneOf(choices)], seen));
        }
    }

    /// Takes in choices that are known by their levels alone.
    /// `seen` is one of them.
    pub fn admit_levels(&mut self, classes: &[Class], levels: Vec<Cardinality>, seen: FrameChoice) {
        self.factors.push(Component::new(classes, levels, seen));
    }

    /// Joins factors that have come to share a moulding.
    pub fn part(&mut self, classes: &[Class]) {
        let factors = std::mem::take(&mut self.factors);
        let mut ties = Ties::default();
        for factor in &factors {
            ties.tie(factor.mouldings.iter().map(String::as_str));
        }
        let leader = |factor: &Component| {
            factor.mouldings.first().map(|id| ties.leader(id).to_owned()).unwrap_or_default()
        };
        let mut sets: Vec<(String, Vec<Component>)> = Vec::new();
        for factor in &factors {
            let leader = leader(factor);
            match sets.iter_mut().find(|(known, _)| *known == leader) {
                Some((_, set)) => set.push(factor.clone()),
                None => sets.push((leader, vec![factor.clone()])),
            }
        }
        for (_, mut set) in sets {
            if set.len() == 1 {
                self.factors.append(&mut set);
                continue;
            }
            match Component::product(&set, MOST_CHOICES) {
                Some(choices) => self.admit(classes, choices),
                None => {
                    let mut seen = FrameChoice::new();
                    set.iter().for_each(|factor| join(&mut seen, &factor.seen));
                    let levels = set.into_iter().flat_map(|factor| factor.levels);
                    self.admit_levels(classes, levels.collect(), seen);
                }
            }
        }
    }

    /// Marks all mouldings of these classes as doubtful.
    pub fn doubt(&mut self, classes: &[Class], of: impl Iterator<Item = usize>) {
        self.doubtful.extend(of.flat_map(|class| mouldings(classes, class)).cloned());
    }

    /// Whether another choice on a doubtful moulding would have left room for
    /// other frames is not known, so what a frame ties to it is doubtful too.
    pub fn spread_doubt(&mut self, classes: &[Class], wanted: &FrameChoice) {
        loop {
            let before = self.doubtful.len();
            if before == 0 {
                return;
            }
            let touched =
                |class: &&usize| mouldings(classes, **class).any(|id| self.doubtful.contains(id));
            let frames: Vec<usize> = wanted.keys().filter(touched).copied().collect();
            self.doubt(classes, frames.into_iter());
            for factor in &self.factors {
                if !factor.mouldings.is_disjoint(&self.doubtful) {
                    self.doubtful.extend(factor.mouldings.iter().cloned());
                }
            }
            if self.doubtful.len() == before {
                return;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::planner::work::ClassLayer;

    /// Classes by the mouldings of their layers.
    fn classes(of: &[&[&str]]) -> Vec<Class> {
        let layer = |id: &&str| ClassLayer { moulding: (*id).to_owned(), ask: 0, chop_only: false };
        of.iter().map(|ids| Class { layers: ids.iter().map(layer).collect() }).collect()
    }

    #[test]
    fn what_choices_have_in_common_is_cut_in_any_case() {
        let classes = classes(&[&["A"], &["A"], &["A"]]);
        let mut front = NonDominated::new(Asked::new());
        front.admit(
            &classes,
            vec![FrameChoice::from([(0, 2)]), FrameChoice::from([(0, 1), (2, 1)])],
        );
        assert_eq!(front.common, FrameChoice::from([(0, 1)]));
        let left = vec![FrameChoice::from([(0, 1)]), FrameChoice::from([(2, 1)])];
        assert_eq!(front.factors[0].listed().unwrap(), left);
        assert_eq!(front.loads(&classes, "A").len(), 1, "each asks two of the one ask");
    }

    #[test]
    fn factors_that_share_a_moulding_become_one() {
        let classes = classes(&[&["A"], &["A", "B"], &["C"], &["B", "C"], &["D"], &["D"]]);
        let either = |a, b| vec![FrameChoice::from([(a, 1)]), FrameChoice::from([(b, 1)])];
        let mut front = NonDominated::new(Asked::new());
        front.admit(&classes, either(0, 1));
        front.admit(&classes, either(2, 3));
        front.admit(&classes, either(4, 5));
        front.part(&classes);
        let sizes: Vec<usize> =
            front.factors.iter().map(|factor| factor.listed().unwrap().len()).collect();
        assert_eq!(sizes, vec![4, 2]);
        assert_eq!(front.loads(&classes, "B").len(), 3);
    }

    #[test]
    fn doubt_spreads_along_frames_that_are_wanted_later() {
        let classes = classes(&[&["A"], &["A", "B"], &["B", "C"], &["D"]]);
        let mut front = NonDominated::new(Asked::new());
        front.doubt(&classes, [0].into_iter());
        front.spread_doubt(&classes, &FrameChoice::from([(2, 1), (3, 1)]));
        assert_eq!(front.doubtful.len(), 1);
        front.spread_doubt(&classes, &FrameChoice::from([(1, 1), (2, 1), (3, 1)]));
        let doubtful: Vec<&str> = front.doubtful.iter().map(String::as_str).collect();
        assert_eq!(doubtful, ["A", "B", "C"]);
    }
}
