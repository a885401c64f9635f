//! How thick a package is, and what a rabbet lacks for it.

use crate::measure::{Length, Unit};

/// What is wanted beyond the package, for the points that hold it: 1/16 in, or 1.5 mm.
pub const fn for_points(unit: Unit) -> Length {
    match unit {
        Unit::Inch => Length::from_64ths(4),
        Unit::Millimetre => Length::from_nm(1_500_000),
    }
}

/// The depth that a package wants of its rabbet.
pub fn wanted(thickness: Length, unit: Unit) -> Length {
    thickness + for_points(unit)
}

/// How high a strip behind the frame must be so that a package fits; nothing where the
/// rabbet is deep enough.
pub fn build_out(thickness: Length, depth: Length, unit: Unit) -> Option<Length> {
    let lacks = wanted(thickness, unit) - depth;
    lacks.is_positive().then_some(lacks)
}

/// How much a rabbet has to spare, if it has more than a board: that is filled.
pub fn filler(thickness: Length, depth: Length, board: Length, unit: Unit) -> Option<Length> {
    let spare = depth - wanted(thickness, unit);
    (spare > board).then_some(spare)
}

/// How far bars stand out behind a rabbet: the offset of the clips that hold them; where
/// they do not, plates or turn-buttons do.
pub fn stands_out(bars: Length, depth: Length) -> Option<Length> {
    let out = bars - depth;
    out.is_positive().then_some(out)
}
