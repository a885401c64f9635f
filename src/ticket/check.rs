//! Works a job out again from what was typed, in other words than the rules, and says
//! where its sheet is wrong. Nothing is shown that does not stand up to this.
//!
//! Sums are added the other way round, roots are squared back, and loads are held against
//! the packets themselves.

use super::concern::Concern;
use super::hang::Fixing;
use super::piece::{PieceOf, PieceSize};
use super::sheet::JobSheet;
use super::stacked::stacked;
use super::weighed::weight;
use crate::job::package::Display;
use crate::measure::{Length, Weight};
use crate::shop::{Art, Hang, Kind, MaterialKind, Place, Shop};

/// What is wrong with a sheet, in words; nothing if it stands.
pub fn check(sheet: &JobSheet, shop: &Shop) -> Vec<String> {
    let mut wrong = Vec::new();
    let ticket = &sheet.frame.id;
    let mut say = |holds: bool, what: &str| {
        if !holds {
            wrong.push(format!("{ticket}: {what}"));
        }
    };
    window(sheet, &mut say);
    pieces(sheet, shop, &mut say);
    depth(sheet, shop, &mut say);
    stacked(sheet, shop, &mut say);
    weight(sheet, shop, &mut say);
    people(sheet, shop, &mut say);
    hanging(sheet, shop, &mut say);
    wrong
}

/// The package from the middle out, on each side by itself.
fn window(sheet: &JobSheet, say: &mut impl FnMut(bool, &str)) {
    let (job, shown) = (&sheet.job, &sheet.job.shown);
    let package = &job.package;
    say(package.size == (sheet.frame.width, sheet.frame.height), "the frame has another size");
    let given = shown.given.is_none_or(|given| given == package.size);
    say(given, "the package is not as it is given");
    for across in [true, false] {
        let of = |pair: (Length, Length)| (if across { pair.0 } else { pair.1 }).nm();
        let (art, image, size) = (of(shown.art), of(shown.image), of(package.size));
        say(art <= size, "the art is larger than its package");
        let lip = 2 * shown.lip.rabbet.nm() - shown.lip.allowance.nm();
        if let Some(borders) = package.borders {
            let sides = match across {
                true => [borders.left.nm(), borders.right.nm()],
                false => [borders.top.nm(), borders.bottom.nm()],
            };
            // From the outside in: border, reveals, fillet, and what is left is the opening.
            let mut open = size - sides[0] - sides[1];
            let seen = shown.reveals.iter().rev().skip(1);
            let outer = package.mats.last().map(|mat| of(*mat));
            say(outer == Some(open), "borders and outermost opening are not the package");
            for (reveal, mat) in seen.zip(package.mats.iter().rev().skip(1)) {
                open -= 2 * reveal.nm();
                say(of(*mat) == open, "a mat's opening is not its reveal within the next");
            }
            open -= 2 * shown.fillet.unwrap_or(Length::ZERO).nm();
            say(package.opening.map(of) == Some(open), "the innermost opening is another");
            say(
                open > 0 && sides.iter().all(|side| *side > 0),
                "there is no opening, or no border",
            );
            let exact = match shown.display {
                Display::Overlapped { overlap } => image - overlap.nm() - overlap.nm(),
                Display::Revealed { sides, bottom } => {
                    image + sides.nm() + if across { sides.nm() } else { bottom.nm() }
                }
                Display::Floated { margin } => art + margin.nm() + margin.nm(),
                Display::Whole => open,
            };
            say(
                2 * (open - exact).abs() <= shown.grain.nm(),
                "the opening is off by over half a mark",
            );
            let holds = !matches!(shown.display, Display::Floated { .. });
            say(!holds || open < art, "the art falls through its window");
        } else {
            let seen = size - lip;
            let fits = match shown.display {
                Display::Floated { .. } => art <= seen,
                _ => art <= size,
            };
            say(fits, "the art is larger than what it lies in");
            let is_held = shown.lip.rabbet == Length::ZERO || art > seen;
            let is_whole = shown.display == Display::Whole;
            say(!is_whole || is_held, "the art falls through the frame");
            if let (Display::Floated { margin }, None) = (shown.display, shown.given) {
                say(seen == art + 2 * margin.nm(), "the float's margin is another");
            }
        }
    }
}

