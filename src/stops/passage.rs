//! What sticks and mouldings do to the stop, as plain data.

use crate::measure::{Length, Mitre};

/// How a machine is set: its stop and its mitre.
pub type StopPosition = (Length, Mitre);

/// What one stick does to the setting. Without rails it leaves it alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Passage<'a> {
    /// Which moulding; sticks of one are kept together.
    pub moulding: &'a str,
    /// The setting that the first rail needs.
    pub first: Option<StopPosition>,
    /// The setting at which the last rail leaves the machine.
    pub last: Option<StopPosition>,
}

/// Where a passage of a moulding begins and ends.
pub type Ends = (Option<StopPosition>, Option<StopPosition>);

/// How often the stop is moved within a moulding, and the order of its sticks.
pub type PassageOrder<T> = (usize, Vec<T>);

/// Ways with their settings numbered: from, to, and moves.
pub(super) type NumberedWays = Vec<Vec<(usize, usize, usize)>>;
