//! The order of work of one job, and its cautions.

use jiff::civil::DateTime;

use super::piece::PieceOf;
use super::sheet::JobSheet;
use crate::job::hanging::STRAPS_FROM;
use crate::job::joining::{CLAMP_MINUTES, glue};
use crate::measure::{Length, LengthStyle, Unit, Weight};
use crate::shop::{Art, ConsentTo, Hang, Kind, MaterialKind, Moulding, Place, Shop};

/// What is done to paper with the customer's word only.
const NEEDS_WORD: [(ConsentTo, &str); 3] = [
    (ConsentTo::Trim, "trimmed"),
    (ConsentTo::Mount, "mounted for good"),
    (ConsentTo::Reuse, "reused of an old frame"),
];

/// The words for a wall.
const WALLS: [Place; 2] = [Place::Stud, Place::Masonry];

/// From this size on a conservator would have acrylic spaced well away: 40 x 50 in.
const WELL_AWAY: (Length, Length) = (Length::from_64ths(40 * 64), Length::from_64ths(50 * 64));

/// Over this in both directions a page advises acrylic: 3 ft.
const THREE_FEET: Length = Length::from_64ths(36 * 64);

/// How much the diagonals may differ, never more than there is: in inches with millimetres
/// beside them, since a small frame leaves less than a bench mark.
pub fn differ(sheet: &JobSheet, shop: &Shop) -> String {
    let differ = sheet.corners.diagonals;
    let mm = LengthStyle { unit: Unit::Millimetre, mark: Length::from_nm(100_000) };
    let fine = LengthStyle { unit: Unit::Inch, mark: Length::from_64ths(1) };
    match shop.settings.unit {
        Unit::Inch if differ >= fine.mark => {
            format!("{} ({})", fine.show_down_unit(differ), mm.show_down_unit(differ))
        }
        _ => mm.show_down_unit(differ),
    }
}

