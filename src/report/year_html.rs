//! A simulated year as a page with charts, in black and white.

use std::fmt::Write;

use crate::shop::Shop;
use crate::year::{Practice, SimulatedYears};

use super::escape::{escape, prose};
use super::html::opening;
use super::year_words::{
    BOUND, DOUBT, PAIRS, asked, bound, figures, gained, heads, legend, money, pair,
};

/// What stands of any page of simulated years, beside the sheets' own.
pub(super) const STYLE: &str = "<style>
.year { break-inside: avoid; margin: 5mm 0 7mm; }
.year h2 { font-size: 5.2mm; margin-bottom: 1mm; }
.year p { font-size: 3.6mm; margin-bottom: 2mm; }
.year svg { width: 100%; height: auto; display: block; }
.year text { font-size: 12px; font-family: inherit; fill: #000; }
.year .end { text-anchor: end; }
.year table { width: 100%; border-collapse: collapse; font-size: 3.8mm; }
.year th, .year td { text-align: right; padding: 1mm 1.5mm; border-bottom: 0.2mm solid #000; white-space: nowrap; }
.year th:first-child, .year td:first-child { text-align: left; }
.year .least td { font-size: 3.8mm; font-weight: bold; border-top: 0.6mm solid #000; }
.line { fill: none; stroke: #000; stroke-width: 1.6; }
.axis { stroke: #000; stroke-width: 0.8; }
.grid { stroke: #bbb; stroke-width: 0.6; }
</style>
";

/// How wide a drawing is, and what of it lies left and right of the bars or lines.
pub(super) const WIDE: i64 = 700;
pub(super) const LEFT: i64 = 150;
const RIGHT: i64 = 130;
/// The height of a bar with its room, and of a drawing of lines.
const ROW: i64 = 30;
pub(super) const HIGH: i64 = 230;
/// The height of a label.
const LABEL: i64 = 15;

/// One page: the figures, what is paid beyond what nobody can beat, the rack's offcuts
/// evening by evening, and the differences.
pub fn year(years: &SimulatedYears, shop: &Shop) -> String {
    let mut out = opening("A simulated year", &shop.settings.name, years.days.0);
    out.push_str(STYLE);
    for line in asked(years, shop) {
        let _ = writeln!(out, "<p class=\"sum\">{}</p>", prose(&line));
    }
    table(&mut out, years, shop);
    if years.bounds.is_empty() {
        evenings(&mut out, years);
    } else {
        beyond(&mut out, years, shop);
        evenings(&mut out, years);
        differences(&mut out, years, shop);
    }
    out.push_str("</body>\n</html>\n");
    out
}

fn table(out: &mut String, years: &SimulatedYears, shop: &Shop) {
    let names = heads(&years.question);
    let heads: String = names.iter().map(|head| format!("<th>{head}</th>")).collect();
    let _ = writeln!(out, "<div class=\"year\"><table>\n<tr><th>practice</th>{heads}</tr>");
    let mut row = |class: &str, name: &str, cells: &[String]| {
        let mut cells: String =
            cells.iter().map(|cell| format!("<td>{}</td>", escape(cell))).collect();
        let lacks = names.len() - cells.matches("<td>").count();
        cells += &"<td></td>".repeat(lacks);
        let _ = writeln!(out, "<tr{class}><td>{}</td>{cells}</tr>", escape(name));
    };
    for of in &years.practices {
        let figures = figures(&of.together(), &years.question, shop);
        row("", of.practice.words(), &figures);
    }
    if !years.bounds.is_empty() {
        row(" class=\"least\"", "nobody can do better", &bound(years, shop));
    }
    let is_bounded = (!years.bounds.is_empty()).then_some(BOUND);
    out.push_str("</table>\n");
    for words in [legend(&years.question)].into_iter().chain(is_bounded.map(str::to_owned)) {
        let _ = writeln!(out, "<p>{}</p>", prose(&words));
    }
    out.push_str("</div>\n");
}

/// What each practice comes to in a year beyond what nobody can beat.
fn beyond(out: &mut String, years: &SimulatedYears, shop: &Shop) {
    let least = years.bound().money;
    let over = |of: &crate::year::PracticeYears| of.together().money() - least;
    let most = years.practices.iter().map(over).max().map_or(0, |most| most.0);
    if most <= 0 {
        return;
    }
    let bar = |of: &crate::year::PracticeYears| {
        let over = over(of);
        let shown = money(over, years.question.years, shop);
        (of.practice.words(), over.0, shown, of.practice == Practice::Waiting)
    };
    let _ = writeln!(
        out,
        "<div class=\"year\"><h2>What moulding costs in a year beyond what nobody can beat</h2>\n\
         <p>{}; what nobody can beat is {}.</p>",
        shop.settings.currency.code(),
        money(least, years.question.years, shop),
    );
    bars(out, &years.practices.iter().map(bar).collect::<Vec<_>>());
    out.push_str("</div>\n");
}

/// Bars one below the other, each with its name, how long it is, what is written at its end
/// and whether it is black: grey otherwise.
pub(super) fn bars(out: &mut String, bars: &[(&str, i64, String, bool)]) {
    let high = ROW * i64::try_from(bars.len()).unwrap_or(0) + 6;
    let most = bars.iter().map(|(_, long, ..)| *long).max().unwrap_or(0).max(1);
    let _ = writeln!(out, "<svg viewBox=\"0 0 {WIDE} {high}\" role=\"img\">");
    for (at, (name, long, shown, is_black)) in bars.iter().enumerate() {
        let y = ROW * i64::try_from(at).unwrap_or(0) + 4;
        let share = i128::from((*long).max(0)) * i128::from(WIDE - LEFT - RIGHT) / i128::from(most);
        let wide = i64::try_from(share).unwrap_or(0);
        let fill = if *is_black { "#000" } else { "#999" };
        let _ = writeln!(
            out,
            "<text class=\"end\" x=\"{}\" y=\"{}\">{}</text>\
             <rect x=\"{LEFT}\" y=\"{y}\" width=\"{wide}\" height=\"{}\" fill=\"{fill}\"/>\
             <text x=\"{}\" y=\"{}\">{}</text>",
            LEFT - 8,
            y + 15,
            escape(name),
            ROW - 10,
            LEFT + wide + 6,
            y + 15,
            escape(shown),
        );
    }
    let _ = writeln!(
        out,
        "<line class=\"axis\" x1=\"{LEFT}\" y1=\"0\" x2=\"{LEFT}\" y2=\"{high}\"/></svg>"
    );
}

/// How many offcuts are on the rack, evening by evening of the first year.
fn evenings(out: &mut String, years: &SimulatedYears) {
    let first = |of: &crate::year::PracticeYears| {
        of.years.first().map(|year| year.evenings.clone()).unwrap_or_default()
    };
    let lines: Vec<Vec<u32>> = years.practices.iter().map(first).collect();
    let most = lines.iter().flatten().max().copied().map_or(0, i64::from);
    let days = lines.first().map_or(0, Vec::len);
    if most == 0 || days < 2 {
        return;
    }
    let _ = writeln!(
        out,
        "<div class=\"year\"><h2>Offcuts on the rack, evening by evening</h2>\n\
         <p>The first year, from {} to {}.</p>\n\
         <svg viewBox=\"0 0 {WIDE} {}\" role=\"img\">",
        years.days.0,
        years.days.1,
        HIGH + 24
    );
    let across = WIDE - 50 - LEFT;
    let x = |day: usize| {
        50 + across * i64::try_from(day).unwrap_or(0) / i64::try_from(days - 1).unwrap_or(1)
    };
    let y = |count: i64| 10 + (HIGH - 20) - (HIGH - 20) * count / most;
    for quarter in 0..=4 {
        let count = most * quarter / 4;
        let _ = writeln!(
            out,
            "<line class=\"grid\" x1=\"50\" y1=\"{0}\" x2=\"{1}\" y2=\"{0}\"/>\
             <text class=\"end\" x=\"44\" y=\"{2}\">{count}</text>",
            y(count),
            50 + across,
            y(count) + 4
        );
    }
    let dashes = ["1.5 3", "7 4", "12 3 2 3", "3 2", "1 0"];
    let mut labels: Vec<(i64, &str)> = Vec::new();
    for ((of, line), dash) in years.practices.iter().zip(&lines).zip(dashes) {
        let point = |(day, count): (usize, &u32)| format!("{},{}", x(day), y(i64::from(*count)));
        let points: Vec<String> = line.iter().enumerate().map(point).collect();
        let wide = if of.practice == Practice::Waiting { 2.6 } else { 1.4 };
        let _ = writeln!(
            out,
            "<polyline class=\"line\" style=\"stroke-width:{wide}\" stroke-dasharray=\"{dash}\" points=\"{}\"/>",
            points.join(" ")
        );
        labels.push((y(line.last().copied().map_or(0, i64::from)) + 4, of.practice.words()));
    }
    // From the top down, each clear of the one above, and none below the drawing.
    labels.sort_unstable();
    let (mut room, mut lowest) = (HIGH + 14, i64::MIN);
    room -= LABEL * i64::try_from(labels.len()).unwrap_or(0);
    for (wanted, words) in labels {
        room += LABEL;
        lowest = wanted.max(lowest).min(room);
        let x = 56 + across;
        let _ = writeln!(out, "<text x=\"{x}\" y=\"{lowest}\">{}</text>", escape(words));
        lowest += LABEL;
    }
    out.push_str("</svg></div>\n");
}

fn differences(out: &mut String, years: &SimulatedYears, shop: &Shop) {
    out.push_str("<div class=\"year\"><h2>One against the other</h2>\n<table>\n");
    for (one, other) in PAIRS {
        let Some(words) = pair(years, (one, other), shop) else { continue };
        let against = format!("{}, against {}", one.words(), other.words());
        let _ = writeln!(out, "<tr><td>{}</td><td>{}</td></tr>", escape(&against), escape(&words));
    }
    out.push_str("</table>\n");
    let doubt = (years.question.years > 1).then_some(DOUBT.to_owned());
    for line in gained(years).into_iter().chain(doubt) {
        let _ = writeln!(out, "<p>{}</p>", prose(&line));
    }
    out.push_str("</div>\n");
}
