//! A number of threads and the pool that has so many.

use std::thread::available_parallelism;

use anyhow::Context;
use rayon::{ThreadPool, ThreadPoolBuilder};

/// More threads than this are of no use to a shop of any size.
const MOST: usize = 256;

/// Reads a number of threads.
pub(super) fn parse(read: &str) -> Result<usize, String> {
    let count = read.parse().ok().filter(|count| (1..=MOST).contains(count));
    count.ok_or_else(|| format!("give a whole number from 1 to {MOST}"))
}

/// A pool of so many threads; without a number, as many as there are cores.
///
/// # Errors
/// If the system has no threads to give.
pub(super) fn pool(threads: Option<usize>) -> anyhow::Result<ThreadPool> {
    let cores = || available_parallelism().map_or(1, |cores| cores.get().min(MOST));
    let threads = threads.unwrap_or_else(cores);
    let built = ThreadPoolBuilder::new().num_threads(threads).build();
    built.with_context(|| format!("cannot start {threads} threads (give fewer with --threads)"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_of_threads_is_at_least_one() {
        assert_eq!(parse("1"), Ok(1));
        assert_eq!(parse("256"), Ok(256));
        for wrong in ["0", "-1", "257", "two", "1.5", ""] {
            assert!(parse(wrong).unwrap_err().starts_with("give a whole number"), "{wrong}");
        }
    }

    #[test]
    fn a_pool_has_the_threads_that_were_asked_for() {
        assert_eq!(pool(Some(3)).unwrap().current_num_threads(), 3);
        assert!(pool(None).unwrap().current_num_threads() >= 1);
    }
}
