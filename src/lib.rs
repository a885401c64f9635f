//! Longpoint: from pending frames to chopped rails.
#![deny(missing_docs)]
#![forbid(unsafe_code)]

pub mod chop;
pub mod measure;
pub mod plan;
pub mod rails;
pub mod report;
pub mod shop;
pub mod solve;
