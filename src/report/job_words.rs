//! What a job's sheet says, part by part: the same on the screen and on paper.

use crate::job::package::Display;
use crate::job::pieces::cover_sheet;
use crate::job::window::{Weighting, front};
use crate::measure::{Length, LengthStyle, Mitre, Unit};
use crate::rails::frame_rails;
use crate::shop::{Art, Kind, Place, Shop};
use crate::ticket::{JobPiece, JobSheet, PieceOf, PieceSize};

use super::job_figures::{hanging, joining, price, weight};
use super::order_words::{money, rails};

/// Rows under a heading, each with what it is about in front.
pub(crate) struct JobPart {
    pub head: &'static str,
    pub rows: Vec<(String, String)>,
}

/// How lengths are shown on a job's sheet: at least as fine as openings are cut.
pub(crate) fn style(shop: &Shop) -> LengthStyle {
    let style = shop.settings.style();
    match style.unit {
        Unit::Inch => LengthStyle { mark: style.mark.min(Length::from_64ths(2)), ..style },
        Unit::Millimetre => style,
    }
}

/// `16 x 20 in`; never more than there is.
pub(super) fn size(size: (Length, Length), style: &LengthStyle) -> String {
    format!("{} x {}", style.show_down(size.0), style.show_down_unit(size.1))
}

/// What is framed, and how it is shown.
pub(super) fn art(sheet: &JobSheet, style: &LengthStyle) -> String {
    let shown = &sheet.job.shown;
    if sheet.job.art == Art::Nothing {
        let what = if sheet.job.is_empty_frame() { "an empty frame" } else { "a frame" };
        return format!("none: {what} for {}", size(shown.art, style));
    }
    let show = |length: Length| style.show_unit(length);
    let how = match shown.display {
        Display::Overlapped { overlap } => {
            format!("in a window that lies on it by {}", show(overlap))
        }
        Display::Revealed { sides, bottom } if sides == bottom => {
            format!("in a window, {} of paper seen", show(sides))
        }
        Display::Revealed { sides, bottom } => {
            format!("in a window, {} of paper seen, {} below", show(sides), show(bottom))
        }
        Display::Floated { .. } if !sheet.job.mats.is_empty() => "floated in a window".to_owned(),
        Display::Floated { .. } => "floated on its board".to_owned(),
        Display::Whole if sheet.job.art == Art::Canvas => "on its bars".to_owned(),
        Display::Whole => "to the edge".to_owned(),
    };
    let image = match shown.image == shown.art {
        true => String::new(),
        false => format!(", of which {} is seen", size(shown.image, style)),
    };
    format!("{}, {}{image}, {how}", sheet.job.art.word(), size(shown.art, style))
}

/// A piece's size in words.
pub(super) fn piece_size(piece: &JobPiece, style: &LengthStyle) -> String {
    let of = match piece.size {
        PieceSize::Sheet(width, height) => size((width, height), style),
        PieceSize::Long(length) => style.show_down_unit(length),
        PieceSize::Whole => String::new(),
    };
    let opening = piece.opening.map(|opening| format!(", opening {}", size(opening, style)));
    of + &opening.unwrap_or_default()
}

/// What is said of a piece that is not cut but ordered as large as it is.
pub(super) fn to_size(piece: &JobPiece, shop: &Shop) -> &'static str {
    if piece.is_made_to_size(shop) { ": ordered to size, not to be cut" } else { "" }
}

/// All parts of a job's sheet but what to look at; with `why`, how the figures came.
pub(crate) fn parts(sheet: &JobSheet, shop: &Shop, why: bool) -> Vec<JobPart> {
    let mut parts = vec![
        JobPart { head: "Package", rows: package(sheet, shop, why) },
        JobPart { head: "Pieces", rows: pieces(sheet, shop) },
        JobPart { head: "Depth", rows: depth(sheet, shop, why) },
        JobPart { head: "Weight", rows: weight(sheet, why) },
        JobPart { head: "Hanging", rows: hanging(sheet, shop, why) },
        JobPart { head: "Joining", rows: joining(sheet, shop, why) },
    ];
    let price = price(sheet, shop, why);
    if !price.is_empty() {
        parts.push(JobPart { head: "Price", rows: price });
    }
    parts
}

pub(super) fn row(head: &str, text: impl Into<String>) -> (String, String) {
    (head.to_owned(), text.into())
}

