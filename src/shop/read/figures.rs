//! Figures with decimal commas, where a whole file is written so.

use std::borrow::Cow;

use super::fault::FileFault;
use super::header::{Header, Meaning};
use super::mistake::Mistake;
use super::split::{RawCell, Records};

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
            any |= between_digits(cell, b',');
            if between_digits(cell, b'.') {
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

/// Whether some cell at these positions has a decimal comma.
pub(super) fn any_commas(mut rows: Records, positions: &[usize]) -> bool {
    rows.any(|record| {
        let cells = positions.iter().filter_map(|position| record.cells.get(*position));
        cells.into_iter().any(|cell| {
            let last = cell.bytes.iter().rposition(|sign| matches!(sign, b',' | b'.'));
            between_digits(cell, b',') && last.is_some_and(|last| cell.bytes[last] == b',')
        })
    })
}

/// Whether some cell at these positions has a point that can only be a decimal point:
/// not three digits follow it.
pub(super) fn any_points(mut rows: Records, positions: &[usize]) -> bool {
    rows.any(|record| {
        let cells = positions.iter().filter_map(|position| record.cells.get(*position));
        cells.into_iter().any(|cell| {
            let last = cell.bytes.iter().rposition(|sign| matches!(sign, b',' | b'.'));
            let Some(last) = last.filter(|last| cell.bytes[*last] == b'.') else { return false };
            let digits = cell.bytes[last + 1..].iter().take_while(|byte| byte.is_ascii_digit());
            between_digits(cell, b'.') && digits.count() != 3
        })
    })
}

fn between_digits(cell: &RawCell, sign: u8) -> bool {
    let sides = cell.bytes.windows(3);
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
        match cells.any(|cell| between_digits(&cell, b',') && !between_digits(&cell, b'.')) {
            true => "with semicolons between its cells and decimal commas",
            false => "with semicolons between its cells",
        }
    })
}
