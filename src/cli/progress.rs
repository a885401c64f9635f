//! Shows on the terminal how far something is that takes long: a search's best plan and
//! bound, or how many mouldings of a morning or simulated years are done.

use std::io::{IsTerminal, Write, stderr};
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

use crate::plan::Told;
use crate::solve::Progress;

/// A search shorter than this shows nothing.
const PATIENCE: Duration = Duration::from_secs(1);

/// How often the line is written anew.
const PACE: Duration = Duration::from_millis(250);

/// Runs `search`, handing it what to tell of its progress.
///
/// What it tells is shown on one line of standard error, if that is a
/// terminal, and wiped away at the end.
pub fn watched<T>(search: impl FnOnce(&dyn Fn(Progress)) -> T) -> T {
    shown(&line, |tell| search(&|progress| tell(progress)))
}

/// Runs what plans mouldings, handing it what to tell of how many are done; shown as that
/// of [`watched`].
pub fn by_moulding<T>(work: impl FnOnce(Told) -> T) -> T {
    shown(&mouldings, |tell| work(&|done, all| tell((done, all))))
}

/// Runs what simulates years, handing it what to tell of how many are done; shown as that
/// of [`watched`].
pub fn by_year<T>(work: impl FnOnce(Told) -> T) -> T {
    shown(&years, |tell| work(&|done, all| tell((done, all))))
}

/// Runs something, handing it what to tell of how far it is, in these words.
fn shown<P: Copy + Send, T>(
    words: &(dyn Fn(P) -> String + Sync),
    work: impl FnOnce(&(dyn Fn(P) + Sync)) -> T,
) -> T {
    if !stderr().is_terminal() {
        return work(&|_| {});
    }
    let latest = Mutex::new(None);
    let (running, ended) = channel::<()>();
    thread::scope(|scope| {
        scope.spawn(|| show(&latest, words, ended));
        let result = work(&|progress| {
            if let Ok(mut latest) = latest.lock() {
                *latest = Some(progress);
            }
        });
        drop(running);
        result
    })
}

/// Rewrites the line until the work drops its end of the channel.
fn show<P: Copy>(
    latest: &Mutex<Option<P>>,
    words: &(dyn Fn(P) -> String + Sync),
    ended: Receiver<()>,
) {
    let mut wait = PATIENCE;
    let mut shown = false;
    while ended.recv_timeout(wait) == Err(RecvTimeoutError::Timeout) {
        wait = PACE;
        let progress = latest.lock().ok().and_then(|latest| *latest);
        if let Some(progress) = progress {
            shown = true;
            // Nothing is lost if a progress line cannot be written.
            let _ = write!(stderr(), "\r\x1b[2K{}", words(progress));
        }
    }
    if shown {
        let _ = write!(stderr(), "\r\x1b[2K");
    }
}

/// How many mouldings are done.
fn mouldings((done, all): (usize, usize)) -> String {
    format!("{done} of {all} mouldings are done (ctrl-C stops)")
}

/// How many years are done, of how many where that is known.
fn years((done, all): (usize, usize)) -> String {
    match all {
        0 => format!("{done} simulated years are done (ctrl-C stops)"),
        _ => format!("{done} of {all} simulated years are done (ctrl-C stops)"),
    }
}

/// One line of progress.
fn line(progress: Progress) -> String {
    let bound = progress.bound;
    match progress.best {
        None => format!("no plan yet, at least {bound} (ctrl-C stops)"),
        Some(best) => {
            format!("best {best}, at least {bound}, gap {} (ctrl-C keeps the best)", best - bound)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_says_how_many_mouldings_or_years_are_done() {
        assert_eq!(mouldings((3, 9)), "3 of 9 mouldings are done (ctrl-C stops)");
        assert_eq!(years((3, 9)), "3 of 9 simulated years are done (ctrl-C stops)");
        assert_eq!(years((3, 0)), "3 simulated years are done (ctrl-C stops)");
    }

    #[test]
    fn the_line_says_how_far_the_search_is() {
        let mut progress = Progress { best: None, bound: 72, work: 0 };
        assert_eq!(line(progress), "no plan yet, at least 72 (ctrl-C stops)");
        progress.best = Some(74);
        assert_eq!(line(progress), "best 74, at least 72, gap 2 (ctrl-C keeps the best)");
    }
}
