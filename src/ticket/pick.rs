//! What is to be picked for several jobs: each material once, with its sizes.

use std::collections::BTreeMap;

use super::piece::{PieceOf, PieceSize};
use super::sheet::JobSheet;
use crate::measure::{Length, Unit};

/// Pieces alike of one material, for one ticket or several.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PickLine {
    /// The material's code; nothing where the shop has not written one down.
    pub material: Option<String>,
    /// What it is for.
    pub what: PieceOf,
    /// The size.
    pub size: PieceSize,
    /// How many in all.
    pub count: u32,
    /// For which tickets.
    pub tickets: Vec<String>,
}

/// The pieces of all jobs: by material, what it is for, and size, the largest first. Wire is
/// picked in whole inches or centimetres, up: nobody measures it off finer.
pub fn pick_list(sheets: &[JobSheet], unit: Unit) -> Vec<PickLine> {
    let whole = match unit {
        Unit::Inch => Length::from_64ths(64),
        Unit::Millimetre => Length::from_mm(10),
    };
    type Key = (Option<String>, PieceOf, (i64, i64));
    let mut lines: BTreeMap<Key, PickLine> = BTreeMap::new();
    for sheet in sheets {
        for piece in &sheet.pieces {
            let picked = match (piece.what, piece.size) {
                (PieceOf::Wire, PieceSize::Long(long)) => PieceSize::Long(long.round_up(whole)),
                (_, size) => size,
            };
            let size = match picked {
                PieceSize::Sheet(width, height) => (-width.nm(), -height.nm()),
                PieceSize::Long(length) => (-length.nm(), 0),
                PieceSize::Whole => (0, 0),
            };
            let key = (piece.material.clone(), piece.what, size);
            let line = lines.entry(key).or_insert_with(|| PickLine {
                material: piece.material.clone(),
                what: piece.what,
                size: picked,
                count: 0,
                tickets: Vec::new(),
            });
            line.count += piece.count * sheet.copies;
            if line.tickets.last() != Some(&sheet.frame.id) {
                line.tickets.push(sheet.frame.id.clone());
            }
        }
    }
    // What the shop has no code for stands last.
    let (coded, rest): (Vec<_>, Vec<_>) =
        lines.into_values().partition(|line| line.material.is_some());
    coded.into_iter().chain(rest).collect()
}

impl PieceSize {
    /// The length of a strip; nothing of anything else.
    pub fn long(self) -> Option<Length> {
        match self {
            PieceSize::Long(length) => Some(length),
            PieceSize::Sheet(..) | PieceSize::Whole => None,
        }
    }
}
