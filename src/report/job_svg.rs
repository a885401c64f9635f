//! A job's front drawn to scale, with what is behind dashed. Drawing decides nothing.

use std::fmt::Write;

use crate::measure::Length;
use crate::shop::{Hang, Shop};
use crate::ticket::JobSheet;

use super::escape::escape;
use super::job_words::style;

/// The room for the drawing in millimetres on the sheet.
const FRONT: (f64, f64) = (80.0, 42.0);

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

pub(super) fn open(size: (f64, f64), label: &str) -> String {
    format!(
        "<svg class=\"jobdraw\" viewBox=\"0 0 {:.0} {:.0}\" style=\"width:{:.0}mm\" role=\"img\" aria-label=\"{}\">\n",
        size.0,
        size.1,
        size.0,
        escape(label)
    )
}

pub(super) fn text(out: &mut String, (x, y): (f64, f64), anchor: &str, words: &str) {
    let _ = writeln!(
        out,
        "<text x=\"{x:.2}\" y=\"{y:.2}\" text-anchor=\"{anchor}\">{}</text>",
        escape(words)
    );
}