fn package(sheet: &JobSheet, shop: &Shop, why: bool) -> Vec<(String, String)> {
    let style = &style(shop);
    let (job, package) = (&sheet.job, &sheet.job.package);
    let given = if job.shown.given.is_some() { ", as the ticket gives it" } else { "" };
    let mut rows = vec![
        row("art", art(sheet, style)),
        row("package", format!("{}{given}", size(package.size, style))),
        row("seen", size(sheet.sight, style)),
        row("outside", size(sheet.outside, style)),
    ];
    if let Some(borders) = package.borders {
        let show = |length: Length| style.show(length);
        let sides = format!(
            "left {}, top {}, right {}, bottom {}",
            show(borders.left),
            show(borders.top),
            show(borders.right),
            style.show_unit(borders.bottom)
        );
        rows.push(row("borders", sides));
        let hides = job.shown.lip.hides();
        let seen = borders.wider(-hides);
        if why {
            rows.push(row(
                "seen of them",
                format!(
                    "left {}, top {}, right {}, bottom {}",
                    show(seen.left),
                    show(seen.top),
                    show(seen.right),
                    style.show_unit(seen.bottom)
                ),
            ));
            let weighted = match job.shown.weighting {
                Weighting::Below(extra) if extra.is_positive() => {
                    format!(", {} more below", style.show_unit(extra))
                }
                Weighting::Below(_) => String::new(),
                Weighting::Optical => {
                    ", above a third of the side's border and the free height".to_owned()
                }
            };
            let from = match job.shown.given {
                Some(_) => "half of what the package leaves beside the opening",
                None => "as the ticket or the shop gives them",
            };
            rows.push(row("why", format!(
                "borders: {from}{weighted}; the lip hides {} of each (rabbet {} less half the allowance of {})",
                style.show_unit(hides),
                style.show_unit(job.shown.lip.rabbet),
                style.show_unit(job.shown.lip.allowance)
            )));
        }
    }
    if let Some(opening) = package.opening {
        rows.push(row(
            "opening",
            format!(
                "{} is seen of the art and its {}",
                size(opening, style),
                if job.floats() { "board" } else { "paper" }
            ),
        ));
    }
    if let (Some(inner), true) = (package.mats.first(), why) {
        let thick = job.mats.first().and_then(|code| shop.materials[code].thick);
        if let Some(thick) = thick {
            let text =
                format!("the bevel opens it to {} in front", size(front(*inner, thick), style));
            rows.push(row("why", text));
        }
    }
    if let Some((across, up)) = package.margin {
        let text =
            format!("{} at the sides, {} above and below", style.show(across), style.show_unit(up));
        rows.push(row("margin", text));
    }
    for layer in frame_rails(shop, &sheet.frame) {
        let moulding = &sheet.frame.layers[layer.layer - 1].moulding;
        let lengths: Vec<_> = layer.rails.iter().map(|rail| rail.long_point).collect();
        let mut words = rails(&lengths, style);
        if layer.mitre == Mitre::BUTT {
            words = words.replace(" long point", ", cut square");
        }
        rows.push(row(moulding, words));
    }
    let customer = [("level", &job.level), ("consent", &job.consent.text)];
    rows.extend(
        customer.iter().filter(|(_, text)| !text.is_empty()).map(|(h, t)| row(h, (*t).clone())),
    );
    if let Some(value) = job.value {
        rows.push(row("value", format!("{}, as the customer says", money(value, shop))));
    }
    rows
}

fn pieces(sheet: &JobSheet, shop: &Shop) -> Vec<(String, String)> {
    let style = &style(shop);
    let piece = |piece: &JobPiece| {
        let count = if piece.count == 1 { String::new() } else { format!("{} x ", piece.count) };
        let (code, name) = match &piece.material {
            Some(code) => {
                let of = &shop.materials[code];
                let name = if of.name == *code { String::new() } else { format!(" ({})", of.name) };
                let class = of.safety.map_or_else(String::new, |of| format!(", {}", of.word()));
                (code.clone(), name + &class)
            }
            None => (String::new(), String::new()),
        };
        let of = piece_size(piece, style);
        let torn = match piece.what {
            PieceOf::DustCover => {
                let (width, height) = cover_sheet(sheet.outside);
                let whole = style.unit.either(style.mark, Length::from_mm(1));
                let sheet = (width.round_up(whole), height.round_up(whole));
                format!(", torn from {}", size(sheet, style))
            }
            _ => String::new(),
        };
        let is_fixing =
            matches!(piece.what, PieceOf::Hanger | PieceOf::Wire | PieceOf::Hook | PieceOf::Cleat);
        let text = match (of.is_empty(), code.is_empty()) {
            (_, true) if is_fixing => {
                let of = if of.is_empty() { of } else { of + ", " };
                match sheet.heft.total {
                    Some(_) => format!("{count}{of}none in materials.csv that holds it"),
                    None => format!("{count}{of}not chosen, since its weight is not known"),
                }
            }
            (true, true) if piece.what == PieceOf::Plug => {
                format!("{count}of the shop's own, each to hold what its hook is rated for")
            }
            (true, true) => format!("{count}of the shop's own"),
            (true, false) if piece.what == PieceOf::Hook && on_masonry(sheet) => format!(
                "{count}{code}{name}: on masonry one that is screwed into a plug, never one with pins \
                 or nails"
            ),
            (true, false) => format!("{count}{code}{name}"),
            (false, true) if piece.what == PieceOf::Clip => {
                format!("{count}{of} of offset, or the next one up")
            }
            (false, true) => format!("{count}{of}{torn}"),
            (false, false) => format!("{count}{of} of {code}{name}{}", to_size(piece, shop)),
        };
        row(&piece.what.words(), text)
    };
    sheet.pieces.iter().map(piece).collect()
}

