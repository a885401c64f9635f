//! All choices of frames that are best so far, kept as a product.
//!
//! What every one of them cuts is kept once. What they differ in is kept in
//! components that share no moulding: any choice of one goes with any of another,
//! and each may be decided by itself. A component of few choices lists them; of
//! more it says only what they have in common, which is how many frames of each
//! date they cut.

use std::collections::BTreeSet;

use super::choice::{Asked, FrameChoice, add, asked_by, join, sum};
use super::component::{Cardinality, Component};
use super::connected::connected;
use super::packing::Counts;
use super::work::Class;

/// The choices that are best so far.
pub(crate) struct NonDominated<'a> {
    pub classes: &'a [Class],
    /// What is cut in any case.
    pub common: FrameChoice,
    /// What is asked of each moulding in any case.
    pub asked: Asked,
    pub components: Vec<Component>,
    /// The mouldings of which a better choice may have been overlooked.
    pub doubtful: BTreeSet<String>,
}

impl<'a> NonDominated<'a> {
    /// The one choice of nothing but what is asked in any case.
    pub fn new(classes: &'a [Class], asked: Asked) -> Self {
        let (common, components, doubtful) = Default::default();
        NonDominated { classes, common, asked, components, doubtful }
    }

    /// Cuts these whatever else is chosen.
    pub fn cut(&mut self, certain: &FrameChoice) {
        join(&mut self.common, certain);
        add(&mut self.asked, self.classes, certain);
    }

    /// The mouldings of a class.
    pub fn mouldings(&self, class: usize) -> impl Iterator<Item = &'a String> + use<'a> {
        self.classes[class].layers.iter().map(|layer| &layer.moulding)
    }

    /// What a moulding is asked for, after each of the choices; where they are
    /// not listed, more than after any of them.
    pub fn loads(&self, moulding: &str) -> BTreeSet<Counts> {
        let component = self.components.iter().find(|one| one.mouldings.contains(moulding));
        let is_listed = component.is_some_and(Component::is_listed);
        let mut loads = BTreeSet::from([sum(self.asked.get(moulding), None)]);
        for level in component.into_iter().flat_map(|one| &one.levels) {
            let choices = match level {
                Cardinality::OneOf(choices) if is_listed => choices,
                _ => &vec![level.most()],
            };
            let more: Vec<Asked> = choices.iter().map(|c| asked_by(self.classes, c)).collect();
            let with = |load| more.iter().map(move |more| sum(Some(load), more.get(moulding)));
            loads = loads.iter().flat_map(with).collect();
        }
        loads
    }

    /// Takes a component in. What all its choices, if it lists them, have in common
    /// is cut in any case.
    pub fn admit(&mut self, mut component: Component) {
        if let [Cardinality::OneOf(choices)] = &mut component.levels[..] {
            let mut common = choices[0].clone();
            for (class, count) in &mut common {
                let of = |choice: &FrameChoice| choice.get(class).copied().unwrap_or(0);
                *count = choices.iter().map(of).min().unwrap_or(0);
            }
            for choice in choices.iter_mut() {
                choice.iter_mut().for_each(|(class, n)| *n -= common.get(class).unwrap_or(&0));
                choice.retain(|_, count| *count > 0);
            }
            let seen = choices[0].clone();
            let is_one = choices.len() == 1;
            common.retain(|_, count| *count > 0);
            self.cut(&common);
            if is_one {
                return;
            }
            component = Component::new(self.classes, component.levels, seen);
        }
        self.components.push(component);
    }

    /// Joins components that have come to share a moulding.
    pub fn unite(&mut self) {
        let sets: Vec<_> = self.components.iter().map(|one| one.mouldings.clone()).collect();
        let mut apart: Vec<_> = std::mem::take(&mut self.components);
        for places in connected(&sets) {
            let mut united = Component::default();
            places.iter().for_each(|place| united.unite(std::mem::take(&mut apart[*place])));
            self.components.push(united);
        }
    }

    /// Marks all mouldings of these classes as doubtful.
    pub fn doubt(&mut self, of: impl Iterator<Item = usize>) {
        let classes = self.classes;
        let layers = of.flat_map(|class| &classes[class].layers);
        self.doubtful.extend(layers.map(|layer| layer.moulding.clone()));
    }

    /// Whether another choice on a doubtful moulding would have left room for
    /// other frames is not known, so what a frame ties to it is doubtful too.
    pub fn spread_doubt(&mut self, wanted: &FrameChoice) {
        if self.doubtful.is_empty() {
            return;
        }
        let frames = wanted.keys().map(|class| self.mouldings(*class).cloned().collect());
        let components = self.components.iter().map(|one| one.mouldings.clone());
        let mut sets: Vec<BTreeSet<String>> = frames.chain(components).collect();
        sets.push(self.doubtful.clone());
        let last = sets.len() - 1;
        let tied = connected(&sets).into_iter().filter(|places| places.contains(&last));
        self.doubtful.extend(tied.flatten().flat_map(|place| std::mem::take(&mut sets[place])));
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

    fn listed(classes: &[Class], choices: Vec<FrameChoice>) -> Component {
        let seen = choices[0].clone();
        Component::new(classes, vec![Cardinality::OneOf(choices)], seen)
    }

    #[test]
    fn what_choices_have_in_common_is_cut_in_any_case() {
        let classes = classes(&[&["A"], &["A"], &["A"]]);
        let mut front = NonDominated::new(&classes, Asked::new());
        front.admit(listed(
            &classes,
            vec![FrameChoice::from([(0, 2)]), FrameChoice::from([(0, 1), (2, 1)])],
        ));
        assert_eq!(front.common, FrameChoice::from([(0, 1)]));
        let left = vec![FrameChoice::from([(0, 1)]), FrameChoice::from([(2, 1)])];
        assert_eq!(front.components, [listed(&classes, left)]);
        assert_eq!(front.loads("A").len(), 1, "each asks two of the one ask");
    }

    #[test]
    fn components_that_share_a_moulding_become_one() {
        let classes = classes(&[&["A"], &["A", "B"], &["C"], &["B", "C"], &["D"], &["D"]]);
        let either =
            |a, b| listed(&classes, vec![FrameChoice::from([(a, 1)]), FrameChoice::from([(b, 1)])]);
        let mut front = NonDominated::new(&classes, Asked::new());
        front.admit(either(0, 1));
        front.admit(either(2, 3));
        front.admit(either(4, 5));
        front.unite();
        let levels: Vec<usize> = front.components.iter().map(|one| one.levels.len()).collect();
        assert_eq!(levels, [2, 1], "two times two choices, and two");
        assert_eq!(front.loads("B").len(), 3);
    }

    #[test]
    fn doubt_spreads_along_frames_that_are_wanted_later() {
        let classes = classes(&[&["A"], &["A", "B"], &["B", "C"], &["D"]]);
        let mut front = NonDominated::new(&classes, Asked::new());
        front.doubt([0].into_iter());
        front.spread_doubt(&FrameChoice::from([(2, 1), (3, 1)]));
        assert_eq!(front.doubtful.len(), 1);
        front.spread_doubt(&FrameChoice::from([(1, 1), (2, 1), (3, 1)]));
        let doubtful: Vec<&str> = front.doubtful.iter().map(String::as_str).collect();
        assert_eq!(doubtful, ["A", "B", "C"]);
    }
}
