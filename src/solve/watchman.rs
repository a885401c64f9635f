//! When a search is to end, for steps too long to wait for the next look.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

/// The deadline and the flag of a search. Nobody minds the time where there is
/// neither.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Watchman<'a> {
    pub deadline: Option<Instant>,
    pub stop: Option<&'a AtomicBool>,
}

impl Watchman<'_> {
    /// Whether the deadline has passed or the flag is set.
    pub fn is_late(&self) -> bool {
        self.deadline.is_some_and(|end| Instant::now() >= end)
            || self.stop.is_some_and(|flag| flag.load(Ordering::Relaxed))
    }
}
