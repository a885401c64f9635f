//! The day's jobs on paper: what is to be picked, then a page for each.

use std::fmt::Write;

use jiff::civil::Date;

use crate::shop::Shop;
use crate::ticket::{JobSheet, cautions, pick_list, steps, tell};

use super::escape::{escape, prose};
use super::job_words::{is_picked, parts, piece_size, style};
use super::{html, job_svg};
use crate::ticket::JobPiece;

const STYLE: &str = include_str!("job.css");

/// All of them, black on white, on A4 or Letter.
pub fn jobs(sheets: &[JobSheet], date: Date, shop: &Shop) -> String {
    let mut out = html::opening("Jobs", &shop.settings.name, date);
    let _ = writeln!(out, "<style>\n{STYLE}</style>");
    match sheets {
        [] => out.push_str("<p class=\"sum\">No job is cut today.</p>\n"),
        [_] => {}
        several => pick(&mut out, several, shop),
    }
    for sheet in sheets {
        job(&mut out, sheet, shop);
    }
    out.push_str("</body>\n</html>\n");
    out
}

/// Boards, glazing and fixings, each with its sizes and tickets.
fn pick(out: &mut String, sheets: &[JobSheet], shop: &Shop) {
    let style = style(shop);
    out.push_str(
        "<section class=\"pick\">\n<h2 class=\"part-head\">To pick for the day</h2>\n<table>\n\
         <thead><tr><th></th><th>material</th><th></th><th>size</th><th>for</th><th>ticket</th></tr></thead>\n<tbody>\n",
    );
    let mut before = None;
    for line in pick_list(sheets).iter().filter(|line| is_picked(line.what)) {
        let code = line.material.clone().unwrap_or_default();
        let name = shop.materials.get(&code).map_or("", |material| &material.name);
        let name = if name == code { "" } else { name };
        let first = before.as_ref() != Some(&code);
        let piece = JobPiece {
            what: line.what,
            material: None,
            size: line.size,
            opening: None,
            count: line.count,
        };
        let _ = writeln!(
            out,
            "<tr><td><span class=\"box\"></span></td><td>{}</td><td class=\"n\">{} x</td>\
             <td class=\"s\">{}</td><td>{}</td><td>{}</td></tr>",
            if first {
                let buy = if lacks(shop, &code) { " <b>to buy</b>: none counted here" } else { "" };
                format!("<b>{}</b> {}{buy}", escape(&code), escape(name))
            } else {
                String::new()
            },
            line.count,
            escape(&piece_size(&piece, &style)),
            escape(&line.what.words()),
            escape(&line.tickets.join(", ")),
        );
        before = Some(code);
    }
    out.push_str("</tbody>\n</table>\n</section>\n");
}

/// Whether a board or glass is none of those that stand here, in a shop that counts them.
fn lacks(shop: &Shop, code: &str) -> bool {
    let is_sheet = shop.materials.get(code).is_some_and(|material| material.kind.is_sheet());
    let is_there = shop.sheets.iter().any(|sheet| sheet.material == code && sheet.count > 0);
    is_sheet && !is_there && !shop.sheets.is_empty()
}

fn job(out: &mut String, sheet: &JobSheet, shop: &Shop) {
    let due = sheet.frame.due.map(|due| format!("due {}", due.strftime("%a %-d %b %Y")));
    let copies =
        if sheet.copies == 1 { String::new() } else { format!("{} alike. ", sheet.copies) };
    let _ = writeln!(
        out,
        "<section class=\"job\">\n<header><b>{}</b><span>{}{}</span><span style=\"text-align:right\">{}</span></header>",
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
        job_svg::section(sheet, shop)
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
