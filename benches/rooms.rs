//! Plans made-up shops and prints how long it takes and how much is proven.
//!
//! ```text
//! cargo bench --bench rooms -- [--threads 1,2] [--shops room] [--work STEPS] [--write FOLDER]
//! ```
//!
//! The table on standard output is Markdown; what is not proven is told on
//! standard error. Every plan goes through the verifier, and the program fails
//! if one does not stand up to it or if two numbers of threads give two plans.

#[path = "instances/memory.rs"]
mod memory;
mod shops;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::{Duration, Instant};

use clap::Parser;
use jiff::civil::date;
use longpoint::chop::schedule;
use longpoint::morning::{WORK, plan};
use longpoint::plan::{Plan, Proof};
use longpoint::shop::{Shop, read_folder};
use longpoint::solve::Limits;
use longpoint::verify::verify;

use rayon::ThreadPoolBuilder;

use shops::crowd::crowd;
use shops::room::{Room, room};
use shops::{Size, folder, shop};

/// Plans made-up shops and prints how long it takes
#[derive(Parser)]
struct Options {
    /// How many threads to plan with, one after the other
    #[arg(long, value_delimiter = ',', default_value = "1,2")]
    threads: Vec<usize>,
    /// Only these shops
    #[arg(long, value_delimiter = ',')]
    shops: Vec<String>,
    /// The steps that one packing may take; those of the plan follow from it
    #[arg(long, default_value_t = WORK)]
    work: u64,
    /// How often each is planned; the quickest counts
    #[arg(long, default_value_t = 1)]
    times: u32,
    /// Also write the shops of dice as folders here
    #[arg(long)]
    write: Option<PathBuf>,
    /// Given by cargo
    #[arg(long, hide = true)]
    bench: bool,
}

/// A shop to plan for.
struct Case {
    name: &'static str,
    shop: Shop,
}

/// What came of planning it.
struct Trial {
    plan: Plan,
    planning: Duration,
    verifying: Duration,
    memory: Option<u64>,
}

fn main() -> ExitCode {
    let options = Options::parse();
    println!(
        "| shop | frames | mouldings | sticks | threads | planning | verifying | proven | worst gap | settings | at least | peak memory |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|---|---|");
    let mut failed = false;
    for case in cases() {
        if !options.shops.is_empty() && !options.shops.iter().any(|name| name == case.name) {
            continue;
        }
        if let Some(dir) = options.write.as_ref().filter(|_| case.name != "demo") {
            failed |= !is_written(&case, &dir.join(case.name));
        }
        let mut first: Option<Plan> = None;
        for &threads in &options.threads {
            let trial = trial(&case.shop, threads, &options);
            println!("{}", row(&case, threads, &trial));
            if let Err(faults) = verify(&case.shop, &trial.plan) {
                faults.iter().for_each(|fault| eprintln!("{}: WRONG {fault}", case.name));
                failed = true;
            }
            if first.as_ref().is_some_and(|first| *first != trial.plan) {
                eprintln!("{}: WRONG {threads} threads give another plan", case.name);
                failed = true;
            }
            if first.is_none() {
                tell_open(&case, &trial.plan);
            }
            first.get_or_insert(trial.plan);
        }
    }
    if failed { ExitCode::FAILURE } else { ExitCode::SUCCESS }
}

fn cases() -> Vec<Case> {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo");
    let case = |name, shop| Case { name, shop };
    vec![
        case("demo", read_folder(Path::new(demo)).expect("the demo shop is in order")),
        case("morning", shop(2, Size { frames: 40, mouldings: 15, sticks: 80 })),
        case("calm", room(4, Room { frames: 40, mouldings: 15 })),
        case("small", room(7, Room { frames: 20, mouldings: 8 })),
        case("medium", room(8, Room { frames: 100, mouldings: 20 })),
        case("busy", room(5, Room { frames: 500, mouldings: 40 })),
        case("scarce", shop(3, Size { frames: 500, mouldings: 40, sticks: 700 })),
        case("crowd", crowd(9, 100)),
        case("throng", crowd(10, 1_640)),
        case("room", room(6, Room { frames: 5_000, mouldings: 300 })),
    ]
}

