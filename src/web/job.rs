//! A ticket's job, for whoever joins and fits it: what to look at first, its pieces, its
//! order of work and what to mind. What it costs is not for the bench.

use jiff::civil::Date;
use maud::{Markup, html};

use crate::book::BookError;
use crate::report::job_words::{parts, style};
use crate::shop::{Frame, Shop};
use crate::ticket::{cautions, job_sheet, steps};

/// The job of one copy of a frame; nothing if it has none.
pub(super) fn job(shop: &Shop, frame: &Frame, today: Date) -> Result<Markup, BookError> {
    let sheet = job_sheet(shop, (frame, 1), today);
    let sheet = sheet.map_err(|faults| BookError::Wrong(faults.join("\n")))?;
    let Some(sheet) = sheet else { return Ok(html! {}) };
    let parts = parts(&sheet, shop, false);
    let style = style(shop);
    Ok(html! {
        @for concern in &sheet.concerns {
            p.band { b { (concern.name()) } ": " (concern.words(&style)) }
        }
        @for part in parts.iter().filter(|part| part.head != "Price" && !part.rows.is_empty()) {
            section.framed {
                h2 { (part.head) }
                dl.facts { @for (head, text) in &part.rows { dt { (head) } dd { (text) } } }
            }
        }
        section.framed {
            h2 { "Order of work" }
            ol.work { @for step in steps(&sheet, shop) { li { (step) } } }
            h2 { "Mind" }
            ul.work { @for caution in cautions(&sheet, shop) { li { (caution) } } }
        }
    })
}
