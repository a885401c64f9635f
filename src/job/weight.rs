//! What the parts of a job weigh, each rounded up.

use crate::measure::{Length, Weight};

/// Square nanometres in a square metre.
const SQUARE_METRE: i128 = 1_000_000_000_000_000_000;

/// Nanometres in a metre.
const METRE: i128 = 1_000_000_000;

/// A sheet less its window, of what a square metre weighs.
pub fn sheet(size: (Length, Length), window: Option<(Length, Length)>, of: Weight) -> Weight {
    let area = |size: (Length, Length)| i128::from(size.0.nm()) * i128::from(size.1.nm());
    let left = area(size) - window.map_or(0, area);
    over(left * i128::from(of.ug()), SQUARE_METRE)
}

/// A length of what a metre weighs.
pub fn run(length: Length, of: Weight) -> Weight {
    over(i128::from(length.nm()) * i128::from(of.ug()), METRE)
}

/// How long the moulding of a frame is along the middle of its face.
pub fn along_the_face(outside: (Length, Length), width: Length) -> Length {
    (outside.0 + outside.1) * 2 - width * 4
}

/// A moulding's profile as a rectangle with its rabbet taken out: fuller than most are,
/// so heavier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Profile {
    /// Its whole height, face to back.
    pub height: Length,
    /// Its face width.
    pub width: Length,
    /// The rabbet's width and depth.
    pub rabbet: (Length, Length),
}

/// The volume of a frame's moulding in cubic nanometres; `opening` is the size between
/// opposite rabbets.
pub fn volume(profile: Profile, outside: (Length, Length), opening: (Length, Length)) -> i128 {
    let nm = |length: Length| i128::from(length.nm());
    let whole = nm(profile.height) * nm(profile.width) * nm(along_the_face(outside, profile.width));
    let (across, deep) = profile.rabbet;
    let along = (opening.0 + opening.1) * 2 - across * 4;
    whole - nm(across) * nm(deep) * nm(along)
}

/// What a volume weighs of a wood of so many kilograms a cubic metre.
pub fn of_volume(cubic_nm: i128, density: u32) -> Weight {
    // A kilogram a cubic metre is a microgram a cubic millimetre.
    over(cubic_nm * i128::from(density), METRE * METRE)
}

/// A quotient in whole micrograms, up.
fn over(above: i128, below: i128) -> Weight {
    let up = above.div_euclid(below) + i128::from(above.rem_euclid(below) > 0);
    Weight::from_ug(i64::try_from(up).unwrap_or(i64::MAX))
}
