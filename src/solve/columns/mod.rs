//! The linear program over patterns: its simplex method, its pricing, its columns.

pub(super) mod bundles;
pub(super) mod by_room;
pub(super) mod enumeration;
pub(super) mod generation;
pub(super) mod listing;
pub(super) mod master;
pub(super) mod pricing;
pub(super) mod rolling;
pub(super) mod simplex;
pub(super) mod subproblems;
pub(super) mod table;
