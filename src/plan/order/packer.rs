//! Packs what is cut here into the rack and what some offers give, at the prices
//! of some steps, and remembers it.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::offered::Piece;
use super::reprice::{is_at_one_price, reprice};
use super::wants::{Layer, Wants};
use crate::buy::rate_paid;
use crate::cutting::{Paid, Source};
use crate::measure::{Length, Rate};
use crate::plan::effort::Effort;
use crate::plan::lots::{NEW_LOT, Placed};
use crate::plan::packing::{Counts, Fit, Packed, Packing};
use crate::shop::Moulding;

/// Steps of search for a first look at a packing: a plan by the first rules of
/// thumb, or the best where that is soon found. Most packings are given up for
/// what they cost at the least, and none of those is worth more.
const ROUGH: u64 = 1;

/// Supplies, by their places, each at one of its steps.
pub(super) type Set = Vec<(usize, usize)>;

/// How hard a packing is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Look {
    /// At the moulding's own price, enough to say about what it costs, and what it
    /// cannot cost less than.
    Rough,
    /// At the moulding's own price, as hard as the limits allow.
    Close,
    /// At the prices that are paid, as hard as the limits allow.
    Exact,
}

impl Look {
    /// The next harder one.
    pub fn harder(self) -> Option<Look> {
        match self {
            Look::Rough => Some(Look::Close),
            Look::Close => Some(Look::Exact),
            Look::Exact => None,
        }
    }
}

/// What is packed: these layers, into what is left of the rack and these supplies.
#[derive(Clone, Copy)]
pub(super) struct Task<'a> {
    pub set: &'a Set,
    /// The supplies of all phases: what is left is worth no more than the
    /// cheapest of them.
    pub all: &'a Set,
    pub layers: &'a [Layer],
    /// The places in the rack that another phase has used up.
    pub gone: &'a BTreeSet<Option<usize>>,
}

/// The packings of one moulding.
pub(super) struct Packer<'a> {
    effort: Effort<'a>,
    packings: BTreeMap<Signature, Packing<'a>>,
}

/// What a packing is of: how hard it is looked at, the places in the rack that
/// are gone, and of the new sticks lot, length, and what they cost and are worth.
/// Where two offers give the same length, the pair packs as the cheaper does, so
/// most sets share their packings.
type Signature = (u64, BTreeSet<Option<usize>>, Vec<NewStick>);
type NewStick = (u32, Length, Option<(Price, Price)>);
type Price = (i64, Length);

/// Some layers packed, and what it takes to read that.
#[derive(Clone)]
pub(super) struct Phase {
    pub layers: Vec<Layer>,
    pub fit: Arc<Fit>,
    pub sources: Arc<Vec<Source>>,
    pub places: Arc<Vec<Option<usize>>>,
    /// For each supply and length of piece how many pieces are cut.
    pub pieces: Vec<(usize, Piece, u32)>,
    /// How hard it was looked at; as hard as can be where that settled it.
    pub look: Look,
}

