//! What ctrl-C and SIGTERM do: end a command at once, or cut a search short.
//!
//! Usually the first signal ends the program, as if nothing listened. A search
//! that has something to show is told to stop and has [`GRACE`] to come out with
//! the best it has; a second signal ends that too. What is being written is
//! written to its end first.

use std::process;
use std::sync::Once;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering::SeqCst};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::thread;
use std::time::{Duration, Instant};

use signal_hook::consts::{SIGINT, SIGTERM};
use signal_hook::flag;

use super::effort::EffortLevel;
use crate::solve::Limits;

/// Whether a signal ends the program where it stands.
static AT_ONCE: AtomicBool = AtomicBool::new(true);

/// Whether a signal came that did not end the program.
static STOP: AtomicBool = AtomicBool::new(false);

/// That signal's number.
static SIGNAL: AtomicUsize = AtomicUsize::new(0);

/// How long a search has from the first signal to show what it has: with a look
/// at the flag and what is printed, less than a second.
const GRACE: Duration = Duration::from_millis(750);

/// How often the flag is looked at while a search runs.
const PACE: Duration = Duration::from_millis(20);

/// A program that a signal ended has this and the signal's number as exit code.
const ENDED: i32 = 128;

/// Begins to listen. Where that cannot be done, signals end the program as ever.
pub(super) fn listen() {
    static LISTENING: Once = Once::new();
    LISTENING.call_once(|| {
        for signal in [SIGINT, SIGTERM] {
            // In this order: whether to end is asked before the signal is noted.
            let listening = flag::register_conditional_shutdown(signal, ENDED + signal, &AT_ONCE)
                .and_then(|_| flag::register_usize(signal, &SIGNAL, signal.unsigned_abs() as usize))
                .and_then(|_| flag::register(signal, &STOP));
            if listening.is_err() {
                return;
            }
        }
    });
}

/// As much work as a plan may take with such an effort, until then at the latest
/// or until a signal.
pub(super) fn limits(effort: EffortLevel, deadline: Option<Instant>) -> Limits<'static> {
    Limits { work: effort.work(), deadline, stop: Some(&STOP), watch: None }
}

/// The exit code of a program that a signal ended.
#[derive(Debug, thiserror::Error)]
#[error("stopped before there was anything to show")]
pub(super) struct Ended(pub u8);

/// Runs a search that [`stop`] or [`limits`] cut short; the first signal does so,
/// and ends the program if nothing comes of it soon. Nothing may be written in it.
pub(super) fn best_so_far<T>(search: impl FnOnce() -> T) -> T {
    AT_ONCE.store(false, SeqCst);
    let (running, ended) = channel::<()>();
    let found = thread::scope(|scope| {
        scope.spawn(move || watch(&ended));
        let found = search();
        drop(running);
        found
    });
    AT_ONCE.store(true, SeqCst);
    found
}

/// What the first signal sets.
pub(super) fn stop() -> &'static AtomicBool {
    &STOP
}

/// Waits for a signal, and then for what comes of it.
fn watch(ended: &Receiver<()>) {
    while !STOP.load(SeqCst) {
        if ended.recv_timeout(PACE) == Err(RecvTimeoutError::Disconnected) {
            return;
        }
    }
    AT_ONCE.store(true, SeqCst);
    if ended.recv_timeout(GRACE) == Err(RecvTimeoutError::Timeout) {
        super::exit::say_wrong(&Ended(code()).to_string());
        process::exit(i32::from(code()));
    }
}

/// Whether a search was cut short by a signal, and what the exit code is if
/// nothing came of it.
pub(super) fn cut_short() -> Option<Ended> {
    STOP.load(SeqCst).then(|| Ended(code()))
}

fn code() -> u8 {
    let signal = i32::try_from(SIGNAL.load(SeqCst)).unwrap_or(SIGINT);
    u8::try_from(ENDED + signal).unwrap_or(u8::MAX)
}

/// Writes to its end, whatever signal comes; only then does one end the program,
/// if it came meanwhile.
pub(super) fn whole<T>(write: impl FnOnce() -> T) -> T {
    let before = cut_short().is_some();
    AT_ONCE.store(false, SeqCst);
    let written = write();
    AT_ONCE.store(true, SeqCst);
    match cut_short() {
        Some(Ended(code)) if !before => process::exit(i32::from(code)),
        _ => written,
    }
}
