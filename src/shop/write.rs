//! Writes frames and racks as files that read back the same, to the nanometre.

use std::fmt::Write;

use super::{Flaw, Frame, Kind, Settings, Shop, Stick};
use crate::measure::{Length, LengthStyle, Mitre, Unit, parse_length};

/// The columns of `frames.csv`, in the order in which they are written.
const COLUMNS: [&str; 15] = [
    "frame",
    "layer",
    "moulding",
    "width",
    "height",
    "sides",
    "copies",
    "due",
    "promised",
    "match",
    "match_floor",
    "allowance",
    "gap",
    "thickness",
    "note",
];

/// `frames.csv` with what is left of these frames, one row a layer. A layer that
/// a supplier chops is written as if it were still to be cut.
pub fn frames(shop: &Shop) -> String {
    let mut rows = vec![COLUMNS.map(str::to_owned).to_vec()];
    for frame in &shop.frames {
        rows.extend((0..frame.layers.len()).map(|layer| layer_row(shop, frame, layer)));
    }
    table(&rows)
}

fn layer_row(shop: &Shop, frame: &Frame, index: usize) -> Vec<String> {
    let settings = &shop.settings;
    let length = |length: Length| exact(length, settings);
    let layer = &frame.layers[index];
    let first = |text: String| if index == 0 { text } else { String::new() };
    let is_floater = shop.moulding(&layer.moulding).kind == Kind::Floater;
    vec![
        frame.id.clone(),
        (index + 1).to_string(),
        layer.moulding.clone(),
        first(length(frame.width)),
        first(length(frame.height)),
        first(frame.mitre.sides().to_string()),
        first(frame.left().to_string()),
        first(frame.due.map(|due| due.to_string()).unwrap_or_default()),
        first(if frame.promised { "yes" } else { "" }.to_owned()),
        layer.match_.word().to_owned(),
        layer.match_floor.word().to_owned(),
        layer.allowance.map(length).unwrap_or_default(),
        if is_floater { length(layer.gap) } else { String::new() },
        first(frame.thickness.map(length).unwrap_or_default()),
        first(frame.note.clone()),
    ]
}

/// A `frames.csv` as it stands with one ticket more at its end, a row for each layer in
/// the columns that the file has.
///
/// # Errors
/// What keeps the ticket from being written there, and how to mend it.
pub fn with_ticket(file: &[u8], frame: &Frame, shop: &Shop) -> Result<String, String> {
    let text = std::str::from_utf8(file).map_err(|_| "it is not UTF-8 text".to_owned())?;
    let is_header = |line: &&str| !line.trim().is_empty() && !line.starts_with('#');
    let header = text.trim_start_matches('\u{feff}').lines().find(is_header).unwrap_or_default();
    if header.contains(';') && !header.contains(',') {
        return Err("its cells are parted by semicolons (save it with commas between them)".into());
    }
    let columns: Vec<String> =
        header.split(',').map(|name| name.trim().trim_matches('"').to_lowercase()).collect();
    let mut rows = Vec::new();
    for (index, layer) in frame.layers.iter().enumerate() {
        let mut cells: Vec<String> = layer_row(shop, frame, index);
        let mut usual = |column: &str, is_usual: bool| {
            let place = COLUMNS.iter().position(|known| *known == column);
            if let Some(place) = place.filter(|_| is_usual) {
                cells[place].clear();
            }
        };
        usual("layer", frame.layers.len() == 1);
        usual("height", frame.mitre != Mitre::SQUARE);
        usual("sides", frame.mitre == Mitre::SQUARE);
        usual("copies", frame.copies == 1);
        usual("match", layer.match_ == shop.moulding(&layer.moulding).match_);
        usual("match_floor", layer.match_floor == layer.match_);
        let filled = COLUMNS.iter().zip(&cells).filter(|(_, cell)| !cell.is_empty());
        let lacking = filled.map(|(column, _)| *column).filter(|c| !columns.iter().any(|h| h == c));
        let lacking: Vec<&str> = lacking.collect();
        if !lacking.is_empty() {
            return Err(format!(
                "it has no column for {} (add it to the header row: {header},{})",
                lacking.join(" and "),
                lacking.join(",")
            ));
        }
        let cell = |name: &String| {
            let place = COLUMNS.iter().position(|known| known == name);
            place.map(|place| cells[place].clone()).unwrap_or_default()
        };
        rows.push(columns.iter().map(cell).collect());
    }
    let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let parted = if text.is_empty() || text.ends_with('\n') { "" } else { end };
    let added = table(&rows).replace('\n', end);
    Ok(format!("{text}{parted}{added}"))
}

/// `rack.csv` with these sticks.
pub fn rack(sticks: &[Stick], settings: &Settings) -> String {
    let header = ["stick", "moulding", "length", "lot", "place", "flaws", "since"];
    let mut rows = vec![header.map(str::to_owned).to_vec()];
    for stick in sticks {
        rows.push(vec![
            stick.id.clone(),
            stick.moulding.clone(),
            exact(stick.length, settings),
            stick.lot.clone(),
            stick.place.clone(),
            flaws(&stick.flaws, settings),
            stick.since.map(|since| since.to_string()).unwrap_or_default(),
        ]);
    }
    table(&rows)
}

/// Flaws as a cell has them.
fn flaws(flaws: &[Flaw], settings: &Settings) -> String {
    let mut cell = String::new();
    for (index, flaw) in flaws.iter().enumerate() {
        let part = if index == 0 { "" } else { "; " };
        let _ =
            write!(cell, "{part}{} .. {}", exact(flaw.from, settings), exact(flaw.to, settings));
    }
    cell
}

/// A length as a ruler shows it where that is all of it, else in millimetres to
/// the last digit.
///
/// ```
/// use longpoint::measure::{Length, parse_length, Unit};
/// # let shop = longpoint::shop::read_folder(std::path::Path::new("data/demo")).unwrap();
/// use longpoint::shop::write::exact;
/// assert_eq!(exact(Length::from_64ths(16 * 64 + 16), &shop.settings), "16 1/4");
/// let odd = Length::from_nm(412_750_001);
/// assert_eq!(exact(odd, &shop.settings), "412.750001 mm");
/// assert_eq!(parse_length("412.750001 mm", Unit::Inch), Ok(odd));
/// ```
pub fn exact(length: Length, settings: &Settings) -> String {
    let mark = match settings.unit {
        Unit::Inch => Length::from_64ths(1),
        Unit::Millimetre => settings.mark,
    };
    let shown = LengthStyle { unit: settings.unit, mark }.show(length);
    if parse_length(&shown, settings.unit) == Ok(length) {
        return shown;
    }
    let per_mm = Unit::Millimetre.nm();
    format!("{}.{:06} mm", length.nm() / per_mm, length.nm() % per_mm)
}

fn table(rows: &[Vec<String>]) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in rows {
        writer.write_record(row).expect("rows of equal width");
    }
    let bytes = writer.into_inner().expect("memory takes every byte");
    String::from_utf8(bytes).expect("cells are UTF-8")
}
