//! What is still to be cut of a layer, as plain data.

use crate::rails::Side;
use crate::shop::Match;

/// Some rails of one layer of a frame copy: all of them, or those that are not
/// cut yet.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Owed {
    /// The frame's ticket number.
    pub frame: String,
    /// Which copy.
    pub copy: u32,
    /// Which layer, counted from 1.
    pub layer: usize,
    /// Which sides, in cutting order.
    pub sides: Vec<Side>,
    /// How alike they must be: `stick` and `wrap` only for a whole layer.
    pub match_: Match,
    /// What the others are from, where these must be like them: a lot, and the
    /// stick where the lot is not known.
    pub like: Option<(String, String)>,
}
