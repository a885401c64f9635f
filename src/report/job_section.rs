//! A section through a job's left side, to scale: every moulding round it with its rabbet, what is
//! built out behind, and the package layer by layer as far as each reaches. Drawing decides
//! nothing.
//!
//! # Why it is broken
//!
//! Between the frame's sight edge and a mat's opening lies a border, which says nothing in a
//! section. It is left out between two lines, so that reveals, a fillet and the art's edge are
//! drawn as large as the frame.

use std::fmt::Write;

use crate::measure::Length;
use crate::shop::{Art, Job, Kind, Layer, Moulding, Shop, lip};
use crate::ticket::JobSheet;

use super::job_svg::{open, text};
use super::job_words::{show_fine, style};

/// The room for the drawing in millimetres on the sheet.
const ROOM: (f64, f64) = (102.0, 42.0);
/// It is drawn no larger than this.
const MOST_SCALE: f64 = 4.0;
/// Where it begins.
const FROM: (f64, f64) = (2.0, 3.0);
/// Where the names of the layers begin, and how far apart they stand.
const NAMES: f64 = 54.0;
const APART: f64 = 3.8;
/// How far apart the names of mouldings stand below.
const LINE: f64 = 3.2;
/// What is drawn of a package beyond the sight edge, and beyond an opening.
const BEYOND: f64 = 6.0;
/// How wide the break is.
const BREAK: f64 = 2.0;

/// A rectangle from its upper left corner, in millimetres of the frame itself: across from its
/// back edge, and back from its front.
#[derive(Debug, Clone, Copy)]
struct Span {
    x: f64,
    y: f64,
    wide: f64,
    deep: f64,
}

/// A moulding round the package.
struct Around<'a> {
    moulding: &'a Moulding,
    span: Span,
    /// How deep its rabbet is, or a floater inside.
    rabbet: f64,
}

/// A layer of the package: its name, how thick it is, and how far it reaches.
struct PackageLayer<'a> {
    name: &'a str,
    thick: Length,
    reach: Reach,
}

/// How far a layer of the package reaches from its edge.
#[derive(Debug, Clone, Copy)]
enum Reach {
    /// All of it.
    Across,
    /// A strip so wide along its edge.
    Strip(Length),
    /// Up to so far beyond the outermost mat's opening.
    UpTo(Length),
    /// A fillet: from there to there beyond that.
    Between(Length, Length),
    /// The art: from there on.
    From(Length),
}

fn mm(length: Length) -> f64 {
    length.as_mm()
}

