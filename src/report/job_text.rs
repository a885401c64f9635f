//! One job on standard output.

use crate::shop::Shop;
use crate::ticket::{JobSheet, cautions, steps, tell};

use super::job_words::{parts, style};
use super::text::Page;

/// The sheet of a job; with `why`, how its figures came.
pub fn job(sheet: &JobSheet, why: bool, shop: &Shop) -> String {
    let mut page = Page::new();
    let due = sheet.frame.due.map(|due| format!("due {}", due.strftime("%A %-d %B %Y")));
    let copies =
        if sheet.copies == 1 { String::new() } else { format!(", {} alike", sheet.copies) };
    let title = match sheet.frame.note.is_empty() {
        true => format!("{}{copies}", sheet.frame.id),
        false => format!("{}{copies}: {}", sheet.frame.id, sheet.frame.note),
    };
    page.line_and_right(&title, &due.unwrap_or_default());
    if !sheet.concerns.is_empty() {
        page.heading("LOOK AT FIRST");
        for concern in &sheet.concerns {
            page.line("! ", &format!("{}: {}", concern.name(), concern.words(&style(shop))));
        }
    }
    for part in parts(sheet, shop, why) {
        if part.rows.is_empty() {
            continue;
        }
        page.heading(&part.head.to_uppercase());
        for (head, text) in &part.rows {
            page.line(&format!("{head:<13} "), text);
        }
    }
    page.heading("ORDER OF WORK");
    for (at, step) in steps(sheet, shop).iter().enumerate() {
        page.line(&format!("{:>2}. ", at + 1), step);
    }
    page.heading("MIND");
    for caution in cautions(sheet, shop) {
        page.line("! ", &caution);
    }
    page.heading("TO TELL THE CUSTOMER");
    for told in tell(sheet, shop) {
        page.line("", &told);
    }
    page.into_text()
}
