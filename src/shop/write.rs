//! Writes frames and racks as files that read back the same, to the nanometre.

use std::collections::BTreeMap;
use std::fmt::Write;

use jiff::civil::Date;

use super::read::edit::{columns, with_cells, with_rows};
use super::read::{figures, read_files};
use super::{Flaw, Frame, Kind, Settings, SheetStock, Shop, Stick};
use crate::measure::{Length, LengthStyle, Mitre, Unit, parse_length};

/// The columns of `frames.csv`, in the order in which they are written.
const COLUMNS: [&str; 16] = [
    "frame",
    "layer",
    "moulding",
    "width",
    "height",
    "sides",
    "copies",
    "due",
    "came",
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
        let typed = frame.layers.iter().filter(|layer| layer.window.is_none()).count();
        let typed = typed - usize::from(shop.is_built_by_itself(frame));
        rows.extend((0..typed).map(|layer| layer_row(shop, frame, layer)));
    }
    let came = COLUMNS.iter().position(|column| *column == "came");
    if let Some(came) = came.filter(|_| shop.frames.iter().all(|frame| frame.came.is_none())) {
        rows.iter_mut().for_each(|row| drop(row.remove(came)));
    }
    table(&rows)
}

fn layer_row(shop: &Shop, frame: &Frame, index: usize) -> Vec<String> {
    let settings = &shop.settings;
    let length = |length: Length| exact(length, settings);
    let layer = &frame.layers[index];
    // What follows from a job is left to it.
    let job = shop.jobs.get(&frame.id);
    let is_sized = job.is_none_or(|job| job.shown.given.is_some());
    let size = |size: Length| if is_sized { length(size) } else { String::new() };
    let worked_out = job.and_then(|job| {
        job.thickness(|code| shop.materials.get(code), |code| shop.mouldings.get(code))
    });
    let thickness = frame.thickness.filter(|thickness| Some(*thickness) != worked_out);
    let first = |text: String| if index == 0 { text } else { String::new() };
    let is_floater = shop.moulding(&layer.moulding).kind == Kind::Floater;
    vec![
        frame.id.clone(),
        (index + 1).to_string(),
        layer.moulding.clone(),
        first(size(frame.width)),
        first(size(frame.height)),
        first(frame.mitre.sides().to_string()),
        first(frame.left().to_string()),
        first(frame.due.map(|due| due.to_string()).unwrap_or_default()),
        first(frame.came.map(|came| came.to_string()).unwrap_or_default()),
        first(if frame.promised { "yes" } else { "" }.to_owned()),
        layer.match_.word().to_owned(),
        layer.match_floor.word().to_owned(),
        layer.allowance.map(length).unwrap_or_default(),
        if is_floater { length(layer.gap) } else { String::new() },
        first(thickness.map(length).unwrap_or_default()),
        first(frame.note.clone()),
    ]
}

/// A `jobs.csv` as it stands, without the rows of tickets that are not on the pile.
pub fn jobs_on_pile(file: &[u8], shop: &Shop) -> Vec<u8> {
    with_rows(file, "frame", |id| shop.frame(id).is_some())
}

/// Columns whose cells are figures.
const FIGURES: [&str; 5] = ["width", "height", "allowance", "gap", "thickness"];

/// A `frames.csv` with another size in a ticket's row, of a polygon its width alone, or
/// another day, which then is wanted and not promised.
pub(crate) fn frame_row(
    file: &[u8],
    frame: &Frame,
    (size, due): (Option<(Length, Option<Length>)>, Option<Date>),
    settings: &Settings,
) -> Vec<u8> {
    let mut cells = Vec::new();
    if let Some((width, height)) = size {
        cells.push(("width", exact(width, settings)));
        cells.extend(height.map(|height| ("height", exact(height, settings))));
    }
    if let Some(due) = due {
        cells.push(("due", due.to_string()));
        if frame.promised {
            cells.push(("promised", String::new()));
        }
    }
    with_cells(file, Some(frame.row), &cells, &FIGURES)
}

