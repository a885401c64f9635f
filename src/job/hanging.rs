//! Hangers, wire and hooks: where they go and what they must hold.

use super::root;
use crate::measure::{Length, Weight};

/// So much of the wire's rise stays below the frame's top, so that the hook is hidden:
/// 2 in.
pub const HIDDEN: Length = Length::from_64ths(128);

/// How far a cleat's bar stays in from each side of the frame, so that it is not seen: 1 in.
/// Common practice, no source.
pub const CLEAT_IN: Length = Length::from_64ths(64);

/// What a wire is longer by at each end, to tie it: 5 in.
const TIE: Length = Length::from_64ths(320);

/// From this weight on a frame hangs from straps and not from a wire: 9 kg.
pub const STRAPS_FROM: Weight = Weight::from_g(9000);

/// From this weight on it wants two people, and a cleat or a shelf: 20 kg. Common
/// practice, no source.
pub const TWO_PEOPLE_FROM: Weight = Weight::from_g(20_000);

/// A leg of a wire, from a hanger to its hook.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WireLeg {
    /// How far it runs to the side; more than nothing.
    pub run: Length,
    /// How far it rises; more than nothing.
    pub rise: Length,
}

/// How far hangers stand below the top of a frame: a third of its height, down to the
/// nanometre.
pub fn hangers_down(height: Length) -> Length {
    Length::from_nm(height.nm() / 3)
}

/// The most that a wire may rise from hangers so far below the top.
pub fn most_rise(hangers_down: Length) -> Length {
    hangers_down - HIDDEN
}

/// How far a leg runs: to one hook in the middle, or to the nearer of two hooks that
/// stand at the thirds of the frame's width.
pub fn run(between_hangers: Length, width: Length, hooks: u8) -> Length {
    let half = Length::from_nm(between_hangers.nm() / 2 + between_hangers.nm() % 2);
    if hooks == 1 { half } else { half - Length::from_nm(width.nm() / 6) }
}

/// The rise of a leg at 30 degrees, the flattest that is hung; up.
pub fn rise_at_30(run: Length) -> Length {
    // run / sqrt 3.
    let square = i128::from(run.nm()) * i128::from(run.nm());
    length(root::up((square + 2) / 3))
}

/// The rise of a leg at 60 degrees, which is recommended; up.
pub fn rise_at_60(run: Length) -> Length {
    length(root::up(3 * i128::from(run.nm()) * i128::from(run.nm())))
}

impl WireLeg {
    /// How long it is, up to the nanometre.
    pub fn length(&self) -> Length {
        let square = |length: Length| i128::from(length.nm()) * i128::from(length.nm());
        length(root::up(square(self.run) + square(self.rise)))
    }

    /// What it pulls with when the wire carries so much, up: half the weight over the
    /// sine of its angle.
    pub fn tension(&self, weight: Weight) -> Weight {
        self.share(weight, self.length())
    }

    /// What it pulls each side rail inwards with, up.
    pub fn inward(&self, weight: Weight) -> Weight {
        self.share(weight, self.run)
    }

    fn share(&self, weight: Weight, side: Length) -> Weight {
        let over = i128::from(weight.ug()) * i128::from(side.nm());
        let under = 2 * i128::from(self.rise.nm());
        let up = over.div_euclid(under) + i128::from(over.rem_euclid(under) > 0);
        Weight::from_ug(i64::try_from(up).unwrap_or(i64::MAX))
    }

    /// Whether it is flatter than 30 degrees.
    pub fn is_flat(&self) -> bool {
        let square = |length: Length| i128::from(length.nm()) * i128::from(length.nm());
        3 * square(self.rise) < square(self.run)
    }

    /// Its angle to the level in tenths of a degree, down; to be shown only.
    pub fn tenths_of_degree(&self) -> u32 {
        // What turns by a tenth of a degree, in parts of 10^15.
        const COS: i128 = 999_998_476_913_288;
        const SIN: i128 = 1_745_328_365_898;
        const ONE: i128 = 1_000_000_000_000_000;
        let (run, rise) = (i128::from(self.run.nm()), i128::from(self.rise.nm()));
        let (mut across, mut up) = (ONE, 0);
        for tenths in 0..900 {
            (across, up) = ((across * COS - up * SIN) / ONE, (across * SIN + up * COS) / ONE);
            if up * run > rise * across {
                return tenths;
            }
        }
        900
    }
}

/// How long a cleat's bar is behind a frame so wide: all of it less so much at each side, and
/// never less than half of it.
pub fn cleat_bar(width: Length, in_from_sides: Length) -> Length {
    (width - in_from_sides * 2).max(Length::from_nm(width.nm() / 2))
}

/// How much wire is cut: two legs, what lies between two hooks, and the ends to tie.
pub fn wire_length(leg: WireLeg, between_hooks: Length) -> Length {
    leg.length() * 2 + between_hooks + TIE * 2
}

/// What a wire or a cord is made of, which says how much of its breaking load it may
/// carry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WireKind {
    /// Braided, of galvanised or brassed steel: a quarter.
    Braided,
    /// Stainless and coated: a third.
    Coated,
    /// Cord: a fifth.
    Cord,
}

impl WireKind {
    /// How many times what it carries its breaking load must be.
    pub const fn factor(self) -> i64 {
        match self {
            WireKind::Braided => 4,
            WireKind::Coated => 3,
            WireKind::Cord => 5,
        }
    }
}

/// What a wire must break at: so many times the greater of the weight and what a leg
/// pulls with. That the pull counts is this program's own caution.
pub fn must_break_at(kind: WireKind, weight: Weight, tension: Weight) -> Weight {
    weight.max(tension) * kind.factor()
}

/// What one of so many hooks or straps must be rated for.
pub fn must_be_rated(weight: Weight, of: u8, factor: u32) -> Weight {
    let share = if of == 1 { weight } else { weight.half() };
    share * i64::from(factor)
}

fn length(nm: i128) -> Length {
    Length::from_nm(i64::try_from(nm).unwrap_or(i64::MAX))
}
