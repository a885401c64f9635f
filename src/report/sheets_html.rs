//! Boards and glass for the bench: each sheet to scale, its cuts in their order.

use std::fmt::Write;

use jiff::civil::Date;

use crate::measure::{Length, LengthStyle};
use crate::sheets::{Divides, Pane, PlannedSheet, SheetCut, SheetPlan};
use crate::shop::Shop;

use super::escape::{escape, prose};
use super::html::opening;
use super::sheets_words::{cautions, cuts, made, made_to_size, name, of_sheet, size, summary};

/// The widest and the highest drawing, in millimetres on paper.
const WIDEST: f64 = 110.0;
const HIGHEST: f64 = 120.0;
/// Room around a drawing.
const EDGE: f64 = 7.0;

/// What this page has beside the style of all pages.
const STYLE: &str = include_str!("panes.css");

/// One page to print, with what is said of what it leaves out: self-contained, without scripts, for A4 or Letter in black and white.
pub fn page(plans: &[SheetPlan], left_out: Option<&str>, shop: &Shop, today: Date) -> String {
    let style = shop.settings.style();
    let mut out = opening("Boards and glass", &shop.settings.name, today);
    out = out.replacen("</style>", &format!("{STYLE}</style>"), 1);
    let unit = super::words::unit(shop.settings.unit);
    let _ = writeln!(
        out,
        "<p class=\"key\"><span>Drawn to scale, sizes in {unit}, width x height. Numbers in \
         circles are the cuts in their order, each from edge to edge of what is left then.</span></p>"
    );
    if let Some(words) = left_out {
        let _ = writeln!(out, "<p class=\"sum\">{}</p>", escape(words));
    }
    for plan in plans {
        let _ = writeln!(out, "<section class=\"bench\">\n<div class=\"start\">");
        let _ = writeln!(out, "<h2>{}</h2>", escape(&plan.material));
        let said = match plan.rules.made_to_size {
            true => made_to_size(plan, &style),
            false => summary(plan, &style),
        };
        for line in said {
            let _ = writeln!(out, "<p class=\"stop\">{}</p>", prose(&line));
        }
        out.push_str("<ul class=\"cautions\">\n");
        for line in cautions(plan) {
            let _ = writeln!(out, "<li>{}</li>", escape(&line));
        }
        out.push_str("</ul>\n</div>\n");
        if plan.rules.made_to_size {
            out.push_str("</section>\n");
            continue;
        }
        let scale = scale(plan);
        for (number, sheet) in plan.sheets.iter().enumerate() {
            card(&mut out, plan, (number + 1, sheet, scale), &style);
        }
        out.push_str("</section>\n");
    }
    labels(&mut out, plans, &style, today);
    out.push_str("</body>\n</html>\n");
    out
}

/// Millimetres on paper for a millimetre of sheet: one scale for all sheets of a material.
fn scale(plan: &SheetPlan) -> f64 {
    let sizes = || plan.sheets.iter().map(|sheet| sheet.cut.size);
    let widest = sizes().map(|size| size.0).max().unwrap_or_default();
    let highest = sizes().map(|size| size.1).max().unwrap_or_default();
    (WIDEST / widest.as_mm().max(1.0)).min(HIGHEST / highest.as_mm().max(1.0))
}

fn card(
    out: &mut String,
    plan: &SheetPlan,
    (number, sheet, scale): (usize, &PlannedSheet, f64),
    style: &LengthStyle,
) {
    let _ = writeln!(
        out,
        "<article class=\"pane\">\n<h3><span class=\"box\"></span> {number}. {}</h3>\n<div class=\"halves\">",
        prose(&of_sheet(sheet, style))
    );
    drawing(out, plan, (sheet, scale), style);
    out.push_str("<ol>\n");
    for step in cuts(plan, sheet, style) {
        let makes: Vec<String> = step.makes.iter().map(|made| prose(made)).collect();
        let _ = writeln!(out, "<li><b>{}</b><br>{}</li>", prose(&step.cut), makes.join("<br>"));
    }
    if sheet.cut.cuts.is_empty() {
        let whole = Pane::whole(sheet.cut.size.0, sheet.cut.size.1);
        let _ = writeln!(out, "<li>As it is: {}</li>", prose(&made(plan, sheet, whole, style)));
    }
    out.push_str("</ol>\n</div>\n</article>\n");
}