/// The section through a side: the mouldings on the left, their faces above.
pub(super) fn section(sheet: &JobSheet, shop: &Shop) -> String {
    let layers = package_layers(sheet, shop);
    let thick: f64 = layers.iter().filter(|of| of.stacks(&sheet.job)).map(|of| mm(of.thick)).sum();
    let (around, strips) = frame(sheet, shop, thick);
    let inner = &around[around.len() - 1];
    let is_floater = inner.moulding.kind == Kind::Floater;
    let sight = inner.span.x + mm(inner.moulding.width);
    let edge = match is_floater {
        true => sight + mm(sheet.frame.layers[0].gap),
        false => sight - mm(inner.moulding.rabbet) + mm(sheet.job.shown.lip.allowance) / 2.0,
    };
    let front = match is_floater {
        true => inner.span.y + inner.rabbet - thick,
        false => inner.span.y + inner.span.deep - inner.rabbet,
    };
    let parts = around.iter().map(|of| of.span).chain(strips.iter().copied());
    let top = parts.clone().map(|span| span.y).fold(front, f64::min);
    let back = parts.map(|span| span.y + span.deep).fold(front + thick, f64::max);
    let most = layers.iter().map(PackageLayer::reaches).fold(0.0, f64::max);
    let captions = captions(sheet, shop);
    let lines = u32::try_from(captions.len()).unwrap_or(u32::MAX);
    let below = f64::from(lines) * LINE + 2.0;
    let has_window = layers.iter().any(|of| !matches!(of.reach, Reach::Across | Reach::Strip(_)));
    let beyond = if has_window { 3.0 * BEYOND + BREAK } else { BEYOND };
    let room = (NAMES - 4.0 - FROM.0 - beyond, ROOM.1 - FROM.1 - below);
    let scale = (room.1 / (back - top).max(1.0)).min(MOST_SCALE).min(room.0 / (sight + most));
    let x = |at: f64| FROM.0 + at * scale;
    let y = |at: f64| FROM.1 + (at - top) * scale;
    // Where the window begins, on the sheet: as far off as it is, or behind the break.
    let cut = x(sight) + BEYOND;
    let open_at = x(edge) + mm(border(sheet)) * scale;
    let is_broken = has_window && open_at > cut + BREAK + BEYOND;
    let open_at = if is_broken { cut + BREAK + BEYOND } else { open_at.max(x(edge)) };
    let to = (open_at + most * scale).max(x(sight)) + BEYOND;
    let to = if is_broken { to } else { to.min(NAMES - 4.0) };
    let mut out = open(ROOM, &format!("section of {} to scale", sheet.frame.id));
    for of in &around {
        let outline = of.outline(scale, to - x(of.span.x));
        let _ = writeln!(
            out,
            "<path class=\"wood\" transform=\"translate({:.2} {:.2})\" d=\"{outline}\"/>",
            x(of.span.x),
            y(of.span.y)
        );
    }
    for strip in &strips {
        let at = [x(strip.x), y(strip.y), strip.wide * scale, strip.deep * scale];
        rect(&mut out, "out", at);
    }
    let mut at = front;
    let count = u32::try_from(layers.len()).unwrap_or(u32::MAX);
    let mut name_y = (y(front + thick / 2.0) - f64::from(count) * APART / 2.0).max(6.0);
    let style = style(shop);
    for (place, layer) in layers.iter().enumerate() {
        let deep = mm(layer.thick);
        // What floats lies within the room that the spacer keeps.
        let y0 = if layer.stacks(&sheet.job) { at } else { at - deep };
        let past = |of: Length| open_at + mm(of) * scale;
        let (from, end) = match layer.reach {
            Reach::Across => (x(edge), to),
            Reach::Strip(wide) => (x(edge), x(edge) + mm(wide) * scale),
            Reach::UpTo(of) => (x(edge), past(of)),
            Reach::Between(from, end) => (past(from).max(x(edge)), past(end)),
            Reach::From(of) => (past(of).max(if is_broken { cut + BREAK } else { x(edge) }), to),
        };
        let class = match layer.reach {
            Reach::Between(..) => "wood",
            _ if place % 2 == 0 => "in",
            _ => "grey",
        };
        rect(&mut out, class, [from, y(y0), (end - from).max(0.1), deep * scale]);
        let middle = y(y0 + deep / 2.0);
        let _ = writeln!(
            out,
            "<polyline class=\"thin\" points=\"{end:.2},{middle:.2} {:.2},{middle:.2} {:.2},{name_y:.2} {:.2},{name_y:.2}\"/>",
            to.max(end) + 0.5,
            to.max(end) + 2.5,
            NAMES - 1.0
        );
        let words = format!("{}, {}", layer.name, show_fine(layer.thick, &style));
        text(&mut out, (NAMES, name_y + 1.1), "start", &words);
        if layer.stacks(&sheet.job) {
            at += deep;
        }
        name_y += APART;
    }
    if is_broken {
        broken(&mut out, (cut, y(front) - 0.8), y(front + thick) + 0.8);
    }
    for (line, words) in captions.iter().rev().enumerate() {
        let line = f64::from(u32::try_from(line).unwrap_or(u32::MAX));
        text(&mut out, (FROM.0, ROOM.1 - 1.0 - line * LINE), "start", words);
    }
    out.push_str("</svg>\n");
    out
}

