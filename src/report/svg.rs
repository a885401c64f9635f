//! A stick drawn to scale: where each rail lies, with its true mitres.
//!
//! The back edge is on top, the marked end on the left, as the stick lies on
//! the machine. Drawing is the one place where lengths become floating point:
//! nothing is decided here.

use std::fmt::Write;

use crate::chop::StickSteps;
use crate::measure::{Length, LengthStyle, Mitre};
use crate::plan::{Left, PlacedRail};

use super::escape::escape;
use super::name::Names;

/// The drawing's width in millimetres on the sheet.
const PAPER: f64 = 186.0;
/// No stick is drawn wider than this, however short it is.
const HIGHEST: f64 = 16.0;
/// Above the stick: room for the tickets.
const ABOVE: f64 = 8.4;
/// Below it: room for the numbers of the cuts.
const BELOW: f64 = 5.4;
/// Roughly how wide a letter of a ticket is.
const LETTER: f64 = 1.75;

/// The hatchings that the drawings refer to; once on each page.
pub(super) const HATCHINGS: &str = r##"<svg class="defs" width="0" height="0" aria-hidden="true"><defs>
<pattern id="waste" width="1.6" height="1.6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V1.6" stroke="#777" stroke-width=".35"/></pattern>
<pattern id="flaw" width="1" height="1" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V1M0 0H1" stroke="#000" stroke-width=".55"/></pattern>
</defs></svg>
"##;

/// The drawing of one stick.
pub(super) fn stick(steps: &StickSteps, style: &LengthStyle, names: &Names) -> String {
    let drawing = Drawing::new(steps);
    let mut out = String::new();
    let height = ABOVE + drawing.face + BELOW;
    let _ = writeln!(
        out,
        "<svg class=\"drawing\" viewBox=\"0 0 {PAPER:.0} {height:.2}\" role=\"img\" aria-label=\"{}\">",
        escape(&format!("stick {} to scale", steps.stick))
    );
    drawing.ground(&mut out, steps);
    for cut in &steps.cuts {
        drawing.rail(&mut out, &cut.rail);
        drawing.number(&mut out, cut.number, &cut.rail);
        drawing.ticket(&mut out, &cut.rail, names);
    }
    drawing.kept(&mut out, steps, style);
    drawing.flaws(&mut out, steps);
    out.push_str("</svg>\n");
    out
}

/// The scale of one stick's drawing.
struct Drawing {
    /// Millimetres on paper for a millimetre of stick.
    scale: f64,
    /// The face width on paper.
    face: f64,
    /// The face width, for the mitres.
    width: Length,
}

impl Drawing {
    fn new(steps: &StickSteps) -> Drawing {
        let along = (PAPER - 1.0) / steps.length.as_mm().max(1.0);
        let across = HIGHEST / steps.width.as_mm().max(1.0);
        let scale = along.min(across);
        Drawing { scale, face: steps.width.as_mm() * scale, width: steps.width }
    }

    fn x(&self, along: Length) -> f64 {
        0.5 + along.as_mm() * self.scale
    }

    /// How far a mitre runs along the stick, on paper.
    fn slant(&self, mitre: Mitre) -> f64 {
        self.width.as_mm() * self.scale * mitre.slope()
    }

    /// Where long and short edge of a rail are: long on top unless turned.
    fn edges(&self, turned: bool) -> (f64, f64) {
        let (top, bottom) = (ABOVE, ABOVE + self.face);
        if turned { (bottom, top) } else { (top, bottom) }
    }

    /// The whole stick as waste, on which everything else is laid.
    fn ground(&self, out: &mut String, steps: &StickSteps) {
        let (x, width) = (self.x(Length::ZERO), steps.length.as_mm() * self.scale);
        let _ = writeln!(
            out,
            "<rect class=\"paper\" x=\"{x:.2}\" y=\"{ABOVE:.2}\" width=\"{width:.2}\" height=\"{:.2}\"/>\
             <rect class=\"waste\" x=\"{x:.2}\" y=\"{ABOVE:.2}\" width=\"{width:.2}\" height=\"{:.2}\"/>",
            self.face, self.face
        );
        let (top, tall) = (ABOVE - 1.5, self.face + 3.0);
        let _ = writeln!(out, "<path class=\"mark\" d=\"M{x:.2} {top:.2}v{tall:.2}\"/>");
    }

