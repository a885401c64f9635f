//! How often a machine's stop is moved: in which order sticks come to it, and
//! the cuts on each.
//!
//! Nothing here knows a plan. The plan asks [`choose`] how to lay out its cuts,
//! and whoever writes the bench's steps asks [`few_settings`] for the order of the
//! sticks as they are laid.

mod chain;
mod exact;
mod free;
mod order;

pub use free::{Block, Free, choose};
pub use order::{Passage, Setting, few_settings};
