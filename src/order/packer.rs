//! Packs layers of one moulding into what is left of the rack and some pieces
//! that arrive.
//!
//! A piece that is there is a stick of the rack like any other: to cut from it
//! costs what it counts uncut. So what is paid has no say in how it is cut, only
//! in how many there are. Where all uncut pieces of a kind can be had for the
//! asking, cutting from one costs what it is bought for at the least.
//!
//! # Why a piece that is bought is a stick of the rack
//!
//! What is left over counts the same wherever it comes from, and so does a stick that
//! nothing is cut from. Once it is known what arrives, what was paid for it is gone:
//! rails are packed into the rack and what arrives at what each stick counts uncut.
//! So the packing knows no offer, no step and no box, and one packing serves every
//! way to buy the same pieces, and more pieces.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;

use super::pieces::{Alike, Pieces, separate};
use super::together::together;
use super::wants::{WantedLayer, Wants};
use crate::buy::UNKNOWN;
use crate::cutting::{Bench, Demand, Paid, Source};
use crate::measure::{Length, Worth};
use crate::planner::effort::Effort;
use crate::planner::lots::{NEW_LOT, Placed};
use crate::planner::packing::{Fit, Packed, Packing};
use crate::shop::Kind;

/// The group of what urgent layers may be cut from.
const IN_TIME: u32 = NEW_LOT;
/// The group of what arrives too late for them.
const LATER: u32 = NEW_LOT - 1;

/// Steps of search for each packing of an order: many are made, most of them of
/// a few rails.
pub(super) const WORK: u64 = 20_000;

/// Steps of one packing, over all lots.
pub(super) const PURSE: u64 = 400_000;

/// Steps of its bound, whatever the lots.
const A_BOUND: u64 = 100_000;

/// Something that layers may be cut from.
#[derive(Clone)]
pub(super) struct PackStick {
    pub placed: Placed,
    /// The kind of piece, unless it is of the rack.
    pub kind: Option<usize>,
    /// What cutting from it costs beyond what it counts uncut.
    pub premium: i64,
}

impl PackStick {
    /// Charges so much more for cutting from it; a price is never below nothing.
    pub fn charge(&mut self, more: i64) {
        if let Some(paid) = &mut self.placed.1.paid {
            let more = more.max(-paid.price.0);
            self.premium += more;
            paid.price.0 += more;
        }
    }
}

/// Some layers packed, and what it takes to read that.
#[derive(Clone)]
pub(super) struct Phase {
    pub layers: Vec<WantedLayer>,
    pub fit: Arc<Fit>,
    pub sources: Arc<Vec<Source>>,
    pub places: Arc<Vec<Option<usize>>>,
    /// For each source the kind of piece it is.
    pub kinds: Arc<Vec<Option<usize>>>,
    /// The source of each piece that arrives and is cut, in the order in which
    /// they are laid.
    pub cut: Vec<usize>,
    /// What it uses up of what everything cut counts uncut.
    pub used_up: i64,
}

/// What came of packing.
pub(super) struct Attempt {
    /// Every rail in its place, if a way was found.
    pub phases: Option<Vec<Phase>>,
    /// No way uses up less, each stick with its premium; `None` if nothing is
    /// known.
    pub bound: Option<i64>,
    /// Whether there is no way.
    pub impossible: bool,
    /// Steps it took.
    pub steps: u64,
}

/// The rack's sticks as they count in an order.
pub(super) fn of_rack(wants: &Wants) -> Vec<PackStick> {
    let stick = |(place, source): &Placed| {
        let source = counted(wants, source.clone(), 0);
        PackStick { placed: (*place, source), kind: None, premium: 0 }
    };
    wants.rack.iter().map(stick).collect()
}

/// So many pieces of a kind; as many as wanted if `endless`.
pub(super) fn pieces(
    wants: &Wants,
    (kind, alike): (usize, &Alike),
    premium: i64,
    endless: bool,
) -> PackStick {
    let (length, lot) = (alike.length, alike.lot);
    let source = Source { length, flaws: Vec::new(), lot, is_new: true, paid: None };
    let mut source = counted(wants, source, premium);
    source.paid = source.paid.map(|paid| Paid { endless, ..paid });
    PackStick { placed: (None, source), kind: Some(kind), premium }
}

/// The rack's sticks, and without end the pieces of these kinds of which something can
/// be cut in time, at one list of premiums.
pub(super) fn rack_and_endless(
    wants: &Wants,
    of: &Pieces,
    bound: usize,
    is_taken: &dyn Fn(&Alike) -> bool,
) -> Vec<PackStick> {
    let mut sticks = of_rack(wants);
    let kinds = of.kinds.iter().enumerate().filter(|(_, kind)| kind.is_of_use && is_taken(kind));
    sticks.extend(kinds.map(|of| pieces(wants, of, of.1.premiums[bound], true)));
    sticks
}

