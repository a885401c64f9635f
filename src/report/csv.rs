//! The cuts and the order for a spreadsheet: `chop.csv` and `order.csv`.
//!
//! Lengths stand twice: as shown on the sheets, with their unit so that no
//! spreadsheet takes `3/4` for a date, and in millimetres.

use crate::chop::{Cut, Schedule, StickSteps};
use crate::measure::LengthStyle;
use crate::plan::Plan;
use crate::shop::Shop;

use super::json::mm;
use super::order_table::{Reference, tables};
use super::order_words::rails;

const CHOP: [&str; 29] = [
    "number",
    "cutter",
    "stick",
    "moulding",
    "length",
    "lot",
    "place",
    "cut",
    "frame",
    "copy",
    "layer",
    "side",
    "mitre",
    "set",
    "stop",
    "long_point",
    "rabbet",
    "sight",
    "from",
    "to",
    "left",
    "label",
    "length_mm",
    "stop_mm",
    "long_point_mm",
    "rabbet_mm",
    "sight_mm",
    "from_mm",
    "to_mm",
];
const ORDER: [&str; 20] = [
    "supplier",
    "form",
    "moulding",
    "length",
    "count",
    "cost",
    "currency",
    "length_mm",
    "halved",
    "to_keep",
    "beyond_need",
    "rails",
    "arrives",
    "code",
    "name",
    "supplier_name",
    "account",
    "reference",
    "for",
    "note",
];

/// One line for each cut, in cutting order; what is left of a stick stands on
/// the line of its last cut.
pub fn chop(schedule: &Schedule, shop: &Shop) -> String {
    let style = shop.settings.style();
    let mut rows = vec![CHOP.map(str::to_owned).to_vec()];
    for bench in &schedule.benches {
        for stick in &bench.sticks {
            rows.extend(stick.cuts.iter().map(|cut| cut_row(&bench.cutter, stick, cut, &style)));
        }
    }
    write(&rows)
}

fn cut_row(cutter: &str, stick: &StickSteps, cut: &Cut, style: &LengthStyle) -> Vec<String> {
    let rail = &cut.rail;
    let is_last = cut.number == stick.cuts.last().map_or(0, |last| last.number);
    let left = |text: String| if is_last { text } else { String::new() };
    let mut row = vec![stick.number.to_string()];
    row.extend([cutter, &stick.stick, &stick.moulding].map(str::to_owned));
    row.push(style.show_unit(stick.length));
    row.extend([&stick.lot, &stick.place].map(Clone::clone));
    row.extend([cut.number.to_string(), rail.frame.clone(), rail.copy.to_string()]);
    row.extend([rail.layer.to_string(), rail.side.to_string(), rail.mitre.degrees()]);
    row.push(if cut.move_stop { "set" } else { "" }.to_owned());
    let measured = [cut.stop, rail.long_point, rail.rabbet, rail.sight, rail.from, rail.to];
    row.extend(measured.map(|length| style.show_unit(length)));
    row.push(left(style.show_down_unit(stick.left.length)));
    row.push(left(stick.left.label.clone()));
    row.push(mm(stick.length).to_string());
    row.extend(measured.map(|length| mm(length).to_string()));
    row
}

/// A byte order mark, without which a spreadsheet takes letters for others.
const UTF_8: &str = "\u{feff}";

/// One line for each thing to buy.
pub fn order(reference: Reference, plan: &Plan, shop: &Shop) -> String {
    let settings = &shop.settings;
    let mut rows = vec![ORDER.map(str::to_owned).to_vec()];
    let tables = tables(plan, shop);
    for (table, row) in
        tables.iter().flat_map(|table| table.rows.iter().map(move |row| (table, row)))
    {
        let line = row.line;
        let supplier = table.supplier;
        rows.push(vec![
            line.supplier.clone(),
            line.form.clone(),
            line.moulding.clone(),
            match line.height {
                Some(height) => format!(
                    "{} x {}",
                    settings.style().show(line.length),
                    settings.style().show_unit(height)
                ),
                None => settings.style().show_unit(line.length),
            },
            line.count.to_string(),
            line.cost.map(|cost| settings.currency.show(cost)).unwrap_or_default(),
            line.cost.map(|_| settings.currency.code().to_owned()).unwrap_or_default(),
            mm(line.length).to_string(),
            if line.halved { "yes" } else { "" }.to_owned(),
            some(line.restock),
            some(line.pieces.saturating_sub(line.cut + line.restock)),
            if line.rails.is_empty() {
                String::new()
            } else {
                rails(&line.rails, &settings.style())
            },
            table.bill.map(|bill| bill.arrives.to_string()).unwrap_or_default(),
            row.code.to_owned(),
            row.name.to_owned(),
            supplier.map(|supplier| supplier.name.clone()).unwrap_or_default(),
            supplier.map(|supplier| supplier.account.clone()).unwrap_or_default(),
            reference.words(plan.date),
            row.frames.join(", "),
            row.note.to_owned(),
        ]);
    }
    format!("{UTF_8}{}", write(&rows))
}

/// A count, or nothing for none.
fn some(count: u32) -> String {
    if count == 0 { String::new() } else { count.to_string() }
}

pub(crate) fn write(rows: &[Vec<String>]) -> String {
    let mut writer = ::csv::Writer::from_writer(Vec::new());
    for row in rows {
        writer.write_record(row.iter().map(|cell| harmless(cell))).expect("rows of equal width");
    }
    let bytes = writer.into_inner().expect("memory takes every byte");
    String::from_utf8(bytes).expect("cells are UTF-8")
}

/// A cell that a spreadsheet will not run: what could begin a formula is kept
/// as text by an apostrophe before it.
pub(crate) fn harmless(cell: &str) -> String {
    let starts = |c: char| matches!(c, '=' | '+' | '-' | '@' | '\t' | '\r' | '\n' | '|');
    if cell.trim_start_matches(' ').starts_with(starts) {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_cell_can_begin_a_formula() {
        for cell in ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "  =cmd", "\r=1"] {
            assert_eq!(harmless(cell), format!("'{cell}"));
        }
        for cell in ["16 1/4 in", "", "A-1", "new-1", "1=1"] {
            assert_eq!(harmless(cell), cell);
        }
    }
}
