//! Looks at a job for what should be looked at.

use jiff::civil::Date;

use super::concern::Concern;
use super::piece::{JobPiece, PieceSize};
use super::sheet::JobSheet;
use crate::job::hanging::{STRAPS_FROM, TWO_PEOPLE_FROM, hangers_down, most_rise, rise_at_30, run};
use crate::job::joining::may_be_loaded;
use crate::job::package::Display;
use crate::job::stiffness::{MOST_BOW, sags};
use crate::measure::{Length, Unit};
use crate::shop::{Art, Hang, MaterialKind, Place, Shop};

/// A border that is no wider than the face by more than this looks like it: 1/8 in.
const ALIKE: Length = Length::from_64ths(8);

/// Bars are braced from a side over this: 36 in.
const BRACED: Length = Length::from_64ths(36 * 64);

/// Glass is 3 mm thick from a metre on, or from a square metre.
const METRE: Length = Length::from_mm(1000);
const LARGE_GLASS: Length = Length::from_mm(3);

/// Acrylic is advised over 24 x 36 in where the earth quakes.
const QUAKE: (Length, Length) = (Length::from_64ths(24 * 64), Length::from_64ths(36 * 64));

pub(super) fn concerns(shop: &Shop, sheet: &JobSheet, today: Date) -> Vec<Concern> {
    let mut all = Vec::new();
    package(shop, sheet, &mut all);
    glazing(shop, sheet, &mut all);
    frame(shop, sheet, &mut all);
    hanging(sheet, &mut all);
    if let Some(due) = sheet.frame.due {
        let ready = may_be_loaded(today, shop.settings.job.glue_hours);
        if due < ready && due >= today {
            all.push(Concern::Glue { due, ready });
        }
    }
    all
}

fn package(shop: &Shop, sheet: &JobSheet, all: &mut Vec<Concern>) {
    let (job, depth) = (&sheet.job, &sheet.depth);
    if let (Some(wants), Some(has)) = (depth.wanted, depth.rabbet) {
        if wants > has {
            all.push(Concern::Thick { wants, depth: has });
        }
    } else if job.art != Art::Canvas {
        let unknown = depth.layers.iter().filter(|(_, thick)| thick.is_none());
        let mut what: Vec<String> = match depth.thickness {
            Some(_) => Vec::new(),
            None => unknown.map(|(of, _)| format!("{of} has no thickness")).collect(),
        };
        if depth.rabbet.is_none() {
            what.push(format!("{} has no depth", sheet.frame.layers[0].moulding));
        }
        all.push(Concern::NotMeasured(what));
    }
    let holds = match shop.settings.unit {
        Unit::Inch => Length::from_64ths(16),
        Unit::Millimetre => Length::from_mm(6),
    };
    let is_window =
        matches!(job.shown.display, Display::Overlapped { .. } | Display::Revealed { .. });
    if let Some(opening) = job.package.opening.filter(|_| is_window) {
        let art = job.shown.art;
        let beyond = (art.0 - opening.0).min(art.1 - opening.1);
        if beyond < holds {
            all.push(Concern::FallsThrough { beyond });
        }
    }
    let strip = job.spacer.as_ref().and_then(|code| shop.materials[code].strip);
    let hidden = job.shown.lip.hides();
    if let Some(strip) = strip.filter(|strip| *strip > hidden && job.mats.is_empty()) {
        all.push(Concern::StripShows { strip, hidden });
    }
    let face = shop.moulding(&sheet.frame.layers[0].moulding).width;
    if let Some(borders) = job.package.borders {
        let seen = borders.least() - hidden;
        if seen <= face + ALIKE {
            all.push(Concern::BorderThin { seen, face });
        }
    }
    let size = job.shown.art;
    if job.art == Art::Canvas && size.0.max(size.1) > BRACED {
        all.push(Concern::Stretcher);
    }
}

