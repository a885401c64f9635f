//! Jobs for other programs. Lengths are millimetres, weights grams as exact decimals.

use serde_json::{Value, json};

use crate::measure::{Length, Weight};
use crate::shop::{Hang, Shop};
use crate::ticket::{Fixing, JobPiece, JobSheet, PieceSize, cautions, job_price, steps, tell};

use super::job_words::style;
use super::json::{list, mm, pretty};

/// One job.
pub fn job(sheet: &JobSheet, shop: &Shop) -> String {
    pretty(&value(sheet, shop))
}

pub(super) fn value(sheet: &JobSheet, shop: &Shop) -> Value {
    let (job, package, depth) = (&sheet.job, &sheet.job.package, &sheet.depth);
    let some = |length: Option<Length>| length.map(mm);
    let borders = package.borders.map(|borders| {
        json!({
            "left": mm(borders.left),
            "top": mm(borders.top),
            "right": mm(borders.right),
            "bottom": mm(borders.bottom),
        })
    });
    let style = style(shop);
    json!({
        "ticket": sheet.frame.id,
        "copies": sheet.copies,
        "note": sheet.frame.note,
        "due": sheet.frame.due.map(|due| due.to_string()),
        "art": job.art.word(),
        "art_size": size(job.shown.art),
        "package": size(package.size),
        "opening": package.opening.map(size),
        "mats": list(&package.mats, |mat| size(*mat)),
        "borders": borders,
        "seen": size(sheet.sight),
        "outside": size(sheet.outside),
        "pieces": list(&sheet.pieces, |of| piece(of, shop)),
        "thickness": some(depth.thickness),
        "rabbet_depth": some(depth.rabbet),
        "build_out": some(depth.build_out.as_ref().map(|out| out.least)),
        "weight": sheet.heft.total.map(grams),
        "hanging": hanging(sheet),
        "look_at": list(&sheet.concerns, |concern| json!({
            "name": concern.name(), "words": concern.words(&style)})),
        "steps": steps(sheet, shop),
        "cautions": cautions(sheet, shop),
        "tell": tell(sheet, shop),
        "price": job_price(shop, sheet).map(|price| shop.settings.currency.show(price.said)),
    })
}

fn hanging(sheet: &JobSheet) -> Value {
    let hanging = &sheet.hanging;
    let is_wire = matches!(hanging.way, Some(Hang::Wire | Hang::Cord));
    let fixing = |fixing: &Fixing| {
        json!({
            "material": fixing.material,
            "needs": grams(fixing.needs),
            "prints": grams(fixing.prints),
        })
    };
    json!({
        "by": hanging.way.map(|way| way.word()),
        "hangers_below_top": mm(hanging.down),
        "hangers_from_sides": mm(hanging.inset),
        "wire_rise": hanging.leg.filter(|_| is_wire).map(|leg| mm(leg.rise)),
        "tension": hanging.tension.map(grams),
        "inward": hanging.inward.map(grams),
        "hooks": hanging.hook_count,
        "hooks_apart": mm(hanging.hooks_apart),
        "hooks_below_top": (!hanging.on_rail).then(|| mm(hanging.hooks_below)),
        "hanger": hanging.hangers.as_ref().map(fixing),
        "wire": hanging.wire.as_ref().map(fixing),
        "hook": hanging.hooks.as_ref().map(fixing),
    })
}

fn piece(piece: &JobPiece, shop: &Shop) -> Value {
    let (width, height) = match piece.size {
        PieceSize::Sheet(width, height) => (Some(mm(width)), Some(mm(height))),
        PieceSize::Long(length) => (Some(mm(length)), None),
        PieceSize::Whole => (None, None),
    };
    json!({
        "what": piece.what.words(),
        "material": piece.material,
        "width": width,
        "height": height,
        "opening": piece.opening.map(size),
        "count": piece.count,
        "made_to_size": piece.is_made_to_size(shop),
    })
}

fn size((width, height): (Length, Length)) -> Value {
    json!([mm(width), mm(height)])
}

/// Grams as an exact decimal.
fn grams(weight: Weight) -> Value {
    let ug = weight.ug();
    let text = format!("{}.{:06}", ug / 1_000_000, ug % 1_000_000);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    serde_json::from_str(text).expect("digits with a point are a number")
}
