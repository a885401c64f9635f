//! A moulding: the shaped strip, as measured on the stick in hand.

use super::Body;
use crate::measure::{Length, Worth};

/// One profile in one finish.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moulding {
    /// The shop's code for it.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// Face width, sight edge to back edge; for a floater, inner wall face to
    /// back edge; of a build-out, how wide it lies on the moulding's back.
    pub width: Length,
    /// How far the lip covers the package; zero for a floater and for a build-out.
    pub rabbet: Length,
    /// How thick a package the rabbet takes, if measured.
    pub depth: Option<Length>,
    /// The length in which it is usually sold.
    pub stick: Length,
    /// What it costs, if known.
    pub price: Option<Price>,
    /// How alike the rails of its frames must be unless a frame says otherwise.
    pub match_: Match,
    /// The machine that cuts it.
    pub cutter: String,
    /// How it is made.
    pub kind: Kind,
    /// Its own allowance, before the shop's.
    pub allowance: Option<Length>,
    /// How many whole sticks the shop wants on the rack.
    pub keep_on_rack: u32,
    /// Lengths of offcuts, rising, and which share of its price one is worth, in
    /// millionths, never falling: between them in straight lines. Without any, as the
    /// shop's settings have it.
    pub worths: Vec<(Length, u32)>,
    /// The class of mouldings whose markup is its own, if it is in one.
    pub class: Option<String>,
    /// How many sticks of it the shop uses in a month, in thousandths, if that is known.
    pub monthly: Option<u32>,
    /// What is behind its face.
    pub body: Body,
}

/// So many lengths of offcuts beyond that of `keep` may have a worth of their own.
pub const MOST_WORTHS: usize = 4;

/// How a moulding is made, which says how its rails are measured and laid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// With a rabbet already milled: cannot be turned over.
    Rebated,
    /// Flat and the same both ways, the rabbet milled later: may be cut head to tail.
    Reversible,
    /// With a floor; the canvas stands inside with a gap all round.
    Floater,
    /// A strip behind another moulding, cut square, that makes its rabbet deeper.
    BuildOut,
}

/// How alike the rails of one frame must be, from the weakest to the strongest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Match {
    /// From whichever stick.
    Any,
    /// All from one lot.
    Lot,
    /// All from one lot, two neighbouring rails consecutive on one stick.
    Halves,
    /// All from one stick.
    Stick,
    /// All from one clear run, consecutive, running round the corners.
    Wrap,
}

/// A price by length or by stick.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Price {
    /// What one `per` costs, to a thousandth of a minor unit.
    pub amount: Worth,
    /// What the amount buys.
    pub per: Per,
}

/// What a price is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Per {
    /// A foot of moulding.
    Foot,
    /// A metre of moulding.
    Metre,
    /// One stick of the usual length.
    Stick,
    /// One carton of sticks; only in an offer.
    Box,
}

impl Per {
    /// The length that the price is for; `None` of sticks and boxes, whose lengths differ.
    pub fn length(self) -> Option<Length> {
        match self {
            Per::Foot => Some(Length::from_64ths(12 * 64)),
            Per::Metre => Some(Length::from_mm(1000)),
            Per::Stick | Per::Box => None,
        }
    }
}

impl Moulding {
    /// The price as a rate: so many thousandths of a minor unit buy so long a
    /// piece. Without a price, worth is length, counted in thousandths of a
    /// millimetre.
    pub fn rate(&self) -> (Worth, Length) {
        match self.price {
            None => (Worth(1000), Length::from_mm(1)),
            Some(price) => match price.per {
                Per::Foot => (price.amount, Length::from_64ths(12 * 64)),
                Per::Metre => (price.amount, Length::from_mm(1000)),
                Per::Stick | Per::Box => (price.amount, self.stick),
            },
        }
    }
}

impl Match {
    /// The word used in files and on sheets.
    pub const fn word(self) -> &'static str {
        match self {
            Match::Any => "any",
            Match::Lot => "lot",
            Match::Halves => "halves",
            Match::Stick => "stick",
            Match::Wrap => "wrap",
        }
    }
}

impl Kind {
    /// The word used in files and on sheets.
    pub const fn word(self) -> &'static str {
        match self {
            Kind::Rebated => "rebated",
            Kind::Reversible => "reversible",
            Kind::Floater => "floater",
            Kind::BuildOut => "build-out",
        }
    }
}
