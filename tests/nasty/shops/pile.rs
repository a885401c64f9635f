//! `frames.csv`: stacks, polygons, copies, and crowds for one day.

use super::Flavour;
use super::profiles::{MATCHES, Profile};
use super::table::Table;
use crate::numbers::Numbers;

const DAYS: [&str; 6] = ["", "2026-11-20", "2026-11-25", "2026-11-26", "2026-12-04", "2199-12-31"];

pub fn table(numbers: &mut Numbers, flavour: &Flavour, mouldings: &[Profile]) -> String {
    let mut table = Table::new(&[
        "frame",
        "layer",
        "moulding",
        "width",
        "height",
        "sides",
        "copies",
        "due",
        "match",
        "match_floor",
        "allowance",
        "gap",
        "thickness",
        "note",
    ]);
    let count = match flavour.crowded {
        true => numbers.within(8, 20),
        false => numbers.one_of(&[0, 1, 2, 3, 4, 5, 6, 7]),
    };
    let day = numbers.one_of(&DAYS);
    for frame in 0..count {
        ticket(numbers, flavour, mouldings, &mut table, (frame, day));
    }
    table.write(numbers)
}

fn ticket(
    numbers: &mut Numbers,
    flavour: &Flavour,
    mouldings: &[Profile],
    table: &mut Table,
    (frame, day): (i64, &str),
) {
    let id = format!("{}{frame}", numbers.one_of(&["", "F-", "№", "'"]));
    let sides = match (flavour.polygons, numbers.within(0, 3)) {
        (true, 0) => numbers.within(3, 16),
        (true, 1) => 3,
        (true, 2) => 6,
        _ => 4,
    };
    let (width, height) = (side(numbers, flavour), side(numbers, flavour));
    let copies = match numbers.within(0, 40) {
        0 => numbers.within(20, 120),
        1..=5 => numbers.within(2, 6),
        _ => 1,
    };
    let due = if flavour.crowded { day } else { numbers.one_of(&DAYS) };
    let layers = match numbers.within(0, 30) {
        0 => 9,
        1..=4 => 2,
        5..=6 => 3,
        _ => 1,
    };
    for layer in 1..=layers {
        let moulding =
            &mouldings[usize::try_from(numbers.within(0, mouldings.len() as i64 - 1)).unwrap()];
        let floats = moulding.kind == "floater";
        let first = layer == 1;
        let only_first = |text: String| if first { text } else { String::new() };
        let match_ = numbers.within(0, 5);
        let floor = if match_ > 0 { numbers.within(0, match_) } else { 0 };
        let speller = &flavour.speller;
        table.row(vec![
            id.clone(),
            if first && numbers.one_in(2) { String::new() } else { layer.to_string() },
            moulding.id.clone(),
            only_first(speller.cell(numbers, width)),
            if sides == 4 { only_first(speller.cell(numbers, height)) } else { String::new() },
            only_first(sides.to_string()),
            only_first(copies.to_string()),
            only_first(due.to_owned()),
            word(match_),
            word(floor),
            if !floats && numbers.one_in(5) { speller.cell(numbers, 1_500) } else { String::new() },
            if floats { gap(numbers, flavour) } else { String::new() },
            if first && numbers.one_in(4) { speller.cell(numbers, 12_000) } else { String::new() },
            numbers.one_of(&["", "", "ring first; then \"wait\"", "<script>"]).to_owned(),
        ]);
    }
}

fn word(place: i64) -> String {
    MATCHES[usize::try_from(place).unwrap()].to_owned()
}

fn gap(numbers: &mut Numbers, flavour: &Flavour) -> String {
    let gap = flavour.mm(numbers, &[0, 5, 10, 49]);
    flavour.speller.cell(numbers, gap)
}

/// A dimension of a package: mostly usual, now and then next to nothing or as
/// long as can be said.
fn side(numbers: &mut Numbers, flavour: &Flavour) -> i64 {
    match numbers.within(0, 60) {
        0 => 1,
        1 => 49_900_000,
        2 => 2_300_000,
        _ => flavour.mm(numbers, &[100, 150, 200, 300, 300, 400, 500, 700]).max(1),
    }
}
