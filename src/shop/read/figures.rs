//! Figures with decimal commas, where a whole file is written so.

use std::borrow::Cow;

use super::fault::FileFault;
use super::header::{Header, Meaning};
use super::mistake::Mistake;
use super::split::Records;

/// Whether the figures of a file that is parted by semicolons have decimal commas: all
/// of them, or it is said which are written otherwise.
pub(super) fn have_commas(header: &Header, rows: Records, faults: &mut Vec<FileFault>) -> bool {
    let mut points = Vec::new();
    let mut any = false;
    for record in rows {
        for (position, cell) in record.cells.iter().enumerate() {
            let Meaning::Column(place) = header.meaning(position) else { continue };
            if header.columns[place].in_words {
                continue;
            }
            any |= is_within(&cell.bytes, b',');
            if is_within(&cell.bytes, b'.') {
                points.push((record.row, position, cell.text_lossy()));
            }
        }
    }
    if any {
        let mixed =
            |(row, position, read)| header.fault(row, position, Some(read), Mistake::MixedDecimals);
        faults.extend(points.into_iter().map(mixed));
    }
    any
}

/// Whether a figure has this sign within it.
pub(super) fn is_within(bytes: &[u8], sign: u8) -> bool {
    let sides = bytes.windows(3);
    sides.into_iter().any(|w| w[0].is_ascii_digit() && w[1] == sign && w[2].is_ascii_digit())
}

/// The text with a point in place of each decimal comma.
pub(super) fn with_points(text: Cow<str>) -> Cow<str> {
    if !text.contains(',') {
        return text;
    }
    let signs: Vec<char> = text.chars().collect();
    let is_digit =
        |at: Option<usize>| at.and_then(|at| signs.get(at)).is_some_and(char::is_ascii_digit);
    let point = |(at, sign): (usize, &char)| match sign {
        ',' if is_digit(at.checked_sub(1)) && is_digit(at.checked_add(1)) => '.',
        other => *other,
    };
    Cow::Owned(signs.iter().enumerate().map(point).collect())
}

/// How a file is written, if it is not with commas between its cells.
pub(in crate::shop) fn otherwise(bytes: &[u8]) -> Option<&'static str> {
    let (_, rows) = super::table::header_of(bytes)?;
    (rows.separator() == b';').then(|| {
        let mut cells = rows.flat_map(|record| record.cells);
        match cells.any(|cell| is_within(&cell.bytes, b',') && !is_within(&cell.bytes, b'.')) {
            true => "with semicolons between its cells and decimal commas",
            false => "with semicolons between its cells",
        }
    })
}
