//! What tables are made with: memory, and a look at the clock.

use super::watchman::Watchman;

/// So many entries of a table are filled in one step of the search.
pub(crate) const A_STEP: u64 = 64;

/// No table takes more than this part of the steps that are allowed.
const PART: u64 = 8;

/// The most entries of a table by room: some 200 MB.
const MOST: u64 = 26_000_000;

/// The most decisions of a rolling table, one bit each.
const MOST_BITS: u64 = 1 << 31;

/// Few enough entries for a search of any length.
const FEW: u64 = 500_000;

/// Memory for tables, kept from one to the next, and who minds the time while
/// they are filled.
#[derive(Debug)]
pub(crate) struct Cells<'a> {
    pub fine: Vec<i64>,
    pub rounded: Vec<i32>,
    /// The most entries of a table.
    pub most: i64,
    /// The most decisions of a rolling table.
    pub most_bits: u64,
    pub watchman: Watchman<'a>,
}

impl<'a> Cells<'a> {
    /// No memory yet, for a search of so many steps.
    pub fn watched(watchman: Watchman<'a>, work: u64) -> Cells<'a> {
        let part = (work / PART).saturating_mul(A_STEP).max(FEW);
        let most = i64::try_from(part.min(MOST)).unwrap_or(i64::MAX);
        let most_bits = part.min(MOST_BITS);
        Cells { fine: Vec::new(), rounded: Vec::new(), most, most_bits, watchman }
    }
}
