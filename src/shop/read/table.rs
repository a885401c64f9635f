//! A CSV file as a table: rows of cells under the columns of a header.

use std::borrow::Cow;
use std::collections::BTreeMap;

use super::beyond::Beyond;
use super::fault::FileFault;
use super::figures;
use super::header::{ColumnRule, Header, Meaning, names};
use super::mistake::Mistake;
use super::split::{Quotes, RawCell, Record, Records};

/// A file whose header has been read.
#[derive(Debug)]
pub(super) struct FileTable<'f> {
    header: Header,
    records: Records<'f>,
    /// Whether its figures have commas where the point belongs.
    commas: bool,
}

/// A row that is neither blank nor a comment, and where to say what is wrong
/// with it.
pub(super) struct Row<'t, 'f> {
    header: &'t Header,
    /// As a spreadsheet numbers it.
    pub(super) number: u64,
    /// One for each of the file's columns.
    cells: Vec<ReadCell<'f>>,
    /// What is said of a row that is longer than its head in place of what is wrong from a place
    /// on, where its cells stand under another's name.
    too_long: Option<(Option<Beyond>, usize)>,
    /// Cells that were taken from another file, by their place: from which, and its row.
    taken: BTreeMap<usize, (String, u64)>,
    faults: &'t mut Vec<FileFault>,
}

#[derive(Clone)]
enum ReadCell<'f> {
    Text(Cow<'f, str>),
    /// Said to be wrong already, here or in the header.
    Wrong,
}

impl<'f> FileTable<'f> {
    /// Reads the header; `None` if there is none that could be followed.
    pub(super) fn open(
        file: &'static str,
        columns: &'static [ColumnRule],
        bytes: &'f [u8],
        faults: &mut Vec<FileFault>,
    ) -> Option<FileTable<'f>> {
        if bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF") {
            faults.push(FileFault::whole(file, Mistake::Utf16));
            return None;
        }
        let Some((record, records)) = header_of(bytes) else {
            faults.push(FileFault::whole(file, Mistake::NoHeader { columns: names(columns) }));
            return None;
        };
        let header = Header::read(file, columns, &record, faults)?;
        let commas = match records.separator() {
            b';' => figures::have_commas(&header, records.clone(), faults),
            _ => false,
        };
        Some(FileTable { header, records, commas })
    }

    /// Whether the file has this column, so that all its ids can be known.
    pub(super) fn has(&self, column: &str) -> bool {
        self.header.place(column).is_some_and(|place| self.header.position(place).is_some())
    }

    /// The next row with something in it.
    pub(super) fn next_row<'t>(
        &'t mut self,
        faults: &'t mut Vec<FileFault>,
    ) -> Option<Row<'t, 'f>> {
        loop {
            let record = self.records.next()?;
            if is_comment(&record) {
                if is_number(&record) {
                    let read = Some(record.cells[0].text_lossy());
                    let problem = Mistake::NumberOrComment;
                    faults.push(self.header.fault(record.row, 0, read, problem));
                }
            } else if !is_blank(&record) {
                return Some(Row::new(&self.header, (record, self.commas), faults));
            }
        }
    }
}

