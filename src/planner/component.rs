//! Frames of which some are cut, as far as they compete with one another.

use std::collections::BTreeSet;

use super::choice::{FrameChoice, MOST_CHOICES, join};
use super::work::Class;

/// How many of some frames are cut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Cardinality {
    /// As in one of these choices.
    OneOf(Vec<FrameChoice>),
    /// So many of these frames, whichever.
    Some {
        /// How many there are of each class, in the order in which they are tried.
        wanted: Vec<(usize, u32)>,
        /// How many of them all are cut.
        total: u32,
    },
}

impl Cardinality {
    /// Of each class as many as may be cut.
    pub fn most(&self) -> FrameChoice {
        let mut most = FrameChoice::new();
        match self {
            Cardinality::OneOf(choices) => {
                for (class, count) in choices.iter().flatten() {
                    let known = most.entry(*class).or_default();
                    *known = (*known).max(*count);
                }
            }
            Cardinality::Some { wanted, total } => {
                most.extend(wanted.iter().map(|(class, count)| (*class, *count.min(total))));
            }
        }
        most
    }

    /// How many frames are cut, where that is counted.
    pub fn total(&self) -> u32 {
        match self {
            Cardinality::OneOf(_) => 0,
            Cardinality::Some { total, .. } => *total,
        }
    }
}

/// Frames that share mouldings, and by whom no other frame's choice is touched:
/// of each level some of them are cut, all of which fit together.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Component {
    pub levels: Vec<Cardinality>,
    /// The mouldings that some of the choices take from.
    pub mouldings: BTreeSet<String>,
    /// One of the choices, known to have room.
    pub seen: FrameChoice,
}

impl Component {
    pub fn new(classes: &[Class], levels: Vec<Cardinality>, seen: FrameChoice) -> Component {
        let mut component = Component { levels, mouldings: BTreeSet::new(), seen };
        let most = component.most();
        let layers = most.keys().flat_map(|class| &classes[*class].layers);
        component.mouldings = layers.map(|layer| layer.moulding.clone()).collect();
        component
    }

    /// Whether all choices are listed and few, and so known to fit.
    pub fn is_listed(&self) -> bool {
        let count = |level: &Cardinality| match level {
            Cardinality::OneOf(choices) => choices.len(),
            Cardinality::Some { .. } => usize::MAX,
        };
        self.levels.iter().map(count).fold(1, usize::saturating_mul) <= MOST_CHOICES
    }

    /// Of each class as many as any of the choices can cut.
    pub fn most(&self) -> FrameChoice {
        let mut most = FrameChoice::new();
        self.levels.iter().for_each(|level| join(&mut most, &level.most()));
        most
    }

    /// Takes another in: any choice of the one goes with any of the other.
    pub fn unite(&mut self, other: Component) {
        self.levels.extend(other.levels);
        self.mouldings.extend(other.mouldings);
        join(&mut self.seen, &other.seen);
    }
}
