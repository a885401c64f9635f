//! From the linear program to a plan and a proof: diving, branching, fixing.

pub(super) mod bulk;
pub(super) mod candidates;
pub(super) mod dive;
pub(super) mod fixing;
pub(super) mod gap;
pub(super) mod local_branching;
pub(super) mod pair_branching;
pub(super) mod root;
pub(super) mod schedule;
pub(super) mod set_partitioning;
pub(super) mod subset_rows;
pub(super) mod unit_branching;
