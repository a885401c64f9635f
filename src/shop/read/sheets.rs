//! Reads `sheets.csv`, the boards and glass at hand, and how `shop.toml` has them cut.

use std::collections::BTreeMap;

use crate::measure::Length;
use crate::shop::{Parting, SheetRules, SheetStock};

use super::cells::{self, ReadingUnits};
use super::fault::FileFault;
use super::header::{ColumnRule, needed, optional};
use super::keys::Section;
use super::mistake::Mistake;
use super::register::Register;
use super::table::FileTable;

/// The file's name.
pub(super) const FILE: &str = "sheets.csv";

const COLUMNS: &[ColumnRule] = &[
    needed("label", "the label on it").in_words(),
    needed("material", "of what it is, such as GLASS-2").in_words(),
    needed("width", "how wide it is"),
    needed("height", "how high it is"),
    optional("count", "how many whole sheets stand there; empty for a remnant"),
    optional("place", "where it stands").in_words(),
    optional("note", "anything else").in_words(),
];

const KEYS: &[(&str, &str)] = &[
    ("cut", "how it is parted: \"scored\", \"knife\" or \"sawn\""),
    ("keep", "the short side of the least remnant that is kept, such as \"8\""),
    ("keep_long", "its long side, such as \"12\""),
    ("kerf", "what a saw cut turns to dust, such as \"1/8\""),
    ("least_strip", "the narrowest strip of glass that you break off, such as \"1/2\""),
    ("grain", "\"yes\" where a grain or a pattern makes one way up another"),
];

const EXAMPLE: &str = "sheet.\"GLASS\"";

const PARTINGS: [(&str, Parting); 3] =
    [("scored", Parting::Scored), ("knife", Parting::Knife), ("sawn", Parting::Sawn)];

/// No shop has more alike.
const MOST: u32 = 10_000;

/// Reads the sections `[sheet.MATERIAL]`; none is needed.
pub(super) fn rules(top: &mut Section, figures: &ReadingUnits) -> BTreeMap<String, SheetRules> {
    let mut rules = BTreeMap::new();
    let Some(mut all) = top.section("sheet", &[], EXAMPLE) else { return rules };
    for name in all.names() {
        if let Err(problem) = cells::name(&name) {
            all.fault(&name, problem);
        }
        let read = all.section(&name, KEYS, EXAMPLE).and_then(|keys| read_rules(keys, figures));
        rules.extend(read.map(|read| (name, read)));
    }
    rules
}

fn read_rules(mut keys: Section, figures: &ReadingUnits) -> Option<SheetRules> {
    let usual = SheetRules::default();
    let parting = keys.need("cut", cells::word(&PARTINGS));
    let keep = keys.take("keep", figures.positive("the short side of what is kept"));
    let keep_long = keys.take("keep_long", figures.positive("the long side of what is kept"));
    let kerf = keys.take("kerf", figures.small("kerf"));
    let least_strip = keys.take("least_strip", |text| figures.length(text));
    let grain = keys.take("grain", cells::word(&cells::ANSWERS));
    let is_there = |read: Option<Option<Length>>| read.flatten().is_some_and(Length::is_positive);
    if parting.is_some_and(|parting| parting != Parting::Sawn) && is_there(kerf) {
        keys.fault("kerf", Mistake::OutOfPlace { belongs: "what is sawn" });
    }
    if parting.is_some_and(|parting| parting != Parting::Scored) && is_there(least_strip) {
        keys.fault("least_strip", Mistake::OutOfPlace { belongs: "what is scored" });
    }
    let keep = keep?.unwrap_or(usual.keep);
    Some(SheetRules {
        parting: Some(parting?),
        keep,
        keep_long: keep_long?.unwrap_or(keep).max(keep),
        kerf: kerf?.unwrap_or_default(),
        least_strip: least_strip?.unwrap_or_default(),
        grain: grain?.unwrap_or(false),
        made_to_size: false,
    })
}

/// Reads the file; `bytes` is nothing if it is missing, as it may be. No label may be that
/// of a stick as well.
pub(super) fn read(
    bytes: Option<&[u8]>,
    figures: &ReadingUnits,
    sticks: &Register<()>,
    faults: &mut Vec<FileFault>,
) -> Vec<Option<SheetStock>> {
    let table = bytes.and_then(|bytes| FileTable::open(FILE, COLUMNS, bytes, faults));
    let Some(mut table) = table else { return Vec::new() };
    let mut labels = Register::new("in sheets.csv", true);
    let mut sheets = Vec::new();
    while let Some(mut row) = table.next_row(faults) {
        let label = row.need("label", cells::id);
        if labels.is_new(&mut row, "label", label.as_ref())
            && label.as_ref().is_some_and(|label| sticks.has(label))
        {
            row.fault("label", Mistake::StickLabel);
        }
        labels.add(label.clone(), row.number, Some(()));
        let material = row.need("material", cells::id);
        let width = row.need("width", figures.positive("the width"));
        let height = row.need("height", figures.positive("the height"));
        let count = row.take("count", cells::count(0, MOST));
        let place = row.take("place", cells::text);
        let note = row.take("note", cells::text);
        sheets.push((|| {
            let count = count?;
            Some(SheetStock {
                label: label?,
                material: material?,
                width: width?,
                height: height?,
                whole: count.is_some(),
                count: count.unwrap_or(1),
                place: place?.unwrap_or_default(),
                note: note?.unwrap_or_default(),
            })
        })());
    }
    sheets
}
