//! Dates over everything at once: today, what is on order and what is bought.

#[path = "../support/numbers.rs"]
mod numbers;

mod cases;
mod evening;
mod every;
mod shops;
mod suppliers;
