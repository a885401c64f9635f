//! Reads suppliers' price lists as they send them: any columns in any order, a title
//! above them, mouldings that the shop has never seen.
//!
//! `shop.toml` says which of a list's columns is what. What a row means as an offer is
//! for the reader of `offers.csv` (`offers`); here is only what stands where.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use super::cells::ReadingUnits;
use super::fault::FileFault;
use super::figures;
use super::files::{FILES, WORKBOOK};
use super::keys::Section;
use super::list_mistake::ListMistake;
use super::mistake::Mistake;
use super::prices::{self, Decimals};
use super::quoted::shown;
use super::split::{Record, Records};
use super::suggest::Suggest;
use super::table::decode;

/// Titles above the header are no more than so many rows.
const MOST_ABOVE: usize = 40;

const KEYS: &[(&str, &str)] = &[
    ("file", "the file's name, such as \"list-2026.csv\""),
    ("code", "the list's column of its codes, such as \"Art no\""),
    ("moulding", "the list's column of your codes, if it has one"),
    ("form", "the list's column of forms, or \"= length\""),
    ("lengths", "the list's column of lengths, or \"= 96; 108\""),
    ("price", "the list's column of prices, such as \"Trade\""),
    ("per", "the list's column of what a price is for, or \"= ft\""),
    ("box", "the list's column of what is in a carton"),
    ("steps", "the list's column of lower prices for more"),
    ("least", "the list's column of the least length billed for a chop"),
    ("fee", "the list's column of what is charged for each chop"),
    ("least_count", "the list's column of the least that is taken in one line"),
    ("from", "the list's column of first days"),
    ("until", "the list's column of last days"),
    ("out_until", "the list's column of days on which it is in stock again"),
    ("note", "the list's column of anything else"),
    ("decimal", "\".\" or \",\": what is before the decimals of the list's prices"),
];

/// The keys that are columns.
const COLUMNS: std::ops::Range<usize> = 1..KEYS.len() - 1;

/// Those whose cells are words or codes, in which a comma is a comma.
const IN_WORDS: [&str; 8] =
    ["code", "moulding", "form", "per", "from", "until", "out_until", "note"];

/// Those whose cells are a price alone.
const PRICES: [&str; 2] = ["price", "fee"];

/// Where the cells of one key stand.
#[derive(Debug, Clone, PartialEq, Eq)]
enum ListColumn {
    /// Under this name.
    Named(String),
    /// This in every row.
    Same(String),
}

/// What `shop.toml` says of a supplier's list.
#[derive(Debug, Clone)]
pub(super) struct ListRule {
    pub(super) supplier: String,
    pub(super) file: String,
    /// Where its section stands.
    named_in: &'static str,
    line: u64,
    /// How its decimals are written, if it is said.
    decimal: Option<Decimals>,
    columns: BTreeMap<&'static str, ListColumn>,
}

/// A cell of a list, or what was read and why it is none.
pub(super) type ListCell<'f> = Result<Cow<'f, str>, (String, Mistake)>;

/// A row of a list.
#[derive(Debug, Clone)]
pub(super) struct ListedRow<'f> {
    /// As a spreadsheet numbers it.
    pub(super) number: u64,
    /// What stands under each key that the rule has.
    pub(super) cells: BTreeMap<&'static str, ListCell<'f>>,
}

/// A list that was read.
#[derive(Debug)]
pub(super) struct ListTable<'f> {
    pub(super) rule: ListRule,
    pub(super) rows: Vec<ListedRow<'f>>,
}

/// The sections `[import.SUPPLIER]`.
pub(super) fn rules(top: &mut Section) -> Vec<ListRule> {
    let Some(mut all) = top.section("import", &[], "import.\"BRIN\"") else { return Vec::new() };
    let mut rules = Vec::new();
    for supplier in all.names() {
        let Some(mut section) = all.section(&supplier, KEYS, "import.\"BRIN\"") else { continue };
        let file = section.need("file", file_name);
        let mut columns = BTreeMap::new();
        let mut is_whole = true;
        for (key, _) in &KEYS[COLUMNS] {
            let column = match *key {
                "code" | "price" => section.need(key, column).map(Some),
                _ => section.take(key, column),
            };
            is_whole &= column.is_some();
            columns.extend(column.flatten().map(|column| (*key, column)));
        }
        let decimal = section.take("decimal", Decimals::read);
        let (named_in, line) = (section.file(), section.line());
        if let (Some(file), true, Some(decimal)) = (file, is_whole, decimal) {
            rules.push(ListRule { supplier, file, named_in, line, decimal, columns });
        }
    }
    rules
}

