//! How hard a packing is searched, as several threads may know it.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use crate::solve::Limits;

/// The limits of each packing by itself. Nobody watches a single packing: many
/// are made at once.
#[derive(Clone, Copy)]
pub(super) struct Effort<'a> {
    work: u64,
    deadline: Option<Instant>,
    stop: Option<&'a AtomicBool>,
}

impl<'a> Effort<'a> {
    pub fn new(limits: &Limits<'a>) -> Effort<'a> {
        Effort { work: limits.work, deadline: limits.deadline, stop: limits.stop }
    }

    /// The same with so many steps at most.
    pub fn at_most(self, work: u64) -> Effort<'a> {
        Effort { work: self.work.min(work), ..self }
    }

    /// Whether it is more than so many steps.
    pub fn is_more_than(self, work: u64) -> bool {
        self.work > work
    }

    /// Whether it is to end at once with the best that is known.
    pub fn is_over(self) -> bool {
        self.deadline.is_some_and(|deadline| Instant::now() >= deadline)
            || self.stop.is_some_and(|stop| stop.load(Ordering::Relaxed))
    }

    /// As the solver is told.
    pub fn limits(self) -> Limits<'a> {
        Limits { work: self.work, deadline: self.deadline, stop: self.stop, watch: None }
    }
}
