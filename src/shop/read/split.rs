//! Bytes to rows of cells: the commas, quotes and line ends of a CSV file.
//!
//! Written here because a general CSV reader forgives a quote that never closes
//! and takes the rest of the file for one cell. Here a row must never go
//! missing unsaid, and rows are numbered as a spreadsheet numbers them.

use std::borrow::Cow;

/// One row of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Record<'f> {
    /// As a spreadsheet numbers it, from 1.
    pub(super) row: u64,
    /// Its cells; a comment row is one cell that begins with `#`.
    pub(super) cells: Vec<RawCell<'f>>,
}

/// One cell as it stands in the file, its quotes taken off.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct RawCell<'f> {
    /// What is in it.
    pub(super) bytes: Cow<'f, [u8]>,
    /// How its quotes are.
    pub(super) quotes: Quotes,
}

/// How the quotes round a cell are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Quotes {
    /// None, or a proper pair.
    Fine,
    /// Opened and not closed before the end of the file.
    Open,
    /// Closed before the end of the cell.
    Early,
}

impl RawCell<'_> {
    /// Whether anything but blanks is in it.
    pub(super) fn is_filled(&self) -> bool {
        !self.bytes.trim_ascii().is_empty()
    }

    /// Its text for a fault, whatever its bytes.
    pub(super) fn text_lossy(&self) -> String {
        String::from_utf8_lossy(&self.bytes).trim().to_owned()
    }
}

/// The rows of a file, one after the other.
#[derive(Debug, Clone)]
pub(super) struct Records<'f> {
    rest: &'f [u8],
    row: u64,
    separator: u8,
}

impl<'f> Records<'f> {
    /// The rows of `bytes`, their cells parted by commas; a byte order mark is passed
    /// over.
    pub(super) fn new(bytes: &'f [u8]) -> Records<'f> {
        Records::parted_by(b',', bytes)
    }

    /// The same for another separator.
    pub(super) fn parted_by(separator: u8, bytes: &'f [u8]) -> Records<'f> {
        let rest = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        Records { rest, row: 0, separator }
    }

    /// How many bytes are left.
    pub(super) fn left(&self) -> usize {
        self.rest.len()
    }

    /// What parts the cells.
    pub(super) fn separator(&self) -> u8 {
        self.separator
    }

    /// The cell at the front, and whether another follows in its row.
    fn cell(&mut self) -> (RawCell<'f>, bool) {
        let blanks = blanks(self.rest);
        if self.rest.get(blanks) == Some(&b'"') {
            self.quoted(blanks + 1)
        } else {
            let (bytes, more) = self.until_separator();
            (RawCell { bytes: Cow::Borrowed(bytes), quotes: Quotes::Fine }, more)
        }
    }

    /// A cell whose quote opens just before `from`. One that never closes is
    /// given up at its line's end, so that the rows below it are still read.
    fn quoted(&mut self, from: usize) -> (RawCell<'f>, bool) {
        let open = self.rest;
        let mut text = Cow::Borrowed(&[][..]);
        let mut at = from;
        loop {
            let Some(length) = open[at..].iter().position(|&b| b == b'"') else {
                let bytes = self.until_line_end();
                return (RawCell { bytes: Cow::Borrowed(bytes), quotes: Quotes::Open }, false);
            };
            join(&mut text, &open[at..at + length]);
            at += length + 1;
            if open.get(at) != Some(&b'"') {
                break;
            }
            join(&mut text, b"\"");
            at += 1;
        }
        self.rest = &open[at..];
        let (after, more) = self.until_separator();
        if blanks(after) == after.len() {
            return (RawCell { bytes: text, quotes: Quotes::Fine }, more);
        }
        let whole = &open[..at + after.len()];
        (RawCell { bytes: Cow::Borrowed(whole), quotes: Quotes::Early }, more)
    }

    fn until_separator(&mut self) -> (&'f [u8], bool) {
        let by = self.separator;
        let end = self.rest.iter().position(|b| *b == by || matches!(b, b'\n' | b'\r'));
        match end {
            Some(end) if self.rest[end] == by => {
                let cell = &self.rest[..end];
                self.rest = &self.rest[end + 1..];
                (cell, true)
            }
            _ => (self.until_line_end(), false),
        }
    }

    fn until_line_end(&mut self) -> &'f [u8] {
        let rest = self.rest;
        let end = rest.iter().position(|b| matches!(b, b'\n' | b'\r')).unwrap_or(rest.len());
        let after = &rest[end..];
        self.rest = after
            .strip_prefix(b"\r\n")
            .or_else(|| after.strip_prefix(b"\n"))
            .or_else(|| after.strip_prefix(b"\r"))
            .unwrap_or(after);
        &rest[..end]
    }
}

/// How many spaces and tabs stand at the front.
fn blanks(bytes: &[u8]) -> usize {
    bytes.iter().take_while(|b| matches!(b, b' ' | b'\t')).count()
}

/// Appends without copying while there is only one piece.
fn join<'f>(text: &mut Cow<'f, [u8]>, piece: &'f [u8]) {
    if text.is_empty() {
        *text = Cow::Borrowed(piece);
    } else {
        text.to_mut().extend_from_slice(piece);
    }
}