/// A file beside `shop.toml` that is none of the shop's own.
fn file_name(text: &str) -> Result<String, Mistake> {
    let is_path = text.contains(['/', '\\', ':']) || text.starts_with('.');
    let mut own = FILES.iter().map(|(name, _)| *name).chain([WORKBOOK]);
    let is_own = own.any(|name| name.eq_ignore_ascii_case(text));
    if is_path || is_own { Err(ListMistake::ListFile.into()) } else { super::cells::text(text) }
}

/// The name of a column, or `= 96` for what is the same in every row.
fn column(text: &str) -> Result<ListColumn, Mistake> {
    let text = super::cells::text(text)?;
    Ok(match text.strip_prefix('=') {
        Some(same) => ListColumn::Same(same.trim().to_owned()),
        None => ListColumn::Named(text),
    })
}

impl ListRule {
    /// A fault of its section in `shop.toml`.
    pub(super) fn fault(&self, key: &str, read: Option<String>, problem: Mistake) -> FileFault {
        let key = if key.is_empty() { String::new() } else { format!(".{key}") };
        FileFault {
            row: Some(self.line),
            column: Some(format!("import.{}{key}", shown(&self.supplier))),
            read,
            ..FileFault::whole(self.named_in, problem)
        }
    }

    /// Reads the list; `None` after a fault.
    pub(super) fn read<'f>(
        &self,
        bytes: Option<&'f [u8]>,
        units: &ReadingUnits,
        faults: &mut Vec<FileFault>,
    ) -> Option<ListTable<'f>> {
        let Some(bytes) = bytes else {
            if !faults.iter().any(|fault| fault.file == self.file) {
                let problem = ListMistake::MissingList { supplier: self.supplier.clone() }.into();
                faults.push(FileFault::whole(&self.file, problem));
            }
            return None;
        };
        if bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF") {
            faults.push(FileFault::whole(&self.file, Mistake::Utf16));
            return None;
        }
        let parted = [b',', b';', b'\t'].map(|by| self.under_header(Records::parted_by(by, bytes)));
        let best = parted.into_iter().min_by_key(|found| found.lacking.len())?;
        if !best.lacking.is_empty() && best.header.iter().any(|name| name.contains('\u{fffd}')) {
            let row = Some(best.number);
            faults.push(FileFault { row, ..FileFault::whole(&self.file, Mistake::NotUtf8) });
            return None;
        }
        let suggest = Suggest::new();
        for (key, name) in &best.lacking {
            let near = suggest.near(name, best.header.iter().map(String::as_str));
            let problem = ListMistake::NoListColumn { file: self.file.clone(), near }.into();
            faults.push(self.fault(key, Some(name.clone()), problem));
        }
        for place in &best.twice {
            faults.push(FileFault {
                row: Some(best.number),
                column: Some(shown(&best.header[*place])),
                position: *place,
                ..FileFault::whole(&self.file, Mistake::RepeatedColumn)
            });
        }
        if !best.lacking.is_empty() || !best.twice.is_empty() {
            return None;
        }
        let written = self.decimals(&best, units).map_err(|wrong| faults.extend(wrong)).ok()?;
        let row = |record: Record<'f>| self.row(record, &best.places, (written, units));
        let is_filled = |record: &Record| record.cells.iter().any(|cell| cell.is_filled());
        let rows = best.rows.clone().filter(is_filled).map(row).collect();
        Some(ListTable { rule: self.clone(), rows })
    }

    /// How its prices are written: as it is said, or else as those are that can be read in
    /// one way only, which must agree.
    fn decimals(
        &self,
        list: &UnderHeader,
        units: &ReadingUnits,
    ) -> Result<Decimals, Vec<FileFault>> {
        if let Some(decimal) = self.decimal {
            return Ok(decimal);
        }
        let mut shown: [Vec<(u64, usize, &'static str, String)>; 2] = Default::default();
        for record in list.rows.clone() {
            for key in PRICES {
                let Some(place) = list.places.get(key) else { continue };
                let Some(raw) = record.cells.get(*place) else { continue };
                let text = raw.text_lossy();
                let which = match Decimals::shown_by(&text, &units.currency) {
                    Decimals::Points => 0,
                    Decimals::Commas => 1,
                    Decimals::Unknown => continue,
                };
                shown[which].push((record.row, *place, key, text));
            }
        }
        let [points, commas] = shown;
        let (few, many, decimal) = match (points.len(), commas.len()) {
            (0, 0) => return Ok(Decimals::Unknown),
            (_, 0) => return Ok(Decimals::Points),
            (0, _) => return Ok(Decimals::Commas),
            (some, more) if some <= more => (points, commas, '.'),
            _ => (commas, points, ','),
        };
        let (row, .., read) = &many[0];
        let wrong = |(own, position, key, text): (u64, usize, &str, String)| FileFault {
            row: Some(own),
            column: Some(key.to_owned()),
            read: Some(text),
            position,
            ..FileFault::whole(
                &self.file,
                ListMistake::TwoDecimals { decimal, row: *row, read: read.clone() }.into(),
            )
        };
        Err(few.into_iter().map(wrong).collect())
    }

    /// Finds the row that names the most of the columns, and the rows below it.
    fn under_header<'f>(&self, mut rows: Records<'f>) -> UnderHeader<'f> {
        let mut best: Option<UnderHeader> = None;
        for _ in 0..MOST_ABOVE {
            let Some(record) = rows.next() else { break };
            let header: Vec<String> = record.cells.iter().map(|cell| cell.text_lossy()).collect();
            let (mut places, mut lacking) = (BTreeMap::new(), Vec::new());
            let mut twice = BTreeSet::new();
            for (key, column) in &self.columns {
                let ListColumn::Named(name) = column else { continue };
                let is_named = |cell: &String| cell.eq_ignore_ascii_case(name);
                match header.iter().position(is_named) {
                    Some(place) => {
                        places.insert(*key, place);
                        let last = header.iter().rposition(is_named);
                        twice.extend(last.filter(|last| *last != place));
                    }
                    None => lacking.push((*key, name.clone())),
                }
            }
            if best.as_ref().is_none_or(|best| lacking.len() < best.lacking.len()) {
                let (number, rows) = (record.row, rows.clone());
                best = Some(UnderHeader { header, number, places, lacking, twice, rows });
            }
        }
        best.unwrap_or_else(|| {
            let named = self.columns.iter().filter_map(|(key, column)| match column {
                ListColumn::Named(name) => Some((*key, name.clone())),
                ListColumn::Same(_) => None,
            });
            let (header, places) = (Vec::new(), BTreeMap::new());
            let (number, twice, lacking) = (1, BTreeSet::new(), named.collect());
            UnderHeader { header, number, places, lacking, twice, rows }
        })
    }

    fn row<'f>(
        &self,
        record: Record<'f>,
        places: &BTreeMap<&'static str, usize>,
        (written, units): (Decimals, &ReadingUnits),
    ) -> ListedRow<'f> {
        let mut cells = BTreeMap::new();
        for (key, column) in &self.columns {
            let cell = match (column, places.get(key)) {
                (ListColumn::Same(text), _) => Ok(Cow::Owned(text.clone())),
                (_, place) => match place.and_then(|place| record.cells.get(*place)) {
                    Some(raw) => decode(raw.clone()),
                    None => Ok(Cow::Borrowed("")),
                },
            };
            let is_same = matches!(column, ListColumn::Same(_));
            let cell = cell.and_then(|text| match *key {
                // What shop.toml says is written as all of it.
                key if is_same && !PRICES.contains(&key) => Ok(text),
                key if PRICES.contains(&key) => prices::plain(text, written, &units.currency),
                key if written == Decimals::Commas && !IN_WORDS.contains(&key) => {
                    // 2.400 mm could be 2400 or 2.4.
                    match figures::is_within(text.as_bytes(), b'.') {
                        true => Err((
                            text.trim().to_owned(),
                            ListMistake::OtherDecimals { decimal: ',' }.into(),
                        )),
                        false => Ok(figures::with_points(text)),
                    }
                }
                _ => Ok(text),
            });
            cells.insert(*key, cell);
        }
        ListedRow { number: record.row, cells }
    }
}

/// A header as far as it has the columns, and what stands below it.
struct UnderHeader<'f> {
    header: Vec<String>,
    /// The header's row.
    number: u64,
    places: BTreeMap<&'static str, usize>,
    lacking: Vec<(&'static str, String)>,
    /// Where a column's name stands once more.
    twice: BTreeSet<usize>,
    rows: Records<'f>,
}

impl ListedRow<'_> {
    /// What stands under a key; empty where nothing does.
    pub(super) fn text(&self, key: &str) -> &str {
        match self.cells.get(key) {
            Some(Ok(text)) => text.trim(),
            Some(Err(_)) | None => "",
        }
    }
}