/// Nothing that goes into the rabbet is larger than the package.
fn pieces(sheet: &JobSheet, shop: &Shop, say: &mut impl FnMut(bool, &str)) {
    let (width, height) = sheet.job.package.size;
    for piece in &sheet.pieces {
        let inside = matches!(
            piece.what,
            PieceOf::Mat(_) | PieceOf::Glazing | PieceOf::Mount | PieceOf::Backing
        );
        match piece.size {
            PieceSize::Sheet(w, h) if inside => {
                say(w <= width && h <= height, "a piece is larger than its package");
                if let Some(opening) = piece.opening {
                    say(opening.0 < w && opening.1 < h, "a window is larger than its mat");
                }
            }
            PieceSize::Long(length) if piece.what == PieceOf::Spacer => {
                say(length <= width.max(height), "a spacer is longer than its package");
            }
            PieceSize::Long(length) if piece.what == PieceOf::Cleat => {
                say(length < sheet.outside.0, "the cleat's bar is longer than the frame is wide");
            }
            PieceSize::Sheet(w, h) if piece.what == PieceOf::DustCover => {
                let within = w < sheet.outside.0 && h < sheet.outside.1;
                say(within, "the dust cover is larger than the frame");
            }
            _ => {}
        }
        let material = piece.material.as_ref().map(|code| &shop.materials[code]);
        let acrylic = material.filter(|material| material.kind == MaterialKind::Acrylic);
        if let (Some(material), PieceSize::Sheet(w, h)) = (acrylic, piece.size) {
            // 30 degrees Fahrenheit are 50/3 kelvins, and damp a thousandth, in 10^10 parts.
            let warm = i128::from(material.expansion.unwrap_or(72_000));
            let parts = (warm * 500 + 30_000_000) / 3;
            for (cut, room) in [(w, width), (h, height)] {
                let grown = i128::from(room.nm()) * parts / 10_000_000_000;
                let room = room + sheet.job.shown.lip.allowance;
                let is_said =
                    sheet.concerns.iter().any(|of| matches!(of, Concern::AcrylicTight { .. }));
                let has_room = i128::from((room - cut).nm()) >= grown;
                say(has_room || is_said, "acrylic has no room to move");
            }
        }
    }
}

/// The package lies in its rabbet, or what it lacks is said.
fn depth(sheet: &JobSheet, shop: &Shop, say: &mut impl FnMut(bool, &str)) {
    let depth = &sheet.depth;
    let layers = || sheet.frame.layers.iter().map(|layer| shop.moulding(&layer.moulding));
    let own = layers().next().and_then(|inner| inner.depth).map(|own| {
        let strips = layers().filter(|moulding| moulding.kind == Kind::BuildOut);
        own + strips.filter_map(|strip| strip.body.height).sum()
    });
    say(depth.rabbet == own, "the rabbet's depth is another");
    let is_floater = layers().next().is_some_and(|inner| inner.kind == Kind::Floater);
    say(!is_floater || depth.build_out.is_none(), "a floater is built out");
    let front = [&sheet.job.spacer, &sheet.job.glazing].into_iter().flatten();
    let front: Length = front.filter_map(|code| shop.materials[code].takes()).sum();
    let bars = sheet.job.thick.max(sheet.frame.thickness).map(|bars| bars + front);
    let clips = sheet.depth.clips.zip(own).is_none_or(|(clips, own)| {
        layers().count() > 1 || sheet.job.thick.is_some_and(|bars| bars + front - own == clips)
    });
    say(clips, "clips of another offset than the canvas and its glazing stand out by");
    let inside = if sheet.job.art == Art::Canvas { bars } else { depth.thickness };
    let stands = is_floater && inside.zip(own).is_some_and(|(thick, own)| thick > own);
    let is_said = sheet.concerns.iter().any(|of| matches!(of, Concern::Proud { .. }));
    say(stands == is_said, "what stands out of its floater, or does not, is not said of");
    if let (Some(thick), Some(deep)) = (depth.thickness, depth.rabbet) {
        let added = depth.build_out.as_ref().map_or(Length::ZERO, |out| out.least);
        let is_due = depth.build_out.as_ref().is_some_and(|out| out.layer.is_some());
        say(!(is_due && shop.settings.job.build_out), "a build-out is not added by itself");
        let is_held = deep + added > thick || is_floater;
        say(is_held, "the package stands out behind and nothing is said of it");
        if let Some(out) = &depth.build_out {
            let high = out.material.as_ref().and_then(|code| shop.materials[code].thick);
            say(
                high == out.height && high.is_none_or(|high| high >= out.least),
                "the build-out is too low",
            );
        }
    }
}

