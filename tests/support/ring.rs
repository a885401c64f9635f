//! How long the rings of tests are.

/// So many of a ring's cases: all of them where `LONGPOINT_RINGS` says `whole`, as it
/// does before anything lands, else a quarter of them, for who is at work.
pub fn part(whole: u64) -> u64 {
    match std::env::var("LONGPOINT_RINGS") {
        Ok(asked) if asked == "whole" => whole,
        _ => whole.div_ceil(4),
    }
}
