//! Reads `worth.csv`: what share of its price an offcut of a length is worth.

use std::collections::BTreeMap;

use crate::measure::{Length, LengthStyle, show_share};
use crate::shop::{MOST_WORTHS, Moulding, Settings};

use super::cells::ReadingUnits;
use super::fault::FileFault;
use super::header::{ColumnRule, needed};
use super::mistake::Mistake;
use super::register::Register;
use super::settings::share;
use super::table::FileTable;

/// The file's name.
pub(super) const FILE: &str = "worth.csv";

const COLUMNS: &[ColumnRule] = &[
    needed("moulding", "the moulding's code").in_words(),
    needed("length", "how long the offcut is"),
    needed("worth", "the share of its price that it is worth, such as 0.6"),
];

/// Reads the file; `bytes` is nothing if it is missing, as it may be.
pub(super) fn read(
    bytes: Option<&[u8]>,
    (figures, mouldings, settings): (&ReadingUnits, &Register<Moulding>, Option<&Settings>),
    style: LengthStyle,
    faults: &mut Vec<FileFault>,
) -> BTreeMap<String, Vec<(Length, u32)>> {
    let mut curves: BTreeMap<String, Vec<(Length, u32)>> = BTreeMap::new();
    let table = bytes.and_then(|bytes| FileTable::open(FILE, COLUMNS, bytes, faults));
    let Some(mut table) = table else { return curves };
    while let Some(mut row) = table.next_row(faults) {
        let named =
            row.need("moulding", |text| mouldings.resolve(text).map(|of| (text.to_owned(), of)));
        let length = row.need("length", figures.positive("the length"));
        let worth = row.need("worth", share);
        let (Some((id, Some(moulding))), Some(length), Some(worth), Some(settings)) =
            (named, length, worth, settings)
        else {
            continue;
        };
        let curve = curves.entry(id).or_default();
        let (keep, stick) = (settings.keep, moulding.stick);
        let before = curve.last().copied().unwrap_or((keep, settings.worth));
        let is_at_keep = curve.is_empty() && length == keep;
        let rises = length > before.0 && worth >= before.1;
        if !(keep..stick).contains(&length) {
            let (from, to) = (style.show_unit(keep), style.show_unit(stick));
            row.fault("length", Mistake::OffCurve { from, to });
        } else if !is_at_keep && !rises {
            let column = if worth < before.1 { "worth" } else { "length" };
            let before = format!("{} at {}", show_share(before.1), style.show_unit(before.0));
            row.fault(column, Mistake::Falls { before });
        } else if curve.iter().filter(|(at, _)| *at > keep).count() == MOST_WORTHS {
            row.fault("length", Mistake::TooManyKnots { most: MOST_WORTHS });
        } else {
            curve.push((length, worth));
        }
    }
    curves
}
