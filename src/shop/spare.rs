//! A spare rail: cut and good, and nobody's any more.

use super::Match;
use crate::measure::{Length, Mitre};

/// A rail that was cut for a frame which is not made any more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spare {
    /// What it goes by.
    pub label: String,
    /// Which moulding.
    pub moulding: String,
    /// Its mitre.
    pub mitre: Mitre,
    /// Tip to tip along the back edge.
    pub long_point: Length,
    /// Its lot; empty if not known.
    pub lot: String,
    /// The stick that it was cut from.
    pub stick: String,
    /// The ticket, copy and layer that it was cut for.
    pub of: (String, u32, usize),
    /// The side that it was cut for: its place in the cutting order, from 0.
    pub side: usize,
    /// How alike the rails of that layer are.
    pub alike: Match,
}
