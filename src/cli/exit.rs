//! How a command ends: its exit code, and what is said of what went wrong.

use std::io::{self, Write};

use crate::verify::Fault;

/// The input is wrong and has to be mended; the words say where and how.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub struct WrongInput(pub String);

/// What was asked was answered: not by that day, or not as asked.
#[derive(Debug, thiserror::Error)]
#[error("not in time")]
pub(super) struct NotInTime;

/// The program failed.
pub(super) const FAILED: u8 = 1;

/// The input is wrong.
pub(super) const WRONG_INPUT: u8 = 2;

/// The answer is no.
pub(super) const NOT_IN_TIME: u8 = 3;

/// Says what kept the program from doing what it was told.
pub(super) fn say_wrong(words: &str) {
    tell(&format!("longpoint: {words}"));
}

/// What came of working jobs out, or what the check says is wrong.
pub(super) fn jobs_stand<T>(of: Result<T, Vec<String>>) -> anyhow::Result<T> {
    of.or_else(|faults| {
        anyhow::bail!(
            "a job is wrong and is not shown; this is a mistake in Longpoint, please report it \
             with the shop folder:\n  {}",
            faults.join("\n  ")
        )
    })
}

/// What came of planning, or what the check says is wrong.
pub(super) fn plan_stands<T>(of: Result<T, Vec<Fault>>) -> anyhow::Result<T> {
    of.or_else(|faults| {
        let words: Vec<String> = faults.iter().map(|fault| format!("  {fault}")).collect();
        anyhow::bail!(
            "the plan is wrong and is not shown; this is a mistake in Longpoint, \
             please report it with the shop folder:\n{}",
            words.join("\n")
        )
    })
}

/// A line that is longer is cut: it repeats a path or a name beyond all measure.
const LONGEST_LINE: usize = 1000;

pub(super) fn tell(words: &str) {
    for line in words.lines() {
        let end = line.char_indices().nth(LONGEST_LINE).map(|(end, _)| end);
        let shown = end.map_or(line.to_owned(), |end| format!("{}\u{2026}", &line[..end]));
        // If standard error is gone too there is nobody left to tell.
        let _ = writeln!(io::stderr(), "{shown}");
    }
}

/// Standard output, whose faults say that they are its own.
pub(super) struct Out<'a>(pub &'a mut dyn Write);

impl Out<'_> {
    pub fn named(error: &io::Error) -> io::Error {
        let words = format!("what was asked for could not be shown in full: {error}");
        io::Error::new(error.kind(), words)
    }
}

impl Write for Out<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes).map_err(|error| Out::named(&error))
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush().map_err(|error| Out::named(&error))
    }
}
