//! A workbook whose sheets are the shop's tables: `shop.xlsx` in place of `frames.csv`
//! and the others.
//!
//! Each sheet becomes the table that it is named after, row by row, so that a fault names
//! the row that the spreadsheet shows. What a formula came to when the file was saved is
//! what is read.

use std::collections::BTreeMap;
use std::io::Cursor;

use calamine::{DataRef, Reader, Xlsx};

use super::fault::FileFault;
use super::files::{FILES, WORKBOOK};
use super::mistake::Mistake;
use super::suggest::Suggest;
use super::workbook_mistake::WorkbookMistake;

/// A sheet has no more rows and columns than these.
const MOST: (u32, u32) = (200_000, 200);

/// A workbook has no more bytes, and unpacked no more than the second figure.
const LARGEST: (usize, u64) = (20_000_000, 400_000_000);

/// Puts each sheet that is a table in place of its file; the names of these files.
pub(super) fn part(
    files: &mut BTreeMap<String, Vec<u8>>,
    faults: &mut Vec<FileFault>,
) -> Vec<String> {
    let Some(bytes) = files.remove(WORKBOOK) else { return Vec::new() };
    let mut wrong = |file: &str, problem| {
        faults.push(FileFault::whole(file, Mistake::Workbook(problem)));
    };
    let sheets = match sheets(bytes) {
        Ok(sheets) => sheets,
        Err(problem) => {
            wrong(WORKBOOK, problem);
            return Vec::new();
        }
    };
    let known = || FILES.iter().filter_map(|(file, _)| file.strip_suffix(".csv"));
    let mut parted = Vec::new();
    for (name, table) in sheets {
        let is_named = |of: &&str| of.eq_ignore_ascii_case(name.trim());
        let Some(table_name) = known().find(is_named) else {
            if let Some(near) = Suggest::new().near(&name, known()) {
                wrong(&place(&name), WorkbookMistake::Misnamed(near));
            }
            continue;
        };
        let file = format!("{table_name}.csv");
        match table {
            Err(problem) => {
                wrong(&place(&name), problem);
                parted.push(file);
            }
            Ok(_) if files.contains_key(&file) => wrong(&file, WorkbookMistake::Twice),
            Ok(table) => {
                files.insert(file.clone(), table);
                parted.push(file);
            }
        }
    }
    parted
}

/// How a fault of a table is named that is a sheet.
pub(super) fn place(table: &str) -> String {
    format!("{WORKBOOK}, sheet {}", table.trim_end_matches(".csv"))
}

type NamedTable = (String, Result<Vec<u8>, WorkbookMistake>);

fn sheets(bytes: Vec<u8>) -> Result<Vec<NamedTable>, WorkbookMistake> {
    let unreadable = |error: &dyn std::fmt::Display| {
        WorkbookMistake::Unreadable(error.to_string().chars().take(100).collect())
    };
    if bytes.len() > LARGEST.0 {
        return Err(WorkbookMistake::TooLarge);
    }
    let packed = zip::ZipArchive::new(Cursor::new(&bytes));
    let mut packed = packed.map_err(|error| unreadable(&error))?;
    let mut unpacked = 0_u64;
    for place in 0..packed.len() {
        let part = packed.by_index_raw(place).map_err(|error| unreadable(&error))?;
        unpacked = unpacked.saturating_add(part.size());
    }
    if unpacked > LARGEST.1 {
        return Err(WorkbookMistake::TooLarge);
    }
    let mut book = Xlsx::new(Cursor::new(bytes)).map_err(|error| unreadable(&error))?;
    let names = book.sheet_names();
    let sheet = |name: String| {
        let table = table(&mut book, &name, &unreadable);
        (name, table)
    };
    Ok(names.into_iter().map(sheet).collect())
}

/// The cells of a sheet as a table with commas.
fn table(
    book: &mut Xlsx<Cursor<Vec<u8>>>,
    name: &str,
    unreadable: &dyn Fn(&dyn std::fmt::Display) -> WorkbookMistake,
) -> Result<Vec<u8>, WorkbookMistake> {
    let mut cells: BTreeMap<u32, BTreeMap<u32, String>> = BTreeMap::new();
    let mut reader = book.worksheet_cells_reader(name).map_err(|error| unreadable(&error))?;
    while let Some(cell) = reader.next_cell().map_err(|error| unreadable(&error))? {
        let text = text(cell.get_value());
        if text.is_empty() {
            continue;
        }
        let (row, column) = cell.get_position();
        if row >= MOST.0 || column >= MOST.1 {
            return Err(WorkbookMistake::Beyond(row + 1, column + 1));
        }
        cells.entry(row).or_default().insert(column, text);
    }
    let wide = cells.values().filter_map(|row| row.keys().last()).max().map_or(0, |last| last + 1);
    let rows = cells.keys().last().map_or(0, |last| last + 1);
    let mut out = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
    for row in 0..rows {
        let written = match cells.get(&row) {
            Some(row) => out
                .write_record((0..wide).map(|column| row.get(&column).map_or("", String::as_str))),
            // A row with nothing in it stands too, so that the others keep their number.
            None => out.write_record([""]),
        };
        written.expect("memory takes every row");
    }
    Ok(out.into_inner().expect("memory takes every byte"))
}

/// A cell as it would be typed: a day as a date, a figure with as many digits as it has.
fn text(value: &DataRef) -> String {
    match value {
        DataRef::Empty => String::new(),
        DataRef::Int(whole) => whole.to_string(),
        DataRef::Float(figure) => figure.to_string(),
        DataRef::String(text) | DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => {
            text.clone()
        }
        DataRef::SharedString(text) => (*text).to_owned(),
        DataRef::Bool(true) => "yes".to_owned(),
        DataRef::Bool(false) => "no".to_owned(),
        DataRef::DateTime(time) if time.is_duration() || time.as_f64() < 1.0 => {
            let (.., hour, minute, _, _) = time.to_ymd_hms_milli();
            format!("{hour:02}:{minute:02}")
        }
        DataRef::DateTime(time) => {
            let (year, month, day, ..) = time.to_ymd_hms_milli();
            format!("{year:04}-{month:02}-{day:02}")
        }
        DataRef::Error(error) => error.to_string(),
    }
}