/// As many sticks of this length as are wanted, at what the moulding counts today.
pub(super) fn endless(wants: &Wants, length: Length) -> PackStick {
    let source = Source { length, flaws: Vec::new(), lot: NEW_LOT, is_new: true, paid: None };
    let price = wants.counted.price(length);
    let paid = Some(Paid { price, back: wants.counted.back, endless: true });
    PackStick { placed: (None, Source { paid, ..source }), kind: Some(0), premium: 0 }
}

fn counted(wants: &Wants, source: Source, premium: i64) -> Source {
    let worth = wants.counted.of(&wants.bench(), source.length);
    let (price, back) = (Worth(worth + premium), wants.counted.back);
    let paid = Some(Paid { price, back, endless: false });
    Source { paid, ..source }
}

/// What is asked of a packing.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Look {
    /// What it uses up at the least, where telling that is easier than packing.
    Bound,
    /// Every rail in its place.
    Whole,
}

/// How a packing is looked at: its bound first, where that is easier told.
pub(super) fn looks(wants: &Wants) -> &'static [Look] {
    if separate(wants) { &[Look::Bound, Look::Whole] } else { &[Look::Whole] }
}

impl Attempt {
    /// No way uses up less, with so much more beside; `None` if nothing is known.
    pub fn bound(&self, more: i64) -> Option<i64> {
        if self.impossible { Some(UNKNOWN) } else { self.bound.map(|bound| bound + more) }
    }
}

/// Packs the layers into these sticks, those of `late` kinds too late for the
/// layers that are wanted before `from`.
pub(super) fn pack<'a>(
    wants: &Wants<'a>,
    layers: &[WantedLayer],
    mut sticks: Vec<PackStick>,
    late: &dyn Fn(usize) -> bool,
    from: Option<Date>,
    look: Look,
    effort: Effort<'a>,
) -> Attempt {
    let is_urgent = |layer: &WantedLayer| is_before(layer, from);
    if !separate(wants) {
        let demands = by_date(wants, layers, &mut sticks, late, from);
        let effort = limited(effort, PURSE);
        let bench = wants.bench();
        return attempt(wants, bench, layers, sticks, effort, |packing| {
            packing.settle(demands, effort)
        });
    }
    if look == Look::Bound {
        let (_, demands) = by_date(wants, layers, &mut sticks, late, from);
        return bound(wants, &demands, sticks, limited(effort, A_BOUND));
    }
    let effort = limited(effort, PURSE);
    if !layers.iter().any(is_urgent) {
        return by_lot(wants, wants.bench(), layers, sticks, effort);
    }
    // Where lots and dates are not told apart at once, the urgent layers come first.
    let none = Attempt { phases: None, bound: None, impossible: false, steps: 1 };
    let mitres = layers.iter().map(|layer| wants.asks[layer.ask].mitre);
    let mixed = mitres.clone().min() != mitres.max();
    if wants.moulding.kind == Kind::Reversible && mixed {
        return none;
    }
    let before = match together(wants, layers, &sticks, late, from, effort) {
        Some(all) if all.phases.is_some() || all.impossible => return all,
        all => all.map_or(0, |all| all.steps),
    };
    let bench = Bench { joint_at_flaws: wants.widest_joint(layers), ..wants.bench() };
    let (urgent, rest): (Vec<WantedLayer>, Vec<WantedLayer>) =
        layers.iter().partition(|l| is_urgent(l));
    let in_time = |stick: &PackStick| stick.kind.is_none_or(|kind| !late(kind));
    let first: Vec<PackStick> = sticks.iter().filter(|stick| in_time(stick)).cloned().collect();
    let one = by_lot(wants, bench, &urgent, first, effort);
    // Without room for the urgent ones there is none for all.
    let steps = before + one.steps;
    let mut attempt = Attempt { impossible: one.impossible, steps, ..none };
    let Some(mut phases) = one.phases else { return attempt };
    let two = by_lot(wants, bench, &rest, untouched(&phases[0], sticks), effort);
    attempt.steps += two.steps;
    attempt.phases = two.phases.map(|more| {
        phases.extend(more);
        phases
    });
    attempt
}

/// The sticks that a phase leaves.
fn untouched(phase: &Phase, mut sticks: Vec<PackStick>) -> Vec<PackStick> {
    let mut cut: BTreeMap<(Option<usize>, i64), u32> = BTreeMap::new();
    for &source in &phase.cut {
        let price = phase.sources[source].paid.map_or(0, |paid| paid.price.0);
        *cut.entry((phase.kinds[source], price)).or_default() += 1;
    }
    let racks = phase.rack_cut();
    sticks.retain(|stick| {
        let (place, source) = &stick.placed;
        if place.is_some() {
            return !racks.contains(place);
        }
        let Some(paid) = source.paid else { return true };
        let left = cut.get_mut(&(stick.kind, paid.price.0));
        let left = left.filter(|left| **left > 0 && !paid.endless);
        left.map(|left| *left -= 1).is_none()
    });
    sticks
}

/// So much effort and no more.
pub(super) fn limited(effort: Effort, steps: u64) -> Effort {
    effort.with_purse(effort.purse().min(steps)).at_most(steps)
}

