//! The command line of Longpoint.

use std::io::{BufWriter, stdout};
use std::process::ExitCode;

use clap::Parser;
use longpoint::cli::{self, Cli};

fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => return cli::answer(error),
    };
    if closed::is_closed() {
        // Before anything is done of which nobody would hear.
        eprintln!(
            "longpoint: standard output is closed (send it to a file, or to nowhere by name)"
        );
        return ExitCode::FAILURE;
    }
    cli::run(&cli, &mut BufWriter::new(stdout().lock()))
}

/// Whether standard output was closed when the program began (`>&-`).
///
/// Before `main`, Rust opens nowhere in place of a standard output that is
/// closed, and everything written goes there without a word. So it is looked at
/// before that, among what the system runs first.
#[cfg(target_os = "linux")]
mod closed {
    use std::sync::atomic::{AtomicBool, Ordering::Relaxed};

    static CLOSED: AtomicBool = AtomicBool::new(false);

    /// A list of the C library's: what stands in it is called before `main`. The
    /// function asks the system two questions and keeps the answer.
    #[used]
    #[unsafe(link_section = ".init_array")]
    static FIRST: extern "C" fn() = look;

    extern "C" fn look() {
        // Without a /proc nothing can be said.
        let is_there = |path: &str| std::fs::metadata(path).is_ok();
        CLOSED.store(is_there("/proc/self/fd") && !is_there("/proc/self/fd/1"), Relaxed);
    }

    pub fn is_closed() -> bool {
        CLOSED.load(Relaxed)
    }
}

/// Elsewhere a closed standard output stays unnoticed.
#[cfg(not(target_os = "linux"))]
mod closed {
    pub fn is_closed() -> bool {
        false
    }
}
