//! All choices of frames that are best so far, kept as a product.
//!
//! What every one of them cuts is kept once. What they differ in is kept in
//! factors that share no moulding: any choice of one factor goes with any of
//! another, and each may be decided by itself.

use std::collections::BTreeSet;

use super::choose::{Asked, Choice, MOST_CHOICES, add, join, sum};
use super::packing::Counts;
use super::ties::Ties;
use super::work::Class;

/// Choices of which one is to be taken.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Factor {
    pub choices: Vec<Choice>,
    /// The mouldings that some of the choices take from.
    pub mouldings: BTreeSet<String>,
}

/// The choices that are best so far.
pub(super) struct Front {
    /// What is cut in any case.
    pub common: Choice,
    /// What is asked of each moulding in any case.
    pub asked: Asked,
    pub factors: Vec<Factor>,
    /// The mouldings of which a better choice may have been overlooked.
    pub doubtful: BTreeSet<String>,
}

fn mouldings(classes: &[Class], class: usize) -> impl Iterator<Item = &String> {
    classes[class].layers.iter().map(|layer| &layer.moulding)
}

impl Factor {
    fn new(classes: &[Class], choices: Vec<Choice>) -> Factor {
        let all = choices.iter().flat_map(Choice::keys);
        let mouldings = all.flat_map(|class| mouldings(classes, *class)).cloned().collect();
        Factor { choices, mouldings }
    }

    /// Every choice of each factor with every choice of the others; false, with
    /// one only, if there are more than `most`.
    pub fn product(factors: &[Factor], most: usize) -> (Vec<Choice>, bool) {
        let count = |count: usize, factor: &Factor| count.saturating_mul(factor.choices.len());
        let whole = factors.iter().fold(1, count) <= most;
        let mut product = vec![Choice::new()];
        for factor in factors {
            let choices = if whole { &factor.choices[..] } else { &factor.choices[..1] };
            let with = |before: &Choice| -> Vec<Choice> {
                let both = |choice: &Choice| {
                    let mut both = before.clone();
                    join(&mut both, choice);
                    both
                };
                choices.iter().map(both).collect()
            };
            product = product.iter().flat_map(with).collect();
        }
        (product, whole)
    }
}

impl Front {
    /// The one choice of nothing but what is asked in any case.
    pub fn new(asked: Asked) -> Front {
        let (common, factors, doubtful) = (Choice::new(), Vec::new(), BTreeSet::new());
        Front { common, asked, factors, doubtful }
    }

    /// Cuts these whatever else is chosen.
    pub fn cut(&mut self, classes: &[Class], certain: &Choice) {
        join(&mut self.common, certain);
        add(&mut self.asked, classes, certain);
    }

    /// What a moulding is asked for, after each of the choices.
    pub fn loads(&self, classes: &[Class], moulding: &str) -> BTreeSet<Counts> {
        let asked = self.asked.get(moulding);
        let factor = self.factors.iter().find(|factor| factor.mouldings.contains(moulding));
        let Some(factor) = factor else { return BTreeSet::from([sum(asked, None)]) };
        let load = |choice: &Choice| {
            let mut more = Asked::new();
            add(&mut more, classes, choice);
            sum(asked, more.get(moulding))
        };
        factor.choices.iter().map(load).collect()
    }

    /// Takes out the factors that touch any of these mouldings.
    pub fn take_factors(&mut self, touched: &BTreeSet<String>) -> Vec<Factor> {
        let (taken, left) = std::mem::take(&mut self.factors)
            .into_iter()
            .partition(|factor| !factor.mouldings.is_disjoint(touched));
        self.factors = left;
        taken
    }

