//! Plans made-up shops of a thousand to a hundred thousand frames and prints how the time
//! and the memory grow.
//!
//! ```text
//! cargo bench --bench growth_frames -- [--frames 1000,5000] [--mouldings 40,300] [--short]
//! ```
//!
//! User CPU time of the whole process, as Linux counts it in hundredths of a second; it
//! hardly depends on what else the machine does. Every plan goes through the verifier.

#[path = "instances/memory.rs"]
mod memory;
mod shops;

use std::process::ExitCode;

use clap::Parser;
use jiff::civil::date;
use longpoint::morning::{WORK, plan};
use longpoint::solve::Limits;
use rayon::ThreadPoolBuilder;

use shops::room::{Room, plenty, room};

/// Plans made-up shops of many frames and prints how time and memory grow
#[derive(Parser)]
struct Options {
    /// How many frames, one shop after the other
    #[arg(long, value_delimiter = ',', default_value = "1000,5000,20000,100000")]
    frames: Vec<u32>,
    /// Over how many mouldings
    #[arg(long, value_delimiter = ',', default_value = "40,300,2000")]
    mouldings: Vec<u32>,
    /// Racks of which one in eight has not enough, so that frames compete and some wait
    #[arg(long)]
    short: bool,
    /// Another seed makes other shops
    #[arg(long, default_value_t = 22)]
    seed: u64,
    /// How many threads
    #[arg(long, default_value_t = 1)]
    threads: usize,
    /// The steps that one packing may take; those of the plan follow from it
    #[arg(long, default_value_t = WORK)]
    work: u64,
    /// Given by cargo
    #[arg(long, hide = true)]
    bench: bool,
}

fn main() -> ExitCode {
    let options = Options::parse();
    println!(
        "| frames | mouldings | sticks | wait | user CPU | a frame | proven | peak memory |\n\
         |---|---|---|---|---|---|---|---|"
    );
    let mut stands = true;
    for &frames in &options.frames {
        for &mouldings in &options.mouldings {
            stands &= is_sound(&options, Room { frames, mouldings });
        }
    }
    if stands { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// Plans one shop and prints its row; whether the plan stands up to the check.
fn is_sound(options: &Options, size: Room) -> bool {
    let shop = if options.short { room(options.seed, size) } else { plenty(options.seed, size) };
    let pool = ThreadPoolBuilder::new().num_threads(options.threads).build();
    let pool = pool.expect("threads can be had");
    memory::forget_peak();
    let work = options.work;
    let planned = || {
        let limits = Limits { work, deadline: None, stop: None, watch: None };
        plan(&shop, date(2026, 11, 25), limits)
    };
    let before = user_seconds();
    let plan = match pool.install(planned) {
        Ok(plan) => plan,
        Err(faults) => {
            faults.iter().for_each(|fault| eprintln!("{size:?}: WRONG {fault}"));
            return false;
        }
    };
    let taken = user_seconds() - before;
    let peak =
        memory::peak().map_or("-".to_owned(), |kilobytes| format!("{} MB", kilobytes / 1024));
    let proven = plan.proof.iter().filter(|proof| proof.proven).count();
    println!(
        "| {} | {} | {} | {} | {taken:.2} s | {:.2} ms | {proven} of {} | {peak} |",
        size.frames,
        size.mouldings,
        shop.rack.len(),
        plan.waiting.len(),
        taken * 1000.0 / f64::from(size.frames),
        plan.proof.len(),
    );
    true
}

/// What this process has computed for so far, the system's own work left out; nothing
/// where Linux does not say it.
fn user_seconds() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // The name of the program stands in brackets and may have spaces.
    let after_name = stat.rsplit(')').next().unwrap_or_default();
    let ticks = after_name.split_whitespace().nth(11).and_then(|ticks| ticks.parse::<f64>().ok());
    ticks.unwrap_or_default() / 100.0
}