/// What everything at once uses up at the least, whatever the lots.
fn bound<'a>(
    wants: &Wants<'a>,
    demands: &[Demand],
    sticks: Vec<PackStick>,
    effort: Effort<'a>,
) -> Attempt {
    let sources = sticks.into_iter().map(|stick| stick.placed).collect();
    let packing = Packing::new(wants.bench(), wants.asks, sources, effort);
    let bound = packing.bound(demands, effort).map(|bound| bound.0);
    let steps = taken(&packing, effort);
    Attempt { phases: None, bound, impossible: bound.is_none(), steps }
}

/// The steps of one packing, with what it takes to begin it.
fn taken(packing: &Packing, effort: Effort) -> u64 {
    1_000 + effort.purse().saturating_sub(packing.left())
}

/// Whether a layer is wanted before a date.
pub(super) fn is_before(layer: &WantedLayer, from: Option<Date>) -> bool {
    from.zip(layer.by).is_some_and(|(from, by)| by < from)
}

/// Packs everything at once, each frame from one lot that asks for it, whatever the
/// dates.
fn by_lot<'a>(
    wants: &Wants<'a>,
    bench: Bench<'a>,
    layers: &[WantedLayer],
    sticks: Vec<PackStick>,
    effort: Effort<'a>,
) -> Attempt {
    let counts = Wants::counts(layers);
    attempt(wants, bench, layers, sticks, effort, |packing| packing.pack(&counts))
}

/// Packs these layers, all at once.
pub(super) fn attempt<'a>(
    wants: &Wants<'a>,
    bench: Bench<'a>,
    layers: &[WantedLayer],
    sticks: Vec<PackStick>,
    effort: Effort<'a>,
    pack: impl FnOnce(&mut Packing<'a>) -> Packed,
) -> Attempt {
    let kinds: Vec<Option<usize>> = sticks.iter().map(|stick| stick.kind).collect();
    let premiums: Vec<i64> = sticks.iter().map(|stick| stick.premium).collect();
    let sources: Vec<Placed> = sticks.into_iter().map(|stick| stick.placed).collect();
    let mut packing = Packing::new(bench, wants.asks, sources.clone(), effort);
    let packed = pack(&mut packing);
    let steps = taken(&packing, effort);
    match packed {
        Packed::Impossible => Attempt { phases: None, bound: None, impossible: true, steps },
        Packed::Unknown => Attempt { phases: None, bound: None, impossible: false, steps },
        Packed::Fits(fit) => {
            let bound = Some(fit.bound.0);
            let phase = Phase::new(layers, fit, sources, kinds, &premiums);
            Attempt { phases: Some(vec![phase]), bound, impossible: false, steps }
        }
    }
}

/// What the layers ask, of each ask those first that are wanted before a date. What
/// arrives too late for these becomes of another lot than the rest.
pub(super) fn by_date(
    wants: &Wants,
    layers: &[WantedLayer],
    sticks: &mut [PackStick],
    late: &dyn Fn(usize) -> bool,
    from: Option<Date>,
) -> (Vec<usize>, Vec<Demand>) {
    let mut counts: BTreeMap<(usize, bool), u32> = BTreeMap::new();
    for layer in layers {
        *counts.entry((layer.ask, !is_before(layer, from))).or_default() += 1;
    }
    if counts.keys().any(|(_, can_wait)| !can_wait) {
        for stick in sticks {
            let is_late = stick.kind.is_some_and(late);
            stick.placed.1.lot = if is_late { LATER } else { IN_TIME };
        }
    }
    let demand = |((of, can_wait), count): ((usize, bool), u32)| {
        let lot = (!can_wait).then_some(IN_TIME);
        (of, Demand { ask: wants.asks[of].clone(), lot, together: false, count })
    };
    counts.into_iter().map(demand).unzip()
}

impl Phase {
    fn new(
        layers: &[WantedLayer],
        fit: Arc<Fit>,
        placed: Vec<Placed>,
        kinds: Vec<Option<usize>>,
        premiums: &[i64],
    ) -> Phase {
        let (places, sources): (Vec<Option<usize>>, Vec<Source>) = placed.into_iter().unzip();
        let cut = fit.posed.bought_in_order(&sources, &fit.solution);
        let premium: i64 = cut.iter().map(|&source| premiums[source]).sum();
        let of_rack = fit.posed.touched(&fit.solution).filter(|&source| kinds[source].is_none());
        let premium = premium + of_rack.map(|source| premiums[source]).sum::<i64>();
        let used_up = fit.used_up.0 - premium;
        let (layers, places, kinds) = (layers.to_vec(), Arc::new(places), Arc::new(kinds));
        Phase { layers, fit, sources: Arc::new(sources), places, kinds, cut, used_up }
    }

    /// The places in the rack that it cuts from.
    pub fn rack_cut(&self) -> Vec<Option<usize>> {
        let touched = self.fit.posed.touched(&self.fit.solution);
        touched.map(|source| self.places[source]).filter(Option::is_some).collect()
    }
}
