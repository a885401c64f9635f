//! The figures as text and as a table for a spreadsheet.

use crate::book::{Figures, SheetUse, Use};
use crate::measure::{Length, LengthStyle, Money, Unit};
use crate::report::csv;
use crate::report::sheets_words::shown_area;
use crate::shop::{Settings, Shop};

/// Feet or metres with a decimal: what a shop reckons moulding in.
pub(super) fn run_length(length: Length, settings: &Settings) -> String {
    let (nm, symbol) = match settings.unit {
        Unit::Inch => (12 * Unit::Inch.nm(), "ft"),
        Unit::Millimetre => (1000 * Unit::Millimetre.nm(), "m"),
    };
    let tenths = (length.nm() * 10 + nm / 2).div_euclid(nm);
    let sign = if tenths < 0 { "-" } else { "" };
    format!("{sign}{}.{} {symbol}", tenths.abs() / 10, tenths.abs() % 10)
}

/// A share in per cent with a decimal; empty if there is none.
pub(super) fn share(used: &Use) -> String {
    used.per_mille().map(|p| format!("{}.{} %", p / 10, p % 10)).unwrap_or_default()
}

/// The figures for the screen: month by month, then moulding by moulding.
pub fn figures_text(figures: &Figures, shop: &Shop) -> String {
    if figures.each.is_empty() && figures.sheets.is_empty() {
        return "Nothing has been cut or bought yet.\n".to_owned();
    }
    if figures.each.is_empty() {
        return sheets(figures, shop);
    }
    let any_paid = figures.each.iter().any(|(.., used)| used.paid != Money(0));
    let mut text = String::new();
    for (by, rows) in [("Month", &figures.months), ("Moulding", &figures.mouldings)] {
        text += &row(by, &["yield", "rails", "scrap", "joints", "spoiled"].map(str::to_owned));
        for (name, used) in rows {
            text += &row(name, &cut(used, &shop.settings));
        }
        text.push('\n');
        let paid = any_paid.then_some("paid");
        let heads = ["racked", "offcuts cut", "bought", "as usual"].into_iter().chain(paid);
        text += &row(by, &heads.map(str::to_owned).collect::<Vec<_>>());
        for (name, used) in rows {
            let run = [used.racked, used.from_offcuts, used.bought, used.usual];
            let run = run.map(|length| run_length(length, &shop.settings)).into_iter();
            let paid = any_paid.then(|| shop.settings.currency.show(used.paid));
            text += &row(name, &run.chain(paid).collect::<Vec<_>>());
        }
        text.push('\n');
    }
    let paid = if any_paid { PAID } else { "" };
    let sheets = sheets(figures, shop);
    text + &sheets
        + if sheets.is_empty() { "" } else { "\n" }
        + "Yield: rails over what was used up of sticks; rails cut head to tail share their\n\
            mitres and can come to more than that. Bought: what was received, ordered or not,\n\
            for the rack too. As usual: what the rule of thumb, with the shop's percentage\n\
            for waste, would have bought for the frames that it was ordered for.\n"
        + paid
}

/// Boards and glass alone.
pub fn sheet_figures_text(figures: &Figures, shop: &Shop) -> String {
    match figures.sheets.is_empty() {
        true => "No boards and no glass were ever in the book.\n".to_owned(),
        false => sheets(figures, shop),
    }
}

/// One row for each board and glass; areas in the shop's unit, which stands in each cell, and
/// in square millimetres.
pub fn sheet_figures_csv(figures: &Figures, shop: &Shop) -> String {
    let areas = ["pieces", "broken", "waste", "written_off", "came", "counted", "there"];
    let mut head = vec!["material".to_owned(), "yield_per_cent".to_owned()];
    head.extend(areas.map(str::to_owned));
    head.extend(areas.map(|name| format!("{name}_mm2")));
    let mut rows = vec![head];
    for (name, used) in &figures.sheets {
        let areas = [used.pieces, used.spoiled, used.waste, used.scrap];
        let areas = areas.into_iter().chain([used.came, used.counted, used.there]);
        let areas: Vec<i128> = areas.collect();
        let mut row = vec![name.clone(), sheet_share(used).replace(" %", "")];
        row.extend(areas.iter().map(|area| shown_area(*area, shop.settings.unit)));
        row.extend(areas.iter().map(|area| square_mm(*area)));
        rows.push(row);
    }
    csv::write(&rows)
}

/// Square millimetres, to the nearest.
fn square_mm(area: i128) -> String {
    const ONE: i128 = 1_000_000_000_000;
    (area + ONE / 2).div_euclid(ONE).to_string()
}

/// Good pieces over all that was used up, in per cent with a decimal; empty if nothing was.
pub(super) fn sheet_share(used: &SheetUse) -> String {
    used.per_mille().map(|p| format!("{}.{} %", p / 10, p % 10)).unwrap_or_default()
}

/// Boards and glass, material by material; nothing where there are none.
fn sheets(figures: &Figures, shop: &Shop) -> String {
    if figures.sheets.is_empty() {
        return String::new();
    }
    let heads = ["yield", "pieces", "waste", "broken", "there"];
    let mut text = row("Sheets", &heads.map(str::to_owned));
    for (name, used) in &figures.sheets {
        let areas = [used.pieces, used.waste + used.scrap, used.spoiled, used.there];
        let areas = areas.map(|area| shown_area(area, shop.settings.unit));
        let cells = std::iter::once(sheet_share(used)).chain(areas);
        text += &row(name, &cells.collect::<Vec<_>>());
    }
    text
}

const PAID: &str = "Paid: what invoices and purchases elsewhere came to, carriage and all.\n";

fn row(name: &str, cells: &[String]) -> String {
    let cells: String = cells.iter().map(|cell| format!(" {cell:>12}")).collect();
    format!("{name:<12}{cells}\n")
}

fn cut(used: &Use, settings: &Settings) -> [String; 5] {
    let run = |length| run_length(length, settings);
    let spoiled = match used.spoiled_rails {
        0 => String::new(),
        rails => format!("{rails}: {}", settings.currency.show(used.spoiled_cost.to_money())),
    };
    [share(used), run(used.rails), run(used.scrap), run(used.lost), spoiled]
}

const COLUMNS: [&str; 16] = [
    "month",
    "moulding",
    "yield_per_cent",
    "rails",
    "spoiled",
    "spoiled_rails",
    "spoiled_cost",
    "joints_and_trims",
    "scrap",
    "scrap_cost",
    "offcuts_racked",
    "offcuts_used",
    "bought",
    "bought_as_usual",
    "counted",
    "paid",
];

/// One row for each moulding in each month; lengths in the shop's unit, which
/// stands in each cell.
pub fn figures_csv(figures: &Figures, shop: &Shop) -> String {
    let settings = &shop.settings;
    let style: LengthStyle = settings.style();
    let length = |length: Length| style.show_unit(length);
    let money = |worth: crate::measure::Worth| settings.currency.show(worth.to_money());
    let mut rows = vec![COLUMNS.map(str::to_owned).to_vec()];
    for (month, moulding, used) in &figures.each {
        rows.push(vec![
            month.clone(),
            moulding.clone(),
            share(used).trim_end_matches(" %").to_owned(),
            length(used.rails),
            length(used.spoiled),
            used.spoiled_rails.to_string(),
            money(used.spoiled_cost),
            length(used.lost),
            length(used.scrap),
            money(used.scrap_cost),
            length(used.racked),
            length(used.from_offcuts),
            length(used.bought),
            length(used.usual),
            length(used.counted),
            settings.currency.show(used.paid),
        ]);
    }
    csv::write(&rows)
}
