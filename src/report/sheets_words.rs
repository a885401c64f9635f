//! What is said of boards and glass, on a page and on the screen.

use crate::measure::{Length, LengthStyle, Unit};
use crate::sheets::{Divides, NamedPiece, Pane, PlannedSheet, SheetFrom, SheetPlan, area};
use crate::shop::Parting;

/// A cut as the bench is told it.
pub(super) struct CutWords {
    /// What is cut, and how much comes off.
    pub cut: String,
    /// What that makes.
    pub makes: Vec<String>,
}

/// The cuts of a sheet, in their order.
pub(super) fn cuts(plan: &SheetPlan, sheet: &PlannedSheet, style: &LengthStyle) -> Vec<CutWords> {
    let words = |cut: &crate::sheets::SheetCut| {
        let of = match cut.divides {
            Divides::Width => cut.pane.width,
            Divides::Height => cut.pane.height,
        };
        let (first, second) = cut.parts(plan.rules.kerf);
        let makes = [Some(first), second].into_iter().flatten();
        CutWords {
            cut: format!(
                "{}: {} off the {}",
                size((cut.pane.width, cut.pane.height), style),
                style.show(cut.at),
                style.show_down(of)
            ),
            makes: makes.map(|pane| made(plan, sheet, pane, style)).collect(),
        }
    };
    sheet.cut.cuts.iter().map(words).collect()
}

/// What becomes of a pane.
pub(super) fn made(
    plan: &SheetPlan,
    sheet: &PlannedSheet,
    pane: Pane,
    style: &LengthStyle,
) -> String {
    let shown = size((pane.width, pane.height), style);
    if let Some((number, ..)) = sheet.cut.pieces.iter().find(|piece| piece.1 == pane) {
        return format!("{} ({shown})", name(&plan.pieces[*number]));
    }
    let left = sheet.cut.left.iter().zip(&sheet.kept).find(|(left, _)| **left == pane);
    match left.map(|(_, kept)| kept.as_deref()) {
        None => shown,
        Some(None) => format!("scrap {shown}"),
        Some(Some("")) => format!("KEEP {shown}"),
        Some(Some(label)) => format!("KEEP {shown}, label it {label}"),
    }
}

/// A piece by its ticket.
pub(super) fn name(piece: &NamedPiece) -> String {
    let mut name = piece.ticket.clone();
    if piece.copy.1 > 1 {
        name += &format!(" ({}/{})", piece.copy.0, piece.copy.1);
    }
    if !piece.what.is_empty() {
        name += &format!(" {}", piece.what);
    }
    name
}

/// A size that never promises too much.
pub(super) fn size((width, height): (Length, Length), style: &LengthStyle) -> String {
    format!("{} x {}", style.show_down(width), style.show_down(height))
}

/// What a sheet is, without its cuts.
pub(super) fn of_sheet(sheet: &PlannedSheet, style: &LengthStyle) -> String {
    let shown = format!("{} {}", size(sheet.cut.size, style), style.unit.symbol());
    let place = match sheet.place.as_str() {
        "" => String::new(),
        place => format!("  at {place}"),
    };
    match sheet.cut.from {
        SheetFrom::Remnant(_) => format!("{}  remnant {shown}{place}", sheet.label),
        SheetFrom::Whole(_) => format!("{}  whole sheet {shown}{place}", sheet.label),
        SheetFrom::ToBuy(_) => format!("TO BUY  whole sheet {shown}"),
    }
}

/// Each pane of what is made to size: which is taken as it is, and which is to be ordered.
pub(super) fn made_to_size(plan: &SheetPlan, style: &LengthStyle) -> Vec<String> {
    let line = |sheet: &PlannedSheet| {
        let pieces = sheet.cut.pieces.iter().map(|piece| name(&plan.pieces[piece.0]));
        let pieces: Vec<String> = pieces.collect();
        let (shown, unit) = (size(sheet.cut.size, style), style.unit.symbol());
        let pieces = pieces.join(", ");
        let place = match sheet.place.as_str() {
            "" => String::new(),
            place => format!(" at {place}"),
        };
        match sheet.cut.from {
            SheetFrom::ToBuy(_) => {
                format!("TO ORDER to size {shown} {unit}, not to be cut: {pieces}")
            }
            _ => format!("TAKE {}{place}, {shown} {unit}, not to be cut: {pieces}", sheet.label),
        }
    };
    plan.sheets.iter().map(line).collect()
}

