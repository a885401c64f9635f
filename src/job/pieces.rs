//! The sizes of what is cut for one package.

use crate::measure::Length;

/// How much smaller than the package an undermat is cut that is stuck to the mat over
/// it: 1/4 in in each dimension.
pub const UNDERMAT: Length = Length::from_64ths(16);

/// How far a dust cover stays from the frame's edge: 1/8 in on each side.
const COVER: Length = Length::from_64ths(8);

/// What is added to a sealing tape for its end: 2 in.
const TAPE_END: Length = Length::from_64ths(128);

/// Points are no further apart than this: 3 in. Common practice, no source.
const POINTS_APART: Length = Length::from_64ths(192);

/// Points stand within this of a corner: 2 in. Common practice, no source.
const FROM_CORNER: Length = Length::from_64ths(128);

/// The four strips of a spacer round a package: two along its width, the two between
/// them shorter by the strip's width at both ends.
pub fn spacers(package: (Length, Length), strip: Length) -> [Length; 2] {
    [package.0, package.1 - strip * 2]
}

/// A dust cover for a frame of this size outside.
pub fn dust_cover(outside: (Length, Length)) -> (Length, Length) {
    (outside.0 - COVER * 2, outside.1 - COVER * 2)
}

/// The sheet that a dust cover of such a frame is torn from: 1 in larger than it in each
/// dimension.
pub fn cover_sheet(outside: (Length, Length)) -> (Length, Length) {
    let more = Length::from_64ths(64);
    (outside.0 + more, outside.1 + more)
}

/// The sealing tape round a package.
pub fn tape(package: (Length, Length)) -> Length {
    (package.0 + package.1) * 2 + TAPE_END
}

/// The points along one side of a package: two at least.
pub fn points(side: Length) -> i64 {
    let between = (side - FROM_CORNER * 2).nm();
    let apart = POINTS_APART.nm();
    let gaps = between.div_euclid(apart) + i64::from(between.rem_euclid(apart) > 0);
    gaps.max(1) + 1
}

/// The canvas for bars of this size: over their depth and so much to tuck on each side.
pub fn canvas(bars: (Length, Length), depth: Length, tuck: Length) -> (Length, Length) {
    let over = (depth + tuck) * 2;
    (bars.0 + over, bars.1 + over)
}
