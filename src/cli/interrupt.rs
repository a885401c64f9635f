//! Turns ctrl-C into a flag that a search looks at.

use std::process;
use std::sync::Once;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use super::effort::Effort;
use crate::solve::Limits;

static STOP: AtomicBool = AtomicBool::new(false);
static HANDLER: Once = Once::new();

/// The exit code of a program ended by ctrl-C: 128 and the signal's number.
const ENDED: i32 = 130;

/// A flag that the first ctrl-C sets; a second one ends the program at once.
pub fn flag() -> &'static AtomicBool {
    HANDLER.call_once(|| {
        // Where no handler can be set, ctrl-C ends the program as ever.
        let _ = ctrlc::set_handler(|| {
            if STOP.swap(true, Ordering::Relaxed) {
                process::exit(ENDED);
            }
        });
    });
    &STOP
}

/// As much work as a plan may take with such an effort, until then at the latest
/// or until ctrl-C.
pub(super) fn limits(effort: Effort, deadline: Option<Instant>) -> Limits<'static> {
    Limits { work: effort.work(), deadline, stop: Some(flag()), watch: None }
}
