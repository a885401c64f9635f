//! What a cell of a job can hold: borders, reveals, mats, places.

use crate::job::window::{Borders, Weighting};
use crate::measure::Length;
use crate::shop::{MaterialKind, Place, ShopMaterial};

use super::cells::ReadingUnits;
use super::job_mistake::JobMistake;
use super::materials::of_kind;
use super::mistake::Mistake;
use super::quoted::shown;
use super::register::Register;

/// How much of an undermat is seen where its cell says nothing: 1/4 in, a maker's usual.
const REVEAL: Length = Length::from_64ths(16);

/// A mat as it stands in a cell: its code, and how much of it is seen beyond the mat over
/// it; nothing of the outermost.
pub(super) type MatCell = (String, Length);

/// `2`, or `2; 2; 2; 2 1/2` for left, top, right and bottom.
pub(super) fn borders(text: &str, figures: &ReadingUnits) -> Result<Borders, Mistake> {
    let side = figures.positive("the border");
    let sides: Vec<Length> =
        text.split(';').map(|part| side(part.trim())).collect::<Result<_, _>>()?;
    match sides[..] {
        [all] => Ok(Borders::all(all)),
        [left, top, right, bottom] => Ok(Borders { left, top, right, bottom }),
        _ => Err(JobMistake::Border.into()),
    }
}

/// `1/4`, or `1/4; 1/2` for sides and bottom.
pub(super) fn reveal(text: &str, figures: &ReadingUnits) -> Result<(Length, Length), Mistake> {
    let sides: Vec<Length> =
        text.split(';').map(|part| figures.length(part.trim())).collect::<Result<_, _>>()?;
    match sides[..] {
        [all] => Ok((all, all)),
        [sides, bottom] => Ok((sides, bottom)),
        _ => Err(JobMistake::Reveal.into()),
    }
}

/// `1/2`, or `optical`.
pub(super) fn weighting(text: &str, figures: &ReadingUnits) -> Result<Weighting, Mistake> {
    match text.eq_ignore_ascii_case("optical") {
        true => Ok(Weighting::Optical),
        false => Ok(Weighting::Below(figures.length(text)?)),
    }
}

/// `OFF-WHITE; BLACK 1/4`: outermost first, as they are cut; given innermost first.
pub(super) fn mats(
    text: &str,
    figures: &ReadingUnits,
    materials: &Register<ShopMaterial>,
) -> Result<Vec<MatCell>, Mistake> {
    let mut mats = Vec::new();
    for part in text.split(';').map(str::trim) {
        let mat = mat(part, figures, materials)?;
        mats.push(match mats.is_empty() {
            true if mat.1.is_some() => {
                return Err(JobMistake::Mats { part: shown(part) }.into());
            }
            true => (mat.0, Length::ZERO),
            false => (mat.0, mat.1.unwrap_or(REVEAL)),
        });
    }
    mats.reverse();
    Ok(mats)
}

/// A code, or a code and a reveal after a blank. A code may have blanks itself.
fn mat(
    part: &str,
    figures: &ReadingUnits,
    materials: &Register<ShopMaterial>,
) -> Result<(String, Option<Length>), Mistake> {
    let is_mat = |text: &str| of_kind(materials, text, "mat", |kind| kind == MaterialKind::Mat);
    let whole = is_mat(part);
    if let Ok((code, _)) = whole {
        return Ok((code, None));
    }
    for (at, _) in part.match_indices(' ') {
        let (code, reveal) = (part[..at].trim_end(), part[at..].trim());
        let Ok((code, _)) = is_mat(code) else { continue };
        return match figures.positive("the reveal")(reveal) {
            Ok(reveal) => Ok((code, Some(reveal))),
            // A comma has its own mend.
            Err(mistake) if reveal.contains(',') => Err(mistake),
            Err(_) => Err(JobMistake::Mats { part: shown(part) }.into()),
        };
    }
    // What is named alone has its own mend: a near code, another kind.
    match part.contains(' ') || part.is_empty() {
        true => Err(JobMistake::Mats { part: shown(part) }.into()),
        false => whole.map(|(code, _)| (code, None)),
    }
}

/// `bed; child`.
pub(super) fn places(text: &str) -> Result<Vec<Place>, Mistake> {
    const ALL: [Place; 9] = [
        Place::Bed,
        Place::Seat,
        Place::Stair,
        Place::Child,
        Place::Public,
        Place::Quake,
        Place::Stud,
        Place::Masonry,
        Place::Rail,
    ];
    let place = |part: &str| {
        let found = ALL.into_iter().find(|place| place.word().eq_ignore_ascii_case(part));
        found.ok_or_else(|| {
            let known = ALL.map(Place::word).join(", ");
            JobMistake::Places { part: shown(part), known }.into()
        })
    };
    text.split(';').map(str::trim).map(place).collect()
}
