//! Longpoint: from pending frames to chopped rails.
#![deny(missing_docs)]
#![forbid(unsafe_code)]

pub mod cli;
pub mod measure;
pub mod shop;
pub mod solve;
