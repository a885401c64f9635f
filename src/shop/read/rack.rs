//! Reads `rack.csv`: the sticks and offcuts at hand, with their flaws.

use crate::measure::{Length, LengthStyle};
use crate::shop::{Flaw, Moulding, Stick};

use super::cells::{self, ReadingUnits};
use super::fault::FileFault;
use super::header::{ColumnRule, needed, optional};
use super::lists;
use super::mistake::Mistake;
use super::register::Register;
use super::table::{FileTable, Row};

/// The file's name.
pub(super) const FILE: &str = "rack.csv";

const COLUMNS: &[ColumnRule] = &[
    needed("stick", "the label on its marked end").in_words(),
    needed("moulding", "the moulding's code").in_words(),
    needed("length", "its length, tip to tip along the back edge"),
    optional("lot", "the lot it comes from").in_words(),
    optional("place", "where it lies").in_words(),
    optional("flaws", "what may not be in a rail, such as 14 1/2 .. 16"),
    optional("since", "since when it is on the rack, such as 2026-03-05").in_words(),
];

/// Reads the file, and its labels; `bytes` is nothing if it is missing.
pub(super) fn read(
    bytes: Option<&[u8]>,
    figures: &ReadingUnits,
    style: LengthStyle,
    mouldings: &Register<Moulding>,
    faults: &mut Vec<FileFault>,
) -> (Vec<Option<Stick>>, Register<()>) {
    let mut ids = Register::new("in rack.csv", true);
    let table = bytes.and_then(|bytes| FileTable::open(FILE, COLUMNS, bytes, faults));
    let Some(mut table) = table else { return (Vec::new(), ids) };
    let mut sticks = Vec::new();
    while let Some(mut row) = table.next_row(faults) {
        let id = row.need("stick", cells::id);
        ids.is_new(&mut row, "stick", id.as_ref());
        ids.add(id.clone(), row.number, Some(()));
        sticks.push(read_row(&mut row, id, figures, style, mouldings));
    }
    (sticks, ids)
}

fn read_row(
    row: &mut Row,
    id: Option<String>,
    figures: &ReadingUnits,
    style: LengthStyle,
    mouldings: &Register<Moulding>,
) -> Option<Stick> {
    let moulding = row.need("moulding", |text| mouldings.resolve(text).map(|_| text.to_owned()));
    let length = row.need("length", figures.positive("the length"));
    let lot = row.take("lot", cells::id);
    let place = row.take("place", cells::text);
    let flaws = row.take("flaws", |text| flaws(text, length, figures, style));
    let since = row.take("since", cells::date);
    Some(Stick {
        id: id?,
        moulding: moulding?,
        length: length?,
        lot: lot?.unwrap_or_default(),
        place: place?.unwrap_or_default(),
        flaws: flaws?.unwrap_or_default(),
        since: since?,
    })
}

/// The flaws in order and apart, all on the stick.
fn flaws(
    text: &str,
    length: Option<Length>,
    figures: &ReadingUnits,
    style: LengthStyle,
) -> Result<Vec<Flaw>, Mistake> {
    let ranges = lists::ranges(text, figures)?;
    let end = ranges.last().map(|&(_, to)| to);
    if let Some(length) = length.filter(|length| end > Some(*length)) {
        return Err(Mistake::BeyondStick { length: style.show_unit(length) });
    }
    Ok(ranges.into_iter().map(|(from, to)| Flaw { from, to }).collect())
}
