//! The counter: prices to the cent, promises against every calendar, and what is said.

mod asked;
mod capacity;
mod kept;
#[path = "../support/numbers.rs"]
mod numbers;
mod price;
mod promise;
mod said;
mod unsaid;
