//! Rails and clear runs to integers and back: the only place that knows both.
//!
//! Lengths go to the solver in nanometres, unrounded, so a plan that the solver
//! calls best is best for the real rails. What a rail takes of a run is its
//! long point and one joint; a run has room for what is clear in it and one
//! joint more, since the last rail needs none to fit.

mod lay;
mod mixed;
mod pose;
mod runs;

pub use lay::{LaidRail, LaidStick, Remnant};
pub use pose::{Posed, pose};
pub use runs::{ClearRun, clear_runs};

use crate::measure::{Length, Mitre, Rate, Worth};
use crate::rails::Rail;
use crate::shop::{Cutter, Flaw, Kind, MOST_WORTHS, Match, Moulding, Settings};
use crate::solve::{Credit, MOST_KNOTS, STRAIGHT};

/// What holds for every stick and rail of one moulding.
#[derive(Debug, Clone, Copy)]
pub struct Bench<'a> {
    /// The shop's rules of thumb.
    pub settings: &'a Settings,
    /// The moulding that is cut.
    pub moulding: &'a Moulding,
    /// The machine that cuts it.
    pub cutter: &'a Cutter,
    /// A flaw parts its neighbours by this joint at the least: the widest of all that
    /// is cut from the moulding, where it is packed in several goes; else nothing.
    pub joint_at_flaws: Length,
}

/// One layer of one frame, and how alike its rails must be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ask {
    /// The frame's mitre.
    pub mitre: Mitre,
    /// How alike.
    pub match_: Match,
    /// The rails in cutting order.
    pub rails: Vec<Rail>,
    /// The lot that they must come from, as a number of the caller's, where others of
    /// the layer are there already.
    pub like: Option<u32>,
}

/// So many of one ask, from one lot if its match says so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Demand {
    /// What is asked.
    pub ask: Ask,
    /// The lot that the rails of a `lot` or `halves` match come from.
    pub lot: Option<u32>,
    /// Whether all its rails come from one stick, whatever the match asks.
    pub together: bool,
    /// How many.
    pub count: u32,
}

/// Somewhere that rails can come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// The length along the back edge.
    pub length: Length,
    /// What may not be in any rail, in order and apart.
    pub flaws: Vec<Flaw>,
    /// The lot it belongs to, as a number of the caller's.
    pub lot: u32,
    /// Whether it is bought: as many as wanted, unless `paid` says otherwise. Else
    /// there is just this one.
    pub is_new: bool,
    /// What it counts in an order, where that is not at the moulding's own price.
    pub paid: Option<Paid>,
}

/// What cutting from a stick costs in an order, and what is left of it counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Paid {
    /// What it costs to cut from it.
    pub price: Worth,
    /// The rate at which what remains of it counts.
    pub back: Rate,
    /// Of a new stick, whether as many as wanted can be had; else just this one.
    pub endless: bool,
}

// The solver takes every curve that a shop may write down.
const _: () = assert!(MOST_WORTHS <= MOST_KNOTS);

impl Bench<'_> {
    /// What is lost along the back edge between two rails of this mitre.
    pub fn joint_loss(&self, mitre: Mitre) -> Length {
        self.cutter.joint_loss(mitre)
    }

    /// By how much two neighbouring rails cut head to tail overlap along the
    /// stick: W tan theta for reversible stock, else nothing.
    pub fn overlap(&self, mitre: Mitre) -> Length {
        match self.moulding.kind {
            Kind::Reversible => mitre.tan_down(self.moulding.width),
            Kind::Rebated | Kind::Floater | Kind::BuildOut => Length::ZERO,
        }
    }

    /// What a remainder of this moulding is worth by its length, each unit of
    /// worth counting `scale`.
    pub fn credit(&self, scale: i64) -> Credit {
        let (amount, per) = self.moulding.rate();
        self.credit_at(Rate { amount, per }, scale)
    }

    /// The same at another rate than the moulding's own.
    pub fn credit_at(&self, rate: Rate, scale: i64) -> Credit {
        let (keep, full) = (self.settings.keep, self.moulding.stick);
        let (upto, above): (Vec<(Length, u32)>, Vec<_>) =
            self.moulding.worths.iter().partition(|(at, _)| *at <= keep);
        let mut knots = STRAIGHT;
        let above = above.into_iter().filter(|(at, _)| *at < full);
        for (knot, (at, share)) in knots.iter_mut().zip(above) {
            *knot = (at.nm(), share);
        }
        Credit {
            keep: keep.nm(),
            full: full.nm(),
            share: upto.last().map_or(self.settings.worth, |(_, share)| *share),
            knots,
            rate: rate.amount.0,
            per: rate.per.nm(),
            scale,
        }
    }

    /// As [`credit`](Self::credit), of what remains of one source.
    pub fn credit_of(&self, source: &Source, scale: i64) -> Credit {
        let at = |paid: Paid| self.credit_at(paid.back, scale);
        source.paid.map_or_else(|| self.credit(scale), at)
    }

    /// What a length on the rack is worth.
    pub fn worth(&self, length: Length) -> Worth {
        Worth(self.credit(1).at(length.nm()))
    }

    /// What a stick costs: its worth on the rack, or its price if it is bought;
    /// in an order, what cutting from it costs.
    pub fn price(&self, source: &Source) -> Worth {
        if let Some(paid) = source.paid {
            return paid.price;
        }
        if !source.is_new {
            return self.worth(source.length);
        }
        let whole = Credit { keep: 0, full: 0, ..self.credit(1) };
        Worth(whole.at(source.length.nm()))
    }
}
