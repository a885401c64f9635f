//! A job drawn to scale: its front, with what is behind dashed, and a section through a
//! side with the package in its rabbet. Drawing decides nothing.

use std::fmt::Write;

use crate::measure::Length;
use crate::shop::{Art, Hang, Kind, Shop};
use crate::ticket::JobSheet;

use super::escape::escape;
use super::job_words::{show_fine, style};

/// The room for each drawing in millimetres on the sheet.
const FRONT: (f64, f64) = (80.0, 42.0);
const SECTION: (f64, f64) = (102.0, 42.0);
/// A section is drawn no larger than this.
const MOST_SCALE: f64 = 4.0;
/// Where the names of a section's layers begin, and how far apart they stand.
const NAMES: f64 = 54.0;
const APART: f64 = 3.8;
/// What is drawn of a package beyond the sight edge.
const BEYOND: f64 = 12.0;

/// The front: frame, mats, opening, hangers, wire and hooks.
pub(super) fn front(sheet: &JobSheet, shop: &Shop) -> String {
    let style = &style(shop);
    let (wide, high) = (sheet.outside.0.as_mm(), sheet.outside.1.as_mm());
    let room = (FRONT.0 - 4.0, FRONT.1 - 10.0);
    let scale = (room.0 / wide).min(room.1 / high);
    let (left, top) = ((FRONT.0 - wide * scale) / 2.0, 2.0);
    let mut out = open(FRONT, &format!("front of {} to scale", sheet.frame.id));
    let centre = (left + wide * scale / 2.0, top + high * scale / 2.0);
    let place = |size: (Length, Length)| {
        let (w, h) = (size.0.as_mm() * scale, size.1.as_mm() * scale);
        (centre.0 - w / 2.0, centre.1 - h / 2.0, w, h)
    };
    let rect = |out: &mut String, class: &str, (x, y, w, h): (f64, f64, f64, f64)| {
        let _ = writeln!(
            out,
            "<rect class=\"{class}\" x=\"{x:.2}\" y=\"{y:.2}\" width=\"{w:.2}\" height=\"{h:.2}\"/>"
        );
    };
    let line = |out: &mut String, class: &str, [x, y, u, v]: [f64; 4]| {
        let _ = writeln!(
            out,
            "<line class=\"{class}\" x1=\"{x:.2}\" y1=\"{y:.2}\" x2=\"{u:.2}\" y2=\"{v:.2}\"/>"
        );
    };
    let (outer, sight) = (place(sheet.outside), place(sheet.sight));
    rect(&mut out, "wood", outer);
    rect(&mut out, "in", sight);
    // Openings stand where the borders put them, within the package.
    let package = place(sheet.job.package.size);
    if let Some(borders) = sheet.job.package.borders {
        let (left, top) = (borders.left.as_mm(), borders.top.as_mm());
        let mats = &sheet.job.package.mats;
        let outermost = mats.last().copied().unwrap_or_default();
        let opening = sheet.job.package.opening;
        for size in mats.iter().copied().rev().chain(opening) {
            let inset = |a: Length, b: Length| (a - b).as_mm() / 2.0;
            let x = package.0 + (left + inset(outermost.0, size.0)) * scale;
            let y = package.1 + (top + inset(outermost.1, size.1)) * scale;
            rect(&mut out, "in", (x, y, size.0.as_mm() * scale, size.1.as_mm() * scale));
        }
    } else if sheet.job.package.margin.is_some() {
        rect(&mut out, "in", place(sheet.job.shown.art));
    }
    for (x, y) in [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)] {
        let corner = |(px, py, w, h): (f64, f64, f64, f64)| (px + w * x, py + h * y);
        let (from, to) = (corner(outer), corner(sight));
        line(&mut out, "thin", [from.0, from.1, to.0, to.1]);
    }
    let hanging = &sheet.hanging;
    let is_wire = matches!(hanging.way, Some(Hang::Wire | Hang::Cord));
    if is_wire || hanging.way == Some(Hang::Straps) {
        let down = top + hanging.down.as_mm() * scale;
        let inset = hanging.inset.as_mm() * scale;
        let sides = [left + inset, left + wide * scale - inset];
        let half = hanging.hooks_apart.as_mm() * scale / 2.0;
        let below = top + hanging.hooks_below.as_mm() * scale;
        for (at, side) in sides.into_iter().enumerate() {
            let _ = writeln!(
                out,
                "<circle class=\"behind\" cx=\"{side:.2}\" cy=\"{down:.2}\" r=\"1\"/>"
            );
            if hanging.on_rail {
                line(&mut out, "behind", [side, down, side, 0.0]);
            }
            let hook = if at == 0 { centre.0 - half } else { centre.0 + half };
            if is_wire {
                line(&mut out, "behind", [side, down, hook, below]);
                let _ = writeln!(
                    out,
                    "<circle class=\"mark\" cx=\"{hook:.2}\" cy=\"{below:.2}\" r=\".5\"/>"
                );
            }
        }
        if is_wire {
            line(&mut out, "behind", [centre.0 - half, below, centre.0 + half, below]);
        }
    }
    let below = top + high * scale + 4.6;
    let words =
        format!("{} x {} outside", style.show(sheet.outside.0), style.show_unit(sheet.outside.1));
    text(&mut out, (centre.0, below), "middle", &words);
    out.push_str("</svg>\n");
    out
}

