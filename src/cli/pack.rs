//! `longpoint pack`: the bare solver on one plain instance.

pub mod answer;
pub mod fault;
mod json;
mod number;
pub mod quote;
pub mod read;
mod text;
pub mod words;

use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use std::{fs, io};

use anyhow::Context;
use clap::Args;

use super::exit::WrongInput;
use super::{interrupt, progress, seconds};
use crate::solve::{self, Limits, Outcome, Problem};
use answer::{PackAnswer, PackPrices, Status};

/// How long the solver may run when nothing is said.
const SECONDS: &str = "60";

/// What is said where an answer does not stand up to its check.
const MISTAKE: &str = "the answer is wrong and is not shown; this is a mistake in Longpoint, \
                       please report it with the instance";

/// The longest file that is read.
const MOST_BYTES: u64 = 1 << 25;

/// The file name that means standard input.
const STDIN: &str = "-";

/// What `longpoint pack` is told.
#[derive(Debug, Args)]
#[command(after_help = FORMS)]
pub struct Pack {
    /// The instance; - reads standard input
    pub file: PathBuf,
    /// Stop after S seconds with the best plan found
    #[arg(long, value_name = "S", allow_negative_numbers = true, default_value = SECONDS, value_parser = seconds::parse)]
    pub seconds: Duration,
    /// Write the answer as JSON
    #[arg(long)]
    pub json: bool,
    /// With --json: also write the prices that prove a bound without the solver
    #[arg(long, requires = "json")]
    pub certificate: bool,
}

const FORMS: &str = "\
An instance holds whole numbers, all lengths in one unit of your choosing:

  one stock length      the number of items, the stock length, then for each
                        item a row: length [demand]
  several               the number of stock lengths, for each a row: length
                        available cost; the number of items, for each a row:
                        length demand
  JSON                  {\"stock\":[{\"length\":L,\"cost\":C,\"supply\":N|null}],
                         \"items\":[{\"length\":l,\"demand\":d}]}

Empty lines and lines that begin with # are passed over. Where a saw takes
kerf, add it to every length, those of the stock as well.";

/// Reads, solves, checks and shows one instance.
///
/// # Errors
///
/// [`WrongInput`] for an instance that cannot be read; another error if the
/// answer could not be written, or did not stand up to [`solve::check`].
pub fn run(args: &Pack, out: &mut dyn Write) -> anyhow::Result<()> {
    let name = match args.file.to_str() {
        Some(STDIN) => "standard input".to_owned(),
        _ => args.file.display().to_string(),
    };
    let text = load(&args.file, &name)?;
    let problem = read::problem(&name, &text).map_err(|faults| WrongInput(faults.to_string()))?;
    let start = Instant::now();
    let deadline = start.checked_add(args.seconds);
    let answer = interrupt::best_so_far(|| {
        let outcome = explained(&problem, search(&problem, deadline), deadline);
        let mut answer = PackAnswer::new(&outcome, start.elapsed());
        solve::check(&problem, &outcome).context(MISTAKE)?;
        if args.certificate {
            answer.certificate = certificate(&problem, &outcome)?;
        }
        anyhow::Ok(answer)
    })?;
    if args.json {
        serde_json::to_writer(&mut *out, &answer)?;
        writeln!(out)?;
    } else {
        out.write_all(words::write(&problem, &answer).as_bytes())?;
    }
    match (answer.status, interrupt::cut_short()) {
        (Status::Interrupted, Some(ended)) => Err(ended.into()),
        (Status::Feasible, Some(_)) => {
            super::exit::tell("Stopped: this is the best that was found by then.");
            Ok(())
        }
        _ => Ok(()),
    }
}

/// The prices that the answer rests on, once they have been worked out again.
fn certificate(problem: &Problem, outcome: &Outcome) -> anyhow::Result<Option<PackPrices>> {
    let Outcome::Solved(solution) = outcome else { return Ok(None) };
    let Some(certificate) = &solution.certificate else { return Ok(None) };
    // What cannot be worked out again is not shown.
    let is_proven = solve::check_certificate(problem, certificate, solve::MOST_STEPS);
    Ok(is_proven.context(MISTAKE)?.then(|| PackPrices::new(problem, certificate)))
}

fn search(problem: &Problem, deadline: Option<Instant>) -> Outcome {
    progress::watched(|watch| {
        let limits =
            Limits { work: u64::MAX, deadline, stop: Some(interrupt::stop()), watch: Some(watch) };
        solve::solve(problem, &limits)
    })
}

/// The outcome with as short a reason as a little more search finds, where
/// there is no plan.
fn explained(problem: &Problem, outcome: Outcome, deadline: Option<Instant>) -> Outcome {
    let limits = Limits { work: u64::MAX, deadline, stop: Some(interrupt::stop()), watch: None };
    match outcome {
        Outcome::Impossible(shortfall) => {
            Outcome::Impossible(solve::explain(problem, shortfall, &limits))
        }
        outcome => outcome,
    }
}

fn load(file: &Path, name: &str) -> Result<String, WrongInput> {
    let mut bytes = Vec::new();
    // One byte more tells a file that is too long from one that just fits.
    let most = MOST_BYTES + 1;
    let read = if file == Path::new(STDIN) {
        io::stdin().take(most).read_to_end(&mut bytes)
    } else {
        fs::File::open(file).and_then(|file| file.take(most).read_to_end(&mut bytes))
    };
    let read = read.map_err(|error| WrongInput(format!("{name}: {error} (give a file or -)")))?;
    if read as u64 == most {
        return Err(WrongInput(format!(
            "{name}: longer than {MOST_BYTES} bytes (split the instance)"
        )));
    }
    String::from_utf8(bytes)
        .map_err(|_| WrongInput(format!("{name}: not UTF-8 text (save it as plain text)")))
}