/// What is done, one thing after the other.
pub fn steps(sheet: &JobSheet, shop: &Shop) -> Vec<String> {
    let job = &sheet.job;
    let has = |what: PieceOf| sheet.pieces.iter().any(|piece| piece.what == what);
    let hours = shop.settings.job.glue_hours;
    let mut steps = Vec::new();
    let mut add = |step: &str| steps.push(step.to_owned());
    add(match job.art {
        Art::Nothing => "Look the ticket over: size, moulding, day.",
        Art::Mirror => "Look the mirror over with the ticket: size, thickness, edges.",
        _ => "Look the art over with the ticket: size, condition, consent.",
    });
    if !job.mats.is_empty() {
        add(
            "Cut the mats: blanks first, then the openings, measured at the lower edge of the bevel.",
        );
    }
    match sheet.pieces.iter().find(|piece| piece.what == PieceOf::Glazing) {
        Some(pane) if pane.is_made_to_size(shop) => add(
            "Measure the toughened glazing, which was ordered to size and is not to be cut; clean it \
             on both sides.",
        ),
        Some(_) => add("Cut the glazing, and clean it on both sides."),
        None => {}
    }
    let boards = match (has(PieceOf::Mount), has(PieceOf::Backing)) {
        (true, true) => Some("mount and backing"),
        (true, false) => Some("the mount"),
        (false, true) => Some("the backing"),
        (false, false) => None,
    };
    if let Some(boards) = boards {
        add(&match (has(PieceOf::Mount), job.art) {
            (true, Art::Paper | Art::Object) => {
                format!("Cut {boards}, and mount the art as agreed; hinges dry overnight.")
            }
            _ => format!("Cut {boards}."),
        });
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
    steps.push(format!("Measure both diagonals: they may differ by {}.", differ(sheet, shop)));
    let around = sheet.frame.layers.iter().filter(|layer| shop.goes_round(layer));
    let around: Vec<&Moulding> = around.map(|layer| shop.moulding(&layer.moulding)).collect();
    for pair in around.windows(2) {
        let how = match pair[1].kind {
            Kind::Floater => "with the same gap all round, and fix it there from behind",
            _ => "close to its lip all round, and fix it there",
        };
        steps.push(format!("Set {} into {}, {how}.", pair[0].id, pair[1].id));
    }
    let mut add = |step: &str| steps.push(step.to_owned());
    if has(PieceOf::BuildOut) || shop.built_out(&sheet.frame).is_positive() {
        add("Glue and screw the build-out to the back.");
    }
    if job.art == Art::Canvas && has(PieceOf::Glazing) {
        add(match has(PieceOf::Spacer) {
            true => {
                "Stack glazing, spacer and canvas, the spacer on its bars all round; look for dust, \
                 and seal the edges."
            }
            false => {
                "Stack glazing and canvas with a spacer between them that is still to be chosen; look \
                 for dust, and seal the edges."
            }
        });
    }
    match job.art {
        Art::Canvas if has(PieceOf::Clip) => {
            add(
                "Set the canvas in; hold it with offset clips screwed into the frame, never into the bars.",
            );
        }
        Art::Canvas => {
            add(
                "Set the canvas in, even all round; plates or turn-buttons hold it, screwed into the \
                 frame only, never into the bars.",
            );
        }
        _ if job.is_empty_frame() => {}
        _ if around[0].kind == Kind::Floater => {
            add(
                "Set it into the floater with the same gap all round, and hold it from behind, screwed \
                 into the frame only; a floater has no room for points.",
            );
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
    if has(PieceOf::BackTape) {
        add("Tape the joint between frame and package behind.");
    }
    match sheet.hanging.way {
        Some(Hang::Wire | Hang::Cord | Hang::Straps) => {
            add("Fix the hangers, last of all, with full thread in the wood.");
        }
        Some(Hang::Cleat) => add(
            "Fix the cleat's bar over the full width, less what is left at the sides, last of all.",
        ),
        Some(Hang::Security) => add("Fit the security set, last of all, as its maker says."),
        Some(Hang::Strut) => add("Fix the strut, last of all."),
        Some(Hang::Nowhere) | None => {}
    }
    add("Weigh it, write the weight down, label it, sign.");
    steps
}

/// From when on a job that is joined now may be fitted, loaded and given out.
pub fn loaded(joined: DateTime, shop: &Shop) -> String {
    let [from, to, loaded] = glue(joined, shop.settings.job.glue_hours);
    format!(
        "Clamps come off from {} to {}, and what is light may be fitted then; nothing else loads it, \
         and it is not hung or given out, before {}.",
        from.strftime("%H:%M"),
        to.strftime("%H:%M"),
        loaded.strftime("%Y-%m-%d %H:%M")
    )
}

/// What is said of a joined job until its glue may be loaded.
pub fn sets(joined: DateTime, now: DateTime, shop: &Shop) -> Option<String> {
    let [.., loaded] = glue(joined, shop.settings.job.glue_hours);
    (now < loaded).then(|| {
        format!(
            "it was joined at {}, and is not hung or given out before {}.",
            joined.strftime("%Y-%m-%d %H:%M"),
            loaded.strftime("%Y-%m-%d %H:%M")
        )
    })
}

/// What is said of a job that is fitted before its glue holds that: what is light waits for
/// its clamps, and anything else until it may be loaded. Nothing is light whose weight is not
/// known, or from which on a frame hangs from straps.
pub fn fitted_early(
    sheet: &JobSheet,
    (joined, fitted): (DateTime, DateTime),
    shop: &Shop,
) -> Option<String> {
    let [_, off, loaded] = glue(joined, shop.settings.job.glue_hours);
    let is_light = sheet.heft.total.is_some_and(|all| all <= STRAPS_FROM);
    let (until, why) = match is_light {
        true => (off, "its clamps come off"),
        false => (loaded.max(off), "its glue may be loaded, since it is not known to be light"),
    };
    (fitted < until).then(|| {
        format!(
            "MIND: it was joined at {}, and nothing is put into it before {}, when {why}: take the \
             package out again, and leave the frame flat until then.",
            joined.strftime("%Y-%m-%d %H:%M"),
            until.strftime("%Y-%m-%d %H:%M")
        )
    })
}

/// What is said of a job that is fitted, and nobody wrote down when it was joined.
pub fn never_joined(shop: &Shop) -> String {
    format!(
        "MIND: nobody wrote down when it was joined, so its glue is not known to have set: clamps stay \
         on for {} to {} minutes, and nothing but what is light loads it for {} hours. If it was joined \
         less than that ago, take the package out again, leave the frame flat, undo this step, and \
         write down that it is joined.",
        CLAMP_MINUTES.0, CLAMP_MINUTES.1, shop.settings.job.glue_hours
    )
}

/// What to mind in making and hanging it.
pub fn cautions(sheet: &JobSheet, shop: &Shop) -> Vec<String> {
    let job = &sheet.job;
    let glazing = job.glazing.as_ref().map(|code| shop.materials[code].kind);
    let mut all = Vec::new();
    let mut add = |caution: &str| all.push(caution.to_owned());
    let toughened = job.glazing.as_ref().is_some_and(|code| shop.is_made_to_size(code));
    match glazing {
        Some(MaterialKind::Glass) if toughened => add(
            "Toughened glass is never cut, drilled or ground, its edges neither: it would break \
             wholly, and at once. Guard its corners; gloves and eye protection; carry it on edge.",
        ),
        Some(MaterialKind::Glass) => add(
            "Glass cuts: gloves that it cannot cut and eye protection; carry it on edge; seam its \
             edges; splinters go into a bin of their own.",
        ),
        None if job.art == Art::Mirror => add(
            "Glass cuts, and a mirror is glass: gloves that it cannot cut and eye protection; carry \
             it on edge, by two people when it is large; seam its edges; splinters go into a bin of \
             their own.",
        ),
        Some(_) => {
            add(
                "Acrylic: keep its film on until it is fitted; no ammonia, no paper on it; it bows to \
                 the damper or warmer side, so large art wants a deeper spacer; for a dry place the \
                 package is not sealed with tape.",
            );
        }
        None => {}
    }
    let (short, long) =
        (job.package.size.0.min(job.package.size.1), job.package.size.0.max(job.package.size.1));
    if glazing == Some(MaterialKind::Acrylic) && short >= WELL_AWAY.0 && long >= WELL_AWAY.1 {
        add("Acrylic of this size is spaced well away from the art.");
    }
    if glazing == Some(MaterialKind::Glass) && short > THREE_FEET {
        add(&format!(
            "Glass over {} both ways: acrylic is lighter, and does not splinter.",
            shop.settings.unit.either("three feet", "91 cm")
        ));
    }
    let usual = match shop.settings.unit {
        Unit::Inch => Length::from_64ths(8),
        Unit::Millimetre => Length::from_mm(3),
    };
    if job.art == Art::Canvas && job.shown.lip.covers() && job.shown.lip.allowance < usual {
        add(&format!(
            "The frame's allowance is less than is usual for bars, {}, and keys spread them: measure \
             the canvas over its folded corners.",
            shop.settings.unit.either("1/8 in", "3 mm")
        ));
    }
    if !job.mats.is_empty() {
        add("Mat knives: cut away from the hand that holds, blade covered when it lies.");
    }
    let is_wire = matches!(sheet.hanging.way, Some(Hang::Wire | Hang::Cord));
    match sheet.hanging.way {
        Some(Hang::Nowhere | Hang::Strut) => {}
        _ => {
            add("Two points on the frame and two on the wall, never one.");
            let on_rail = sheet.hanging.on_rail;
            let is_wall = |place: &&Place| match place {
                Place::Rail => on_rail,
                _ => !on_rail && WALLS.contains(place),
            };
            add(match job.place.iter().find(is_wall) {
                Some(Place::Stud) => {
                    "Into a stud wherever one is, else anchors that are rated for a hollow wall; mind \
                     pipes and cables."
                }
                Some(Place::Masonry) => {
                    "Masonry: drilled and plugged, no pin hooks, and none into render alone; mind \
                     pipes and cables."
                }
                Some(_) => "From the picture rail on two hooks, their chains or wires straight up.",
                None => {
                    "The wall decides: a stud or masonry first, else rated anchors; pin hooks are not \
                     for masonry or render; mind pipes and cables."
                }
            });
        }
    }
    let is_safe = matches!(sheet.hanging.way, Some(Hang::Security | Hang::Cleat));
    if job.place.contains(&Place::Public) && !is_safe {
        add("In public places: a security set of three points, or a cleat over the full width.");
    }
    if job.place.contains(&Place::Quake) {
        add("Where the earth quakes: closed hooks with long shanks, putty at the lower corners.");
    }
    if is_wire {
        add("D-rings point along the wire; no screw eyes; new wire, not used before.");
    }
    if sheet.hanging.way == Some(Hang::Straps) {
        add(match sheet.hanging.on_rail {
            true => "Straps stand upright, a chain or wire straight up from each.",
            false => "Straps stand upright, one hook under each.",
        });
    }
    if sheet.hanging.way == Some(Hang::Cleat) {
        add("One cleat over the full width, not two short ones.");
    }
    if job.art != Art::Nothing && job.value.is_some_and(|value| value.0 > 0) {
        add("Valuable or fragile art goes to a conservator first.");
    }
    let lacks = NEEDS_WORD.iter().filter(|(what, _)| !job.consent.is_for(*what));
    let lacks: Vec<&str> = lacks.map(|(_, words)| *words).collect();
    if let (Art::Paper, Some((last, before))) = (job.art, lacks.split_last()) {
        let either = match before {
            [] => (*last).to_owned(),
            before => format!("{} or {last}", before.join(", ")),
        };
        add(&format!("Nothing may be {either}: the ticket has no consent to that."));
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