/// Writes the shop and reads it back; whether it is the same.
fn is_written(case: &Case, dir: &Path) -> bool {
    let read = folder::write(&case.shop, dir).map(|()| read_folder(dir));
    let said = match read {
        Err(error) => error.to_string(),
        Ok(Err(faults)) => faults.to_string(),
        Ok(Ok(read)) if rowless(read.clone()) != rowless(case.shop.clone()) => {
            "was read back as another shop".to_owned()
        }
        Ok(Ok(_)) => return true,
    };
    eprintln!("{}: {said}", dir.display());
    false
}

/// A shop without the numbers of the rows that it was read from.
fn rowless(mut shop: Shop) -> Shop {
    shop.frames.iter_mut().for_each(|frame| frame.row = 0);
    shop.offers.iter_mut().for_each(|offer| offer.row = 0);
    shop
}

fn trial(shop: &Shop, threads: usize, options: &Options) -> Trial {
    let pool = ThreadPoolBuilder::new().num_threads(threads).build().expect("threads can be had");
    let work = options.work;
    let once = || {
        let limits = Limits { work, deadline: None, stop: None, watch: None };
        memory::forget_peak();
        let start = Instant::now();
        let plan = plan(shop, date(2026, 11, 25), limits).unwrap().into_inner();
        let planning = start.elapsed();
        let memory = memory::peak();
        let start = Instant::now();
        // What it says is told by the caller.
        let _ = verify(shop, &plan);
        Trial { plan, planning, verifying: start.elapsed(), memory }
    };
    let trials = (0..options.times.max(1)).map(|_| pool.install(once));
    trials.min_by_key(|trial| trial.planning).expect("at least one")
}

fn row(case: &Case, threads: usize, trial: &Trial) -> String {
    let open = open(&trial.plan).len();
    let asked: BTreeSet<&str> = trial.plan.proof.iter().map(|p| p.moulding.as_str()).collect();
    let all = asked.len();
    let frames: u32 = case.shop.frames.iter().map(|frame| frame.copies).sum();
    format!(
        "| {} | {frames} | {} | {} | {threads} | {} | {} | {} of {all} | {} | {} | {} | {} |",
        case.name,
        case.shop.mouldings.len(),
        case.shop.rack.len(),
        seconds(trial.planning),
        seconds(trial.verifying),
        all - open,
        worst_gap(&trial.plan),
        schedule(&trial.plan, &case.shop).settings(),
        trial.plan.least_settings,
        trial.memory.map_or("-".to_owned(), |kilobytes| format!("{} MB", kilobytes / 1024)),
    )
}

/// The largest share of what is used up that a moulding might save by a longer
/// search. Where sticks alone are open there is none.
fn worst_gap(plan: &Plan) -> String {
    let open = plan.proof.iter().filter(|proof| !proof.proven && proof.used_up.0 > 0);
    let gap = |p: &Proof| (p.used_up.0 - p.bound.0) as f64 / p.used_up.0 as f64;
    match open.map(gap).reduce(f64::max) {
        Some(gap) => format!("{:.2} %", gap * 100.0),
        None => "-".to_owned(),
    }
}

fn seconds(time: Duration) -> String {
    match time.as_millis() {
        0..1000 => format!("{:.1} ms", time.as_secs_f64() * 1000.0),
        _ => format!("{:.2} s", time.as_secs_f64()),
    }
}

/// The mouldings of which some part is not proven.
fn open(plan: &Plan) -> BTreeSet<&str> {
    let open = plan.proof.iter().filter(|proof| !proof.proven);
    open.map(|proof| proof.moulding.as_str()).collect()
}

/// What is not proven, and what waits, on standard error.
fn tell_open(case: &Case, plan: &Plan) {
    for proof in plan.proof.iter().filter(|proof| !proof.proven) {
        eprintln!(
            "{}: {} {}: {} used up, at least {}, {} sticks",
            case.name,
            proof.moulding,
            proof.part.word(),
            proof.used_up.0,
            proof.bound.0,
            proof.sticks,
        );
    }
    let (waiting, held) = (plan.waiting.len(), plan.held.len());
    eprintln!("{}: {waiting} frames wait, {held} are held", case.name);
}
