//! The cuts of boards and glass for a spreadsheet: `sheet-cuts.csv`.
//!
//! Lengths stand twice: as shown on the sheets, with their unit, and in millimetres.

use crate::measure::Length;
use crate::sheets::{Divides, Pane, SheetPlan};
use crate::shop::Shop;

use super::csv::write;
use super::json::mm;
use super::sheets_json::from;
use super::sheets_words::made;

const COLUMNS: [&str; 16] = [
    "number",
    "material",
    "sheet",
    "from",
    "place",
    "sheet_width",
    "sheet_height",
    "cut",
    "of_width",
    "of_height",
    "divides",
    "at",
    "first",
    "rest",
    "at_mm",
    "of_mm",
];

/// One line for each cut, in the order of the bench; a sheet that is used as it is has one
/// line without a cut. What is made to size is not cut, and has none.
pub fn cuts(plans: &[SheetPlan], shop: &Shop) -> String {
    let style = shop.settings.style();
    let down = |length: Length| style.show_down_unit(length);
    let mut rows = vec![COLUMNS.map(str::to_owned).to_vec()];
    for plan in plans.iter().filter(|plan| !plan.rules.made_to_size) {
        for (number, sheet) in plan.sheets.iter().enumerate() {
            let (width, height) = sheet.cut.size;
            let mut head = vec![(number + 1).to_string(), plan.material.clone()];
            head.extend([&sheet.label, from(sheet.cut.from), &sheet.place].map(str::to_owned));
            head.extend([down(width), down(height)]);
            if sheet.cut.cuts.is_empty() {
                let whole = made(plan, sheet, Pane::whole(width, height), &style);
                let mut row = head.clone();
                row.extend([String::new(), down(width), down(height)]);
                row.extend([String::new(), String::new(), whole]);
                row.extend([String::new(), String::new(), String::new()]);
                rows.push(row);
            }
            for (at, cut) in sheet.cut.cuts.iter().enumerate() {
                let (first, second) = cut.parts(plan.rules.kerf);
                let (word, of) = match cut.divides {
                    Divides::Width => ("width", cut.pane.width),
                    Divides::Height => ("height", cut.pane.height),
                };
                let makes = |pane: Pane| made(plan, sheet, pane, &style);
                let mut row = head.clone();
                row.extend([(at + 1).to_string(), down(cut.pane.width), down(cut.pane.height)]);
                row.extend([word.to_owned(), style.show_unit(cut.at), makes(first)]);
                row.push(second.map(makes).unwrap_or_default());
                row.extend([mm(cut.at).to_string(), mm(of).to_string()]);
                rows.push(row);
            }
        }
    }
    write(&rows)
}
