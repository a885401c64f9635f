//! Longpoint: from pending frames to chopped rails.
#![deny(missing_docs)]
#![forbid(unsafe_code)]

pub mod chop;
pub mod cli;
pub mod cutting;
pub mod measure;
pub mod offcuts;
pub mod plan;
pub mod rails;
pub mod report;
pub mod shop;
pub mod solve;
