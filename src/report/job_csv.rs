//! The pieces of the day's jobs for a spreadsheet, `jobs.csv`, and those that are cut from
//! sheets by themselves, `pieces.csv`.

use crate::measure::Length;
use crate::shop::Shop;
use crate::shop::write::exact;
use crate::ticket::{JobSheet, PieceSize};

use super::csv::write;
use super::job_words::{style, to_size};
use super::json::mm;

const JOBS: [&str; 15] = [
    "ticket",
    "copies",
    "what",
    "material",
    "name",
    "count",
    "width",
    "height",
    "opening_width",
    "opening_height",
    "width_mm",
    "height_mm",
    "opening_width_mm",
    "opening_height_mm",
    "note",
];

/// One line for each piece, in the order of work; `count` is for one copy.
pub fn jobs(sheets: &[JobSheet], shop: &Shop) -> String {
    let style = style(shop);
    let mut rows = vec![JOBS.map(str::to_owned).to_vec()];
    for sheet in sheets {
        for piece in &sheet.pieces {
            let (width, height) = match piece.size {
                PieceSize::Sheet(width, height) => (Some(width), Some(height)),
                PieceSize::Long(length) => (Some(length), None),
                PieceSize::Whole => (None, None),
            };
            let (across, up) = (piece.opening.map(|o| o.0), piece.opening.map(|o| o.1));
            let code = piece.material.as_deref().unwrap_or_default();
            let name = shop.materials.get(code).map_or("", |material| &material.name);
            let lengths = [width, height, across, up];
            let shown = |length: Option<Length>| {
                length.map(|length| style.show_down_unit(length)).unwrap_or_default()
            };
            let exact =
                |length: Option<Length>| length.map(|l| mm(l).to_string()).unwrap_or_default();
            let mut row = vec![sheet.frame.id.clone(), sheet.copies.to_string()];
            row.extend([piece.what.words(), code.to_owned(), name.to_owned()]);
            row.push(piece.count.to_string());
            row.extend(lengths.map(shown));
            row.extend(lengths.map(exact));
            let said = sheet.frame.note.clone() + to_size(piece, shop);
            row.push(said.trim_start_matches(": ").to_owned());
            rows.push(row);
        }
    }
    write(&rows)
}

const PIECES: [&str; 7] = ["ticket", "material", "what", "width", "height", "count", "turn"];

/// What is cut from sheets of boards and glazing for all copies, one line for each piece,
/// with its size to the last digit. What is ordered to size is not cut.
pub fn pieces(sheets: &[JobSheet], shop: &Shop) -> String {
    let mut rows = vec![PIECES.map(str::to_owned).to_vec()];
    for sheet in sheets {
        for piece in sheet.from_sheets(shop).filter(|piece| !piece.is_made_to_size(shop)) {
            let (Some(code), PieceSize::Sheet(width, height)) = (&piece.material, piece.size)
            else {
                continue;
            };
            let size = [width, height].map(|length| exact(length, &shop.settings));
            let [width, height] = size;
            let count = (piece.count * sheet.copies).to_string();
            let ticket = sheet.frame.id.clone();
            let what = piece.what.words();
            rows.push(vec![ticket, code.clone(), what, width, height, count, String::new()]);
        }
    }
    write(&rows)
}