impl<'t, 'f> Row<'t, 'f> {
    fn new(
        header: &'t Header,
        (record, commas): (Record<'f>, bool),
        faults: &'t mut Vec<FileFault>,
    ) -> Row<'t, 'f> {
        let mut cells: Vec<ReadCell> = Vec::with_capacity(header.columns.len());
        for (place, column) in header.columns.iter().enumerate() {
            let absent = column.needed && header.position(place).is_none();
            cells.push(if absent { ReadCell::Wrong } else { ReadCell::Text(Cow::Borrowed("")) });
        }
        let (beyond, from) = Beyond::of(header, &record);
        // Where there is something beyond, what stands from there on is under another's name.
        let is_filled = |cell: &RawCell| !cell.text_lossy().is_empty();
        let is_shifted = record.cells.iter().skip(header.width()).any(is_filled);
        let mut said = Some(beyond);
        for (position, raw) in record.cells.into_iter().enumerate() {
            let meaning = header.meaning(position);
            if meaning == Meaning::Nameless && raw.quotes == Quotes::Fine {
                if let Some(beyond) = said.take_if(|_| is_filled(&raw)) {
                    let read = Some(raw.text_lossy());
                    faults.push(header.fault(record.row, position, read, beyond.into()));
                }
                continue;
            }
            let cell = decode(raw).map(|text| match meaning {
                _ if is_shifted && position >= from => ReadCell::Wrong,
                Meaning::Column(place) if commas && !header.columns[place].in_words => {
                    ReadCell::Text(figures::with_points(text))
                }
                _ => ReadCell::Text(text),
            });
            let cell = cell.unwrap_or_else(|(read, problem)| {
                faults.push(header.fault(record.row, position, Some(read), problem));
                ReadCell::Wrong
            });
            if let Meaning::Column(place) = meaning {
                cells[place] = cell;
            }
        }
        let too_long = said.filter(|beyond| !beyond.perhaps.is_empty());
        let too_long = too_long.map(|beyond| (Some(beyond), from));
        Row { header, number: record.row, cells, too_long, taken: BTreeMap::new(), faults }
    }

    /// Reads a cell that must be filled; `None` after a fault.
    pub(super) fn need<T>(
        &mut self,
        column: &'static str,
        read: impl FnOnce(&str) -> Result<T, Mistake>,
    ) -> Option<T> {
        let value = self.take(column, read)?;
        if value.is_none() {
            let what = self.header.columns[self.place(column)].what;
            self.fault(column, Mistake::Missing { what });
        }
        value
    }

    /// Reads a cell that may be empty, which gives `Some(None)`; `None` after a
    /// fault.
    pub(super) fn take<T>(
        &mut self,
        column: &'static str,
        read: impl FnOnce(&str) -> Result<T, Mistake>,
    ) -> Option<Option<T>> {
        let ReadCell::Text(text) = &self.cells[self.place(column)] else { return None };
        match text.trim() {
            "" => Some(None),
            text => match read(text) {
                Ok(value) => Some(Some(value)),
                Err(problem) => {
                    self.fault(column, problem);
                    None
                }
            },
        }
    }

    /// A row of a file of another kind, whose cells are filled in one by one.
    pub(super) fn empty(
        header: &'t Header,
        number: u64,
        faults: &'t mut Vec<FileFault>,
    ) -> Row<'t, 'f> {
        let cells = vec![ReadCell::Text(Cow::Borrowed("")); header.columns.len()];
        Row { header, number, cells, too_long: None, taken: BTreeMap::new(), faults }
    }

    /// Whether nothing stands in a cell.
    pub(super) fn is_empty(&self, column: &'static str) -> bool {
        matches!(&self.cells[self.place(column)], ReadCell::Text(text) if text.trim().is_empty())
    }

    /// What stands in a cell, unless that is wrong.
    pub(super) fn text(&self, column: &'static str) -> Option<String> {
        match &self.cells[self.place(column)] {
            ReadCell::Text(text) => Some(text.trim().to_owned()),
            ReadCell::Wrong => None,
        }
    }

    /// Fills a cell, if it is empty.
    pub(super) fn fill(&mut self, column: &'static str, text: Cow<'f, str>) {
        if self.is_empty(column) {
            let place = self.place(column);
            self.cells[place] = ReadCell::Text(text);
        }
    }

    /// Fills a cell, if it is empty, from a row of another file: what is wrong with it is
    /// said of that.
    pub(super) fn take_from(
        &mut self,
        (file, number): (&str, u64),
        column: &'static str,
        cell: Result<Cow<'f, str>, (String, Mistake)>,
    ) {
        if !self.is_empty(column) {
            return;
        }
        let place = self.place(column);
        self.taken.insert(place, (file.to_owned(), number));
        match cell {
            Ok(text) => self.cells[place] = ReadCell::Text(text),
            Err((read, problem)) => {
                self.cells[place] = ReadCell::Text(Cow::Owned(read));
                self.fault(column, problem);
                self.cells[place] = ReadCell::Wrong;
            }
        }
    }

    /// Whether a list was asked for what stands in a column.
    pub(super) fn is_taken(&self, column: &'static str) -> bool {
        self.taken.contains_key(&self.place(column))
    }

    /// Says that a cell is wrong, repeating what stands in it.
    pub(super) fn fault(&mut self, column: &'static str, problem: Mistake) {
        let place = self.place(column);
        let position = self.header.position(place).unwrap_or(usize::MAX);
        if let Some((beyond, _)) = self.too_long.as_mut().filter(|(_, from)| position >= *from) {
            if let Some(beyond) = beyond.take() {
                let end = self.header.width();
                self.faults.push(self.header.fault(self.number, end, None, beyond.into()));
            }
            return;
        }
        let read = match &self.cells[place] {
            ReadCell::Text(text) if !text.trim().is_empty() => Some(text.trim().to_owned()),
            _ => None,
        };
        let mut fault = self.header.fault(self.number, position, read, problem);
        if let Some((file, number)) = self.taken.get(&place) {
            (fault.file, fault.row) = (file.clone(), Some(*number));
        }
        self.faults.push(FileFault { column: Some(column.to_owned()), ..fault });
    }

    fn place(&self, column: &'static str) -> usize {
        self.header.place(column).expect("a reader asks for its own file's columns")
    }
}

/// The first row that is neither blank nor a comment, and the rows below it.
fn find(mut records: Records<'_>) -> Option<(Record<'_>, Records<'_>)> {
    let record = records.find(|record| !is_comment(record) && !is_blank(record))?;
    Some((record, records))
}

/// The header of a file and the rows below it; cells may be parted by semicolons where
/// the whole header is.
pub(super) fn header_of(bytes: &[u8]) -> Option<(Record<'_>, Records<'_>)> {
    let (record, records) = find(Records::new(bytes))?;
    match record.cells.as_slice() {
        [only] if only.bytes.contains(&b';') => find(Records::parted_by(b';', bytes)),
        _ => Some((record, records)),
    }
}

/// The text of a cell, or what was read of it and why it is none.
pub(super) fn decode(raw: RawCell) -> Result<Cow<str>, (String, Mistake)> {
    let read = |bytes: &[u8]| String::from_utf8_lossy(bytes).trim().to_owned();
    match raw.quotes {
        Quotes::Open => return Err((read(&raw.bytes), Mistake::OpenQuote)),
        Quotes::Early => return Err((read(&raw.bytes), Mistake::AfterQuote)),
        Quotes::Fine => {}
    }
    match raw.bytes {
        Cow::Borrowed(bytes) => std::str::from_utf8(bytes)
            .map(Cow::Borrowed)
            .map_err(|_| (read(bytes), Mistake::NotUtf8)),
        Cow::Owned(bytes) => String::from_utf8(bytes)
            .map(Cow::Owned)
            .map_err(|error| (read(error.as_bytes()), Mistake::NotUtf8)),
    }
}

fn is_blank(record: &Record) -> bool {
    let blank = |cell: &RawCell| cell.quotes == Quotes::Fine && !cell.is_filled();
    record.cells.iter().all(blank)
}

/// A spreadsheet may put quotes round a comment, and commas after it.
fn is_comment(record: &Record) -> bool {
    let first = &record.cells[0];
    first.quotes == Quotes::Fine && first.bytes.trim_ascii_start().starts_with(b"#")
}

/// A comment row that looks like a ticket `#1042` and its other cells.
fn is_number(record: &Record) -> bool {
    let mut parts = record.cells[0].bytes.split(|&b| b == b',').map(<[u8]>::trim_ascii);
    let number =
        parts.next().is_some_and(|part| part.len() > 1 && part[1..].iter().all(u8::is_ascii_digit));
    number
        && (parts.any(|part| !part.is_empty()) || record.cells[1..].iter().any(RawCell::is_filled))
}