/// The mouldings round the package, from the outermost, and the strips behind them.
fn frame<'a>(sheet: &JobSheet, shop: &'a Shop, thick: f64) -> (Vec<Around<'a>>, Vec<Span>) {
    let layers = &sheet.frame.layers;
    let of = |layer: &Layer| shop.moulding(&layer.moulding);
    let round: Vec<usize> = (0..layers.len()).filter(|at| shop.goes_round(&layers[*at])).collect();
    let (mut around, mut strips): (Vec<Around<'a>>, Vec<Span>) = (Vec::new(), Vec::new());
    let (mut x, mut y) = (0.0, 0.0);
    for (place, &at) in round.iter().enumerate().rev() {
        let moulding = of(&layers[at]);
        let is_floater = moulding.kind == Kind::Floater;
        let rabbet = moulding.depth.map_or(thick, mm);
        let guess = if is_floater { rabbet + 6.0 } else { rabbet * 1.5 + 3.0 };
        let deep = moulding.body.height.map_or(guess, mm).max(rabbet + 1.0);
        if let Some(outer) = around.last().filter(|outer| outer.moulding.kind == Kind::Floater) {
            // It stands on the floater's floor.
            y = outer.span.y + outer.rabbet - deep;
        }
        let span = Span { x, y, wide: mm(moulding.width), deep };
        let behind = round.get(place + 1).copied().unwrap_or(layers.len());
        let built = (at + 1..behind).map(|at| of(&layers[at]));
        let built = built.filter(|strip| strip.kind == Kind::BuildOut);
        let mut built: Vec<(f64, f64)> =
            built.filter_map(|strip| Some((mm(strip.width), mm(strip.body.height?)))).collect();
        if let Some(more) = sheet.depth.build_out.as_ref().filter(|_| place + 1 == round.len()) {
            built.push((
                mm(moulding.width - moulding.rabbet),
                mm(more.height.unwrap_or(more.least)),
            ));
        }
        let wall = x + mm(moulding.width - moulding.rabbet);
        let mut back = y + deep;
        for (wide, deep) in built {
            strips.push(Span { x: wall - wide, y: back, wide, deep });
            back += deep;
        }
        around.push(Around { moulding, span, rabbet });
        let allowance = lip(moulding, &layers[at], &shop.settings).allowance;
        (x, y) = match is_floater {
            true => (x + mm(moulding.width + layers[at].gap), y),
            false => (wall + mm(allowance) / 2.0, y + deep - rabbet),
        };
    }
    (around, strips)
}

/// The layers of the package whose thickness is known, from the front.
fn package_layers<'a>(sheet: &'a JobSheet, shop: &Shop) -> Vec<PackageLayer<'a>> {
    let job = &sheet.job;
    let mats = &job.package.mats;
    let outermost = mats.last().copied().unwrap_or_default();
    let opened = |size: (Length, Length)| half(outermost.0 - size.0);
    let art = match (job.package.opening, job.package.margin) {
        (Some(opening), _) => Reach::From(opened(opening) + half(opening.0 - job.shown.art.0)),
        (None, Some(_)) => Reach::From(Length::ZERO),
        (None, None) => Reach::Across,
    };
    let strip = |code: &String| shop.materials.get(code).and_then(|of| of.strip);
    let spacer = job.spacer.as_ref().map(|code| strip(code).map_or(Reach::Across, Reach::Strip));
    let fillet = job.fillet.as_ref().zip(mats.first()).map(|(code, inner)| {
        let end = opened(*inner) + job.shown.fillet.unwrap_or(Length::ZERO);
        Reach::Between(end - shop.moulding(code).width, end)
    });
    let glazing = job.glazing.iter().map(|_| Reach::Across);
    let reaches = glazing
        .chain(spacer)
        .chain(mats.iter().rev().map(|size| Reach::UpTo(opened(*size))))
        .chain(fillet)
        .chain((job.art != Art::Nothing).then_some(art))
        .chain([&job.mount, &job.backing].into_iter().flatten().map(|_| Reach::Across));
    let named = sheet.depth.layers.iter().zip(reaches);
    let known = named
        .filter_map(|((name, thick), reach)| Some(PackageLayer { name, thick: (*thick)?, reach }));
    known.collect()
}

/// How far the window, or a float's art, lies from the package's edge.
fn border(sheet: &JobSheet) -> Length {
    let package = &sheet.job.package;
    match (package.borders, package.margin) {
        (Some(borders), _) => borders.left,
        (None, Some(_)) => half(package.size.0 - sheet.job.shown.art.0),
        (None, None) => Length::ZERO,
    }
}