/// Where things lie on paper: the sheet's lower left corner stays there.
struct PaneScale {
    scale: f64,
    height: Length,
}

impl PaneScale {
    fn of(&self, length: Length) -> f64 {
        length.as_mm() * self.scale
    }

    fn x(&self, x: Length) -> f64 {
        EDGE + self.of(x)
    }

    fn y(&self, y: Length) -> f64 {
        EDGE + self.of(self.height - y)
    }

    /// A pane with what stands on it.
    fn pane(&self, out: &mut String, (pane, class): (&Pane, &str), words: &[String]) {
        let (x, y) = (self.x(pane.x), self.y(pane.y + pane.height));
        let (w, h) = (self.of(pane.width), self.of(pane.height));
        let _ = writeln!(
            out,
            "<rect class=\"{class}\" x=\"{x:.2}\" y=\"{y:.2}\" width=\"{w:.2}\" height=\"{h:.2}\"/>"
        );
        let Some((words, letter, upright)) = lettering(words, (w, h)) else { return };
        let lines = count(words.len());
        let (cx, cy) = (x + w / 2.0, y + h / 2.0);
        let turn = if upright {
            format!(" transform=\"rotate(-90 {cx:.2} {cy:.2})\"")
        } else {
            String::new()
        };
        let _ = write!(out, "<g{turn} style=\"font-size:{letter:.2}px\">");
        for (line, text) in words.iter().enumerate() {
            let dy = cy + (count(line) - lines / 2.0 + 0.85) * letter * 1.15;
            let _ = write!(out, "<text x=\"{cx:.2}\" y=\"{dy:.2}\">{}</text>", escape(text));
        }
        out.push_str("</g>\n");
    }

    /// The cuts, each with its number at an end of it.
    fn numbers(&self, out: &mut String, cuts: &[SheetCut]) {
        let mut numbers: Vec<(f64, f64)> = Vec::new();
        for (number, cut) in cuts.iter().enumerate() {
            let Pane { x, y, width, height } = cut.pane;
            // Its number stands at the end that lies on the sheet's edge, if one does.
            let (mut cx, mut cy) = match cut.divides {
                Divides::Width => (self.x(x + cut.at), self.y(y + height) - 2.6),
                Divides::Height => (self.x(x + width) + 2.6, self.y(y + cut.at)),
            };
            let (end_x, end_y) = (cx, cy);
            // Along the cut, until it hides no other.
            let hides =
                |cx: f64, cy: f64| numbers.iter().any(|(x, y)| (x - cx).hypot(y - cy) < 4.8);
            for _ in 0..8 {
                if hides(cx, cy) {
                    match cut.divides {
                        Divides::Width => cy += 4.8,
                        Divides::Height => cx -= 4.8,
                    }
                }
            }
            numbers.push((cx, cy));
            let (line_x, line_y) = match cut.divides {
                Divides::Width => (self.x(x + cut.at), self.y(y)),
                Divides::Height => (self.x(x), self.y(y + cut.at)),
            };
            let _ = writeln!(
                out,
                "<path class=\"mark\" d=\"M{line_x:.2} {line_y:.2}L{end_x:.2} {end_y:.2}\"/>\
             <circle class=\"rail\" cx=\"{cx:.2}\" cy=\"{cy:.2}\" r=\"2.3\"/>\
             <text class=\"nth\" x=\"{cx:.2}\" y=\"{:.2}\">{}</text>",
                cy + 1.1,
                number + 1
            );
        }
    }
}

