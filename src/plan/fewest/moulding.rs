//! One moulding: how often its packings of the least cost move the stop.

use std::collections::{BTreeMap, BTreeSet};

use super::question::{At, Question};
use super::search::{Limits, Search};
use crate::cutting::{Demand, Posed};
use crate::plan::packing::Fit;
use crate::plan::shares::Root;
use crate::solve::Pattern;
use crate::stops::{Ends, Setting, Ways, passed};

/// A packing: the ask of each demand, the demands, what they were posed as, and
/// the patterns.
pub(super) struct Packing {
    pub of: Vec<usize>,
    pub demands: Vec<Demand>,
    pub posed: Posed,
    pub patterns: Vec<Pattern>,
}

/// How often the stop is moved for one moulding.
pub(super) struct Passages {
    /// For each beginning and end the fewest moves that were found, as far as it
    /// may be worth it, with the packing by its place: 0 is that of the fit, one
    /// more than the place below for others. Empty if there are too many sticks.
    pub ways: BTreeMap<Ends, (usize, usize)>,
    pub packings: Vec<Packing>,
    /// What no packing that costs no more goes below.
    pub least: Least,
    /// The settings of all rails.
    pub settings: BTreeSet<Setting>,
}

/// The fewest moves.
pub(super) enum Least {
    /// Those that were found.
    Found,
    /// These, by beginning and end, as far as it may be worth it.
    Ways(BTreeMap<Ends, usize>),
    /// So many, from any setting to any other.
    Moves(usize),
}

/// The passages of a fit as it is packed.
pub(super) fn as_packed(fit: &Fit, at: &At) -> Passages {
    let question = Question::new(fit, (&fit.posed, &fit.demands), at);
    let settings = question.settings().clone();
    let least = Least::Moves(settings.len().saturating_sub(1));
    let mut ways = BTreeMap::new();
    if question.is_as_posed(&fit.posed) {
        let each = fit.solution.patterns.iter();
        let each = each.flat_map(|pattern| std::iter::repeat_n(pattern, pattern.times as usize));
        let sticks: Vec<Ways> = each.map(|p| question.ways(&question.passing(p))).collect();
        let passed = passed(&sticks.iter().collect::<Vec<_>>()).unwrap_or_default();
        ways.extend(passed.into_iter().map(|(ends, moves)| (ends, (moves, 0))));
    }
    Passages { ways, packings: Vec::new(), least, settings }
}

/// The best passages of everything that costs no more than a fit that is proven,
/// with its frames shared out over lots in each of these ways. What is set for
/// other mouldings too is worth beginning and ending at.
pub(super) fn among_equals(
    fit: &Fit,
    roots: &[Root],
    pose: &dyn Fn(&[Demand]) -> Posed,
    at: &At,
    shared: &BTreeSet<Setting>,
) -> Passages {
    let Passages { ways, settings, .. } = as_packed(fit, at);
    let shared: Vec<Setting> = shared.intersection(&settings).copied().collect();
    let question = |(_, demands): &Root| Question::new(fit, (&pose(demands), demands), at);
    let questions: Vec<Question> = roots.iter().map(question).collect();
    let of = |place: usize| (&questions[place], &roots[place]);
    let mut limits = Limits::default();
    let mut search = Search::new(ways, shared.clone(), settings.len());
    (0..roots.len()).for_each(|place| search.root(of(place), &mut limits));
    let loosened = questions.iter().map(Question::loosened).collect::<Option<Vec<Question>>>();
    let least = match loosened {
        None if search.is_whole() => Least::Found,
        None => Least::Moves(search.floor()),
        Some(loosened) => {
            let mut loose = Search::new(BTreeMap::new(), shared, settings.len());
            let each = loosened.iter().zip(roots);
            each.for_each(|root| loose.root(root, &mut limits));
            match loose.is_whole() {
                true => Least::Ways(loose.moves()),
                false => Least::Moves(loose.floor()),
            }
        }
    };
    let (ways, packings) = search.found();
    Passages { ways, packings, least, settings }
}
