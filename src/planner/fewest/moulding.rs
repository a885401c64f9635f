//! One moulding: how often its packings of the least cost move the stop.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::question::{At, Question};
use super::search::{LookLimits, PassageSearch};
use crate::cutting::{Demand, Posed};
use crate::planner::packing::Fit;
use crate::planner::shares::LotShare;
use crate::stops::{CutWays, Ends, Setting, passed};

/// For each beginning and end the fewest moves that were found, as far as it may
/// be worth it, with the place of the packing.
pub(super) type BestPassages = BTreeMap<Ends, (usize, usize)>;

/// How often the stop is moved for one moulding.
pub(super) struct Passages {
    /// The ways that were found. None if there are too many sticks.
    pub ways: BestPassages,
    /// The packings: first that which was there before.
    pub fits: Vec<Arc<Fit>>,
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

/// The passages of a fit as it is packed, which `question` asks of.
pub(super) fn as_packed(question: &Question, fit: Arc<Fit>) -> Passages {
    let settings = question.settings().clone();
    let least = Least::Moves(settings.len().saturating_sub(1));
    let mut ways = BestPassages::new();
    if question.is_as_posed(&fit.posed) {
        let sticks = question.sticks(&fit.solution.patterns);
        let sticks: Vec<CutWays> = sticks.iter().map(CutWays::of).collect();
        let passed = passed(&sticks.iter().collect::<Vec<_>>()).unwrap_or_default();
        ways.extend(passed.into_iter().map(|(ends, moves)| (ends, (moves, 0))));
    }
    Passages { ways, fits: vec![fit], least, settings }
}

/// The best passages of everything that costs no more than a fit that is proven
/// and has these, with its frames shared out over lots in each of these ways. What is set for
/// other mouldings too is worth beginning and ending at.
pub(super) fn among_equals(
    as_packed: Passages,
    roots: &[LotShare],
    pose: &dyn Fn(&[Demand]) -> Posed,
    at: &At,
    shared: &BTreeSet<Setting>,
) -> Passages {
    let Passages { ways, fits, settings, .. } = as_packed;
    let fit = fits[0].clone();
    let shared: Vec<Setting> = shared.intersection(&settings).copied().collect();
    let question = |(_, demands): &LotShare| Question::new(&fit, (&pose(demands), demands), at);
    let questions: Vec<Question> = roots.iter().map(question).collect();
    let mut limits = LookLimits::default();
    let mut search = PassageSearch::new(ways, fits, shared.clone(), settings.len());
    let each = questions.iter().zip(roots);
    each.for_each(|root| search.root(root, &mut limits));
    let loosened = questions.iter().map(Question::loosened).collect::<Option<Vec<Question>>>();
    let least = match loosened {
        None if search.is_whole() => Least::Found,
        None => Least::Moves(search.floor()),
        Some(loosened) => {
            let mut loose =
                PassageSearch::new(BestPassages::new(), vec![fit], shared, settings.len());
            let each = loosened.iter().zip(roots);
            each.for_each(|root| loose.root(root, &mut limits));
            match loose.is_whole() {
                true => Least::Ways(loose.moves()),
                false => Least::Moves(loose.floor()),
            }
        }
    };
    let (ways, fits) = search.found();
    Passages { ways, fits, least, settings }
}
