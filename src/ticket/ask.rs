//! Looks at a job for what should be looked at.

use jiff::civil::Date;

use super::concern::Concern;
use super::depth::Depth;
use super::piece::{self, JobPiece, PieceOf, PieceSize};
use super::sheet::JobSheet;
use crate::job::hanging::{STRAPS_FROM, TWO_PEOPLE_FROM, hangers_down, most_rise, rise_at_30, run};
use crate::job::joining::may_be_loaded;
use crate::job::movement::tight;
use crate::job::package::Display;
use crate::job::stiffness::{MOST_BOW, sags};
use crate::job::thickness::wanted;
use crate::measure::{Length, Unit};
use crate::shop::{Art, Hang, Job, Kind, MaterialKind, Place, Shop};

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
    if let (Some(says), Some(adds_up)) = (depth.too_little, depth.thickness) {
        all.push(Concern::TooLittle(says, adds_up));
    }
    if let (Some(by), Some(has)) = (depth.proud, depth.rabbet) {
        let would_do = depth.would_do.clone();
        all.push(Concern::Proud { by, depth: has, would_do });
    } else if let (Some(wants), Some(has)) = (depth.wanted, depth.rabbet) {
        if wants > has {
            all.push(Concern::Thick { wants, depth: has, outer: None, mends: mends(depth) });
        }
    } else if job.art != Art::Canvas && !job.is_empty_frame() {
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
    outer(shop, sheet, all);
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
            all.push(Concern::FallsThrough { beyond, is_frame: false });
        }
    }
    if job.shown.display == Display::Whole && job.art != Art::Nothing {
        let (art, size, lip) = (job.shown.art, job.package.size, job.shown.lip);
        let beyond = (art.0 - lip.sight(size.0)).min(art.1 - lip.sight(size.1));
        if lip.covers() && beyond < holds {
            all.push(Concern::FallsThrough { beyond, is_frame: true });
        }
        let loose = (size.0 - art.0).max(size.1 - art.1);
        if loose.is_positive() {
            all.push(Concern::Loose(loose));
        }
    }
    if let Some(package) = job.shown.given.filter(|of| lies(*of) * lies(job.shown.art) < 0) {
        all.push(Concern::Turned { package, art: job.shown.art });
    }
    let margin = match (job.shown.display, job.package.margin) {
        (Display::Floated { .. }, Some((across, up))) => Some(across.min(up)),
        (Display::Floated { margin }, None) => Some(margin),
        _ => None,
    };
    if margin.is_some_and(|margin| !margin.is_positive()) {
        all.push(Concern::NoMargin);
    }
    let strip = job.spacer.as_ref().and_then(|code| shop.materials[code].strip);
    let hidden = job.shown.lip.hides();
    if let Some(strip) = strip.filter(|strip| *strip > hidden) {
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

/// Whether a size lies across, 1, or stands upright, -1.
fn lies((width, height): (Length, Length)) -> i64 {
    (width - height).nm().signum()
}

/// Of each layer round others: whether its rabbet holds them.
fn outer(shop: &Shop, sheet: &JobSheet, all: &mut Vec<Concern>) {
    let (unit, depth) = (shop.settings.unit, &sheet.depth);
    let code = |layer: usize| sheet.frame.layers[layer - 1].moulding.clone();
    for rabbet in &depth.outer {
        let outer = code(rabbet.layer);
        match (rabbet.holds, rabbet.depth) {
            (Some(holds), Some(has)) if rabbet.lacks(unit).is_some() => {
                let (wants, mends) = (wanted(holds, unit), mends(depth));
                all.push(Concern::Thick { wants, depth: has, outer: Some(outer), mends });
            }
            (Some(_), Some(_)) => {}
            (_, None) => all.push(Concern::NotMeasured(vec![format!("{outer} has no depth")])),
            (None, _) => {
                let within = sheet.frame.layers[..rabbet.layer - 1].iter();
                let within = within.filter(|layer| shop.goes_round(layer));
                let mouldings = within.map(|layer| shop.moulding(&layer.moulding));
                let lacks = mouldings.filter(|of| of.body.height.and(of.depth).is_none());
                let what = lacks.map(|of| format!("{} has no height or no depth", of.id));
                all.push(Concern::NotMeasured(what.collect()));
            }
        }
    }
}

fn glazing(shop: &Shop, sheet: &JobSheet, all: &mut Vec<Concern>) {
    let job = &sheet.job;
    let glazing = job.glazing.as_ref().map(|code| &shop.materials[code]);
    if glazing.is_some() {
        all.extend(touch(shop, job));
    }
    // What of it is glass: whether it is the mirror, how thick it is, and its class.
    let pane = glazing.filter(|glazing| glazing.kind == MaterialKind::Glass);
    let pane = pane.map(|glass| (false, glass.thick, glass.safety.is_some()));
    let mirror = (job.art == Art::Mirror).then_some((true, job.thick, false));
    for (is_mirror, thick, is_safe) in pane.into_iter().chain(mirror) {
        let size = job.package.size;
        let (short, long) = (size.0.min(size.1), size.0.max(size.1));
        let nm = |length: Length| i128::from(length.nm());
        let is_large = nm(short) * nm(long) > nm(METRE) * nm(METRE) || long > METRE;
        if is_large && thick.is_none_or(|thick| thick < LARGE_GLASS) {
            all.push(Concern::GlassLarge { is_mirror });
        }
        if !is_safe && job.place.iter().any(|place| place.is_over_people()) {
            all.push(Concern::OverPeople { is_mirror });
        }
        let is_big = short > QUAKE.0 || long > QUAKE.1;
        if is_big && job.place.contains(&Place::Quake) {
            all.push(Concern::Quake);
        }
    }
    let acrylic = glazing.filter(|glazing| glazing.kind == MaterialKind::Acrylic);
    if let (Some(acrylic), PieceSize::Sheet(width, height)) = (acrylic, piece::glazing(shop, job)) {
        let tight = |package, cut| tight((package, cut), job.shown.lip, acrylic.growth());
        let sides = [tight(job.package.size.0, width), tight(job.package.size.1, height)];
        let worst = sides.into_iter().flatten().max_by_key(|(moves, room)| *moves - *room);
        all.extend(worst.map(|(moves, room)| Concern::AcrylicTight { moves, room }));
    }
    all.extend(sheet.pieces.iter().filter_map(|piece| no_sheet(shop, piece)));
}

/// Whether glazing lies on the art: with nothing between them, or on a float that stands
/// higher than what is.
fn touch(shop: &Shop, job: &Job) -> Option<Concern> {
    if job.mats.is_empty() && job.spacer.is_none() {
        return (job.art != Art::Nothing).then_some(Concern::Touch(None));
    }
    let Display::Floated { .. } = job.shown.display else { return None };
    let over = job.mats.iter().chain(&job.spacer).map(|code| shop.materials[code].thick);
    let (kept, stands) = over.sum::<Option<Length>>().zip(job.thick)?;
    (stands >= kept).then_some(Concern::Touch(Some((stands, kept))))
}

/// What of the shop's makes room for a package that is too thick.
fn mends(depth: &Depth) -> Vec<String> {
    let out = depth.build_out.as_ref();
    let cut = out.and_then(|out| out.material.as_ref());
    let cut = cut.map(|code| format!("build the back out with {code}"));
    let layer = out.and_then(|out| out.layer.as_ref());
    let layer = layer.map(|code| format!("give the frame {code} as a layer behind"));
    let deeper =
        (!depth.would_do.is_empty()).then(|| format!("take {}", depth.would_do.join(", ")));
    let mends: Vec<String> = cut.into_iter().chain(layer).chain(deeper).collect();
    match mends.is_empty() {
        true => vec!["build the back out, or take a deeper moulding".to_owned()],
        false => mends,
    }
}

/// A piece that is in no sheet of its material, however it is turned.
fn no_sheet(shop: &Shop, piece: &JobPiece) -> Option<Concern> {
    let code = piece.material.as_ref().filter(|_| !piece.is_made_to_size(shop))?;
    let PieceSize::Sheet(width, height) = piece.size else { return None };
    let sheets = &shop.materials[code].sheets;
    let holds =
        |&(w, h): &(Length, Length)| (width <= w && height <= h) || (width <= h && height <= w);
    let lacks = !sheets.is_empty() && !sheets.iter().any(holds);
    let kind = shop.materials[code].kind;
    lacks.then(|| Concern::NoSheet { material: code.clone(), kind, size: (width, height) })
}

fn frame(shop: &Shop, sheet: &JobSheet, all: &mut Vec<Concern>) {
    let corners = &sheet.corners;
    if let Some(bow) = corners.bow.filter(|bow| *bow > MOST_BOW) {
        all.push(Concern::RailBows(bow));
    }
    if let Some(sag) = corners.sag.filter(|sag| sags(corners.lower, *sag)) {
        all.push(Concern::RailSags { sag, rail: corners.lower });
    }
    let moulding = shop.moulding(&corners.moulding);
    if moulding.body.height.is_some() && corners.nail.is_none() {
        all.push(Concern::NailTooLong);
    }
    let hangers = sheet.pieces.iter().find(|piece| piece.what == PieceOf::Hanger);
    let wood = moulding.width - moulding.rabbet;
    let is_floater = moulding.kind == Kind::Floater;
    let screw = hangers.and_then(|hanger| shop.materials.get(hanger.material.as_ref()?)?.screw);
    let screw = screw.filter(|screw| !is_floater && wood < *screw * 3);
    if hangers.is_some() && (is_floater || screw.is_some()) {
        all.push(Concern::Narrow { wood, screw });
    }
}

fn hanging(sheet: &JobSheet, all: &mut Vec<Concern>) {
    let (hanging, heft) = (&sheet.hanging, &sheet.heft);
    // What is known of it may be heavy enough.
    let weight = heft.known();
    if weight > STRAPS_FROM {
        let (way, two_people) = (hanging.way, weight > TWO_PEOPLE_FROM);
        all.push(Concern::Heavy { weight, way, two_people });
        if sheet.job.place.iter().any(|place| place.is_over_people()) {
            all.push(Concern::HeavyOverPeople(weight));
        }
    }
    if sheet.job.place.contains(&Place::Rail) {
        match hanging.way {
            Some(Hang::Strut) => {}
            _ if weight > TWO_PEOPLE_FROM => all.push(Concern::NotOnRail(Some(weight))),
            Some(Hang::Cleat | Hang::Security) => all.push(Concern::NotOnRail(None)),
            _ => {}
        }
    }
    if heft.total.is_none() {
        let unknown = heft.parts.iter().filter(|part| part.weight.is_none());
        let what = unknown.map(|part| format!("{}: {}", part.what, part.from)).collect();
        all.push(Concern::NoWeight(what));
        return;
    }
    let wanted_wire = matches!(sheet.job.hang, None | Some(Hang::Wire | Hang::Cord));
    if wanted_wire
        && !hanging.on_rail
        && weight <= STRAPS_FROM
        && hanging.leg.is_none_or(|leg| leg.is_flat())
    {
        let between = sheet.outside.0 - hanging.inset * 2;
        let two = run(between, sheet.outside.0, 2);
        let run = if two.is_positive() { two } else { run(between, sheet.outside.0, 1) };
        all.push(Concern::NoWire {
            tenths: hanging.leg.map(|leg| leg.tenths_of_degree()),
            wants: rise_at_30(run),
            has: most_rise(hangers_down(sheet.outside.1)),
        });
    }
    let chosen = [&hanging.hangers, &hanging.wire, &hanging.hooks];
    let has = |kind: MaterialKind| match kind {
        MaterialKind::Hanger | MaterialKind::Strap => chosen[0].is_some(),
        MaterialKind::Wire(_) => chosen[1].is_some(),
        _ => chosen[2].is_some(),
    };
    let weak: Vec<_> = hanging.asked.iter().filter(|(kind, _)| !has(*kind)).collect();
    for (kind, needs) in &weak {
        all.push(Concern::Weak { kind: *kind, needs: *needs });
    }
    // One without a load might have held it.
    if !weak.is_empty() && !hanging.unrated.is_empty() {
        all.push(Concern::NoRating(hanging.unrated.clone()));
    }
}
