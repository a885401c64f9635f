//! What is wished of a plan for this run alone.

use std::collections::BTreeSet;

use crate::shop::Frame;

/// What is wished of a plan for this run alone, and is not in the shop's files.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Wishes {
    /// The frames, by ticket number, that come before all others; among
    /// themselves they keep the order of their dates.
    pub rush: BTreeSet<String>,
    /// The frames, by ticket number, that are planned at all; `None` is all.
    pub only: Option<BTreeSet<String>>,
    /// Whether nothing is bought: what cannot be cut from the rack today waits.
    pub rack_only: bool,
}

impl Wishes {
    /// Whether nothing out of the ordinary is wished.
    pub fn is_empty(&self) -> bool {
        *self == Wishes::default()
    }

    /// Whether a frame is planned, or left aside for this run.
    pub fn concerns(&self, frame: &Frame) -> bool {
        self.only.as_ref().is_none_or(|only| only.contains(&frame.id))
    }

    /// Whether a frame comes before those that are not rushed.
    pub fn rushes(&self, frame: &Frame) -> bool {
        self.rush.contains(&frame.id)
    }
}
