//! Plans without a proof: first ones, and better ones out of those.

pub(super) mod downsize;
pub(super) mod fill;
pub(super) mod greedy;
pub(super) mod neighbourhood;
pub(super) mod repack;
