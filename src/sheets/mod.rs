//! Boards and glass: what is cut from which sheet and remnant, edge to edge.
//!
//! # The map
//!
//! `pane` is a rectangle and a cut; `ways` takes one piece out of a pane; `breakdown` walks
//! through pieces in an order; `search` compares many orders, the habit first; `patterns`
//! begins with sheets cut alike, as the cheapest `mix` of them has it; `anew` cuts a few sheets of
//! a layout again; `bounds` says what
//! nothing goes below; `check` looks a layout over with arithmetic of its own; `plan` puts names
//! and labels to it. `most` answers a question of its own, exactly: how much one sheet holds of
//! a size.
//!
//! # The aims, in their order
//!
//! As many pieces as possible; then the least of sheets that are still to be bought; then the
//! least of whole sheets opened; then the most worth in remnants; then the fewest sheets cut.

mod anew;
mod bounds;
mod breakdown;
mod check;
mod mix;
mod most;
mod pane;
mod patterns;
mod plan;
mod search;
mod ways;

pub use breakdown::{Breakdown, BrokenSheet, SheetCost, SheetFrom, SheetQuestion};
pub use check::{SheetFault, faults};
pub use most::{WantedSize, most};
pub use pane::{Divides, Pane, SheetCut, area};
pub use plan::{LackingSheets, NamedPiece, PlannedSheet, SheetPlan, label_after, plan_sheets};
