//! Runs the solver over a folder of published instances and prints a table.
//!
//! ```text
//! cargo bench --bench instances -- FOLDER [--seconds S] [--sets a,b] [--sample N]
//! ```
//!
//! `FOLDER/index.csv` names the instances and what is known of them; see
//! [`index`] for its columns. The table on standard output is Markdown, with a
//! line a set; each instance is also told on standard error as it is done.
//! Every answer goes through the independent check. The program fails if any
//! answer is wrong.

mod index;
mod memory;
mod table;
mod trial;

use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Duration;

use clap::Parser;

use table::SetRow;
use trial::Trial;

/// Runs the solver over a folder of published instances
#[derive(Parser)]
struct Options {
    /// The folder with index.csv and the instances
    folder: PathBuf,
    /// The time limit of one instance
    #[arg(long, default_value_t = 60.0)]
    seconds: f64,
    /// Only these sets
    #[arg(long, value_delimiter = ',')]
    sets: Vec<String>,
    /// Only this many instances of each set, spread evenly over it
    #[arg(long)]
    sample: Option<usize>,
    /// Given by cargo
    #[arg(long, hide = true)]
    bench: bool,
}

fn main() -> ExitCode {
    let options = Options::parse();
    let sets = match index::read(&options.folder) {
        Ok(sets) => sets,
        Err(error) => {
            eprintln!("{}: {error}", options.folder.display());
            return ExitCode::from(2);
        }
    };
    let limit = Duration::from_secs_f64(options.seconds);
    let mut rows = Vec::new();
    for (set, entries) in sets {
        if !options.sets.is_empty() && !options.sets.contains(&set) {
            continue;
        }
        memory::forget_peak();
        let chosen = spread(&entries, options.sample.unwrap_or(usize::MAX));
        let trials: Vec<Trial> = chosen
            .into_iter()
            .map(|entry| trial::run(&options.folder, entry, limit))
            .inspect(|trial| eprintln!("{}", trial.line()))
            .collect();
        rows.push(SetRow::new(set, trials, memory::peak()));
    }
    print!("{}", table::write(&rows, options.seconds));
    if rows.iter().any(|row| row.wrong() > 0) {
        return ExitCode::FAILURE;
    }
    ExitCode::SUCCESS
}

/// At most `most` of the entries, evenly spread.
fn spread<T>(entries: &[T], most: usize) -> Vec<&T> {
    let count = entries.len().min(most);
    (0..count).map(|index| &entries[index * entries.len() / count]).collect()
}
