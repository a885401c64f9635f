//! What a moulding is made of, and its body behind the face.

use crate::measure::{Length, Weight};

/// A moulding's body, as far as it was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Body {
    /// From face to back.
    pub height: Option<Length>,
    /// Of a fillet: how much of its width is seen in a mat.
    pub seen: Option<Length>,
    /// What a metre of it weighs, weighed on a stick.
    pub weight: Option<Weight>,
    /// What it is made of.
    pub wood: Option<Wood>,
}

/// A wood, or a board that mouldings are made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wood {
    /// Obeche, which is ayous.
    Obeche,
    /// Poplar.
    Poplar,
    /// Radiata pine.
    Pine,
    /// Ramin.
    Ramin,
    /// Cherry.
    Cherry,
    /// Black walnut.
    Walnut,
    /// Maple.
    Maple,
    /// White ash.
    Ash,
    /// White oak.
    Oak,
    /// Medium density fibreboard.
    Mdf,
}

impl Wood {
    /// Every wood.
    pub const ALL: [Wood; 10] = [
        Wood::Obeche,
        Wood::Poplar,
        Wood::Pine,
        Wood::Ramin,
        Wood::Cherry,
        Wood::Walnut,
        Wood::Maple,
        Wood::Ash,
        Wood::Oak,
        Wood::Mdf,
    ];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Wood::Obeche => "obeche",
            Wood::Poplar => "poplar",
            Wood::Pine => "pine",
            Wood::Ramin => "ramin",
            Wood::Cherry => "cherry",
            Wood::Walnut => "walnut",
            Wood::Maple => "maple",
            Wood::Ash => "ash",
            Wood::Oak => "oak",
            Wood::Mdf => "mdf",
        }
    }

    /// The lowest and highest density in kilograms a cubic metre, from a printed table;
    /// that of fibreboard from memory.
    pub const fn density(self) -> (u32, u32) {
        match self {
            Wood::Obeche => (390, 390),
            Wood::Poplar => (350, 500),
            Wood::Pine => (480, 480),
            Wood::Ramin => (670, 670),
            Wood::Cherry | Wood::Walnut => (630, 630),
            Wood::Maple => (620, 750),
            Wood::Ash => (650, 850),
            Wood::Oak => (770, 770),
            Wood::Mdf => (750, 750),
        }
    }

    /// The density of a light stick of it, by which its screws are judged: the lowest that the
    /// table prints, or a fifth less where it prints one figure alone. The fifth is this
    /// program's own caution. Nothing of fibreboard, out of which screws pull otherwise than
    /// out of wood.
    pub const fn light(self) -> Option<u32> {
        let (low, high) = self.density();
        match self {
            Wood::Mdf => None,
            _ if low == high => Some(low * 4 / 5),
            _ => Some(low),
        }
    }

    /// Whether it counts as hard where v-nails are sold for soft and hard woods; fibreboard
    /// has its own.
    pub const fn is_hard(self) -> bool {
        !matches!(self, Wood::Obeche | Wood::Poplar | Wood::Pine | Wood::Mdf)
    }

    /// Young's modulus in tenths of a gigapascal, from memory; of few only.
    pub const fn modulus(self) -> Option<u32> {
        match self {
            Wood::Pine => Some(90),
            Wood::Poplar => Some(109),
            Wood::Oak => Some(120),
            _ => None,
        }
    }
}