/// Glass over people is said of, whatever it is part of, and so is whatever is heavy.
fn people(sheet: &JobSheet, shop: &Shop, say: &mut impl FnMut(bool, &str)) {
    let job = &sheet.job;
    let panes = job.glazing.iter().map(|code| &shop.materials[code]);
    let mut bare = panes.filter(|pane| pane.kind == MaterialKind::Glass && pane.safety.is_none());
    let is_bare = bare.next().is_some() || job.art == Art::Mirror;
    let under = job.place.iter().any(|place| {
        matches!(place, Place::Bed | Place::Seat | Place::Stair | Place::Child | Place::Public)
    });
    let is_said = sheet.concerns.iter().any(|of| matches!(of, Concern::OverPeople { .. }));
    say(is_said == (is_bare && under), "glass over people, or none, is not said of");
    let known: i64 = sheet.heft.parts.iter().filter_map(|of| Some(of.weight?.ug())).sum();
    let is_heavy = known > Weight::from_g(9000).ug();
    let has = |is: fn(&Concern) -> bool| sheet.concerns.iter().any(is);
    say(has(|of| matches!(of, Concern::Heavy { .. })) == is_heavy, "heavy is not said of it");
    let over = has(|of| matches!(of, Concern::HeavyOverPeople(_)));
    say(over == (is_heavy && under), "what is heavy over people is not said of");
}

/// Nothing hangs flat, and nothing by less than its packet says.
fn hanging(sheet: &JobSheet, shop: &Shop, say: &mut impl FnMut(bool, &str)) {
    let hanging = &sheet.hanging;
    let is_wire = matches!(hanging.way, Some(Hang::Wire | Hang::Cord));
    let known: i64 = sheet.heft.parts.iter().filter_map(|of| Some(of.weight?.ug())).sum();
    let is_light = known <= Weight::from_g(20_000).ug();
    say(!hanging.on_rail || is_light, "more than 20 kg hang from a picture rail");
    let chosen = hanging.hangers.is_some() || hanging.wire.is_some() || hanging.hooks.is_some();
    let Some(weight) = sheet.heft.total else {
        return say(!chosen, "fixings are chosen for a weight that is not known");
    };
    let shared = |times: i64, load: Weight| i128::from(load.ug()) * i128::from(times);
    let factor = i64::from(shop.settings.job.hook_factor);
    let whole = i128::from(weight.ug());
    if is_wire {
        let leg = hanging.leg;
        say(leg.is_some_and(|leg| !leg.is_flat()), "a wire hangs flatter than 30 degrees");
        say(weight <= Weight::from_g(9000), "a wire holds more than 9 kg");
        if let (Some(leg), Some(tension)) = (leg, hanging.tension) {
            // Squared, in micrometres and grams: no root is taken. The leg is not longer than
            // what its pull says.
            let um = |length: Length| i128::from(length.nm()) / 1000;
            let grams = |weight: Weight, up: i64| i128::from((weight.ug() + up) / 1_000_000);
            let pull = grams(tension, 999_999) * 2 * (um(leg.rise) + 1);
            let holds = (um(leg.run).pow(2) + um(leg.rise).pow(2)) * grams(weight, 0).pow(2);
            say(pull.pow(2) >= holds, "a wire pulls harder");
            let hidden = super::hang::HOOK_HIDDEN;
            say(hanging.down - leg.rise >= hidden, "the hook is seen");
            if let Some(wire) = &hanging.wire {
                let kind = shop.materials[&wire.material].kind;
                let times = match kind {
                    MaterialKind::Wire(kind) => kind.factor(),
                    _ => i64::MAX / 1_000_000_000_000,
                };
                let breaks = printed(shop, wire);
                say(breaks >= shared(times, weight.max(tension)), "the wire is too weak");
            }
            if let Some(hanger) = &hanging.hangers {
                say(printed(shop, hanger) >= shared(factor, tension), "the hangers are too weak");
            }
        }
    }
    if let Some(hooks) = &hanging.hooks {
        let holds = printed(shop, hooks) * i128::from(hanging.hook_count.min(2));
        say(holds >= whole * i128::from(factor), "the hooks are too weak");
    }
    if let (Some(Hang::Straps), Some(straps)) = (hanging.way, &hanging.hangers) {
        let holds = printed(shop, straps) * 2;
        say(holds >= whole * i128::from(factor), "the straps are too weak");
    }
    let mut layers = sheet.frame.layers.iter().map(|layer| shop.moulding(&layer.moulding));
    let floats = layers.any(|moulding| moulding.kind == Kind::Floater);
    say(!floats || sheet.depth.clips.is_none(), "a floater has no clips");
}

/// The load on a fixing's packet, in micrograms; nothing where none is printed.
fn printed(shop: &Shop, fixing: &Fixing) -> i128 {
    let material = &shop.materials[&fixing.material];
    let load = match material.kind {
        MaterialKind::Wire(_) => material.breaks,
        _ => material.load,
    };
    load.map_or(0, |load| i128::from(load.ug()))
}
