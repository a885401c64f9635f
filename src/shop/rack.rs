//! A stick on the rack, whole or part-used.

use jiff::civil::Date;

use crate::measure::Length;

/// One length of moulding on the rack.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stick {
    /// The label on its marked end.
    pub id: String,
    /// Which moulding.
    pub moulding: String,
    /// Tip to tip along the back edge.
    pub length: Length,
    /// The finishing run it comes from; empty if not known.
    pub lot: String,
    /// Where it lies.
    pub place: String,
    /// What may not be in any rail, in order along the stick, apart from one another.
    pub flaws: Vec<Flaw>,
    /// Since when it has been on the rack.
    pub since: Option<Date>,
}

/// A stick that is on order, or an offcut that a plan at the bench will leave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Coming {
    /// What is known of it: a name until it has its label, its length at the
    /// least, and as its lot the delivery that it comes with.
    pub stick: Stick,
    /// From whom; empty where the order does not say.
    pub supplier: String,
    /// On which day it should come, if that is known.
    pub arrives: Option<Date>,
    /// Whether it is what a plan at the bench leaves: it is there once that is cut.
    pub at_bench: bool,
}

/// A zone that may not be in any rail, along the back edge from the marked end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Flaw {
    /// Where it begins.
    pub from: Length,
    /// Where it ends; not before it begins.
    pub to: Length,
}
