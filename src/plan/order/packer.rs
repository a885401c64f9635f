//! Packs what is cut here into the rack and what some offers give, at the prices
//! of some steps, and remembers it.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::offered::Piece;
use super::wants::{Layer, Wants};
use crate::buy::rate_paid;
use crate::cutting::{Paid, Source};
use crate::measure::{Length, Rate};
use crate::plan::effort::Effort;
use crate::plan::lots::{NEW_LOT, Placed};
use crate::plan::packing::{Fit, Packed, Packing};
use crate::shop::Moulding;

/// Supplies, by their places, each at one of its steps.
pub(super) type Set = Vec<(usize, usize)>;

/// The packings of one moulding.
pub(super) struct Packer<'a> {
    wants: &'a Wants<'a>,
    effort: Effort<'a>,
    packings: BTreeMap<Signature, Packing<'a>>,
}

/// What the new sticks of a packing are: lot, length, and what they cost and are
/// worth. Where two offers give the same length, the pair packs as the cheaper
/// does, so most sets share their packings.
type Signature = Vec<(u32, Length, i64, Length, i64, Length)>;

/// Some layers packed, and what it takes to read that.
#[derive(Clone)]
pub(super) struct Phase {
    pub layers: Vec<Layer>,
    pub fit: Arc<Fit>,
    pub sources: Vec<Source>,
    pub places: Vec<Option<usize>>,
    /// For each supply and length of piece how many pieces are cut.
    pub pieces: Vec<(usize, Piece, u32)>,
}

impl<'a> Packer<'a> {
    pub fn new(wants: &'a Wants<'a>, effort: Effort<'a>) -> Packer<'a> {
        Packer { wants, effort, packings: BTreeMap::new() }
    }

    /// Packs these layers; `None` if they do not fit, or nobody knows whether.
    pub fn pack(&mut self, set: &Set, layers: &[Layer]) -> Option<Phase> {
        let wants = self.wants;
        let effort = self.effort;
        let sources = sources(wants, set, set, &wants.rack);
        let packing = self
            .packings
            .entry(signature(&sources))
            .or_insert_with(|| Packing::new(wants.bench(), wants.asks, sources, effort));
        phase(wants, packing, set, layers)
    }

    /// Packs layers into what a phase before has left of the rack and these
    /// supplies; `all` are those of both phases.
    pub fn pack_after(
        &self,
        before: &Phase,
        set: &Set,
        all: &Set,
        layers: &[Layer],
    ) -> Option<Phase> {
        let touched = before.touched();
        let rack = self.wants.rack.iter().filter(|(place, _)| !touched.contains(place));
        let rack: Vec<Placed> = rack.cloned().collect();
        let sources = sources(self.wants, set, all, &rack);
        let mut packing = Packing::new(self.wants.bench(), self.wants.asks, sources, self.effort);
        phase(self.wants, &mut packing, set, layers)
    }

    /// The first of two phases: as [`pack`](Self::pack), with what is left worth
    /// no more than the cheapest of `all` supplies.
    pub fn pack_before(&self, set: &Set, all: &Set, layers: &[Layer]) -> Option<Phase> {
        let sources = sources(self.wants, set, all, &self.wants.rack);
        let mut packing = Packing::new(self.wants.bench(), self.wants.asks, sources, self.effort);
        phase(self.wants, &mut packing, set, layers)
    }
}

impl Phase {
    /// The places in the rack that it cuts from.
    pub fn touched(&self) -> BTreeSet<Option<usize>> {
        let touched = self.fit.posed.touched(&self.fit.solution);
        touched.map(|source| self.places[source]).filter(Option::is_some).collect()
    }
}

fn signature(sources: &[Placed]) -> Signature {
    let of = |(_, source): &Placed| {
        let Paid { price, back } = source.paid?;
        let (price, back) = ((price.amount.0, price.per), (back.amount.0, back.per));
        Some((source.lot, source.length, price.0, price.1, back.0, back.1))
    };
    sources.iter().filter_map(of).collect()
}

fn phase(wants: &Wants, packing: &mut Packing, set: &Set, layers: &[Layer]) -> Option<Phase> {
    let Packed::Fits(fit) = packing.pack(&Wants::counts(layers)) else { return None };
    let sources = packing.sources.clone();
    let bought = fit.posed.bought(&sources, &fit.solution);
    let mut pieces = Vec::new();
    for (source, count) in bought {
        let (lot, length) = (sources[source].lot, sources[source].length);
        let gives = |&&(supply, _): &&(usize, usize)| {
            (lot_of(wants, supply) == lot || !separate(wants))
                && wants.supplies[supply].pieces.iter().any(|piece| piece.length == length)
        };
        let cheapest = |&&(supply, step): &&(usize, usize)| {
            let of = wants.supplies[supply].pieces.iter().find(|p| p.length == length);
            price(wants, supply, step, of.expect("it gives this length")).of(length)
        };
        let &(supply, _) = set.iter().filter(gives).min_by_key(cheapest).expect("it was bought");
        let piece = wants.supplies[supply].pieces.iter().find(|p| p.length == length);
        pieces.push((supply, *piece.expect("it gives this length"), count));
    }
    let places = packing.places.clone();
    Some(Phase { layers: layers.to_vec(), fit, sources, places, pieces })
}

/// The rack, and one source for each length of piece: where two supplies give
/// the same and nothing must come from one lot, the cheaper stands for both.
fn sources(wants: &Wants, set: &Set, all: &Set, rack: &[Placed]) -> Vec<Placed> {
    let back = back(wants, all);
    let mut new: BTreeMap<(u32, Length), Rate> = BTreeMap::new();
    for &(supply, step) in set {
        let lot = if separate(wants) { lot_of(wants, supply) } else { NEW_LOT };
        for piece in &wants.supplies[supply].pieces {
            let price = price(wants, supply, step, piece);
            let known = new.entry((lot, piece.length)).or_insert(price);
            *known = known.lower(price);
        }
    }
    let bought = new.into_iter().map(|((lot, length), price)| {
        let paid = Some(Paid { price, back });
        (None, Source { length, flaws: Vec::new(), lot, is_new: true, paid })
    });
    rack.iter().cloned().chain(bought).collect()
}

/// Whether sticks of different suppliers must be told apart.
pub(super) fn separate(wants: &Wants) -> bool {
    wants.is_by_lot(&wants.layers)
}

/// One delivery is one lot.
pub(super) fn lot_of(wants: &Wants, supply: usize) -> u32 {
    let supplier = &wants.shop.offers[wants.supplies[supply].offer].supplier;
    let place = wants.shop.suppliers.keys().position(|id| id == supplier);
    NEW_LOT - u32::try_from(place.unwrap_or(0)).unwrap_or(0)
}

/// What a piece costs by its length.
pub(super) fn price(wants: &Wants, supply: usize, step: usize, piece: &Piece) -> Rate {
    rate_paid(&wants.shop.offers[wants.supplies[supply].offer], step, piece.stick)
}

/// What is left of new sticks is worth no more than the cheapest of them cost,
/// and no more than the moulding's own price.
pub(super) fn back(wants: &Wants, all: &Set) -> Rate {
    let mut back = own(wants.moulding);
    for &(supply, step) in all {
        for piece in &wants.supplies[supply].pieces {
            back = back.lower(price(wants, supply, step, piece));
        }
    }
    back
}

/// The moulding's own price.
fn own(moulding: &Moulding) -> Rate {
    let (amount, per) = moulding.rate();
    Rate { amount, per }
}
