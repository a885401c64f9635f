//! The header row of a CSV file: which cell of a row belongs to which column.

use super::fault::FileFault;
use super::mistake::Mistake;
use super::split::{Quotes, RawCell, Record};
use super::suggest::Suggest;

/// A column that a file may have.
#[derive(Debug)]
pub(super) struct ColumnRule {
    /// Its name in the header.
    pub(super) name: &'static str,
    /// Whether the file must have it.
    pub(super) needed: bool,
    /// What belongs in its cells, as the object of "write".
    pub(super) what: &'static str,
    /// Whether its cells are codes, words or dates, in which a comma is a comma.
    pub(super) in_words: bool,
}

impl ColumnRule {
    /// The same for a column of codes, words or dates.
    pub(super) const fn in_words(self) -> ColumnRule {
        ColumnRule { in_words: true, ..self }
    }
}

/// A column that every such file has.
pub(super) const fn needed(name: &'static str, what: &'static str) -> ColumnRule {
    ColumnRule { name, needed: true, what, in_words: false }
}

/// A column that a file may leave out, or leave empty.
pub(super) const fn optional(name: &'static str, what: &'static str) -> ColumnRule {
    ColumnRule { name, needed: false, what, in_words: false }
}

/// What the cells below one cell of the header are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Meaning {
    /// Those of a column, by its place among the file's columns.
    Column(usize),
    /// Those of a column whose name is wrong, which has been said.
    Misnamed,
    /// Nothing may stand there.
    Nameless,
}

/// A header that has been read.
#[derive(Debug)]
pub(super) struct Header {
    /// The file's name.
    pub(super) file: String,
    /// What columns it may have.
    pub(super) columns: &'static [ColumnRule],
    /// For each cell of the header, what stands below it.
    meaning: Vec<Meaning>,
    /// For each of `columns`, where it stands in a row.
    position: Vec<Option<usize>>,
}

impl Header {
    /// Follows a header row as far as possible; `None` if its cells are parted by tabs.
    pub(super) fn read(
        file: &'static str,
        columns: &'static [ColumnRule],
        record: &Record,
        faults: &mut Vec<FileFault>,
    ) -> Option<Header> {
        let position = vec![None; columns.len()];
        let mut header = Header { file: file.to_owned(), columns, meaning: Vec::new(), position };
        if let Some(by) = other_separator(record) {
            faults.push(header.fault(record.row, 0, None, Mistake::NotCommas { by }));
            return None;
        }
        let suggest = Suggest::new();
        let mut misspelt = Vec::new();
        for (position, cell) in record.cells.iter().enumerate() {
            let meaning = header.name_cell(position, cell, &suggest).unwrap_or_else(|problem| {
                if let Mistake::UnknownColumn { near: Some(near), .. } = &problem {
                    misspelt.push(near.clone());
                }
                let read = Some(cell.text_lossy());
                faults.push(header.fault(record.row, position, read, problem));
                Meaning::Misnamed
            });
            header.meaning.push(meaning);
        }
        for (column, position) in columns.iter().zip(&header.position) {
            if column.needed && position.is_none() && !misspelt.iter().any(|m| m == column.name) {
                let problem = Mistake::MissingColumn { what: column.what };
                let fault = header.fault(record.row, record.cells.len(), None, problem);
                faults.push(FileFault { column: Some(column.name.to_owned()), ..fault });
            }
        }
        Some(header)
    }

    /// The header of a file whose rows are filled in cell by cell.
    pub(super) fn of_file(file: &str, columns: &'static [ColumnRule]) -> Header {
        let position = (0..columns.len()).map(Some).collect();
        let meaning = (0..columns.len()).map(Meaning::Column).collect();
        Header { file: file.to_owned(), columns, meaning, position }
    }

    /// Finds the column that one cell of the header names.
    fn name_cell(
        &mut self,
        position: usize,
        cell: &RawCell,
        suggest: &Suggest,
    ) -> Result<Meaning, Mistake> {
        let name = cell.text_lossy();
        match cell.quotes {
            Quotes::Open => return Err(Mistake::OpenQuote),
            Quotes::Early => return Err(Mistake::AfterQuote),
            Quotes::Fine if name.is_empty() => return Ok(Meaning::Nameless),
            Quotes::Fine => {}
        }
        let Some(place) = self.columns.iter().position(|c| c.name.eq_ignore_ascii_case(&name))
        else {
            let unclaimed = self.columns.iter().zip(&self.position).filter(|(_, p)| p.is_none());
            let near = suggest.near(&name, unclaimed.map(|(column, _)| column.name));
            return Err(Mistake::UnknownColumn { near, known: names(self.columns) });
        };
        if self.position[place].is_some() {
            return Err(Mistake::RepeatedColumn);
        }
        self.position[place] = Some(position);
        Ok(Meaning::Column(place))
    }

    /// The place of a column among the file's columns.
    pub(super) fn place(&self, column: &str) -> Option<usize> {
        self.columns.iter().position(|c| c.name == column)
    }

    /// Where a column stands in the rows of this file, if it does.
    pub(super) fn position(&self, place: usize) -> Option<usize> {
        self.position[place]
    }

    /// What stands at a position of a row.
    pub(super) fn meaning(&self, position: usize) -> Meaning {
        self.meaning.get(position).copied().unwrap_or(Meaning::Nameless)
    }

    /// How many cells it has up to its last name.
    pub(super) fn width(&self) -> usize {
        let last = self.meaning.iter().rposition(|meaning| *meaning != Meaning::Nameless);
        last.map_or(0, |last| last + 1)
    }

    /// A fault at a position of a row, named by its column if it has one.
    pub(super) fn fault(
        &self,
        row: u64,
        position: usize,
        read: Option<String>,
        problem: Mistake,
    ) -> FileFault {
        let column = match self.meaning(position) {
            Meaning::Column(place) => Some(self.columns[place].name.to_owned()),
            Meaning::Misnamed | Meaning::Nameless => None,
        };
        FileFault { file: self.file.clone(), row: Some(row), column, read, problem, position }
    }
}

/// The names of columns as a list.
pub(super) fn names(columns: &[ColumnRule]) -> String {
    columns.iter().map(|column| column.name).collect::<Vec<_>>().join(", ")
}

/// What parts the cells of a header that is all in one cell.
fn other_separator(header: &Record) -> Option<&'static str> {
    let [only] = header.cells.as_slice() else { return None };
    if only.bytes.trim_ascii().contains(&b'\t') { Some("tabs") } else { None }
}