impl<'a> Packer<'a> {
    pub fn new(effort: Effort<'a>) -> Packer<'a> {
        Packer { effort, packings: BTreeMap::new() }
    }

    /// Packs; `None` if the layers do not fit, or nobody knows whether.
    pub fn pack(&mut self, wants: &Wants<'a>, task: Task, look: Look) -> Option<Phase> {
        let sources = sources(wants, task);
        let counts = Wants::counts(task.layers);
        let (fit, look) = match self.shared(wants, task, look, &sources, &counts) {
            Some(Packed::Impossible) => return None,
            Some(Packed::Fits(fit)) if fit.proven => (fit, Look::Exact),
            Some(Packed::Fits(fit)) if look < Look::Exact => (fit, look),
            shared => {
                let exact = self.packing(wants, task, &sources, self.effort).pack(&counts);
                match (shared, exact) {
                    (Some(Packed::Fits(fit)), Packed::Fits(exact)) => {
                        (better(&fit, &exact), Look::Exact)
                    }
                    (Some(Packed::Fits(fit)), _) | (_, Packed::Fits(fit)) => (fit, Look::Exact),
                    _ => return None,
                }
            }
        };
        Some(phase_of(wants, task, sources, fit, look))
    }

    /// Packed at the moulding's own price, which is shared by all sets that give
    /// the same sticks, and read at the prices of this one. `None` where the sticks
    /// of the set are not all at one price.
    fn shared(
        &mut self,
        wants: &Wants<'a>,
        task: Task,
        look: Look,
        sources: &[Placed],
        counts: &Counts,
    ) -> Option<Packed> {
        let effort = match look {
            Look::Rough => self.effort.at_most(ROUGH),
            Look::Close | Look::Exact => self.effort,
        };
        if task.set.is_empty() {
            return Some(self.packing(wants, task, sources, effort).pack(counts));
        }
        let (price, back) = is_at_one_price(wants.moulding, sources)?;
        let own = |(place, source): &Placed| (*place, Source { paid: None, ..source.clone() });
        let plain: Vec<Placed> = sources.iter().map(own).collect();
        let packed = self.packing(wants, task, &plain, effort).pack(counts);
        let Packed::Fits(fit) = packed else { return Some(packed) };
        let sources: Vec<Source> = sources.iter().map(|(_, source)| source.clone()).collect();
        Some(Packed::Fits(Arc::new(reprice(&wants.bench(), &fit, &sources, (price, back)))))
    }

    fn packing(
        &mut self,
        wants: &Wants<'a>,
        task: Task,
        sources: &[Placed],
        effort: Effort<'a>,
    ) -> &mut Packing<'a> {
        let key = (effort.limits().work, task.gone.clone(), signature(sources));
        let new = || Packing::new(wants.bench(), wants.asks, sources.to_vec(), effort);
        self.packings.entry(key).or_insert_with(new)
    }
}

/// The cheaper of two packings of the same, with what is known from both.
fn better(one: &Arc<Fit>, other: &Arc<Fit>) -> Arc<Fit> {
    let fit = if (one.used_up, one.sticks) < (other.used_up, other.sticks) { one } else { other };
    let bound = one.bound.max(other.bound).min(fit.used_up);
    let proven = fit.proven || bound == fit.used_up;
    Arc::new(Fit { bound, proven, ..(**fit).clone() })
}

impl Phase {
    /// The places in the rack that it cuts from.
    pub fn touched(&self) -> BTreeSet<Option<usize>> {
        let touched = self.fit.posed.touched(&self.fit.solution);
        touched.map(|source| self.places[source]).filter(Option::is_some).collect()
    }
}

fn signature(sources: &[Placed]) -> Vec<NewStick> {
    let price = |rate: Rate| (rate.amount.0, rate.per);
    let of = |(_, source): &Placed| {
        let paid = source.paid.map(|paid| (price(paid.price), price(paid.back)));
        (source.lot, source.length, paid)
    };
    sources.iter().filter(|(_, source)| source.is_new).map(of).collect()
}

fn phase_of(wants: &Wants, task: Task, sources: Vec<Placed>, fit: Arc<Fit>, look: Look) -> Phase {
    let (places, sources): (Vec<Option<usize>>, Vec<Source>) = sources.into_iter().unzip();
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
        let set = task.set.iter();
        let &(supply, _) = set.filter(gives).min_by_key(cheapest).expect("it was bought");
        let piece = wants.supplies[supply].pieces.iter().find(|p| p.length == length);
        pieces.push((supply, *piece.expect("it gives this length"), count));
    }
    let (layers, sources, places) = (task.layers.to_vec(), Arc::new(sources), Arc::new(places));
    Phase { layers, fit, sources, places, pieces, look }
}

/// What is left of the rack, and one source for each length of piece: where two
/// supplies give the same and nothing must come from one lot, the cheaper stands
/// for both.
fn sources(wants: &Wants, task: Task) -> Vec<Placed> {
    let back = back(wants, task.all);
    let mut new: BTreeMap<(u32, Length), Rate> = BTreeMap::new();
    for &(supply, step) in task.set {
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
    let rack = wants.rack.iter().filter(|(place, _)| !task.gone.contains(place));
    rack.cloned().chain(bought).collect()
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
pub(super) fn own(moulding: &Moulding) -> Rate {
    let (amount, per) = moulding.rate();
    Rate { amount, per }
}
