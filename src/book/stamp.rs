//! Who makes a change, when and why.

use jiff::civil::DateTime;

/// Who makes a change, when and why. The time comes from the caller.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamp {
    /// When, by the shop's own clock.
    pub at: DateTime,
    /// Who; empty if nobody said.
    pub by: String,
    /// Why; empty if nobody said.
    pub why: String,
    /// A token of whoever asks: what carries one that the book knows already is
    /// not done again. Empty if none was given.
    pub token: String,
}
