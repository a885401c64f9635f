//! `--seconds`: how long a search may run.

use std::time::Duration;

/// Reads a number of seconds above zero.
///
/// # Errors
/// The mend, where it is none.
pub(super) fn parse(read: &str) -> Result<Duration, String> {
    let seconds = read.parse().ok().filter(|&seconds| seconds > 0.0);
    seconds
        .and_then(|seconds| Duration::try_from_secs_f64(seconds).ok())
        .ok_or_else(|| "write a number of seconds above 0, such as 10 or 0.5".to_owned())
}