/// Whether its hooks go into brick, stone or concrete.
fn on_masonry(sheet: &JobSheet) -> bool {
    sheet.job.place.contains(&Place::Masonry) && !sheet.hanging.on_rail
}

fn depth(sheet: &JobSheet, shop: &Shop, why: bool) -> Vec<(String, String)> {
    let style = &style(shop);
    let depth = &sheet.depth;
    let mut rows = Vec::new();
    let show = |length: Length| style.show_unit(length);
    let built = shop.built_out(&sheet.frame);
    let inner = shop.moulding(&sheet.frame.layers[0].moulding);
    if why {
        for (of, thick) in &depth.layers {
            let thick = thick.map_or("not known".to_owned(), |thick| show_fine(thick, style));
            rows.push(row("why", format!("{of}: {thick}")));
        }
    }
    match (depth.thickness, depth.rabbet) {
        (Some(thick), Some(deep)) if inner.kind == Kind::Floater => rows.push(row(
            "package",
            format!(
                "{} thick; {} is {} deep inside",
                show_fine(thick, style),
                inner.id,
                show(deep)
            ),
        )),
        (Some(thick), Some(deep)) => rows.push(row(
            "package",
            format!(
                "{} thick; the rabbet of {} is {} deep{}",
                show_fine(thick, style),
                inner.id,
                show(deep),
                if built > Length::ZERO { " with its build-out" } else { "" }
            ),
        )),
        (Some(thick), None) => {
            rows.push(row("package", format!("{} thick", show_fine(thick, style))))
        }
        (None, _) => {}
    }
    for outer in &depth.outer {
        if let (Some(holds), Some(deep)) = (outer.holds, outer.depth) {
            let (inner, code) = (&sheet.frame.layers[0], &sheet.frame.layers[outer.layer - 1]);
            let words = format!(
                "{} from the lip of {} to the back; the rabbet of {} is {} deep",
                show_fine(holds, style),
                inner.moulding,
                code.moulding,
                show(deep)
            );
            rows.push(row("within", words));
        }
    }
    if shop.is_built_by_itself(&sheet.frame) {
        let strip = sheet.frame.layers.last().map_or("", |layer| &layer.moulding);
        let words =
            format!("{strip} behind, {} high, added by itself; the plan cuts it", show(built));
        rows.push(row("build-out", words));
    }
    if let Some(out) = &depth.build_out {
        let offered = match (&out.material, out.height) {
            (Some(code), Some(high)) => format!("; {code} is {}", show(high)),
            _ => "; the shop has none written down that is so high".to_owned(),
        };
        rows.push(row(
            "build-out",
            format!(
                "at least {} high, cut square: two across the frame, two between them{offered}",
                style.show_unit(out.least.round_up(style.mark))
            ),
        ));
        if let Some(code) = &out.layer {
            let words = format!(
                "{code} as one more layer of {} in frames.csv, and the plan cuts it",
                sheet.frame.id
            );
            rows.push(row("or", words));
        }
        if !depth.would_do.is_empty() {
            rows.push(row("or", format!("a deeper moulding: {}", depth.would_do.join(", "))));
        }
    }
    if let Some(filler) = depth.filler {
        rows.push(row("filler", format!("{} is left over behind", style.show_down_unit(filler))));
    }
    if let Some(clips) = depth.clips {
        rows.push(row(
            "clips",
            format!(
                "{} by {}: clips of that offset, or the next one up",
                match sheet.job.glazing {
                    Some(_) => "with the glazing in front the bars stand out",
                    None => "the bars stand out",
                },
                show(clips)
            ),
        ));
    }
    rows
}

/// A thickness, never less than it is: millimetres beside inches, since boards are sold by them.
pub(crate) fn show_fine(length: Length, style: &LengthStyle) -> String {
    let mm = LengthStyle { unit: Unit::Millimetre, mark: Length::from_nm(100_000) };
    match style.unit {
        Unit::Millimetre => style.show_unit(length),
        Unit::Inch => {
            format!("{} ({})", style.show_unit(length.round_up(style.mark)), mm.show_unit(length))
        }
    }
}

/// Whether a piece belongs on a pick list: not what is cut off a roll by eye.
pub(super) fn is_picked(what: PieceOf) -> bool {
    !matches!(what, PieceOf::Tape | PieceOf::BackTape | PieceOf::Point | PieceOf::DustCover)
}
