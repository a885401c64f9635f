//! One instance solved, checked, and held against what is known of it.

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::{Duration, Instant};

use longpoint::cli::pack::read;
use longpoint::solve::{self, Limits, Outcome, Problem};

use crate::index::Entry;

/// What came of one instance.
pub struct Trial {
    /// The instance and what was known of it.
    pub entry: Entry,
    /// The cost of the plan found.
    pub cost: Option<i64>,
    /// The lower bound found.
    pub bound: Option<i64>,
    /// Whether the stock was shown not to suffice.
    pub impossible: bool,
    /// The solver's wall-clock seconds.
    pub seconds: f64,
    /// The solver's own count of its steps.
    pub work: u64,
    /// What is wrong with the answer, if anything.
    pub wrong: Option<String>,
}

/// Solves one instance within the limit.
pub fn run(folder: &Path, entry: &Entry, limit: Duration) -> Trial {
    let mut trial = Trial {
        entry: entry.clone(),
        cost: None,
        bound: None,
        impossible: false,
        seconds: 0.0,
        work: 0,
        wrong: None,
    };
    match load(folder, entry) {
        Ok(problem) => trial.solve(&problem, limit),
        Err(error) => trial.wrong = Some(error),
    }
    trial
}

fn load(folder: &Path, entry: &Entry) -> Result<Problem, String> {
    let text = fs::read_to_string(folder.join(&entry.file));
    let text = text.map_err(|error| error.to_string())?;
    read::problem(&entry.file, &text).map_err(|faults| faults.to_string())
}

impl Trial {
    /// Whether the plan is proven the best, or there is proven to be none, and
    /// nothing is wrong with that.
    pub fn proven(&self) -> bool {
        let met = self.cost.is_some() && self.cost == self.bound;
        self.wrong.is_none() && (met || self.impossible)
    }

    /// Whether the plan costs as much as the known optimum.
    pub fn at_optimum(&self) -> bool {
        self.cost.is_some() && self.cost == self.entry.opt
    }

    /// One line for the log.
    pub fn line(&self) -> String {
        let show = |value: Option<i64>| value.map_or("-".to_owned(), |value| value.to_string());
        let state = match &self.wrong {
            Some(wrong) => format!("WRONG {wrong}"),
            None if self.impossible => "proven impossible".to_owned(),
            None if self.proven() => "proven".to_owned(),
            None => "open".to_owned(),
        };
        format!(
            "{}: cost {}, bound {}, known {}, {:.3} s, work {}, {state}",
            self.entry.file,
            show(self.cost),
            show(self.bound),
            show(self.entry.opt),
            self.seconds,
            self.work,
        )
    }

    fn solve(&mut self, problem: &Problem, limit: Duration) {
        let start = Instant::now();
        let limits =
            Limits { work: u64::MAX, deadline: Some(start + limit), stop: None, watch: None };
        // A long run over many instances should outlive one that fails.
        let outcome = catch_unwind(AssertUnwindSafe(|| solve::solve(problem, &limits)));
        self.seconds = start.elapsed().as_secs_f64();
        match outcome {
            Ok(outcome) => self.judge(problem, &outcome),
            Err(_) => self.wrong = Some("the solver panicked".to_owned()),
        }
    }

    fn judge(&mut self, problem: &Problem, outcome: &Outcome) {
        match outcome {
            Outcome::Solved(solution) => {
                self.cost = Some(solution.cost);
                self.bound = Some(solution.bound);
                self.work = solution.work;
            }
            Outcome::Interrupted { bound, work } => {
                self.bound = Some(*bound);
                self.work = *work;
            }
            // An instance may be impossible, but not one with a known plan.
            Outcome::Impossible(_) if self.entry.ub.or(self.entry.opt).is_none() => {
                self.impossible = true;
            }
            Outcome::Impossible(shortfall) => {
                self.wrong = Some(format!("impossible: {shortfall:?}"));
            }
        }
        let known = self.against_known();
        let fault = solve::check(problem, outcome).err();
        self.wrong = self.wrong.take().or(fault.map(|fault| fault.to_string())).or(known);
    }

    /// What contradicts the published optimum or bounds.
    fn against_known(&self) -> Option<String> {
        let least = self.entry.opt.or(self.entry.lb)?;
        let most = self.entry.opt.or(self.entry.ub);
        if self.cost.is_some_and(|cost| cost < least) {
            return Some(format!("cost below the published bound {least}"));
        }
        let most = most?;
        let above = self.bound.is_some_and(|bound| bound > most);
        above.then(|| format!("bound above the published plan of {most}"))
    }
}