fn glazing(shop: &Shop, sheet: &JobSheet, all: &mut Vec<Concern>) {
    let job = &sheet.job;
    let size = job.package.size;
    if let Some(glazing) = job.glazing.as_ref().map(|code| &shop.materials[code]) {
        if job.mats.is_empty() && job.spacer.is_none() && job.art != Art::Nothing {
            all.push(Concern::Touch);
        }
        let is_glass = glazing.kind == MaterialKind::Glass;
        let nm = |length: Length| i128::from(length.nm());
        let large = nm(size.0) * nm(size.1) > nm(METRE) * nm(METRE) || size.0.max(size.1) > METRE;
        if is_glass && large && glazing.thick.is_none_or(|thick| thick < LARGE_GLASS) {
            all.push(Concern::GlassLarge);
        }
        if is_glass && glazing.safety.is_empty() && job.place.iter().any(|p| p.is_over_people()) {
            all.push(Concern::OverPeople);
        }
        let (short, long) = (size.0.min(size.1), size.0.max(size.1));
        let is_big = short > QUAKE.0 || long > QUAKE.1;
        if is_glass && is_big && job.place.contains(&Place::Quake) {
            all.push(Concern::Quake);
        }
    }
    all.extend(sheet.pieces.iter().filter_map(|piece| no_sheet(shop, piece)));
}

/// A piece that is in no sheet of its material, however it is turned.
fn no_sheet(shop: &Shop, piece: &JobPiece) -> Option<Concern> {
    let code = piece.material.as_ref()?;
    let PieceSize::Sheet(width, height) = piece.size else { return None };
    let sheets = &shop.materials[code].sheets;
    let holds =
        |&(w, h): &(Length, Length)| (width <= w && height <= h) || (width <= h && height <= w);
    let lacks = !sheets.is_empty() && !sheets.iter().any(holds);
    lacks.then(|| Concern::NoSheet { material: code.clone(), size: (width, height) })
}

fn frame(shop: &Shop, sheet: &JobSheet, all: &mut Vec<Concern>) {
    let corners = &sheet.corners;
    if let Some(bow) = corners.bow.filter(|bow| *bow > MOST_BOW) {
        all.push(Concern::RailBows(bow));
    }
    if let Some(sag) = corners.sag.filter(|sag| sags(corners.lower, *sag)) {
        all.push(Concern::RailSags { sag, rail: corners.lower });
    }
    if shop.moulding(&corners.moulding).body.height.is_some() && corners.nail.is_none() {
        all.push(Concern::NailTooLong);
    }
}

fn hanging(sheet: &JobSheet, all: &mut Vec<Concern>) {
    let (hanging, heft) = (&sheet.hanging, &sheet.heft);
    if matches!(sheet.job.hang, Some(Hang::Strut | Hang::Nowhere)) {
        return;
    }
    let Some(weight) = heft.total else {
        let unknown = heft.parts.iter().filter(|part| part.weight.is_none());
        let what = unknown.map(|part| format!("{}: {}", part.what, part.from)).collect();
        all.push(Concern::NoWeight(what));
        return;
    };
    let wanted_wire = matches!(sheet.job.hang, None | Some(Hang::Wire | Hang::Cord));
    if wanted_wire && weight <= STRAPS_FROM && hanging.leg.is_none_or(|leg| leg.is_flat()) {
        let between = sheet.outside.0 - hanging.inset * 2;
        let two = run(between, sheet.outside.0, 2);
        let run = if two.is_positive() { two } else { run(between, sheet.outside.0, 1) };
        all.push(Concern::WireFlat {
            tenths: hanging.leg.map(|leg| leg.tenths_of_degree()),
            wants: rise_at_30(run),
            has: most_rise(hangers_down(sheet.outside.1)),
        });
    }
    if weight > STRAPS_FROM {
        all.push(Concern::Heavy { weight, two_people: weight > TWO_PEOPLE_FROM });
    }
    let chosen = [&hanging.hangers, &hanging.wire, &hanging.hooks];
    let has = |kind: MaterialKind| match kind {
        MaterialKind::Hanger | MaterialKind::Strap => chosen[0].is_some(),
        MaterialKind::Wire(_) => chosen[1].is_some(),
        _ => chosen[2].is_some(),
    };
    let weak: Vec<_> = hanging.asked.iter().filter(|(kind, _)| !has(*kind)).collect();
    for (kind, needs) in &weak {
        all.push(Concern::Weak { kind: kind.word(), needs: *needs });
    }
    // One without a load might have held it.
    if !weak.is_empty() && !hanging.unrated.is_empty() {
        all.push(Concern::NoRating(hanging.unrated.clone()));
    }
}
