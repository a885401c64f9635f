//! Reads a list of pieces that are wanted of boards and glass.

use crate::shop::{Settings, SheetPiece, Shop, piece_word};

use super::cells::{self, ANSWERS, ReadingUnits};
use super::fault::{Faults, FileFault};
use super::header::{ColumnRule, needed, optional};
use super::register::Register;
use super::table::FileTable;

/// What a list is called in faults until its own name is known.
const FILE: &str = "pieces.csv";

const COLUMNS: &[ColumnRule] = &[
    needed("ticket", "the ticket that it is for").in_words(),
    needed("material", "of what it is cut").in_words(),
    optional("what", "what it is, such as glazing or mat").in_words(),
    needed("width", "how wide it is"),
    needed("height", "how high it is"),
    optional("count", "how many alike; 1 if left empty"),
    optional("turn", "whether it may lie either way: yes, as if left empty without a grain, or no")
        .in_words(),
];

/// The most of one row.
const MOST: u32 = 1000;

/// The pieces of a file of this name, each of a material that there is.
///
/// # Errors
/// All faults of the file, in order.
pub fn read_pieces((name, bytes): (&str, &[u8]), shop: &Shop) -> Result<Vec<SheetPiece>, Faults> {
    let Settings { unit, currency, .. } = &shop.settings;
    let figures = ReadingUnits { unit: *unit, currency: currency.clone() };
    let mut materials = Register::new("in sheets.csv", true);
    let sheets = shop.sheets.iter().map(|sheet| &sheet.material);
    for material in sheets.chain(shop.materials.keys()) {
        materials.add(Some(material.clone()), 0, Some(()));
    }
    let mut faults: Vec<FileFault> = Vec::new();
    let mut pieces = Vec::new();
    if let Some(mut table) = FileTable::open(FILE, COLUMNS, bytes, &mut faults) {
        while let Some(mut row) = table.next_row(&mut faults) {
            let ticket = row.need("ticket", cells::id);
            let known = |text: &str| materials.resolve(text).map(|_| text.to_owned());
            let material = row.need("material", known);
            let what = row.take("what", cells::id);
            let width = row.need("width", figures.positive("the width"));
            let height = row.need("height", figures.positive("the height"));
            let count = row.take("count", cells::count(1, MOST));
            let turn = row.take("turn", cells::word(&ANSWERS));
            pieces.extend((|| {
                let material = material?;
                let rules = shop.sheet_rules.get(&material).copied().unwrap_or_default();
                Some(SheetPiece {
                    ticket: ticket?,
                    material,
                    what: piece_word(&what?.unwrap_or_default()),
                    width: width?,
                    height: height?,
                    count: count?.unwrap_or(1),
                    cut: 0,
                    turn: turn?.unwrap_or(!rules.grain),
                    drop_out: None,
                })
            })());
        }
    }
    if faults.is_empty() {
        return Ok(pieces);
    }
    for fault in &mut faults {
        name.clone_into(&mut fault.file);
    }
    Err(Faults(faults))
}
