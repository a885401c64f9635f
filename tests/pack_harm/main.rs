//! Whatever instance is put before `pack`: an answer that holds, or a message
//! that can be read, in the time that was given.
//!
//! `LONGPOINT_PACKS=1000000` tries so many instances by seed, `LONGPOINT_FIRST`
//! begins at another seed; `LONGPOINT_SEEN` names a file for the instance under
//! trial, to find again what ended the whole process.

mod cases;
#[path = "../support/exhaust.rs"]
#[allow(dead_code)]
mod exhaust;
mod instances;
mod judge;
#[path = "../support/numbers.rs"]
mod numbers;
#[path = "../support/ring.rs"]
mod ring;
mod trial;

use std::collections::BTreeMap;
use std::env;
use std::time::Duration;

use numbers::Numbers;
use trial::{Said, pack};

/// Instances in an ordinary run.
const PACKS: u64 = 3_000;
/// What each may take.
const SECONDS: Duration = Duration::from_millis(20);
/// Memory that a file of less than ten kilobytes may take, in kilobytes.
const MOST_KB: u64 = 256 * 1024;

fn asked(name: &str, usual: u64) -> u64 {
    env::var(name).map_or(usual, |said| said.parse().expect("a whole number"))
}

#[test]
fn whatever_is_put_before_it_is_answered() {
    let mut tally: BTreeMap<String, u64> = BTreeMap::new();
    let (first, most) = (asked("LONGPOINT_FIRST", 1), asked("LONGPOINT_PACKS", ring::part(PACKS)));
    let mut slowest = (Duration::ZERO, 0);
    let mut last = String::from("{}");
    for seed in first..first + most {
        let mut numbers = Numbers(seed.wrapping_mul(0x2545_f491_4f6c_dd1d));
        let made = instances::made(&mut numbers);
        let text = instances::written(&made, &mut numbers);
        let whole = !numbers.one_in(4);
        let bytes = match whole {
            true => text.into_bytes(),
            false => instances::damaged(&text, &last, &mut numbers),
        };
        let trial = pack(&bytes, SECONDS);
        slowest = slowest.max((trial.took, seed));
        let said = match trial.said {
            Said::Answer(answer) => {
                let text = String::from_utf8(bytes).expect("only text is answered");
                let made = judge::read(&text);
                last = answer.to_string();
                let status = judge::judge(&made, &answer);
                if made.is_tiny() {
                    trial::exact(&made, &answer, seed);
                }
                status
            }
            Said::Wrong(message) => {
                assert!(!whole || !made.is_proper(), "seed {seed}: {message}");
                trial::is_readable(&message, seed);
                "not read".to_owned()
            }
        };
        *tally.entry(said).or_default() += 1;
        if seed % 10_000 == 0 {
            eprintln!("{seed}: {tally:?}, slowest {slowest:?}, peak {:?} kB", trial::peak_kb());
        }
    }
    eprintln!("{tally:?}, slowest {slowest:?}, peak {:?} kB", trial::peak_kb());
    // Every sort was met, or nothing much was tried.
    assert!(
        ["proven", "feasible", "impossible", "not read"].iter().all(|s| tally.contains_key(*s))
    );
    assert!(trial::peak_kb().is_none_or(|peak| peak < MOST_KB), "too much memory");
}
