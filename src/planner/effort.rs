//! How hard a plan is searched, as several threads may know it.
//!
//! A plan has one budget of steps, whatever its shop holds. It is split before
//! work that is done side by side, each moulding's packings spend their own part
//! one after the other, and what they leave is put together again afterwards: so
//! nothing depends on who comes first.
//!
//! # Why the plan is the same with any number of threads
//!
//! The plan has one budget of steps. Before work that is done side by side it is
//! split between the mouldings by what is asked of them, each spends its own part one
//! packing after the other, and what is left is put together again for those that are
//! still open (`purse`); results are collected in the order of the mouldings; nothing
//! is shared that depends on who comes first. `tests/morning/threads.rs` holds it to that.
//!
//! # Why one budget, and not a limit for each packing
//!
//! A crowded contest of a small shop takes thousands of packings, a room of 5,000
//! frames a hundred: a limit that is generous to each of the hundred lets the
//! thousands run for minutes. So everything that takes time is charged: the solver's
//! steps, the posing of each question by its size, the choices that are measured, the
//! nodes of a search. In a contest each date may spend its share of what is left, the
//! earlier the more, and what is over goes to the next; when that is spent frames are
//! still tried, but by a peek alone (the first rules of thumb), so that they are
//! served in the order of their dates; and what was not settled is doubtful, which
//! the plan says. What is chosen is packed last, with all that is left shared out
//! between the mouldings that are not proven.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use crate::plan::Told;
use crate::solve::Limits;

/// A plan's budget, in packings that are searched as hard as may be: so many for
/// any plan, and one more for so many frames.
const PACKINGS: u64 = 25;
const FRAMES_OF_A_PACKING: u64 = 10;

/// The limits of each packing by itself, and of all that are made one after the
/// other. Nobody watches a single packing: many are made at once.
#[derive(Clone, Copy)]
pub(crate) struct Effort<'a> {
    work: u64,
    purse: u64,
    deadline: Option<Instant>,
    stop: Option<&'a AtomicBool>,
    told: Option<Told<'a>>,
}

impl<'a> Effort<'a> {
    /// What a single question may cost, its packings limited one by one alone.
    pub fn new(limits: &Limits<'a>) -> Effort<'a> {
        let Limits { work, deadline, stop, .. } = *limits;
        Effort { work, purse: u64::MAX, deadline, stop, told: None }
    }

    /// What a plan of so many frames may cost, if each packing may cost what
    /// `limits` say.
    pub fn of_plan(limits: &Limits<'a>, frames: usize) -> Effort<'a> {
        let frames = u64::try_from(frames).unwrap_or(u64::MAX);
        let purse = limits.work.saturating_mul(PACKINGS);
        let more = limits.work.saturating_mul(frames) / FRAMES_OF_A_PACKING;
        Effort::new(limits).with_purse(purse.saturating_add(more))
    }

    /// The same, telling how many mouldings are done.
    pub fn telling(self, told: Option<Told<'a>>) -> Effort<'a> {
        Effort { told, ..self }
    }

    /// Tells that so many of all mouldings are done.
    pub fn tell(self, done: usize, all: usize) {
        if let Some(told) = self.told {
            told(done, all);
        }
    }

    /// The same with so many steps at most for each packing.
    pub fn at_most(self, work: u64) -> Effort<'a> {
        Effort { work: self.work.min(work), ..self }
    }

    /// The same with so many steps for all packings.
    pub fn with_purse(self, purse: u64) -> Effort<'a> {
        Effort { purse, ..self }
    }

    /// The same, but for the clock and whoever wants to stop it.
    pub fn to_the_end(self) -> Effort<'a> {
        Effort { deadline: None, stop: None, ..self }
    }

    /// The steps of all packings.
    pub fn purse(self) -> u64 {
        self.purse
    }

    /// The steps of one packing.
    pub fn work(self) -> u64 {
        self.work
    }

    /// Whether the time is over.
    pub fn is_over(self) -> bool {
        self.deadline.is_some_and(|end| Instant::now() >= end)
            || self.stop.is_some_and(|stop| stop.load(Ordering::Relaxed))
    }

    /// Whether it is more than so many steps.
    pub fn is_more_than(self, work: u64) -> bool {
        self.work > work
    }

    /// As the solver is told.
    pub fn limits(self) -> Limits<'a> {
        Limits { work: self.work, deadline: self.deadline, stop: self.stop, watch: None }
    }
}