fn drawing(
    out: &mut String,
    plan: &SheetPlan,
    (sheet, scale): (&PlannedSheet, f64),
    style: &LengthStyle,
) {
    let (width, height) = sheet.cut.size;
    let at = PaneScale { scale, height };
    let (wide, high) = (at.of(width) + 2.0 * EDGE, at.of(height) + 2.0 * EDGE);
    let _ = writeln!(
        out,
        "<svg style=\"width:{wide:.2}mm\" viewBox=\"0 0 {wide:.2} {high:.2}\" role=\"img\" aria-label=\"{}\">",
        escape(&format!("{} to scale", of_sheet(sheet, style)))
    );
    let shown = |pane: &Pane| size((pane.width, pane.height), style);
    for (pane, kept) in sheet.cut.left.iter().zip(&sheet.kept) {
        match kept {
            None => at.pane(out, (pane, "waste"), &[]),
            Some(label) => {
                let words = format!("keep {label}");
                at.pane(out, (pane, "kept"), &[words.trim_end().to_owned(), shown(pane)]);
            }
        }
    }
    for (number, pane, _) in &sheet.cut.pieces {
        at.pane(out, (pane, "rail"), &[name(&plan.pieces[*number]), shown(pane)]);
    }
    at.numbers(out, &sheet.cut.cuts);
    out.push_str("</svg>\n");
}

/// The letters of a pane: all lines, or the first alone where all would be too small to read;
/// nothing where that would be too. And whether they stand upright, which gives larger ones.
fn lettering(words: &[String], (w, h): (f64, f64)) -> Option<(&[String], f64, bool)> {
    let first = words.len().min(1);
    for (words, least) in [(words, 1.9), (&words[..first], 1.5)] {
        let letters = words.iter().map(|line| line.chars().count()).max().unwrap_or(0).max(1);
        let fits = |w: f64, h: f64| {
            (w / (count(letters) * 0.6)).min(h / (count(words.len()) * 1.3)).min(4.2)
        };
        let upright = fits(h, w) > fits(w, h) * 1.3;
        let letter = if upright { fits(h, w) } else { fits(w, h) };
        if !words.is_empty() && letter >= least {
            return Some((words, letter, upright));
        }
    }
    None
}

/// A small number, for drawing.
fn count(of: usize) -> f64 {
    f64::from(u32::try_from(of).unwrap_or(u32::MAX))
}

/// A label for each remnant that is kept.
fn labels(out: &mut String, plans: &[SheetPlan], style: &LengthStyle, today: Date) {
    let kept = plans.iter().flat_map(|plan| {
        plan.sheets.iter().flat_map(move |sheet| {
            let kept = sheet.cut.left.iter().zip(sheet.kept.iter().map(Option::as_deref));
            let kept = kept.map(|(pane, label)| (pane, label.unwrap_or_default()));
            kept.filter(|(_, label)| !label.is_empty()).map(move |kept| (plan, sheet, kept))
        })
    });
    let mut kept = kept.peekable();
    if kept.peek().is_none() {
        return;
    }
    out.push_str("<h2 class=\"part-head\">Labels for the remnants that go back</h2>\n<div class=\"sheet\">\n");
    for (plan, sheet, (pane, label)) in kept {
        let from =
            if sheet.label.is_empty() { String::new() } else { format!(" from {}", sheet.label) };
        let _ = writeln!(
            out,
            "<div class=\"label\"><div class=\"big\">{}</div><div class=\"long\">{} {}</div>\
             <div class=\"what\"><b>{}</b></div><div class=\"small\">cut {today}{}, sizes rounded down</div></div>",
            escape(label),
            escape(&size((pane.width, pane.height), style)),
            style.unit.symbol(),
            escape(&plan.material),
            escape(&from),
        );
    }
    out.push_str("</div>\n");
}
