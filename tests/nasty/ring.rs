//! Runs a ring of seeds on a few threads, and names the seeds that fail.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering::Relaxed};
use std::time::{Duration, Instant};

use super::part::part;

/// How many at a time. Twice that many threads of a planner's pool are started
/// where plans are compared.
const AT_ONCE: usize = 2;

/// A number from the environment, for longer rings.
pub fn asked(name: &str) -> Option<u64> {
    std::env::var(name).ok().map(|text| text.parse().expect("a whole number"))
}

/// Runs `each` on the seeds from `LONGPOINT_FROM` or nought, so many as are asked
/// for under `name` or `usual`. Collects what goes wrong and panics with all of
/// it at the end.
///
/// A stack that overflows ends the program without a word: the seeds that are
/// being run stand in files of their own under the target folder. With
/// `LONGPOINT_SLOW` in milliseconds, whatever takes longer is named.
pub fn ring(name: &str, usual: u64, each: impl Fn(u64) -> Result<(), String> + Sync) {
    let first = asked("LONGPOINT_FROM").unwrap_or(0);
    let end = first + asked(name).unwrap_or_else(|| part(usual));
    let slow = asked("LONGPOINT_SLOW").map(Duration::from_millis);
    let next = AtomicU64::new(first);
    let wrong: Mutex<Vec<(u64, String)>> = Mutex::new(Vec::new());
    std::thread::scope(|scope| {
        for thread in 0..AT_ONCE {
            let (next, wrong, each) = (&next, &wrong, &each);
            scope.spawn(move || {
                let now = running(name, thread);
                loop {
                    let seed = next.fetch_add(1, Relaxed);
                    if seed >= end {
                        break;
                    }
                    std::fs::write(&now, seed.to_string()).unwrap();
                    let begun = Instant::now();
                    let done = catch_unwind(AssertUnwindSafe(|| each(seed)));
                    if slow.is_some_and(|slow| begun.elapsed() > slow) {
                        eprintln!("{name}: {seed} took {:?}", begun.elapsed());
                    }
                    if let Some(fault) = fault(done) {
                        eprintln!("{name}: {seed}: {fault}");
                        wrong.lock().unwrap().push((seed, fault));
                    }
                }
                let _ = std::fs::remove_file(&now);
            });
        }
    });
    let wrong = wrong.into_inner().unwrap();
    let said: Vec<String> = wrong.iter().map(|(seed, fault)| format!("{seed}: {fault}")).collect();
    assert!(
        wrong.is_empty(),
        "{} of {} went wrong:\n{}",
        wrong.len(),
        end - first,
        said.join("\n")
    );
}

fn running(name: &str, thread: usize) -> PathBuf {
    PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.{thread}.now"))
}

fn fault(done: std::thread::Result<Result<(), String>>) -> Option<String> {
    match done {
        Ok(Ok(())) => None,
        Ok(Err(fault)) => Some(fault),
        Err(panic) => {
            let text = panic.downcast_ref::<String>().map(String::as_str);
            let text = text.or(panic.downcast_ref::<&str>().copied());
            Some(format!("panic: {}", text.unwrap_or("without a word")))
        }
    }
}
