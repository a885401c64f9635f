//! Changes cells of a table as it was typed: every other row stays as it is, byte for byte.

use super::figures;
use super::split::{RawCell, Record, Records};
use super::table::header_of;

/// The names in the header of a table, in small letters.
pub(crate) fn columns(bytes: &[u8]) -> Vec<String> {
    let header = header_of(bytes).map(|(header, _)| header.cells).unwrap_or_default();
    header.iter().map(|cell| cell.text_lossy().trim().to_lowercase()).collect()
}

/// The rows of a table as a spreadsheet numbers them, comments too, each with its cells.
pub fn table_rows(bytes: &[u8]) -> Vec<(u64, Vec<String>)> {
    let separator = header_of(bytes).map_or(b',', |(_, rows)| rows.separator());
    let records = Records::parted_by(separator, bytes);
    let cells = |record: &Record| record.cells.iter().map(RawCell::text_lossy).collect();
    records.map(|record| (record.row, cells(&record))).collect()
}

/// The table with these cells of a row, or of a new row at its end where that is `None`;
/// a column that is not there is added. `figures` are columns whose cells are figures.
pub(crate) fn with_cells(
    bytes: &[u8],
    row: Option<u64>,
    cells: &[(&str, String)],
    figures_in: &[&str],
) -> Vec<u8> {
    let Some((header, rows)) = header_of(bytes) else { return bytes.to_vec() };
    let separator = rows.separator();
    let commas = figures::otherwise(bytes).is_some_and(|how| how.contains("decimal commas"));
    let mut names: Vec<Vec<u8>> =
        header.cells.iter().map(|cell| cell.bytes.trim_ascii().to_vec()).collect();
    let known = names.len();
    let mut new: Vec<(usize, Vec<u8>)> = Vec::new();
    for (column, text) in cells {
        let is_it = |name: &Vec<u8>| name.eq_ignore_ascii_case(column.as_bytes());
        let place = names.iter().position(is_it).unwrap_or_else(|| {
            names.push(column.as_bytes().to_vec());
            names.len() - 1
        });
        let text = match commas && figures_in.contains(column) {
            true => text.replace('.', ","),
            false => text.clone(),
        };
        new.push((place, text.into_bytes()));
    }
    let mut out = Vec::with_capacity(bytes.len() + 200);
    let mut records = Records::parted_by(separator, bytes);
    let (mut from, mut headed) = (0, &b""[..]);
    loop {
        let record = records.next();
        let to = bytes.len() - records.left();
        let Some(record) = record else { break };
        let own = &bytes[from..to];
        from = to;
        if record.row == header.row {
            headed = own;
        }
        if record.row == header.row && names.len() > known {
            write(&mut out, &names, separator, own);
        } else if Some(record.row) == row {
            write(&mut out, &changed(&record, &new), separator, own);
        } else {
            out.extend_from_slice(own);
        }
    }
    if row.is_none() {
        if !out.ends_with(b"\n") && !out.ends_with(b"\r") {
            out.extend_from_slice(end_of(headed));
        }
        let empty = Record { row: 0, cells: Vec::new() };
        write(&mut out, &changed(&empty, &new), separator, end_of(headed));
    }
    out
}

/// The table with those rows alone that are kept by what stands in a column, and all that
/// is no row.
pub(crate) fn with_rows(bytes: &[u8], column: &str, keep: impl Fn(&str) -> bool) -> Vec<u8> {
    let Some((header, rows)) = header_of(bytes) else { return bytes.to_vec() };
    let is_it = |cell: &RawCell| cell.text_lossy().eq_ignore_ascii_case(column);
    let Some(place) = header.cells.iter().position(is_it) else { return bytes.to_vec() };
    let mut out = Vec::with_capacity(bytes.len());
    let mut records = Records::parted_by(rows.separator(), bytes);
    let mut from = 0;
    loop {
        let record = records.next();
        let to = bytes.len() - records.left();
        let Some(record) = record else { break };
        let own = &bytes[from..to];
        from = to;
        let is_comment = record.cells[0].bytes.trim_ascii_start().starts_with(b"#");
        let is_row = record.row > header.row && !is_comment;
        let id = record.cells.get(place).filter(|cell| is_row && cell.is_filled());
        if id.is_none_or(|id| keep(&id.text_lossy())) {
            out.extend_from_slice(own);
        }
    }
    out
}

