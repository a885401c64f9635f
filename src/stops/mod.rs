//! How often a machine's stop is moved: in which order sticks come to it, and
//! the cuts on each.
//!
//! Nothing here knows a plan. The plan asks [`passed`] and [`best`] how often a
//! packing moves the stop, and [`choose`] how to lay out its cuts; whoever writes
//! the bench's steps asks [`few_settings`] for the order of the sticks as they are
//! laid.

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
pub use passage::{Ends, Passage, PassageOrder, Setting};
pub use ways::{Block, CutWays, Free};
