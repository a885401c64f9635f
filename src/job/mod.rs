//! The rules of a job: from an artwork to its package, its pieces and its hanging.
//!
//! Each file is one rule of the bench, in plain quantities: nothing here knows a shop,
//! a file or a sheet of paper. Lengths are exact; what must be rounded is rounded in
//! the direction that always fits, or always holds.
//!
//! # Why forces need no angle
//!
//! What a wire pulls with follows from two lengths, half its run and its rise, and the
//! leg between them is a square root, taken upwards in whole numbers. So a load is never
//! less than it is, and the angle is only worked out to be printed.

pub mod hanging;
pub mod joining;
pub mod movement;
pub mod package;
pub mod pieces;
mod root;
pub mod stiffness;
pub mod thickness;
pub mod weight;
pub mod window;