/// Whose `frames.csv` a ticket is written into.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Keeper {
    /// Somebody's own file: its columns and how it is parted stay as they are.
    Person,
    /// The book: a column that the ticket needs is added.
    Book,
}

/// The files of a shop with one ticket more in `frames.csv`, once it reads back as just
/// that.
///
/// # Errors
/// What keeps the ticket from being written there, and how to mend it.
pub fn files_with_ticket(
    mut files: BTreeMap<String, Vec<u8>>,
    frame: &Frame,
    (shop, keeper): (&Shop, Keeper),
) -> Result<BTreeMap<String, Vec<u8>>, String> {
    let before = files.get("frames.csv").cloned().unwrap_or_default();
    files.insert("frames.csv".to_owned(), with_ticket(&before, frame, (shop, keeper))?);
    let read = read_files(&files).map_err(|faults| faults.to_string())?;
    let plain = |frame: &Frame| Frame { row: 0, ..frame.clone() };
    match read.frame(&frame.id).map(plain) == Some(plain(frame)) {
        true => Ok(files),
        false => Err("the ticket would not read back as it is (write it yourself)".to_owned()),
    }
}

/// A `frames.csv` as it stands with one ticket more at its end, a row for each layer.
fn with_ticket(
    file: &[u8],
    frame: &Frame,
    (shop, keeper): (&Shop, Keeper),
) -> Result<Vec<u8>, String> {
    if keeper == Keeper::Person && figures::otherwise(file).is_some() {
        return Err("its cells are parted by semicolons (save it with commas between them)".into());
    }
    let columns = columns(file);
    let mut file = file.to_vec();
    for (index, layer) in frame.layers.iter().enumerate() {
        let is_square = frame.mitre == Mitre::SQUARE;
        let is_usual = |column: &str| match column {
            "layer" => frame.layers.len() == 1,
            "height" => !is_square,
            "sides" => is_square,
            "copies" => frame.copies == 1,
            "match" => layer.match_ == shop.moulding(&layer.moulding).match_,
            "match_floor" => layer.match_floor == layer.match_,
            _ => false,
        };
        let cells = COLUMNS.into_iter().zip(layer_row(shop, frame, index));
        let cell = |(column, text)| (column, if is_usual(column) { String::new() } else { text });
        let (mut there, lacking): (Vec<_>, Vec<_>) =
            cells.map(cell).partition(|(column, _)| columns.iter().any(|known| known == column));
        let lacking = lacking.into_iter().filter(|(_, text)| !text.is_empty());
        let lacking: Vec<(&str, String)> = lacking.collect();
        if keeper == Keeper::Book {
            there.extend(lacking);
        } else if !lacking.is_empty() {
            let lacking: Vec<&str> = lacking.iter().map(|(column, _)| *column).collect();
            return Err(format!(
                "it has no column for {} (add it to the header row: {},{})",
                lacking.join(" and "),
                columns.join(","),
                lacking.join(",")
            ));
        }
        file = with_cells(&file, None, &there, &FIGURES);
    }
    Ok(file)
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

/// `sheets.csv` with these boards and this glass.
pub fn sheets(sheets: &[SheetStock], settings: &Settings) -> String {
    let header = ["label", "material", "width", "height", "count", "place", "note"];
    let mut rows = vec![header.map(str::to_owned).to_vec()];
    for sheet in sheets {
        rows.push(vec![
            sheet.label.clone(),
            sheet.material.clone(),
            exact(sheet.width, settings),
            exact(sheet.height, settings),
            if sheet.whole { sheet.count.to_string() } else { String::new() },
            sheet.place.clone(),
            sheet.note.clone(),
        ]);
    }
    table(&rows)
}

/// Flaws as a cell has them.
pub fn flaws(flaws: &[Flaw], settings: &Settings) -> String {
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
