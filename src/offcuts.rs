//! What goes back on the rack: whether it is kept, and under which label.

use std::collections::BTreeSet;

use crate::cutting::{Bench, Remnant};
use crate::measure::{Length, Worth};
use crate::shop::Flaw;

/// A piece that remains of a stick.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Left {
    /// Where it begins, along the back edge from the marked end.
    pub from: Length,
    /// Its length along the back edge.
    pub length: Length,
    /// Whether the shop keeps it: an offcut, else scrap.
    pub keep: bool,
    /// The label of the offcut; empty for scrap.
    pub label: String,
    /// What it is worth on the rack; zero for scrap.
    pub worth: Worth,
}

/// The flaws of a piece of a stick, measured from where it begins.
pub fn flaws_on(flaws: &[Flaw], from: Length, length: Length) -> Vec<Flaw> {
    let moved = |flaw: &Flaw| Flaw {
        from: (flaw.from - from).max(Length::ZERO),
        to: (flaw.to - from).min(length),
    };
    let is_on = |flaw: &&Flaw| flaw.to > from && flaw.from < from + length;
    flaws.iter().filter(is_on).map(moved).collect()
}

/// Gives each offcut a label that no stick on the rack has: its parent's label,
/// a point, and the lowest free number.
#[derive(Debug, Clone, Default)]
pub struct Labels {
    taken: BTreeSet<String>,
}

impl Labels {
    /// Begins with the labels that are taken already.
    pub fn new<'a>(taken: impl Iterator<Item = &'a str>) -> Labels {
        Labels { taken: taken.map(str::to_owned).collect() }
    }

    fn next(&mut self, parent: &str) -> String {
        let label = (1_u32..)
            .map(|number| format!("{parent}.{number}"))
            .find(|label| !self.taken.contains(label))
            .expect("fewer than four billion labels are taken");
        self.taken.insert(label.clone());
        label
    }

    /// What becomes of a piece that remains of `parent`: kept from the shop's
    /// least length on, else scrap.
    pub fn assess(&mut self, bench: &Bench, parent: &str, remnant: Remnant) -> Left {
        let length = remnant.length.max(Length::ZERO);
        let keep = length.is_positive() && length >= bench.settings.keep;
        Left {
            from: remnant.from,
            length,
            keep,
            label: if keep { self.next(parent) } else { String::new() },
            worth: if keep { bench.worth(length) } else { Worth(0) },
        }
    }
}
