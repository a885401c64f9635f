//! What the jobs of its tickets say of a list of pieces: where they disagree, and what falls
//! out of windows.

use super::piece::{JobPiece, PieceSize};
use super::sheet::JobSheet;
use crate::measure::{Length, LengthStyle};
use crate::shop::{SheetPiece, Shop};

/// In words, a line for each piece of the list that its job has otherwise, or has not, or
/// not so often. What the list leaves out is no disagreement: it may grow.
pub fn disagreements(
    (shop, sheets): (&Shop, &[JobSheet]),
    pieces: &[SheetPiece],
    style: &LengthStyle,
) -> Vec<String> {
    let line = |piece: &SheetPiece| {
        let sheet = sheets.iter().find(|sheet| sheet.frame.id == piece.ticket)?;
        let name = format!("{} {}", piece.ticket, piece.what);
        let own: Vec<&JobPiece> = sheet
            .from_sheets(shop)
            .filter(|own| match piece.what.is_empty() {
                true => own.material.as_ref() == Some(&piece.material),
                false => own.what.words() == piece.what,
            })
            .collect();
        let show = |size: (Length, Length), material: &str| {
            format!("{} x {} of {material}", style.show(size.0), style.show_unit(size.1))
        };
        let listed = show((piece.width, piece.height), &piece.material);
        let Some(first) = own.first() else {
            return Some(format!("{}: {listed} in the list, none by its job", name.trim_end()));
        };
        let Some(same) = own.iter().find(|own| is_same(piece, own)) else {
            let PieceSize::Sheet(width, height) = first.size else { return None };
            let material = first.material.as_deref().unwrap_or_default();
            let its = show((width, height), material);
            return Some(format!("{}: {listed} in the list, {its} by its job", name.trim_end()));
        };
        let alike = pieces.iter().filter(|other| {
            other.ticket == piece.ticket && other.what == piece.what && is_same(other, same)
        });
        let all: u32 = alike.map(|other| other.count).sum();
        let wanted = same.count * sheet.frame.copies;
        (all > wanted)
            .then(|| format!("{}: {all} in the list, {wanted} by its job", name.trim_end()))
    };
    let mut lines: Vec<String> = pieces.iter().filter_map(line).collect();
    lines.dedup();
    lines
}

/// Gives each mat of a list what falls out of its window: as large as the opening, less the
/// board's thickness on each side, so that the bevel comes off whichever way it leans. Our own
/// figure for that trim.
pub fn with_drop_outs((shop, sheets): (&Shop, &[JobSheet]), pieces: &mut [SheetPiece]) {
    for piece in pieces {
        let sheet = sheets.iter().find(|sheet| sheet.frame.id == piece.ticket);
        let mut own = sheet.into_iter().flat_map(|sheet| sheet.from_sheets(shop));
        let is_it = |own: &&JobPiece| {
            (piece.what.is_empty() || own.what.words() == piece.what) && is_same(piece, own)
        };
        let opening = own.find(is_it).and_then(|own| own.opening);
        let thick = shop.materials.get(&piece.material).and_then(|board| board.takes());
        let mark = shop.settings.mark;
        let less = |side: Length, thick: Length| (side - thick * 2).round_down(mark);
        let fallen = opening.zip(thick).map(|((w, h), thick)| (less(w, thick), less(h, thick)));
        piece.drop_out = fallen.filter(|(w, h)| w.is_positive() && h.is_positive());
    }
}

/// Of one material and size, turned or not where it may be.
fn is_same(piece: &SheetPiece, own: &JobPiece) -> bool {
    let size = own.size;
    let lies = |width, height| size == PieceSize::Sheet(width, height);
    let fits = lies(piece.width, piece.height) || piece.turn && lies(piece.height, piece.width);
    fits && own.material.as_ref() == Some(&piece.material)
}
