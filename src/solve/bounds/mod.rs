//! Lower bounds on the cost of any plan, proven in integers.

pub(super) mod completion;
pub(super) mod covering;
pub(super) mod frontier;
pub(super) mod knapsack;
pub(super) mod material;
pub(super) mod multiple_choice;
pub(super) mod reachable;
pub(super) mod shortfall;
pub(super) mod total_length;
pub(super) mod whole_units;