/// The cells of a row, some of them others.
fn changed(record: &Record, new: &[(usize, Vec<u8>)]) -> Vec<Vec<u8>> {
    let own = |cell: &RawCell| cell.bytes.to_vec();
    let mut cells: Vec<Vec<u8>> = record.cells.iter().map(own).collect();
    for (place, text) in new {
        if cells.len() <= *place {
            cells.resize(place + 1, Vec::new());
        }
        cells[*place].clone_from(text);
    }
    cells
}

/// Writes a row with the mark in front and the line end of the one whose place it takes.
fn write(out: &mut Vec<u8>, cells: &[Vec<u8>], separator: u8, before: &[u8]) {
    if before.starts_with(b"\xEF\xBB\xBF") {
        out.extend_from_slice(b"\xEF\xBB\xBF");
    }
    for (at, cell) in cells.iter().enumerate() {
        if at > 0 {
            out.push(separator);
        }
        let is_plain = !cell.iter().any(|b| *b == separator || matches!(b, b'"' | b'\n' | b'\r'))
            && cell.trim_ascii().len() == cell.len();
        if is_plain {
            out.extend_from_slice(cell);
            continue;
        }
        out.push(b'"');
        for byte in cell {
            out.extend(std::iter::repeat_n(*byte, if *byte == b'"' { 2 } else { 1 }));
        }
        out.push(b'"');
    }
    out.extend_from_slice(end_of(before));
}

/// How a row ends; one at the end of a file, as most do.
fn end_of(row: &[u8]) -> &[u8] {
    match row.iter().rev().take_while(|b| matches!(b, b'\n' | b'\r')).count() {
        0 => b"\n",
        end => &row[row.len() - end.min(2)..],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edited(text: &str, row: Option<u64>, cells: &[(&str, &str)]) -> String {
        let cells: Vec<(&str, String)> =
            cells.iter().map(|(column, text)| (*column, (*text).to_owned())).collect();
        String::from_utf8(with_cells(text.as_bytes(), row, &cells, &["price"])).unwrap()
    }

    #[test]
    fn one_row_changes_and_the_others_stay_as_they_were_typed() {
        let text = "\u{feff}# prices, 2026\r\na,price, note\r\n x ,1.50,\"p, q\"\r\n\r\ny,2";
        assert_eq!(
            edited(text, Some(3), &[("price", "1.95")]),
            "\u{feff}# prices, 2026\r\na,price, note\r\n\" x \",1.95,\"p, q\"\r\n\r\ny,2"
        );
        assert_eq!(
            edited(text, Some(5), &[("out_until", "no")]),
            "\u{feff}# prices, 2026\r\na,price,note,out_until\r\n x ,1.50,\"p, q\"\r\n\r\ny,2,,no\n"
        );
        assert_eq!(
            edited("a;price\nx;1,50\n", None, &[("a", "z;"), ("price", "1.95")]),
            "a;price\nx;1,50\n\"z;\";1,95\n"
        );
        let rows = "\u{feff}# a\nFrame,art\n 1 ,x\n# 1,y\n\n2,\"1\n3\"\n3,z";
        let kept = with_rows(rows.as_bytes(), "frame", |id| id == "3");
        assert_eq!(String::from_utf8(kept).unwrap(), "\u{feff}# a\nFrame,art\n# 1,y\n\n3,z");
        assert_eq!(edited("a,b\r\nx,1", None, &[("a", "y"), ("b", "")]), "a,b\r\nx,1\r\ny,\r\n");
    }
}
