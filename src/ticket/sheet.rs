//! A job's sheet as plain data.

use super::concern::Concern;
use super::corners::Corners;
use super::depth::Depth;
use super::hang::Hanging;
use super::heft::Heft;
use super::piece::JobPiece;
use crate::measure::Length;
use crate::shop::{Frame, Job, Shop};

/// A job, worked out and checked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobSheet {
    /// What was typed, with its package.
    pub job: Job,
    /// The frame that it is for.
    pub frame: Frame,
    /// How many copies it is for.
    pub copies: u32,
    /// The frame's size outside.
    pub outside: (Length, Length),
    /// What is seen within the frame.
    pub sight: (Length, Length),
    /// What is cut, and what is taken, for one copy.
    pub pieces: Vec<JobPiece>,
    /// The package in its rabbet.
    pub depth: Depth,
    /// What it weighs.
    pub heft: Heft,
    /// How it hangs.
    pub hanging: Hanging,
    /// How it is joined.
    pub corners: Corners,
    /// What to look at.
    pub concerns: Vec<Concern>,
}

impl JobSheet {
    /// The pieces that are cut from sheets of the shop's materials, with whether each may
    /// be turned on its sheet: all of them may, since no grain is known of a board.
    pub fn from_sheets<'a>(&'a self, shop: &'a Shop) -> impl Iterator<Item = &'a JobPiece> {
        let is_sheet = |piece: &&JobPiece| {
            let material = piece.material.as_ref().and_then(|code| shop.materials.get(code));
            material.is_some_and(|material| material.kind.is_sheet())
        };
        self.pieces.iter().filter(is_sheet)
    }
}
