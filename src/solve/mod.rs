//! Cutting stock in integers: the best way to take pieces from stock, with proof.

mod check;
mod outcome;
mod problem;

pub use check::{Fault, check};
pub use outcome::{Limits, Outcome, Pattern, Piece, Progress, Shortfall, Solution};
pub use problem::{Credit, Item, Problem, Run, Stock, WHOLE};
