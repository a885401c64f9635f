//! What tables are made with: memory, and a look at the clock.

use super::watchman::Watchman;

/// Memory for tables, kept from one to the next, and who minds the time while
/// they are filled.
#[derive(Debug, Default)]
pub(super) struct Cells<'a> {
    pub fine: Vec<i64>,
    pub rounded: Vec<i32>,
    pub watchman: Watchman<'a>,
}

impl<'a> Cells<'a> {
    /// No memory yet.
    pub fn watched(watchman: Watchman<'a>) -> Cells<'a> {
        Cells { watchman, ..Cells::default() }
    }
}
