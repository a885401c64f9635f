//! The figures as a page with charts.
//!
//! # Why no picture
//!
//! The letters of a picture shrink with it, and on a phone it had to be pushed from side to
//! side. So each bar is a row of the page: its name, as wide a stripe as it is, and how much;
//! on a narrow screen the stripe is below them.

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
.bar { display: grid; grid-template-columns: 9em minmax(0, 1fr) 9em; align-items: center; gap: 0 1em;
  font-size: 3.6mm; line-height: 1.4; break-inside: avoid; }
.bar b { text-align: right; font-weight: normal; overflow-wrap: anywhere; }
.bar i { height: 1em; border: 0.3mm solid #222; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.bar.last { margin-bottom: 1mm; }
.one { background: #222; } .two { background: #999; } .three { background: #fff; }
@media (max-width: 150mm) {
  .bar { grid-template-columns: minmax(0, 1fr) auto; }
  .bar b { text-align: left; }
  .bar i { grid-area: 2 / 1 / 3 / 3; }
}
";

/// How much the longest bar takes of the room for bars, in thousandths.
const WIDE: i64 = 1000;

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
        open(out, "Yield of boards and glass", words);
        for (name, used) in used {
            let wide = i64::try_from(used.per_mille().unwrap_or(0)).unwrap_or(0);
            bar(out, (0, 1), name, wide, &sheet_share(used));
        }
        out.push_str("</div>\n");
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
    open(out, &format!("Yield by {by}"), "Rails over what was used up of sticks.");
    for (name, used) in rows {
        let wide = used.per_mille().unwrap_or(0);
        bar(out, (0, 1), name, wide, &share(used));
    }
    out.push_str("</div>\n");
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
    open(out, title, &key.join(", "));
    for (name, lengths) in rows {
        for (part, length) in lengths.iter().enumerate() {
            let share = i128::from(length.nm().max(0)) * i128::from(WIDE) / i128::from(most.nm());
            let wide = i64::try_from(share).unwrap_or(0);
            let name = if part == 0 { name.as_str() } else { "" };
            bar(out, (part, lengths.len()), name, wide, &run_length(*length, settings));
        }
    }
    out.push_str("</div>\n");
}

fn open(out: &mut String, title: &str, words: &str) {
    let (title, words) = (escape(title), escape(words));
    let _ = write!(out, "<div class=\"chart\"><h2>{title}</h2><p>{words}</p>");
}

/// One bar, which is so many thousandths of the longest; the first of several has their name.
fn bar(out: &mut String, (part, parts): (usize, usize), name: &str, wide: i64, shown: &str) {
    let fill = ["one", "two", "three"][part.min(2)];
    let last = if part + 1 == parts { " last" } else { "" };
    let wide = wide.clamp(0, WIDE);
    let _ = write!(
        out,
        "<div class=\"bar{last}\"><b>{}</b>\
         <i class=\"{fill}\" style=\"width:{}.{}%\"></i><span>{}</span></div>",
        escape(name),
        wide / 10,
        wide % 10,
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