    /// Takes in choices of which one is to be taken. What they have in common is
    /// cut in any case.
    pub fn admit(&mut self, classes: &[Class], mut choices: Vec<Choice>) {
        let Some(first) = choices.first() else { return };
        let least = |class: &usize| {
            choices.iter().map(|choice| choice.get(class).copied().unwrap_or(0)).min()
        };
        let common: Choice = first
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
            self.factors.push(Factor::new(classes, choices));
        }
    }

    /// Joins factors that have come to share a moulding.
    pub fn part(&mut self, classes: &[Class]) {
        let factors = std::mem::take(&mut self.factors);
        let mut ties = Ties::default();
        for factor in &factors {
            ties.tie(factor.mouldings.iter().map(String::as_str));
        }
        let leader = |factor: &Factor| {
            factor.mouldings.first().map(|id| ties.leader(id).to_owned()).unwrap_or_default()
        };
        let mut sets: Vec<(String, Vec<Factor>)> = Vec::new();
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
            let (choices, whole) = Factor::product(&set, MOST_CHOICES);
            if !whole {
                self.doubtful.extend(set.into_iter().flat_map(|factor| factor.mouldings));
            }
            self.admit(classes, choices);
        }
    }

    /// Marks all mouldings of these classes as doubtful.
    pub fn doubt(&mut self, classes: &[Class], of: impl Iterator<Item = usize>) {
        self.doubtful.extend(of.flat_map(|class| mouldings(classes, class)).cloned());
    }

    /// Whether another choice on a doubtful moulding would have left room for
    /// other frames is not known, so what a frame ties to it is doubtful too.
    pub fn spread_doubt(&mut self, classes: &[Class], wanted: &Choice) {
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
    use super::super::work::ClassLayer;
    use super::*;

    /// Classes by the mouldings of their layers.
    fn classes(of: &[&[&str]]) -> Vec<Class> {
        let layer = |id: &&str| ClassLayer { moulding: (*id).to_owned(), ask: 0, chop_only: false };
        of.iter().map(|ids| Class { layers: ids.iter().map(layer).collect() }).collect()
    }

    #[test]
    fn what_choices_have_in_common_is_cut_in_any_case() {
        let classes = classes(&[&["A"], &["A"], &["A"]]);
        let mut front = Front::new(Asked::new());
        front.admit(&classes, vec![Choice::from([(0, 2)]), Choice::from([(0, 1), (2, 1)])]);
        assert_eq!(front.common, Choice::from([(0, 1)]));
        let left = vec![Choice::from([(0, 1)]), Choice::from([(2, 1)])];
        assert_eq!(front.factors[0].choices, left);
        assert_eq!(front.loads(&classes, "A").len(), 1, "each asks two of the one ask");
    }

    #[test]
    fn factors_that_share_a_moulding_become_one() {
        let classes = classes(&[&["A"], &["A", "B"], &["C"], &["B", "C"], &["D"], &["D"]]);
        let either = |a, b| vec![Choice::from([(a, 1)]), Choice::from([(b, 1)])];
        let mut front = Front::new(Asked::new());
        front.admit(&classes, either(0, 1));
        front.admit(&classes, either(2, 3));
        front.admit(&classes, either(4, 5));
        front.part(&classes);
        let sizes: Vec<usize> = front.factors.iter().map(|factor| factor.choices.len()).collect();
        assert_eq!(sizes, vec![4, 2]);
        assert_eq!(front.loads(&classes, "B").len(), 3);
    }

    #[test]
    fn doubt_spreads_along_frames_that_are_wanted_later() {
        let classes = classes(&[&["A"], &["A", "B"], &["B", "C"], &["D"]]);
        let mut front = Front::new(Asked::new());
        front.doubt(&classes, [0].into_iter());
        front.spread_doubt(&classes, &Choice::from([(2, 1), (3, 1)]));
        assert_eq!(front.doubtful.len(), 1);
        front.spread_doubt(&classes, &Choice::from([(1, 1), (2, 1), (3, 1)]));
        let doubtful: Vec<&str> = front.doubtful.iter().map(String::as_str).collect();
        assert_eq!(doubtful, ["A", "B", "C"]);
    }
}
