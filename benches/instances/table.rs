//! The results as Markdown.

use std::fmt::Write;
use std::fs;

use crate::trial::Trial;

/// The results of one set.
pub struct SetRow {
    set: String,
    trials: Vec<Trial>,
    peak: Option<u64>,
}

impl SetRow {
    /// The trials of a set, and the peak of memory in kilobytes while they ran.
    pub fn new(set: String, trials: Vec<Trial>, peak: Option<u64>) -> SetRow {
        SetRow { set, trials, peak }
    }

    /// How many answers are wrong.
    pub fn wrong(&self) -> usize {
        self.count(|trial| trial.wrong.is_some())
    }

    fn count(&self, which: impl Fn(&Trial) -> bool) -> usize {
        self.trials.iter().filter(|trial| which(trial)).count()
    }

    fn mean(&self, of: impl Fn(&Trial) -> Option<f64>) -> Option<f64> {
        let values: Vec<f64> = self.trials.iter().filter_map(of).collect();
        (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
    }

    fn cells(&self) -> Vec<String> {
        let seconds = |trial: &Trial| Some(trial.seconds);
        let mean = self.mean(seconds).unwrap_or(0.0);
        let worst = self.trials.iter().map(|t| t.seconds).fold(0.0, f64::max);
        let work = self.mean(|trial| Some(trial.work as f64)).unwrap_or(0.0);
        let most_work = self.trials.iter().map(|t| t.work).max().unwrap_or(0);
        // Only what we proved and has a published time counts, on both sides.
        let both = |trial: &Trial| trial.entry.ref_seconds.filter(|_| trial.proven());
        let published = self.mean(both);
        let ours = self.mean(|trial| both(trial).map(|_| trial.seconds));
        let ratio = ours.zip(published).map(|(ours, published)| ours / published);
        vec![
            self.set.clone(),
            self.trials.len().to_string(),
            self.count(Trial::proven).to_string(),
            self.count(|trial| trial.entry.opt.is_some()).to_string(),
            self.count(Trial::at_optimum).to_string(),
            self.wrong().to_string(),
            format!("{mean:.3}"),
            format!("{worst:.3}"),
            format!("{:.2}", work / 1e6),
            format!("{:.2}", most_work as f64 / 1e6),
            self.peak.map_or(String::new(), |kb| format!("{:.0}", kb as f64 / 1024.0)),
            published.map_or(String::new(), |published| format!("{published:.3}")),
            ratio.map_or(String::new(), |ratio| format!("{ratio:.2}")),
        ]
    }
}

const HEADINGS: [&str; 13] = [
    "set",
    "instances",
    "proven",
    "optimum known",
    "reached",
    "wrong",
    "mean s",
    "worst s",
    "mean work, M",
    "worst work, M",
    "peak MB",
    "published mean s",
    "ratio",
];

/// The whole page: how it was measured, a line a set, and what is left open.
pub fn write(rows: &[SetRow], seconds: f64) -> String {
    let mut page = method(seconds);
    let _ = writeln!(page, "| {} |", HEADINGS.join(" | "));
    let _ = writeln!(page, "|{}", "---|".repeat(HEADINGS.len()));
    for row in rows {
        let _ = writeln!(page, "| {} |", row.cells().join(" | "));
    }
    let trials = || rows.iter().flat_map(|row| &row.trials);
    list(&mut page, "Wrong", trials().filter(|t| t.wrong.is_some()));
    list(&mut page, "Not proven", trials().filter(|t| t.wrong.is_none() && !t.proven()));
    page
}

fn method(seconds: f64) -> String {
    let cpu = fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let cpu = cpu.lines().find_map(|line| line.strip_prefix("model name"));
    let cpu = cpu.map_or("an unnamed processor", |name| name.trim_start_matches([' ', '\t', ':']));
    format!(
        "Longpoint {}, one thread of {cpu}, {seconds} s an instance. Seconds are wall \
         clock, work is the solver's own count of steps, in millions; peak is the most \
         resident memory while the set ran. The published mean and the ratio of ours to \
         it are over the instances that we proved and that have a published time. Every \
         answer was checked apart from the solver.\n\n",
        env!("CARGO_PKG_VERSION")
    )
}

fn list<'a>(page: &mut String, title: &str, trials: impl Iterator<Item = &'a Trial>) {
    let lines: Vec<String> = trials.map(|trial| format!("- {}\n", trial.line())).collect();
    if !lines.is_empty() {
        let _ = write!(page, "\n{title} ({}):\n\n{}", lines.len(), lines.concat());
    }
}
