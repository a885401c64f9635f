//! One instance put before the command, in this process.

use std::path::PathBuf;
use std::time::{Duration, Instant};
use std::{env, fs, io::Write};

use longpoint::cli::WrongInput;
use longpoint::cli::pack::{Pack, run};
use longpoint::solve::{Item, Problem, Run, Stock};
use serde_json::Value;

use super::exhaust::brute;
use super::instances::Made;

/// What was said to an instance.
pub enum Said {
    /// The answer as JSON.
    Answer(Value),
    /// What is wrong with the instance.
    Wrong(String),
}

/// What came of an instance.
pub struct Trial {
    pub said: Said,
    pub took: Duration,
}

/// Packs what the bytes hold; anything but an answer or a refusal of the input
/// is a failure.
pub fn pack(bytes: &[u8], seconds: Duration) -> Trial {
    let mut file = tempfile::NamedTempFile::new().expect("room for a file");
    file.write_all(bytes).expect("room for a file");
    if let Ok(seen) = env::var("LONGPOINT_SEEN") {
        fs::write(seen, bytes).expect("room for a file");
    }
    let file = PathBuf::from(file.path());
    let args = Pack { file, seconds, json: true, certificate: false };
    let mut out = Vec::new();
    let start = Instant::now();
    let done = run(&args, &mut out);
    let took = start.elapsed();
    let said = match done {
        Ok(()) => Said::Answer(serde_json::from_slice(&out).expect("the answer is JSON")),
        Err(error) if error.is::<WrongInput>() => Said::Wrong(format!("{error:#}")),
        Err(error) => panic!("{error:#}: {}", String::from_utf8_lossy(bytes)),
    };
    Trial { said, took }
}

/// A complaint is of few lines, none of them long, all of them to be seen.
pub fn is_readable(message: &str, seed: u64) {
    assert!(message.lines().count() <= 41, "seed {seed}: {message}");
    for line in message.lines() {
        assert!(line.chars().count() < 300, "seed {seed}: {line}");
        assert!(!line.chars().any(char::is_control), "seed {seed}: {line:?}");
    }
}

/// Every way of placing the pieces costs no less than is said, and one as much
/// as is said to be the least.
pub fn exact(made: &Made, answer: &Value, seed: u64) {
    let item = |&(length, demand): &(i64, i64)| Item {
        parts: vec![length],
        demand: u32::try_from(demand).expect("few pieces"),
        group: None,
    };
    let stock = |&(length, cost, supply): &(i64, i64, Option<i64>)| Stock {
        runs: vec![Run::clear(length)],
        cost,
        supply: supply.map(|supply| u32::try_from(supply).expect("a count")),
        credit: None,
        group: 0,
    };
    let problem = Problem {
        stock: made.stock.iter().map(stock).collect(),
        items: made.items.iter().map(item).collect(),
    };
    let least = brute(&problem);
    let (status, said) = (answer["status"].as_str(), |key: &str| answer[key].as_i64());
    match status {
        Some("proven") => assert_eq!(said("cost"), least, "seed {seed}"),
        Some("impossible") => assert_eq!(least, None, "seed {seed}"),
        _ => assert!(least.is_none_or(|least| said("bound") <= Some(least)), "seed {seed}"),
    }
}

/// The most memory that this process has held, where the system tells.
pub fn peak_kb() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}
