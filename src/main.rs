//! The command line of Longpoint.
fn main() {}