/// The section through a side: the moulding on the left, its face above.
pub(super) fn section(sheet: &JobSheet, shop: &Shop) -> String {
    let moulding = shop.moulding(&sheet.frame.layers[0].moulding);
    let depth = &sheet.depth;
    let mm = |length: Length| length.as_mm();
    let known = depth.layers.iter().filter_map(|(name, thick)| Some((name, mm((*thick)?))));
    let layers: Vec<(&String, f64)> = known.collect();
    let thick: f64 = layers.iter().map(|(_, thick)| thick).sum();
    let built = shop.built_out(&sheet.frame);
    let deep = depth.rabbet.map_or(thick, |deep| mm(deep - built));
    let height = moulding.body.height.map_or(deep * 1.5 + 3.0, mm).max(deep + 1.0);
    let is_floater = moulding.kind == Kind::Floater;
    let (face, rabbet) = (mm(moulding.width), mm(moulding.rabbet));
    let lip = if is_floater { 0.0 } else { height - deep };
    let more = depth.build_out.as_ref().map_or(0.0, |out| mm(out.height.unwrap_or(out.least)));
    // Of a stack what is built out stands behind the outermost layer, and is not drawn.
    let added = if depth.outer.is_empty() { mm(built) + more } else { 0.0 };
    let tall = (lip + thick).max(height + added).max(1.0);
    let scale = ((SECTION.1 - 12.0) / tall).min(MOST_SCALE).min((NAMES - 6.0 - BEYOND) / face);
    let mut out = open(SECTION, &format!("section of {} to scale", sheet.frame.id));
    let (x0, y0) = (2.0, 4.0);
    let (fx, rx) = (face * scale, (face - rabbet) * scale);
    let (back, ledge) = (height * scale, lip * scale);
    let outline = match is_floater {
        true => format!("M0 0H{fx:.2}V{:.2}H{:.2}V{back:.2}H0Z", back - 3.0, fx + BEYOND),
        false => format!("M0 0H{fx:.2}V{ledge:.2}H{rx:.2}V{back:.2}H0Z"),
    };
    let _ =
        writeln!(out, "<path class=\"wood\" transform=\"translate({x0} {y0})\" d=\"{outline}\"/>");
    if added > 0.0 {
        let _ = writeln!(
            out,
            "<rect class=\"out\" x=\"{x0}\" y=\"{:.2}\" width=\"{rx:.2}\" height=\"{:.2}\"/>",
            y0 + back,
            added * scale
        );
    }
    let from = match is_floater {
        true => x0 + fx + mm(sheet.frame.layers[0].gap) * scale,
        false => x0 + rx + mm(sheet.job.shown.lip.allowance) * scale / 2.0,
    };
    let to = x0 + fx + BEYOND;
    let mut y = if is_floater { y0 + back - 3.0 - thick * scale } else { y0 + ledge };
    let lines = f64::from(u32::try_from(layers.len()).unwrap_or(u32::MAX));
    let mut name_y = (y + thick * scale / 2.0 - lines * APART / 2.0).max(6.0);
    let style = style(shop);
    for (place, (name, thick)) in layers.iter().enumerate() {
        let high = thick * scale;
        let class = if place % 2 == 0 { "in" } else { "grey" };
        let _ = writeln!(
            out,
            "<rect class=\"{class}\" x=\"{from:.2}\" y=\"{y:.2}\" width=\"{:.2}\" height=\"{high:.2}\"/>",
            to - from
        );
        let middle = y + high / 2.0;
        let _ = writeln!(
            out,
            "<polyline class=\"thin\" points=\"{to:.2},{middle:.2} {:.2},{name_y:.2} {:.2},{name_y:.2}\"/>",
            to + 4.0,
            NAMES - 1.0
        );
        let own = depth.layers.iter().find(|(of, _)| of == *name).and_then(|(_, thick)| *thick);
        let own = own.map(|own| show_fine(own, &style)).unwrap_or_default();
        text(&mut out, (NAMES, name_y + 1.1), "start", &format!("{name}, {own}"));
        y += high;
        name_y += APART;
    }
    let words = match (moulding.body.height, sheet.job.art) {
        (None, _) if !is_floater => format!("{}: its height is not measured", moulding.id),
        (_, Art::Canvas) if !is_floater => format!("{}, clips as said", moulding.id),
        _ if !depth.outer.is_empty() => {
            format!("{}, without the layers round it", moulding.id)
        }
        _ if added > 0.0 => format!("{}, built out behind", moulding.id),
        _ => moulding.id.clone(),
    };
    text(&mut out, (x0, SECTION.1 - 2.0), "start", &words);
    out.push_str("</svg>\n");
    out
}

fn open(size: (f64, f64), label: &str) -> String {
    format!(
        "<svg class=\"jobdraw\" viewBox=\"0 0 {:.0} {:.0}\" style=\"width:{:.0}mm\" role=\"img\" aria-label=\"{}\">\n",
        size.0,
        size.1,
        size.0,
        escape(label)
    )
}

fn text(out: &mut String, (x, y): (f64, f64), anchor: &str, words: &str) {
    let _ = writeln!(
        out,
        "<text x=\"{x:.2}\" y=\"{y:.2}\" text-anchor=\"{anchor}\">{}</text>",
        escape(words)
    );
}
