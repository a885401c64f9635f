//! Spare rails go to the frames that can use them, before anything is cut.

use std::collections::{BTreeMap, BTreeSet};

use crate::measure::Mitre;
use crate::plan::{SpareUse, Wishes};
use crate::rails::{LayerRails, Rail, Side, rails_to_cut};
use crate::shop::{Frame, Match, Shop, Spare};

/// A frame copy.
pub(crate) type FrameCopy = (String, u32);

/// Who takes which spare rails: the most urgent frame first. A layer whose rails may
/// come from any stick takes what there is; one that must match takes all its rails or
/// none. The copies in `without` take nothing.
pub(crate) fn offer(shop: &Shop, wishes: &Wishes, without: &BTreeSet<FrameCopy>) -> Vec<SpareUse> {
    offer_each(shop, wishes, without, &|frame, copy, layer, free| {
        let asks = &frame.layers[layer.layer - 1];
        let is_begun = frame.cut(copy, layer.layer).is_some();
        let asked = if is_begun { Match::Any } else { asks.match_ };
        serving((&asks.moulding, layer.mitre), &layer.rails, (asked, None), free)
    })
}

/// Who could take some of its rails of the spare ones that nobody takes as a whole: the
/// most urgent frame first. That is for layers that must be of one lot and of which
/// nothing is cut; what is left of one must be cut from the rack, from sticks of the lot
/// of those that it takes. The copies in `without` take nothing.
pub(crate) fn offer_some(
    shop: &Shop,
    wishes: &Wishes,
    without: &BTreeSet<FrameCopy>,
) -> Vec<SpareUse> {
    offer_each(shop, wishes, without, &|frame, copy, layer, free| {
        let asks = &frame.layers[layer.layer - 1];
        let is_begun = frame.cut(copy, layer.layer).is_some();
        if asks.match_ != Match::Lot || is_begun || !frame.coming(copy).is_empty() {
            return Vec::new();
        }
        let of = (asks.moulding.as_str(), layer.mitre);
        let of_lot = |lot| serving(of, &layer.rails, (Match::Lot, Some((lot, ""))), free);
        let lots = lots(shop, &asks.moulding).into_iter().rev();
        lots.map(of_lot).max_by_key(Vec::len).unwrap_or_default()
    })
}

/// Which rails of a layer of a frame copy are served by which of the free spare ones.
type Serve<'a, 's> = dyn Fn(&Frame, u32, &LayerRails, &[&'a Spare]) -> Vec<(Rail, &'a Spare)> + 's;

/// Offers the spare rails to each layer that is still to be cut, but for the copies in
/// `without`, the most urgent frame first, as long as there are any.
fn offer_each<'a>(
    shop: &'a Shop,
    wishes: &Wishes,
    without: &BTreeSet<FrameCopy>,
    serve: &Serve<'a, '_>,
) -> Vec<SpareUse> {
    let mut free: Vec<&Spare> = shop.spare.iter().collect();
    let mut uses = Vec::new();
    for frame in by_urgency(shop, wishes) {
        for copy in frame.pending().filter(|copy| !without.contains(&(frame.id.clone(), *copy))) {
            if free.is_empty() {
                return uses;
            }
            for layer in rails_to_cut(shop, frame, copy) {
                let served = serve(frame, copy, &layer, &free);
                uses.extend(taking(&mut free, (frame, copy, layer.layer), served));
            }
        }
    }
    uses
}

/// The frames that a plan is for, the most urgent first.
fn by_urgency<'a>(shop: &'a Shop, wishes: &Wishes) -> Vec<&'a Frame> {
    let mut frames: Vec<&Frame> = shop.frames.iter().filter(|f| wishes.concerns(f)).collect();
    frames.sort_by_key(|frame| (!wishes.rushes(frame), frame.due.is_none(), frame.due));
    frames
}

