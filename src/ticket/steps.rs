//! The order of work of one job, and its cautions.

use super::piece::PieceOf;
use super::sheet::JobSheet;
use crate::job::joining::CLAMP_MINUTES;
use crate::measure::Weight;
use crate::shop::{Art, Hang, MaterialKind, Shop};

/// What is done, one thing after the other.
pub fn steps(sheet: &JobSheet, shop: &Shop) -> Vec<String> {
    let job = &sheet.job;
    let has = |what: PieceOf| sheet.pieces.iter().any(|piece| piece.what == what);
    let hours = shop.settings.job.glue_hours;
    let mut steps = Vec::new();
    let mut add = |step: &str| steps.push(step.to_owned());
    add("Look the art over with the ticket: size, condition, consent.");
    if !job.mats.is_empty() {
        add(
            "Cut the mats: blanks first, then the openings, measured at the lower edge of the bevel.",
        );
    }
    if has(PieceOf::Glazing) {
        add("Cut the glazing, and clean it on both sides.");
    }
    if has(PieceOf::Mount) || has(PieceOf::Backing) {
        add("Cut mount and backing, and mount the art as agreed.");
    }
    if has(PieceOf::Spacer) {
        add("Cut the spacers: the two along the width first, the other two between them.");
    }
    if job.fillet.is_some() {
        add(
            "Fit the fillet behind the mat's opening, with filler strips as thick as its lip all round.",
        );
    }
    steps.push(format!(
        "Chop and join: clamps for {} to {} minutes, nothing loaded on it for {hours} hours.",
        CLAMP_MINUTES.0, CLAMP_MINUTES.1
    ));
    steps.push(format!(
        "Measure both diagonals: they may differ by {}.",
        shop.settings.style().show_down_unit(sheet.corners.diagonals)
    ));
    let mut add = |step: &str| steps.push(step.to_owned());
    if has(PieceOf::BuildOut) {
        add("Glue and screw the build-out to the back.");
    }
    match job.art {
        Art::Canvas if has(PieceOf::Clip) => {
            add(
                "Set the canvas in; hold it with offset clips screwed into the frame, never into the bars.",
            );
        }
        Art::Canvas => {
            add("Set the canvas in, even all round; what holds it is screwed into the frame only.")
        }
        _ if has(PieceOf::Tape) => {
            add("Stack and seal the package, set it in, drive the points.");
        }
        _ => add("Set the package in and drive the points."),
    }
    if sheet.depth.filler.is_some() {
        add("Fill the rabbet behind the package.");
    }
    if has(PieceOf::DustCover) {
        add("Close the back with the dust cover.");
    }
    match sheet.hanging.way {
        Some(Hang::Nowhere | Hang::Strut) | None => {}
        Some(_) => add("Fix the hangers, last of all, with full thread in the wood."),
    }
    add("Weigh it, write the weight down, label it, sign.");
    steps
}

/// What to mind in making and hanging it.
pub fn cautions(sheet: &JobSheet, shop: &Shop) -> Vec<String> {
    let job = &sheet.job;
    let glazing = job.glazing.as_ref().map(|code| shop.materials[code].kind);
    let mut all = Vec::new();
    let mut add = |caution: &str| all.push(caution.to_owned());
    match glazing {
        Some(MaterialKind::Glass) => add(
            "Glass cuts: gloves that it cannot cut and eye protection; carry it on edge; seam its \
             edges; splinters go into a bin of their own.",
        ),
        Some(_) => add(
            "Acrylic: keep its film on until it is fitted; no ammonia, no paper on it; it bows to \
             the damper or warmer side, so large art wants a deeper spacer.",
        ),
        None => {}
    }
    if !job.mats.is_empty() {
        add("Mat knives: cut away from the hand that holds, blade covered when it lies.");
    }
    let is_wire = matches!(sheet.hanging.way, Some(Hang::Wire | Hang::Cord));
    match sheet.hanging.way {
        Some(Hang::Nowhere | Hang::Strut) => {}
        _ => {
            add("Two points on the frame and two on the wall, never one.");
            add(
                "The wall decides: a stud or masonry first, else rated anchors; pin hooks are not for \
                 masonry or render; mind pipes and cables.",
            );
        }
    }
    if is_wire {
        add("D-rings point along the wire; no screw eyes; new wire, not used before.");
    }
    if sheet.hanging.way == Some(Hang::Straps) {
        add("Straps stand upright, one hook under each.");
    }
    if sheet.hanging.way == Some(Hang::Cleat) {
        add("One cleat over the full width, not two short ones.");
    }
    if job.art != Art::Nothing && job.value.is_some_and(|value| value.0 > 0) {
        add("Valuable or fragile art goes to a conservator first.");
    }
    if job.consent.is_empty() && job.art == Art::Paper {
        add("Nothing may be trimmed or mounted for good: the ticket has no consent.");
    }
    let beyond = sheet.heft.total.is_some_and(|total| total > Weight::from_g(20_000));
    if beyond {
        add("Two people lift it.");
    }
    add(
        "This is worked out from what was entered: the machine's and the maker's instructions come first.",
    );
    all
}
