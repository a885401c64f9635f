//! Small cases to the end, by dynamic programming.

pub(super) mod by_demand;
pub(super) mod by_stock;
pub(super) mod links;
pub(super) mod small;
pub(super) mod stock_states;
