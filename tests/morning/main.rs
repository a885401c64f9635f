//! Whole mornings: the plan against brute force, in crowds and contests, on the demo,
//! and whatever of it broke once. In one program, since many take long on one core.

#[path = "../support/numbers.rs"]
mod numbers;
#[path = "../support/ring.rs"]
mod ring;
#[path = "../../benches/shops/mod.rs"]
mod shops;
#[path = "../support/mod.rs"]
mod support;

mod brute;
mod budget;
mod construct;
mod contests;
mod crowded;
mod demo;
mod held;
mod patience;
mod properties;
mod proven;
mod threads;
mod wishes;