/// What stands over a material.
pub(super) fn summary(plan: &SheetPlan, style: &LengthStyle) -> Vec<String> {
    let count = super::words::count;
    let (opened, all) = (plan.opened(), plan.sheets.len());
    let cut = plan.pieces.len() - plan.without.len();
    let mut lines = vec![format!(
        "{} from {} and {}",
        count(cut, "piece", "pieces"),
        count(opened, "whole sheet", "whole sheets"),
        count(all - opened, "remnant", "remnants")
    )];
    let square = |area| shown_area(area, style.unit);
    if opened > 0 {
        let proof = match plan.is_proven() {
            true => ", proven least".to_owned(),
            false => format!(", at least {}", square(plan.least_opened)),
        };
        lines[0] += &format!(": {} opened{proof}", square(plan.cost.opened));
    }
    let saved = plan.by_habit.opened - plan.cost.opened;
    if saved > 0 && plan.by_habit.without >= plan.cost.without {
        lines.push(format!("Cut one by one as they come they would open {} more.", square(saved)));
    }
    for (of, number) in plan.to_buy() {
        let sheets = count(number, "whole sheet", "whole sheets");
        lines.push(format!("TO BUY: {sheets} of {} {}.", size(of, style), style.unit.symbol()));
    }
    for number in &plan.without {
        let piece = &plan.pieces[*number];
        let why = match plan.narrow.get(number) {
            Some(sheet) => format!(
                "would leave a strip on {} that is narrower than the least_strip of shop.toml, {}, \
                 and cannot be broken off (ask for the piece smaller or to the sheet's edge, or \
                 write a larger sheet into sheets.csv)",
                size(*sheet, style),
                style.show(plan.rules.least_strip)
            ),
            None => "has no room on any sheet or remnant (write a larger sheet into sheets.csv, \
                     or ask for the piece cut to size)"
                .to_owned(),
        };
        lines.push(format!("NOT CUT: {}, {}, {why}.", name(piece), size(piece.size, style)));
    }
    lines
}

/// An area in square feet to a tenth, or in square metres to a hundredth.
pub(crate) fn shown_area(of: i128, unit: Unit) -> String {
    if of < 0 {
        return format!("-{}", shown_area(-of, unit));
    }
    let foot = area(Length::from_64ths(12 * 64), Length::from_64ths(12 * 64));
    let metre = area(Length::from_mm(1000), Length::from_mm(1000));
    match unit {
        Unit::Inch => {
            let tenths = (of * 10 + foot / 2) / foot;
            format!("{}.{} sq ft", tenths / 10, tenths % 10)
        }
        Unit::Millimetre => {
            let hundredths = (of * 100 + metre / 2) / metre;
            format!("{}.{:02} m\u{b2}", hundredths / 100, hundredths % 100)
        }
    }
}

/// What to mind with toughened glass: common practice, no source.
pub(crate) const TOUGHENED: &str = "Toughened glass is made to size and never cut, drilled or ground: \
     it would break wholly, and at once. Guard its edges and corners from knocks, and measure it \
     before it is fitted.";

/// What to mind with a material: common practice, no source. The rules of the shop and the
/// maker's own come first.
pub(super) fn cautions(plan: &SheetPlan) -> Vec<String> {
    if plan.rules.made_to_size {
        return vec![TOUGHENED.to_owned()];
    }
    let glass = [
        "Gloves that resist cuts, eye protection, closed shoes and covered arms; nobody else at \
         the table.",
        "A clean, flat table. Score once, in one stroke, and run the score at once. Never press \
         on a sheet that will not run: score another place.",
        "Narrow strips are run with running pliers, never by hand over the table's edge.",
        "Carry sheets upright, by both edges; two people for a large one. Do not catch one that \
         falls.",
        "Cut edges are sharp: dull them. Sweep splinters with a brush.",
        "Score coated glass on the side that its maker names. Toughened glass is never cut; \
         laminated glass is cut by those who are trained on it.",
    ];
    let knife =
        ["A fresh blade and a straight edge with a guard; the other hand is never in the blade's \
         way. Used blades go into their box."];
    let sawn =
        ["Guards in place, eye and hearing protection, a mask against dust; hands away from the \
         blade, one sheet at a time, supported on both sides of the cut. Leave the film on."];
    let mut lines: Vec<String> = match plan.rules.parting {
        Some(Parting::Scored) => glass.map(str::to_owned).to_vec(),
        Some(Parting::Knife) => knife.map(str::to_owned).to_vec(),
        Some(Parting::Sawn) => sawn.map(str::to_owned).to_vec(),
        None => {
            let unknown = format!(
                "It is not written down how {0} is cut (write cut under [sheet.\"{0}\"] in \
                 shop.toml): mind all of this.",
                plan.material
            );
            let all = glass.iter().chain(&knife).chain(&sawn).map(|line| (*line).to_owned());
            std::iter::once(unknown).chain(all).collect()
        }
    };
    lines.push("The rules of your place and what the maker says come before this.".to_owned());
    lines
}
