//! The figures as a page with charts, drawn as SVG.

use std::fmt::Write;

use super::figures::{run_length, share, sheet_share};
use super::head;
use crate::book::{Figures, Use};
use crate::measure::{Length, Money};
use crate::report::escape::escape;
use crate::report::sheets_words::shown_area;
use crate::shop::{Settings, Shop};

const STYLE: &str = "
.chart { break-inside: avoid; margin: 4mm 0 6mm; }
.chart h2 { font-size: 5.2mm; }
.chart p { font-size: 3.6mm; margin-bottom: 2mm; }
.chart svg { width: 100%; height: auto; display: block; }
.chart text { font-size: 11px; font-family: inherit; }
.chart .end { text-anchor: end; }
.one { fill: #222; } .two { fill: #999; } .three { fill: #fff; stroke: #222; }
.grid { stroke: #ccc; stroke-width: 0.6; }
";

/// How much of a chart's width the bars may take.
const WIDE: i64 = 420;
/// The height of a bar with its room.
const ROW: i64 = 18;
/// Where bars begin.
const EDGE: i64 = 130;

/// A page of its own: yield by month and by moulding, offcuts racked against
/// used, what was lost, and what was bought against the usual.
pub fn figures_html(figures: &Figures, shop: &Shop) -> String {
    let mut out = head("Figures", &shop.settings.name, STYLE);
    if figures.each.is_empty() && figures.sheets.is_empty() {
        out.push_str("<p class=\"sum\">Nothing has been cut or bought yet.</p>\n");
    }
    let settings = &shop.settings;
    for (by, rows) in [("month", &figures.months), ("moulding", &figures.mouldings)] {
        yields(&mut out, by, rows);
        let offcuts = |used: &Use| vec![used.racked, used.from_offcuts];
        let title = format!("Offcuts racked and used, by {by}");
        lengths(&mut out, (&title, &["racked", "used"]), rows, settings, &offcuts);
        let lost = |used: &Use| vec![used.scrap, used.lost, used.spoiled];
        let title = format!("What was lost, by {by}");
        lengths(
            &mut out,
            (&title, &["scrap", "joints and trims", "spoiled"]),
            rows,
            settings,
            &lost,
        );
        let bought = |used: &Use| vec![used.bought, used.usual];
        let title = format!("Bought, and what the rule of thumb would have bought, by {by}");
        lengths(&mut out, (&title, &["bought", "as usual"]), rows, settings, &bought);
    }
    spoiled(&mut out, figures, settings);
    paid(&mut out, figures, settings);
    sheets(&mut out, figures, settings);
    out.push_str("</body>\n</html>\n");
    out
}

/// Boards and glass: their yield, and what else became of them.
fn sheets(out: &mut String, figures: &Figures, settings: &Settings) {
    let used: Vec<_> = figures.sheets.iter().filter(|(_, u)| u.per_mille().is_some()).collect();
    if !used.is_empty() {
        let words = "Good pieces over all that was used up.";
        open(out, "Yield of boards and glass", words, used.len(), 1);
        for (at, (name, used)) in used.iter().enumerate() {
            let share = used.per_mille().unwrap_or(0) * i128::from(WIDE) / 1000;
            let wide = i64::try_from(share).unwrap_or(0);
            bar(out, (at, 0, 1), name, wide, &sheet_share(used));
        }
        out.push_str("</svg></div>\n");
    }
    for (name, used) in &figures.sheets {
        let shown = |area| shown_area(area, settings.unit);
        let _ = writeln!(
            out,
            "<p class=\"sum\">{}: pieces {}, waste {}, broken {}, written off {}, there {}.</p>",
            escape(name),
            shown(used.pieces),
            shown(used.waste),
            shown(used.spoiled),
            shown(used.scrap),
            shown(used.there)
        );
    }
}

fn yields(out: &mut String, by: &str, rows: &[(String, Use)]) {
    let rows: Vec<&(String, Use)> = rows.iter().filter(|(_, u)| u.per_mille().is_some()).collect();
    if rows.is_empty() {
        return;
    }
    open(out, &format!("Yield by {by}"), "Rails over what was used up of sticks.", rows.len(), 1);
    for (at, (name, used)) in rows.iter().enumerate() {
        let wide = used.per_mille().unwrap_or(0) * WIDE / 1000;
        bar(out, (at, 0, 1), name, wide, &share(used));
    }
    out.push_str("</svg></div>\n");
}

fn lengths(
    out: &mut String,
    (title, kinds): (&str, &[&str]),
    rows: &[(String, Use)],
    settings: &Settings,
    of: &dyn Fn(&Use) -> Vec<Length>,
) {
    let rows: Vec<(&String, Vec<Length>)> =
        rows.iter().map(|(name, used)| (name, of(used))).collect();
    let any = |(_, lengths): &&(&String, Vec<Length>)| lengths.iter().any(|l| l.is_positive());
    let rows: Vec<_> = rows.iter().filter(any).collect();
    let most = rows.iter().flat_map(|(_, lengths)| lengths).max().copied().unwrap_or_default();
    if !most.is_positive() {
        return;
    }
    let fills = ["black", "grey", "white"];
    let key: Vec<String> =
        kinds.iter().zip(fills).map(|(kind, fill)| format!("{fill}: {kind}")).collect();
    open(out, title, &key.join(", "), rows.len(), kinds.len());
    for (at, (name, lengths)) in rows.iter().enumerate() {
        for (part, length) in lengths.iter().enumerate() {
            let share = i128::from(length.nm().max(0)) * i128::from(WIDE) / i128::from(most.nm());
            let wide = i64::try_from(share).unwrap_or(0);
            let name = if part == 0 { name.as_str() } else { "" };
            bar(out, (at, part, lengths.len()), name, wide, &run_length(*length, settings));
        }
    }
    out.push_str("</svg></div>\n");
}

fn open(out: &mut String, title: &str, words: &str, rows: usize, parts: usize) {
    let high = i64::try_from(rows * parts).unwrap_or(0) * ROW
        + i64::try_from(rows).unwrap_or(0) * (ROW / 3)
        + 4;
    let _ = write!(
        out,
        "<div class=\"chart\"><h2>{}</h2><p>{}</p><svg viewBox=\"0 0 660 {high}\" role=\"img\">",
        escape(title),
        escape(words)
    );
    for quarter in 0..=4 {
        let x = EDGE + WIDE * quarter / 4;
        let _ = write!(out, "<line class=\"grid\" x1=\"{x}\" y1=\"0\" x2=\"{x}\" y2=\"{high}\"/>");
    }
}

fn bar(
    out: &mut String,
    (row, part, parts): (usize, usize, usize),
    name: &str,
    wide: i64,
    shown: &str,
) {
    let at = |count: usize| i64::try_from(count).unwrap_or(0);
    let y = at(row * parts + part) * ROW + at(row) * (ROW / 3) + 2;
    let fill = ["one", "two", "three"][part.min(2)];
    let _ = write!(
        out,
        "<text class=\"end\" x=\"{}\" y=\"{}\">{}</text>\
         <rect class=\"{fill}\" x=\"{EDGE}\" y=\"{y}\" width=\"{wide}\" height=\"{}\"/>\
         <text x=\"{}\" y=\"{}\">{}</text>",
        EDGE - 6,
        y + 12,
        escape(name),
        ROW - 4,
        EDGE + wide + 6,
        y + 12,
        escape(shown)
    );
}

fn spoiled(out: &mut String, figures: &Figures, settings: &Settings) {
    let rails: i64 = figures.months.iter().map(|(_, used)| used.spoiled_rails).sum();
    if rails == 0 {
        return;
    }
    let cost =
        figures.months.iter().map(|(_, used)| used.spoiled_cost).sum::<crate::measure::Worth>();
    let what = if rails == 1 { "rail was" } else { "rails were" };
    let _ = writeln!(
        out,
        "<p class=\"sum\">{rails} {what} spoiled, {} {} of moulding.</p>",
        settings.currency.show(cost.to_money()),
        escape(settings.currency.code())
    );
}

fn paid(out: &mut String, figures: &Figures, settings: &Settings) {
    let paid: Money = figures.months.iter().map(|(_, used)| used.paid).sum();
    if paid != Money(0) {
        let _ = writeln!(
            out,
            "<p class=\"sum\">{} {} paid for moulding, carriage and all.</p>",
            settings.currency.show(paid),
            escape(settings.currency.code())
        );
    }
}