/// The lots that are known of the sticks of a moulding on the rack.
fn lots<'a>(shop: &'a Shop, moulding: &str) -> BTreeSet<&'a str> {
    let sticks = shop.rack.iter().filter(|stick| stick.moulding == moulding);
    sticks.map(|stick| stick.lot.as_str()).filter(|lot| !lot.is_empty()).collect()
}

/// These go to a layer of a copy and are free no more.
fn taking(
    free: &mut Vec<&Spare>,
    (frame, copy, layer): (&Frame, u32, usize),
    served: Vec<(Rail, &Spare)>,
) -> Vec<SpareUse> {
    free.retain(|other| served.iter().all(|(_, spare)| other.label != spare.label));
    let of = |(rail, spare): (Rail, &Spare)| {
        let (label, frame) = (spare.label.clone(), frame.id.clone());
        SpareUse { label, frame, copy, layer, side: rail.side }
    };
    served.into_iter().map(of).collect()
}

/// Where rails are from, as far as a match asks: the lot, and the stick where that is
/// not known.
pub type From<'a> = (&'a str, &'a str);

/// What spare rails of one group have in common: where they are from, and what they
/// were cut for where that counts.
type SpareOrigin<'a> = (From<'a>, Option<&'a (String, u32, usize)>);

/// Which of these spare rails become which of these rails of a layer, of a moulding and
/// mitre, that is asked to be so alike, with others of it already `beside` that are from
/// somewhere.
///
/// Rails of any stick take what there is. Where others are there, those of a lot take
/// what is of theirs; what must be of one stick takes none. Where none is there, a layer
/// that must match takes all its rails of one lot, or none; if they must be of the same
/// sticks, those that were cut for one frame that asked as much, each on its own side.
pub fn serving<'a>(
    of: (&str, Mitre),
    rails: &[Rail],
    (asked, beside): (Match, Option<From>),
    free: &[&'a Spare],
) -> Vec<(Rail, &'a Spare)> {
    let from = |spare: &'a Spare| known(&spare.lot, &spare.stick);
    let fit = free.iter().copied().filter(|spare| (spare.moulding.as_str(), spare.mitre) == of);
    let is_long = |rail: &Rail, spare: &Spare| rail.long_point == spare.long_point;
    match (asked, beside) {
        (Match::Any, _) => each(rails, &fit.collect::<Vec<_>>(), &is_long),
        (Match::Lot, Some((lot, stick))) => {
            let own = fit.filter(|spare| from(spare) == known(lot, stick));
            each(rails, &own.collect::<Vec<_>>(), &is_long)
        }
        (_, Some(_)) => Vec::new(),
        (_, None) => {
            let mut groups: BTreeMap<SpareOrigin, Vec<&Spare>> = BTreeMap::new();
            for spare in fit.filter(|spare| asked == Match::Lot || spare.alike >= asked) {
                let cut_for = (asked != Match::Lot).then_some(&spare.of);
                groups.entry((from(spare), cut_for)).or_default().push(spare);
            }
            let is_own = |rail: &Rail, spare: &Spare| {
                let own = || Side::all(spare.mitre).get(spare.side) == Some(&rail.side);
                is_long(rail, spare) && (asked == Match::Lot || own())
            };
            let whole = groups.into_values().map(|group| each(rails, &group, &is_own));
            whole.into_iter().find(|taken| taken.len() == rails.len()).unwrap_or_default()
        }
    }
}

fn known<'a>(lot: &'a str, stick: &'a str) -> From<'a> {
    (lot, if lot.is_empty() { stick } else { "" })
}

/// For each rail the first spare one that can be it, as far as there is one.
fn each<'a>(
    rails: &[Rail],
    fit: &[&'a Spare],
    can_be: &dyn Fn(&Rail, &Spare) -> bool,
) -> Vec<(Rail, &'a Spare)> {
    let mut fit = fit.to_vec();
    let mut taken = Vec::new();
    for rail in rails {
        if let Some(at) = fit.iter().position(|spare| can_be(rail, spare)) {
            taken.push((*rail, fit.remove(at)));
        }
    }
    taken
}
