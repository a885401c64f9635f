//! A pending frame: one job on the pile.

use jiff::civil::Date;

use super::Match;
use crate::measure::{Length, Mitre};

/// One pending job, of one or more layers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Frame {
    /// The ticket number.
    pub id: String,
    /// The mouldings, innermost first; at least one.
    pub layers: Vec<Layer>,
    /// The package's width; for a polygon, its size across flats.
    pub width: Length,
    /// The package's height; for a polygon, the same as the width.
    pub height: Length,
    /// Its corners: how many sides the frame has.
    pub mitre: Mitre,
    /// How many alike.
    pub copies: u32,
    /// When it is wanted; undated frames come last.
    pub due: Option<Date>,
    /// How thick the package is, if measured.
    pub thickness: Option<Length>,
    /// Anything else on the ticket.
    pub note: String,
    /// Where the first of its rows stands in `frames.csv`.
    pub row: u64,
}

/// One moulding of a frame; the outside of a layer is the size of the next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layer {
    /// Which moulding.
    pub moulding: String,
    /// The frame's own allowance for this layer, before the moulding's.
    pub allowance: Option<Length>,
    /// For a floater: the gap between canvas and wall on each side.
    pub gap: Length,
    /// How alike this layer's rails must be.
    pub match_: Match,
    /// The least that the job accepts where the match is impossible.
    pub match_floor: Match,
}
