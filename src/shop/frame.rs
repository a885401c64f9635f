//! A pending frame: one job on the pile.
//!
//! # Why copies keep their numbers
//!
//! A sheet of tomorrow, the bench of today and a label all speak of copy 3 of 5; it
//! must be the same one. So the plan is made of the copies that are left, under the
//! numbers that they have, and nothing ever counts them anew.
//!
//! # Why a shop knows what is on order
//!
//! A folder never does; a book adds it, so that one planner serves both. A layer that
//! a supplier chops needs no stick, here or on its way, and until it is here its
//! frame waits. Sticks on order are a stage between today and the order: as many of
//! the waiting frames as possible are served from them and the rack, in the order of
//! their dates, and only the others are ordered for. In one stage with the order, a
//! cheap offer could make it look better to buy again than to use what was bought; in
//! a stage before it, money has no say. Nothing is claimed to be proven of it, since
//! what comes is only known once it is measured.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::Match;
use crate::measure::{Length, Mitre};

/// One pending job, of one or more layers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Frame {
    /// The ticket number.
    pub id: String,
    /// The mouldings, innermost first; at least one.
    pub layers: Vec<Layer>,
    /// The package's width; for a polygon, its size across flats.
    pub width: Length,
    /// The package's height; for a polygon, the same as the width.
    pub height: Length,
    /// Its corners: how many sides the frame has.
    pub mitre: Mitre,
    /// How many alike.
    pub copies: u32,
    /// How far they are; in a shop folder nothing is done of them.
    pub progress: FrameProgress,
    /// When it is wanted; undated frames come last.
    pub due: Option<Date>,
    /// When it came in, if that is written down: where frames wait for one another, it
    /// waits so long from then.
    pub came: Option<Date>,
    /// Whether the day on which it is wanted was promised to the customer.
    pub promised: bool,
    /// How thick the package is, if measured.
    pub thickness: Option<Length>,
    /// Anything else on the ticket.
    pub note: String,
    /// Where the first of its rows stands in `frames.csv`.
    pub row: u64,
}

/// How far the copies of a frame are. A copy keeps its number for good, so that
/// sheet, bench and labels speak of the same one.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FrameProgress {
    /// The copies that left the pile: they are at the bench, or done.
    pub gone: BTreeSet<u32>,
    /// The layers of copies, counted from 1, that need no stick, since a supplier
    /// chops them.
    pub supplied: BTreeMap<(u32, usize), Supplied>,
    /// Of copies whose day is over, the sides that are cut and good, by copy and
    /// layer: the rest is owed. A side is its place in the cutting order, from 0.
    pub cut: BTreeMap<(u32, usize), BTreeSet<usize>>,
    /// Of those layers, the lot that the rest must come from, where it may not come from
    /// any stick.
    pub like: BTreeMap<(u32, usize), String>,
    /// The copies that what is on order was ordered for, as long as nothing in the shop
    /// is otherwise since then: nothing more is bought for them.
    pub ordered: BTreeSet<u32>,
}

/// A layer of a frame copy that a supplier chops.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Supplied {
    /// Its rails are here.
    Here,
    /// Its rails are on order.
    Coming {
        /// From whom.
        supplier: String,
        /// On which day they should come, if that is known.
        arrives: Option<Date>,
    },
}

impl Frame {
    /// The numbers of the copies on the pile.
    pub fn pending(&self) -> impl Iterator<Item = u32> + '_ {
        (1..=self.copies).filter(|copy| !self.progress.gone.contains(copy))
    }

    /// How many copies are on the pile.
    pub fn left(&self) -> u32 {
        self.pending().map(|_| 1).sum()
    }

    /// The layers of a copy, counted from 1, that a stick is needed for.
    pub fn to_cut(&self, copy: u32) -> Vec<usize> {
        let supplied = |layer: &usize| self.progress.supplied.contains_key(&(copy, *layer));
        let sides = usize::from(self.mitre.sides());
        let is_cut = |layer: &usize| self.cut(copy, *layer).is_some_and(|cut| cut.len() == sides);
        (1..=self.layers.len()).filter(|layer| !supplied(layer) && !is_cut(layer)).collect()
    }

    /// The sides of a layer of a copy that are cut already, where some are: what is
    /// left of it is owed and may come from any stick, unless it must be [`like`](Self::like)
    /// them.
    pub fn cut(&self, copy: u32, layer: usize) -> Option<&BTreeSet<usize>> {
        self.progress.cut.get(&(copy, layer))
    }

    /// The lot that the rest of a layer of a copy must come from.
    pub fn like(&self, copy: u32, layer: usize) -> Option<&str> {
        self.progress.like.get(&(copy, layer)).map(String::as_str)
    }

    /// The layers of a copy whose rails are on order, with who chops them and the
    /// day on which they should come.
    pub fn coming(&self, copy: u32) -> Vec<(usize, &str, Option<Date>)> {
        let supplied = self.progress.supplied.range((copy, 0)..=(copy, usize::MAX));
        let coming = supplied.filter_map(|((_, layer), supplied)| match supplied {
            Supplied::Here => None,
            Supplied::Coming { supplier, arrives } => Some((*layer, supplier.as_str(), *arrives)),
        });
        coming.collect()
    }
}

/// What a fillet in a mat is laid round. Its outside is no size of another layer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FilletWindow {
    /// The width of the mat's opening.
    pub width: Length,
    /// Its height.
    pub height: Length,
    /// How much of the fillet is seen in it.
    pub seen: Length,
}

/// One moulding of a frame; the outside of a layer is the size of the next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layer {
    /// Which moulding.
    pub moulding: String,
    /// The frame's own allowance for this layer, before the moulding's.
    pub allowance: Option<Length>,
    /// For a floater: the gap between canvas and wall on each side.
    pub gap: Length,
    /// For a fillet in a mat, what it is laid round; nothing for any other.
    pub window: Option<FilletWindow>,
    /// How alike this layer's rails must be.
    pub match_: Match,
    /// The least that the job accepts where the match is impossible.
    pub match_floor: Match,
}
