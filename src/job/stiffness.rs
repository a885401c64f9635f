//! How far rails bend: own estimates, to point at what looks doubtful.
//!
//! A beam of the rail's whole section, of which the rabbet's part is missing in truth, so
//! that what is worked out is less than what will be. It says which frames to look at,
//! never that one is safe.

use crate::measure::{Length, Weight};

/// The section of a rail: face width, along which it bends, and height.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RailSection {
    /// Face width.
    pub width: Length,
    /// From face to back.
    pub height: Length,
    /// Young's modulus in tenths of a gigapascal.
    pub modulus: u32,
}

/// A rail that bows inwards by more is pointed at: 1.5 mm.
pub const MOST_BOW: Length = Length::from_nm(1_500_000);

/// How far a lower rail sags under a package, evenly loaded: 5 Q L^3 / (384 E I).
pub fn sag(rail: Length, package: Weight, section: RailSection) -> Length {
    bend(package, 5 * 12 * cube(rail), 384, section)
}

/// Whether it sags by more than a three hundredth of its length.
pub fn sags(rail: Length, sag: Length) -> bool {
    sag * 300 > rail
}

/// How far a side rail bows inwards, pulled a third down its height by so much:
/// P x^2 (H - x)^2 / (3 E I H), which is 4 P H^3 / (243 E I).
pub fn bow(rail: Length, pull: Weight, section: RailSection) -> Length {
    bend(pull, 4 * 12 * cube(rail), 243, section)
}

/// The cube of a length in micrometres.
fn cube(length: Length) -> i128 {
    um(length) * um(length) * um(length)
}

fn um(length: Length) -> i128 {
    i128::from(length.nm()) / 1000
}

/// A force times a cube over `below` x E x height x width cubed, up.
fn bend(force: Weight, cube: i128, below: i128, section: RailSection) -> Length {
    // The weight of a gram is 9.80665 thousandths of a newton; a tenth of a gigapascal is
    // 10^-4 newtons a square micrometre. Both are in parts of 10^8.
    const GRAVITY: i128 = 980_665;
    const MODULUS: i128 = 10_000;
    let grams = i128::from(force.ug()) / 1_000_000 + 1;
    let stiff = below * MODULUS * i128::from(section.modulus) * um(section.height);
    // Over the width three times, so that nothing grows beyond 128 bits.
    let mut left = cube * GRAVITY / stiff.max(1) * grams;
    for _ in 0..3 {
        left /= um(section.width).max(1);
    }
    Length::from_nm(i64::try_from(left.saturating_add(1).saturating_mul(1000)).unwrap_or(i64::MAX))
}

/// What a wood screw holds straight out of a wood, allowable, for each inch of thread:
/// 2850 G^2 D pounds. The specific gravity is in thousandths.
pub fn holds(gravity: u32, diameter: Length) -> Weight {
    const POUND: i128 = 453_592_370;
    const INCH: i128 = 25_400_000;
    let square = i128::from(gravity) * i128::from(gravity);
    let over = 2850 * POUND * square * i128::from(diameter.nm());
    Weight::from_ug(i64::try_from(over / (1_000_000 * INCH)).unwrap_or(0))
}