fn half(of: Length) -> Length {
    Length::from_nm(of.nm() / 2)
}

/// Each moulding with its depth, from the outermost, and what is built out behind.
fn captions(sheet: &JobSheet, shop: &Shop) -> Vec<String> {
    let style = style(shop);
    let layers = sheet.frame.layers.iter().rev().filter(|layer| layer.window.is_none());
    let mut words: Vec<String> = Vec::new();
    for layer in layers {
        let moulding = shop.moulding(&layer.moulding);
        let deep = match (moulding.kind, moulding.depth, moulding.body.height) {
            (Kind::BuildOut, _, height) => height.map(|high| show_fine(high, &style) + " high"),
            (Kind::Floater, deep, _) => deep.map(|deep| show_fine(deep, &style) + " deep inside"),
            (_, Some(deep), Some(_)) => Some(format!("rabbet {}", show_fine(deep, &style))),
            _ => None,
        };
        let deep = deep.unwrap_or_else(|| "its height is not measured".to_owned());
        words.push(format!("{}: {deep}", moulding.id));
    }
    if sheet.job.art == Art::Canvas
        && let Some(last) = words.last_mut().filter(|_| sheet.depth.clips.is_some())
    {
        last.push_str(", clips as said");
    }
    if let Some(more) = &sheet.depth.build_out {
        let high = show_fine(more.height.unwrap_or(more.least), &style);
        words.insert(0, format!("to be built out behind: {high}"));
    }
    words
}

impl PackageLayer<'_> {
    /// Whether it adds to the package: what floats lies in the room before it.
    fn stacks(&self, job: &Job) -> bool {
        !(job.floats() && matches!(self.reach, Reach::From(_)))
    }

    /// How far beyond the opening it must be drawn.
    fn reaches(&self) -> f64 {
        match self.reach {
            Reach::Across | Reach::Strip(_) => 0.0,
            Reach::UpTo(of) | Reach::Between(_, of) | Reach::From(of) => mm(of),
        }
    }
}

impl Around<'_> {
    /// Its outline from its own corner; a floater's floor reaches so far on the sheet.
    fn outline(&self, scale: f64, floor: f64) -> String {
        let (face, back) = (self.span.wide * scale, self.span.deep * scale);
        let inside = (self.span.deep - self.rabbet) * scale;
        match self.moulding.kind {
            Kind::Floater => {
                format!("M0 0H{face:.2}V{:.2}H{floor:.2}V{back:.2}H0Z", self.rabbet * scale)
            }
            _ => {
                let wall = face - mm(self.moulding.rabbet) * scale;
                format!("M0 0H{face:.2}V{inside:.2}H{wall:.2}V{back:.2}H0Z")
            }
        }
    }
}

fn rect(out: &mut String, class: &str, [x, y, wide, high]: [f64; 4]) {
    let _ = writeln!(
        out,
        "<rect class=\"{class}\" x=\"{x:.2}\" y=\"{y:.2}\" width=\"{wide:.2}\" height=\"{high:.2}\"/>"
    );
}

/// A white gap between two crooked lines.
fn broken(out: &mut String, (x, top): (f64, f64), bottom: f64) {
    let middle = (top + bottom) / 2.0;
    let line = |x: f64| {
        [(x, top), (x, middle - 1.0), (x - 0.6, middle - 0.3), (x + 0.6, middle + 0.3)]
            .into_iter()
            .chain([(x, middle + 1.0), (x, bottom)])
            .map(|(x, y)| format!("{x:.2},{y:.2}"))
            .collect::<Vec<_>>()
    };
    let (left, mut right) = (line(x), line(x + BREAK));
    right.reverse();
    let around = [left.as_slice(), right.as_slice()].concat().join(" ");
    let _ = writeln!(out, "<polygon class=\"gap\" points=\"{around}\"/>");
    for line in [left, right] {
        let _ = writeln!(out, "<polyline class=\"thin\" points=\"{}\"/>", line.join(" "));
    }
}
