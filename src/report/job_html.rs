//! The day's jobs on paper: what is to be picked, then a page for each.

use std::fmt::Write;

use jiff::civil::Date;

use crate::sheets::LackingSheets;
use crate::shop::Shop;
use crate::ticket::{JobSheet, cautions, pick_list, steps, tell};

use super::escape::{escape, prose};
use super::job_words::{is_picked, parts, piece_size, style, to_size};
use super::{html, job_section, job_svg};
use crate::ticket::JobPiece;

const STYLE: &str = include_str!("job.css");
/// Where there is so much to look at first, the rest is set smaller, so that a page holds it.
const LONG_LOOK: usize = 400;

/// All of them, black on white, on A4 or Letter, with what they lack of whole sheets.
pub fn jobs(sheets: &[JobSheet], lacking: &[LackingSheets], date: Date, shop: &Shop) -> String {
    let mut out = html::opening("Jobs", &shop.settings.name, date);
    let _ = writeln!(out, "<style>\n{STYLE}</style>");
    match sheets {
        [] => out.push_str("<p class=\"sum\">No job is cut today.</p>\n"),
        // What one job takes stands on its own page.
        [_] if lacking.is_empty() => {}
        several => pick(&mut out, (several, lacking), shop),
    }
    for sheet in sheets {
        job(&mut out, sheet, shop);
    }
    out.push_str("</body>\n</html>\n");
    out
}

/// Boards, glazing and fixings, each with its sizes and tickets.
fn pick(out: &mut String, (sheets, lacking): (&[JobSheet], &[LackingSheets]), shop: &Shop) {
    let style = style(shop);
    out.push_str(
        "<section class=\"pick\">\n<h2 class=\"part-head\">To pick for the day</h2>\n<table>\n\
         <thead><tr><th></th><th>material</th><th></th><th>size</th><th>for</th><th>ticket</th></tr></thead>\n<tbody>\n",
    );
    let mut before = None;
    for line in pick_list(sheets, shop.settings.unit).iter().filter(|line| is_picked(line.what)) {
        let code = line.material.clone().unwrap_or_default();
        let name = shop.materials.get(&code).map_or("", |material| &material.name);
        let name = if name == code { "" } else { name };
        let first = before.as_ref() != Some(&code);
        let piece = JobPiece {
            what: line.what,
            material: line.material.clone(),
            size: line.size,
            opening: None,
            count: line.count,
        };
        let _ = writeln!(
            out,
            "<tr><td><span class=\"box\"></span></td><td>{}</td><td class=\"n\">{} x</td>\
             <td class=\"s\">{}</td><td>{}</td><td>{}</td></tr>",
            if first {
                let lacks = lacks(&code, lacking, shop);
                format!("<b>{}</b> {}{lacks}", escape(&code), escape(name))
            } else {
                String::new()
            },
            line.count,
            escape(&piece_size(&piece, &style)),
            escape(&(line.what.words() + to_size(&piece, shop))),
            escape(&line.tickets.join(", ")),
        );
        before = Some(code);
    }
    out.push_str("</tbody>\n</table>\n</section>\n");
}

/// What is to be bought of a board or glass beside what stands here, size by size; where no size
/// is known in a shop that counts its sheets, that there is none.
fn lacks(code: &str, lacking: &[LackingSheets], shop: &Shop) -> String {
    let style = style(shop);
    let of_size = |of: &LackingSheets| {
        let size = format!("{} x {}", style.show(of.size.0), style.show_unit(of.size.1));
        match (of.count.saturating_sub(of.coming), of.count.min(of.coming)) {
            (buy, 0) if shop.is_made_to_size(code) => {
                format!(" <b>to order to size</b>: {buy} of {size}")
            }
            (buy, 0) => format!(" <b>to buy</b>: {buy} of {size}"),
            (0, coming) => format!(" <b>on order</b>: {coming} of {size}"),
            (buy, coming) => format!(" <b>to buy</b>: {buy} of {size}, {coming} more on order"),
        }
    };
    let own = lacking.iter().filter(|of| of.material == code);
    let words: Vec<String> = own.map(of_size).collect();
    let is_sheet = shop.materials.get(code).is_some_and(|material| material.kind.is_sheet());
    let is_known = shop.sheets.iter().any(|sheet| sheet.material == code);
    let is_known = is_known || shop.is_made_to_size(code);
    if words.is_empty() && is_sheet && !is_known && !shop.sheets.is_empty() {
        return " <b>to buy</b>: none counted here".to_owned();
    }
    words.join(";")
}

fn job(out: &mut String, sheet: &JobSheet, shop: &Shop) {
    let due = sheet.frame.due.map(|due| format!("due {}", due.strftime("%a %-d %b %Y")));
    let copies =
        if sheet.copies == 1 { String::new() } else { format!("{} alike. ", sheet.copies) };
    let look = sheet.concerns.iter().map(|concern| concern.words(&style(shop)).len());
    let long = if look.sum::<usize>() > LONG_LOOK { " data-long" } else { "" };
    let _ = writeln!(
        out,
        "<section class=\"job\"{long}>\n<header><b>{}</b><span>{}{}</span><span style=\"text-align:right\">{}</span></header>",
        escape(&sheet.frame.id),
        copies,
        escape(&sheet.frame.note),
        due.unwrap_or_default(),
    );
    if !sheet.concerns.is_empty() {
        out.push_str("<div class=\"look\"><h3>Look at first</h3><ul>\n");
        for concern in &sheet.concerns {
            let _ = writeln!(
                out,
                "<li><b>{}:</b> {}</li>",
                concern.name(),
                prose(&concern.words(&style(shop)))
            );
        }
        out.push_str("</ul></div>\n");
    }
    let _ = writeln!(
        out,
        "<div class=\"draw\">\n{}{}</div>\n<div class=\"two\">",
        job_svg::front(sheet, shop),
        job_section::section(sheet, shop)
    );
    // What it costs is not for the wall.
    let parts = parts(sheet, shop, false);
    for part in parts.iter().filter(|part| !part.rows.is_empty() && part.head != "Price") {
        let _ = writeln!(out, "<div><h3>{}</h3>\n<table>", part.head);
        for (head, text) in &part.rows {
            let _ = writeln!(out, "<tr><td>{}</td><td>{}</td></tr>", escape(head), prose(text));
        }
        out.push_str("</table></div>\n");
    }
    out.push_str("<div><h3>Order of work</h3>\n<ol>\n");
    for step in steps(sheet, shop) {
        let _ = writeln!(out, "<li>{}</li>", prose(&step));
    }
    out.push_str("</ol></div>\n<div><h3>Mind</h3>\n<ul>\n");
    for caution in cautions(sheet, shop) {
        let _ = writeln!(out, "<li>{}</li>", prose(&caution));
    }
    out.push_str("</ul></div>\n<div class=\"told\"><h3>To tell the customer</h3>\n");
    for told in tell(sheet, shop) {
        let _ = writeln!(out, "<p>{}</p>", prose(&told));
    }
    out.push_str("</div>\n</div>\n</section>\n");
}
