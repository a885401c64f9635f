//! How long to search: `--effort` and `--seconds`.

use std::time::{Duration, Instant};

use super::{interrupt, seconds};
use crate::morning::WORK;
use crate::solve::Limits;

/// How hard a plan is searched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum EffortLevel {
    /// A quarter of the steps: an answer while somebody waits
    Brisk,
    /// As usual
    Steady,
    /// Ten times the steps: for a plan that is made overnight
    Patient,
}

impl EffortLevel {
    /// The steps of one packing at most; those of a whole plan follow from it.
    pub(super) fn work(self) -> u64 {
        match self {
            EffortLevel::Brisk => WORK / 4,
            EffortLevel::Steady => WORK,
            EffortLevel::Patient => WORK * 10,
        }
    }
}

/// The options of every command that plans.
#[derive(Debug, Clone, Copy, Default, clap::Args)]
pub struct SearchOptions {
    /// Stop searching after S seconds with the best plan found
    #[arg(long, value_name = "S", allow_negative_numbers = true, value_parser = seconds::parse)]
    pub seconds: Option<Duration>,
    /// How hard to search: brisk, steady or patient
    #[arg(long, value_name = "WORD", value_enum, hide_possible_values = true)]
    pub effort: Option<EffortLevel>,
}

impl SearchOptions {
    /// The limits of a search that begins now.
    pub(super) fn limits(self) -> Limits<'static> {
        self.limits_or(EffortLevel::Steady)
    }

    /// The same, searching so hard if nothing is said.
    pub(super) fn limits_or(self, usual: EffortLevel) -> Limits<'static> {
        let deadline = self.seconds.and_then(|seconds| Instant::now().checked_add(seconds));
        interrupt::limits(self.effort.unwrap_or(usual), deadline)
    }
}
