//! `mouldings.csv`: every kind, with and without prices.

use super::Flavour;
use super::table::Table;
use crate::numbers::Numbers;

/// What other files need to know of a moulding; lengths in thousandths of a
/// millimetre.
pub struct Profile {
    pub id: String,
    pub kind: &'static str,
    pub stick: i64,
}

pub const MATCHES: [&str; 6] = ["", "any", "lot", "halves", "stick", "wrap"];

const LETTERS: [&str; 4] = ["M", "ÄSH-", "<i>", "=1+"];

pub fn draw(numbers: &mut Numbers, flavour: &Flavour) -> Vec<Profile> {
    let count = if flavour.crowded { numbers.within(1, 2) } else { numbers.within(1, 4) };
    let letters = numbers.one_of(&LETTERS);
    (0..count)
        .map(|n| Profile {
            id: format!("{letters}{n}"),
            kind: numbers.one_of(&[
                "",
                "rebated",
                "rebated",
                "reversible",
                "reversible",
                "floater",
            ]),
            stick: match numbers.within(0, 30) {
                0 => 49_999_000,
                1 => flavour.keep * 1000 + 1_000,
                _ => flavour.mm(numbers, &[1_250, 2_000, 2_400, 2_400, 3_000]),
            },
        })
        .collect()
}

pub fn table(numbers: &mut Numbers, flavour: &Flavour, mouldings: &[Profile]) -> String {
    let mut table = Table::new(&[
        "moulding",
        "name",
        "width",
        "rabbet",
        "depth",
        "stick",
        "price",
        "per",
        "match",
        "cutter",
        "kind",
        "allowance",
        "keep_on_rack",
        "monthly",
    ]);
    for moulding in mouldings {
        let speller = &flavour.speller;
        let floats = moulding.kind == "floater";
        let width = flavour.mm(numbers, &[6, 15, 20, 20, 40, 120]);
        let rabbet = match numbers.within(0, 4) {
            0 => 0,
            1 => width - width.min(800),
            _ => width / 3,
        };
        let rabbet = if floats { String::new() } else { speller.cell(numbers, rabbet) };
        let priced = !numbers.one_in(5);
        let price = numbers.one_of(&["0.01", "1", "2.6", "2.6", "3.105", "9999"]);
        let price = if price.contains('.') && numbers.one_in(2) { "4" } else { price };
        let keep = numbers.one_of(&["", "", "0", "1", "3", "40"]);
        table.row(vec![
            moulding.id.clone(),
            numbers.one_of(&["", "a \"dark\" one", "ash, plain"]).to_owned(),
            speller.cell(numbers, width),
            rabbet,
            if numbers.one_in(2) { speller.cell(numbers, 9_000) } else { String::new() },
            speller.cell(numbers, moulding.stick),
            if priced { price.to_owned() } else { String::new() },
            if priced { numbers.one_of(&["ft", "m", "stick"]).to_owned() } else { String::new() },
            numbers.one_of(&MATCHES).to_owned(),
            if numbers.one_in(3) { format!("c{}", flavour.cutters - 1) } else { String::new() },
            moulding.kind.to_owned(),
            if !floats && numbers.one_in(4) { speller.cell(numbers, 4_000) } else { String::new() },
            keep.to_owned(),
            numbers.one_of(&["", "0", "0.001", "1.5", "1000"]).to_owned(),
        ]);
    }
    table.write(numbers)
}
