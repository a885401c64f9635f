//! Works out again what a job weighs at the least, for its check.

use super::heft::{HeftPart, THIN_PAPER};
use super::piece::{PieceOf, PieceSize};
use super::sheet::JobSheet;
use crate::measure::{Length, Weight};
use crate::rails::frame_rails;
use crate::shop::{Art, Hang, Shop};

/// Every part is there once, and none weighs less than it does.
pub(super) fn weight(sheet: &JobSheet, shop: &Shop, say: &mut impl FnMut(bool, &str)) {
    let (job, heft) = (&sheet.job, &sheet.heft);
    let named = job.materials().count();
    let counted = heft.parts.iter().filter(|part| shop.materials.contains_key(&part.what)).count();
    say(counted >= named, "a material is not weighed");
    let sum: Option<i64> = heft.parts.iter().map(|part| part.weight.map(|w| w.ug())).sum();
    say(sum == heft.total.map(Weight::ug), "the weights do not add up");
    let is_thin = job.art == Art::Paper && job.thick.is_none_or(|thick| thick <= THIN_PAPER);
    let is_light = (job.art == Art::Nothing || is_thin) && job.weight.is_none();
    let art = heft.parts.iter().any(|part| part.what.starts_with("the art"));
    let hardware = heft.parts.iter().find(|part| part.what == "hardware");
    let own = shop.settings.job.hardware;
    say(hardware.map(|part| part.weight) == Some(own), "the hardware is not weighed");
    say(is_light || art, "the art is not weighed");
    behind(sheet, shop, say);
    // Rails along the middle of their faces: long points less two halves of the face at each.
    for (layer, of) in sheet.frame.layers.iter().zip(frame_rails(shop, &sheet.frame)) {
        let moulding = shop.moulding(&layer.moulding);
        let Some(metre) = moulding.body.weight else { continue };
        let long = of.rails.iter().map(|rail| (rail.long_point - moulding.width).nm() / 1000);
        let least = i128::from(long.sum::<i64>()) * i128::from(metre.ug()) / 1_000_000;
        let of_it = heft.parts.iter().filter(|part| part.what == moulding.id);
        let weighs = of_it.map(|part| part.weight.map_or(0, |w| i128::from(w.ug()))).sum::<i128>();
        say(weighs >= least, "a moulding weighs more");
    }
    if let Some(glazing) = job.glazing.as_ref().map(|code| &shop.materials[code]) {
        let part = heft.parts.iter().find(|part| part.what == glazing.id);
        if let (Some(of), Some(weight)) = (glazing.weighs(), part.and_then(|part| part.weight)) {
            let um = |length: Length| i128::from(length.nm() / 1000);
            let (width, height) = job.package.size;
            let least = um(width) * um(height) * i128::from(of.ug()) / 1_000_000_000_000;
            say(i128::from(weight.ug()) >= least, "the glazing weighs more");
        }
    }
}

/// What is screwed behind is in the sum: strips, hangers, a cleat.
fn behind(sheet: &JobSheet, shop: &Shop, say: &mut impl FnMut(bool, &str)) {
    let is_cleat = sheet.hanging.way == Some(Hang::Cleat);
    let mut least = 0;
    for piece in &sheet.pieces {
        let weighs = piece.material.as_ref().and_then(|code| shop.materials[code].weight);
        let each = i128::from(weighs.map_or(0, Weight::ug)) * i128::from(piece.count);
        least += match (piece.what, piece.size) {
            (PieceOf::BuildOut, PieceSize::Long(long)) => {
                let is_weighed = weighs.is_some() || sheet.heft.total.is_none();
                say(is_weighed, "a build-out is not weighed");
                each * i128::from(long.nm() / 1000) / 1_000_000
            }
            (PieceOf::Hanger, _) => {
                let code = piece.material.as_deref().unwrap_or_default();
                let is_said = sheet.heft.not_counted.iter().any(|of| of.ends_with(code));
                let is_due = piece.material.is_some() && weighs.is_none();
                say(is_due == is_said || code.is_empty(), "hangers are not counted, and not said");
                each
            }
            (PieceOf::Hook, _) if is_cleat => each,
            _ => 0,
        };
    }
    let names = ["the build-out", "two of ", "the cleat "];
    let is_behind = |part: &&HeftPart| names.iter().any(|name| part.what.starts_with(name));
    let parts = sheet.heft.parts.iter().filter(is_behind).map(|part| part.weight);
    let counts = parts.sum::<Option<Weight>>().is_none_or(|all| i128::from(all.ug()) >= least);
    say(counts, "what is screwed behind is not weighed");
}
