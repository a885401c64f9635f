//! The bare solver: against every way, against a general model, against published
//! values, and against itself.

#[path = "../support/exhaust.rs"]
mod exhaust;
#[path = "../support/general.rs"]
mod general;
#[path = "../support/known.rs"]
mod known_values;
#[path = "../support/numbers.rs"]
mod numbers;
#[path = "../support/ring.rs"]
mod ring;
#[path = "../support/table.rs"]
mod table;

mod brute;
mod known;
mod mip;
mod properties;
mod worth;
