//! The shop's page, asked over lines of the tests' own.

#[allow(dead_code, reason = "the book's tests use the rest of it")]
#[path = "../book/shops.rs"]
mod shops;

#[path = "../support/http.rs"]
mod http;

mod bench;
mod command;
mod counter;
mod cut;
mod harm;
mod joiner;
mod measured;
mod office;
mod orders;
mod served;
mod steps;
mod who;
