//! Which frames are cut when the sticks cannot serve all of them.
//!
//! The earliest date first: as many of its frames as any choice allows, then as
//! many of the next date among the choices that reached this, and so on; of the
//! choices left at the end the one that uses up least. *All* choices that are best
//! so far are kept, as a [`NonDominated`]: listed as long as there are few of them,
//! beyond [`MOST_CHOICES`] by how many frames of each date they cut. Where not even
//! that is settled it goes on with one choice and says so.
//!
//! On each date a moulding of which there is enough for everyone decides
//! nothing, whichever choice was made before; frames that need no other are cut
//! in any case. The rest falls into components that share no scarce moulding, each
//! decided by a [`ChoiceSearch`] of its own.
//!
//! [`MOST_CHOICES`]: super::choice::MOST_CHOICES

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::cheapest::cheapest;
use super::choice::{Asked, Decision, FrameChoice, Packings, asked_by, side_by_side, sum};
use super::component::{Cardinality, Component};
use super::connected::connected;
use super::front::NonDominated;
use super::packing::{Packing, Sufficiency};
use super::search::{ChoiceSearch, taken};
use super::work::Class;

/// Decides among frames that compete for these `packings`, of which `base` is cut in
/// any case. The frames come in the order of their turns, which is that of their
/// dates but for those rushed: how many of which class.
pub(crate) fn choose(
    classes: &[Class],
    packings: &mut Packings,
    base: Asked,
    turns: Vec<FrameChoice>,
) -> Decision {
    let mut front = NonDominated::new(classes, base);
    // One turn more: which of the choices is the cheapest.
    let left = (1..=turns.len() as u64).rev();
    for (wanted, left) in turns.into_iter().zip(left) {
        front.spread_doubt(&wanted);
        packings.values_mut().for_each(|packing| packing.keep_for(left + 1));
        serve(&mut front, packings, &wanted);
    }
    packings.values_mut().for_each(|packing| packing.keep_for(1));
    cheapest(front, packings)
}

/// Narrows the front to the choices that cut as many of one date as can be.
fn serve(front: &mut NonDominated, packings: &mut Packings, wanted: &FrameChoice) {
    let scarce = scarce(front, packings, &asked_by(front.classes, wanted));
    let is_contested = |class: usize| front.mouldings(class).any(|id| scarce.contains(id));
    let (contested, certain): (FrameChoice, FrameChoice) =
        wanted.iter().partition(|(class, _)| is_contested(**class));
    front.cut(&certain);
    let parts = parts(front, contested, &scarce);
    let served = side_by_side(packings, parts, |(before, wanted), packings| {
        most(front, before, wanted, packings)
    });
    for (component, doubtful) in served {
        front.doubt(doubtful.into_iter());
        front.admit(component);
    }
    front.unite();
}

/// The mouldings that, after some choice of the front, have not enough for
/// all that is asked of them.
fn scarce(front: &NonDominated, packings: &mut Packings, all: &Asked) -> BTreeSet<String> {
    let lacks = |(moulding, packing): (&String, &mut Packing)| {
        let more = all.get(moulding)?;
        let mut loads = front.loads(moulding).into_iter();
        let lacks =
            loads.any(|load| packing.room(&sum(Some(&load), Some(more))) != Sufficiency::Ample);
        lacks.then(|| moulding.clone())
    };
    packings.par_iter_mut().filter_map(lacks).collect()
}

/// The contested frames of a date in parts that share no scarce moulding: with the
/// mouldings, and the choices made before that hang on them.
fn parts(
    front: &mut NonDominated,
    contested: FrameChoice,
    scarce: &BTreeSet<String>,
) -> Vec<(BTreeSet<String>, (Component, FrameChoice))> {
    let components = std::mem::take(&mut front.components);
    let (mut touched, apart): (Vec<Component>, _) =
        components.into_iter().partition(|one| !one.mouldings.is_disjoint(scarce));
    front.components = apart;
    let of_class = |class: &usize| {
        front.mouldings(*class).filter(|id| scarce.contains(*id)).cloned().collect()
    };
    let of_component = |one: &Component| one.mouldings.intersection(scarce).cloned().collect();
    let sets: Vec<BTreeSet<String>> =
        contested.keys().map(of_class).chain(touched.iter().map(of_component)).collect();
    let frames: Vec<(usize, u32)> = contested.into_iter().collect();
    let part = |places: Vec<usize>| {
        let mut mouldings: BTreeSet<String> =
            places.iter().flat_map(|place| &sets[*place]).cloned().collect();
        let (mut before, mut wanted) = (Component::default(), FrameChoice::new());
        for place in places {
            match frames.get(place) {
                Some((class, count)) => drop(wanted.insert(*class, *count)),
                None => before.unite(std::mem::take(&mut touched[place - frames.len()])),
            }
        }
        if !before.is_listed() {
            // Its choices are still to be packed, into all that they take from.
            mouldings.extend(before.mouldings.iter().cloned());
        }
        (mouldings, (before, wanted))
    };
    connected(&sets).into_iter().map(part).collect()
}

/// The choices that cut as many of what is wanted as can be cut with some choice made
/// before; and where that is not known, the classes among which something better may
/// have been overlooked.
fn most(
    front: &NonDominated,
    before: Component,
    wanted: FrameChoice,
    packings: &mut Packings,
) -> (Component, Vec<usize>) {
    let classes = front.classes;
    let touched: Vec<usize> = before.most().into_keys().chain(wanted.keys().copied()).collect();
    let mut wanted: Vec<(usize, u32)> = wanted.into_iter().collect();
    wanted.sort_by_cached_key(|(class, _)| {
        let each = packings.iter().map(|(id, packing)| taken(&classes[*class], id, packing));
        (each.sum::<i64>(), *class)
    });
    let mut levels = before.levels;
    levels.push(Cardinality::Some { wanted: wanted.clone(), total: 0 });
    let last = levels.len() - 1;
    let mut search = ChoiceSearch::new(front, levels, packings);
    let mut is_best = true;
    let all: u32 = wanted.iter().map(|(_, count)| count).sum();
    for total in (0..=all).rev() {
        search.levels[last] = Cardinality::Some { wanted: wanted.clone(), total };
        let (found, settled) = search.fitting();
        is_best &= settled || !found.is_empty();
        if let Some(seen) = found.first().cloned() {
            let levels = match settled || !is_best {
                true => vec![Cardinality::OneOf(found)],
                false => search.levels,
            };
            let doubtful = if is_best { Vec::new() } else { touched };
            return (Component::new(classes, levels, seen), doubtful);
        }
        if !settled && search.is_spent() {
            break;
        }
    }
    let one = search.one_by_one(before.seen, &wanted);
    (Component::new(classes, vec![Cardinality::OneOf(vec![one.clone()])], one), touched)
}
