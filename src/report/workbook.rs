//! A table as a workbook, for those who would rather open a spreadsheet than read one in.

use jiff::civil::Date;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, XlsxError};

/// Digits beyond which a figure would not come back from a spreadsheet as it was.
const MOST_DIGITS: usize = 15;

/// One table, given with commas between its cells, as a sheet with its header in bold.
/// What is a plain figure there is one in the sheet; a ticket `007` stays a text. `made` is
/// the day that the file says it was made on.
///
/// # Errors
/// If the name is none that a sheet may have, or the table is too large for one.
pub fn workbook(name: &str, table: &str, made: Date) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let year = u16::try_from(made.year()).unwrap_or(1900);
    let month = made.month().unsigned_abs();
    let day = ExcelDateTime::from_ymd(year, month, made.day().unsigned_abs())?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&day));
    let bold = Format::new().set_bold();
    let sheet = book.add_worksheet();
    sheet.set_name(name)?;
    let mut rows = csv::ReaderBuilder::new();
    let mut rows = rows.has_headers(false).flexible(true).from_reader(table.as_bytes());
    for (row, record) in rows.records().map_while(Result::ok).enumerate() {
        let row = u32::try_from(row).unwrap_or(u32::MAX);
        for (column, cell) in record.iter().enumerate() {
            let column = u16::try_from(column).unwrap_or(u16::MAX);
            match figure(cell) {
                _ if row == 0 => sheet.write_string_with_format(row, column, cell, &bold)?,
                Some(figure) => sheet.write_number(row, column, figure)?,
                None => sheet.write_string(row, column, cell)?,
            };
        }
    }
    book.save_to_buffer()
}

/// A figure as it is written: digits, perhaps a point, and no zero before others.
fn figure(cell: &str) -> Option<f64> {
    let digits = cell.strip_prefix('-').unwrap_or(cell);
    let (whole, part) = digits.split_once('.').unwrap_or((digits, "0"));
    let is_digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let is_plain = whole == "0" || !whole.starts_with('0');
    let is_short = whole.len() + part.len() <= MOST_DIGITS;
    (is_digits(whole) && is_digits(part) && is_plain && is_short).then(|| cell.parse().ok())?
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_a_figure_is_one() {
        let figures = ["0", "12", "-3.50", "0.125", "007", "1e5", "", "-", "12.", "1,5", "1/4"];
        let found: Vec<bool> = figures.iter().map(|cell| figure(cell).is_some()).collect();
        let expected = [true, true, true, true, false, false, false, false, false, false, false];
        assert_eq!(found, expected);
        assert_eq!(figure("1234567890123456"), None, "longer than a spreadsheet keeps");
    }
}
