//! How often a machine's stop is moved: in which order sticks come to it, and
//! the cuts on each.
//!
//! Nothing here knows a plan. The plan asks [`passed`] and [`best`] how often a
//! packing moves the stop, and [`choose`] how to lay out its cuts; whoever writes
//! the bench's steps asks [`few_settings`] for the order of the sticks as they are
//! laid.
//!
//! # How exact that is
//!
//! Cuts at `n` settings in a clear run take `n - 1` moves whatever their order; what
//! counts is at which two of them a stick begins and ends. With few sticks of a
//! moulding that is exact over all sets of sticks done so far (`moulding`): 2^sticks
//! times their ways times the settings to begin at within a million, eight sticks of
//! four settings each. With more they are chained greedily and bettered one by one
//! (`free`). A stick that is laid is an arrow from its first setting to its last, and
//! Euler's theorem gives the fewest trails that pass every arrow of a moulding,
//! whatever their number (`order`). Which moulding follows which, and where each
//! begins and ends, is exact for up to 16 mouldings that have settings in common
//! (`hand_on`); those that have none hand on nothing and are looked at apart. Of the
//! orders with as few moves, one ends the fewest sticks with a rail that must be
//! clamped, as far as the tables reach: they count moves first and such ends second
//! (`held`). As the sticks are laid it is exact for up to 150 of them as well, and
//! beyond that a heuristic that loses one setting for each moulding after the first
//! at most. The order of cuts is part of the plan (`planner::cut_order`), since
//! positions depend on it; that of sticks is the bench's (`chop`).

mod chain;
mod exact;
mod free;
mod hand_on;
mod held;
mod moulding;
mod order;
mod passage;
mod trails;
mod ways;

pub use free::{choose, settings};
pub use hand_on::best;
pub use moulding::passed;
pub use order::few_settings;
pub use passage::{Ends, Passage, PassageOrder, StopPosition};
pub use ways::{Block, CutWays, Free};