impl<'f> Iterator for Records<'f> {
    type Item = Record<'f>;

    fn next(&mut self) -> Option<Record<'f>> {
        if self.rest.is_empty() {
            return None;
        }
        self.row += 1;
        let mut cells = Vec::new();
        if self.rest[blanks(self.rest)..].starts_with(b"#") {
            let bytes = Cow::Borrowed(self.until_line_end());
            cells.push(RawCell { bytes, quotes: Quotes::Fine });
            return Some(Record { row: self.row, cells });
        }
        loop {
            let (cell, more) = self.cell();
            cells.push(cell);
            if !more {
                return Some(Record { row: self.row, cells });
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rows(text: &str) -> Vec<(u64, Vec<String>)> {
        Records::new(text.as_bytes())
            .map(|record| {
                let cells = record.cells.iter();
                (record.row, cells.map(|c| String::from_utf8(c.bytes.to_vec()).unwrap()).collect())
            })
            .collect()
    }

    fn quotes(text: &str) -> Vec<Quotes> {
        Records::new(text.as_bytes()).flat_map(|r| r.cells).map(|c| c.quotes).collect()
    }

    #[test]
    fn any_line_end_ends_a_row_and_a_quoted_one_does_not() {
        let expected = |row: u64, cells: &[&str]| {
            (row, cells.iter().map(|c| (*c).to_owned()).collect::<Vec<_>>())
        };
        assert_eq!(
            rows("\u{feff}a,b\r\n\r1 1/4\", \"x, \"\"y\"\"\nz\" \n# \"no, quote\n,"),
            [
                expected(1, &["a", "b"]),
                expected(2, &[""]),
                expected(3, &["1 1/4\"", "x, \"y\"\nz"]),
                expected(4, &["# \"no, quote"]),
                expected(5, &["", ""]),
            ]
        );
        assert_eq!(rows(""), []);
    }

    #[test]
    fn a_quote_that_never_closes_costs_its_own_row_only() {
        assert_eq!(rows("a,\"b\nc,d\n").len(), 2);
        assert_eq!(
            quotes("a,\"b\nc,d\n"),
            [Quotes::Fine, Quotes::Open, Quotes::Fine, Quotes::Fine]
        );
        assert_eq!(quotes("\"a\"b,c"), [Quotes::Early, Quotes::Fine]);
    }

    proptest! {
        /// The csv crate's writer is the other side of the check.
        #[test]
        fn what_a_csv_writer_writes_is_read_back(
            table in prop::collection::vec(prop::collection::vec("[a-z,\"\n\r é]{0,6}", 2..5), 1..6),
        ) {
            let mut writer = csv::WriterBuilder::new()
                .quote_style(csv::QuoteStyle::Always)
                .flexible(true)
                .from_writer(Vec::new());
            for row in &table {
                writer.write_record(row).unwrap();
            }
            let text = String::from_utf8(writer.into_inner().unwrap()).unwrap();
            let read: Vec<Vec<String>> = rows(&text).into_iter().map(|(_, cells)| cells).collect();
            prop_assert_eq!(read, table);
        }
    }
}