    fn rail(&self, out: &mut String, rail: &PlacedRail) {
        let (long, short) = self.edges(rail.turned);
        let (from, to, slant) = (self.x(rail.from), self.x(rail.to), self.slant(rail.mitre));
        let _ = writeln!(
            out,
            "<polygon class=\"rail\" points=\"{from:.2},{long:.2} {to:.2},{long:.2} {:.2},{short:.2} {:.2},{short:.2}\"/>",
            to - slant,
            from + slant
        );
    }

    fn middle(&self, rail: &PlacedRail) -> f64 {
        (self.x(rail.from) + self.x(rail.to)) / 2.0
    }

    fn number(&self, out: &mut String, number: u32, rail: &PlacedRail) {
        let (x, y) = (self.middle(rail), ABOVE + self.face + 4.6);
        let _ = writeln!(out, "<text class=\"number\" x=\"{x:.2}\" y=\"{y:.2}\">{number}</text>");
    }

    /// The ticket over the rail and the side under it, as far as there is room.
    fn ticket(&self, out: &mut String, rail: &PlacedRail, names: &Names) {
        let (x, room) = (self.middle(rail), self.x(rail.to) - self.x(rail.from));
        let lines = [(3.0, names.ticket(&rail.frame, rail.copy)), (6.8, names.place(rail))];
        for (y, text) in lines {
            if text.chars().count() as f64 * LETTER <= room {
                let text = escape(&text);
                let _ =
                    writeln!(out, "<text class=\"ticket\" x=\"{x:.2}\" y=\"{y:.2}\">{text}</text>");
            }
        }
    }

    fn kept(&self, out: &mut String, steps: &StickSteps, style: &LengthStyle) {
        let mut before = None;
        for cut in &steps.cuts {
            for left in cut.skip.iter().flat_map(|skip| &skip.kept) {
                self.piece(out, left, before, style);
            }
            before = Some(&cut.rail);
        }
        if steps.left.keep {
            self.piece(out, &steps.left, before, style);
        }
    }

    /// An offcut: mitred where the rail before it came off, square at its far end.
    fn piece(
        &self,
        out: &mut String,
        left: &Left,
        before: Option<&PlacedRail>,
        style: &LengthStyle,
    ) {
        let (near, far) = self.edges(before.is_some_and(|rail| rail.turned));
        let slant = before.map_or(0.0, |rail| self.slant(rail.mitre));
        let (from, to) = (self.x(left.from), self.x(left.from + left.length));
        let _ = writeln!(
            out,
            "<polygon class=\"kept\" points=\"{from:.2},{near:.2} {to:.2},{near:.2} {to:.2},{far:.2} {:.2},{far:.2}\"/>",
            from - slant
        );
        let x = (from + to) / 2.0;
        let length = style.show_down(left.length);
        for (y, text) in [(3.0, "KEEP"), (6.8, length.as_str())] {
            if text.chars().count() as f64 * LETTER <= to - from {
                let text = escape(text);
                let _ =
                    writeln!(out, "<text class=\"ticket\" x=\"{x:.2}\" y=\"{y:.2}\">{text}</text>");
            }
        }
    }

    fn flaws(&self, out: &mut String, steps: &StickSteps) {
        for flaw in &steps.flaws {
            let (from, to) = (self.x(flaw.from), self.x(flaw.to));
            let _ = writeln!(
                out,
                "<rect class=\"flaw\" x=\"{from:.2}\" y=\"{ABOVE:.2}\" width=\"{:.2}\" height=\"{:.2}\"/>",
                (to - from).max(0.4),
                self.face
            );
        }
    }
}
