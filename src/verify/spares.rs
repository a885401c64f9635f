//! Each spare rail goes to one frame, and is what that frame needs.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use super::{Fault, Verified, truth};
use crate::plan::{Plan, SpareUse};
use crate::rails::Side;
use crate::shop::{Match, Shop, Spare};

/// Spare rails with the sides that they become.
type Rails<'a> = Vec<(Side, &'a Spare)>;

/// Checks the spare rails of a plan. Returns the shop in which they are cut already and
/// are with their frames: everything else of the plan is held against that.
pub(super) fn check<'a>(shop: &'a Shop, plan: &Plan, faults: &mut Vec<Fault>) -> Cow<'a, Shop> {
    if plan.spares.is_empty() {
        return Cow::Borrowed(shop);
    }
    let by_label: BTreeMap<&str, &Spare> =
        shop.spare.iter().map(|spare| (spare.label.as_str(), spare)).collect();
    let mut used = BTreeSet::new();
    let mut layers: BTreeMap<(&str, u32, usize), Rails> = BTreeMap::new();
    let mut after = shop.clone();
    for of in &plan.spares {
        let spare = by_label.get(of.label.as_str());
        let why = match spare {
            None => Some("there is none of that name"),
            Some(_) if !used.insert(of.label.as_str()) => Some("another rail has it"),
            Some(spare) => unlike(&after, plan, of, spare),
        };
        if let Some(why) = why {
            faults.push(fault(of, why));
            continue;
        }
        let key = (of.frame.as_str(), of.copy, of.layer);
        layers.entry(key).or_default().extend(spare.map(|spare| (of.side, *spare)));
        mark(&mut after, of);
    }
    for (of, rails) in layers {
        if let Some(lot) = unmatched(shop, of, &rails, faults) {
            // What is bound to a lot is cut today: nothing is kept or bought for it.
            let mut cut = plan.today.iter().flat_map(|stick| &stick.rails);
            if !cut.any(|rail| (rail.frame.as_str(), rail.copy, rail.layer) == of) {
                let (frame, copy, layer) = (of.0.to_owned(), of.1, of.2);
                faults.push(Fault::NotMatched { frame, copy, layer, match_: Match::Lot });
            }
            let frame = after.frames.iter_mut().find(|frame| frame.id == of.0);
            frame.map(|frame| frame.progress.like.insert((of.1, of.2), lot.to_owned()));
        }
    }
    after.spare.retain(|spare| !used.contains(spare.label.as_str()));
    for frame in &mut after.frames {
        let whole = |copy: &u32| {
            let own = |of: &SpareUse| (of.frame.as_str(), of.copy) == (frame.id.as_str(), *copy);
            plan.spares.iter().any(own)
                && frame.to_cut(*copy).is_empty()
                && frame.coming(*copy).is_empty()
        };
        let gone: Vec<u32> = frame.pending().filter(whole).collect();
        frame.progress.gone.extend(gone);
    }
    Cow::Owned(after)
}

fn fault(of: &SpareUse, why: &'static str) -> Fault {
    let (label, frame) = (of.label.clone(), of.frame.clone());
    Fault::FalseSpare { label, frame, layer: of.layer, side: of.side, why }
}

/// Why a spare rail is not the rail that it is to be.
fn unlike(shop: &Shop, plan: &Plan, of: &SpareUse, spare: &Spare) -> Option<&'static str> {
    let Some(frame) = shop.frame(&of.frame) else { return Some("there is no such frame") };
    if !plan.wishes.concerns(frame) || !frame.pending().any(|copy| copy == of.copy) {
        return Some("that copy is not on the pile");
    }
    if !frame.to_cut(of.copy).contains(&of.layer) {
        return Some("nothing of that layer is to be cut");
    }
    let rails = truth::true_rails(shop, frame);
    let place = rails[of.layer - 1].iter().position(|(side, _)| *side == of.side);
    let Some(place) = place else { return Some("there is no such side") };
    if frame.cut(of.copy, of.layer).is_some_and(|cut| cut.contains(&place)) {
        return Some("that side is cut already");
    }
    misfit(shop, of, spare)
}

/// Why a spare rail is not as the side that it becomes.
fn misfit(shop: &Shop, of: &SpareUse, spare: &Spare) -> Option<&'static str> {
    let Some(frame) = shop.frame(&of.frame) else { return Some("there is no such frame") };
    let rails = truth::true_rails(shop, frame);
    let sides = of.layer.checked_sub(1).and_then(|layer| rails.get(layer));
    let side = sides.and_then(|sides| sides.iter().find(|(side, _)| *side == of.side));
    let Some((_, rail)) = side else { return Some("there is no such side") };
    if frame.layers[of.layer - 1].moulding != spare.moulding {
        return Some("it is of another moulding");
    }
    if truth::true_mitre(&shop.mouldings[&spare.moulding], frame) != spare.mitre {
        return Some("its mitre is another");
    }
    (rail.long_point != spare.long_point).then_some("it is of another length")
}

/// Rails of a layer that are there: how alike it is to be, and the lot and stick of each.
pub type There = (Match, Vec<(String, String)>);

/// Checks spare rails that pay what is owed of layers that are cut in part: `there` is
/// what these have.
///
/// # Errors
/// Each that is not the rail that is owed, or not as alike as its layer is to be.
pub fn paid(
    (shop, spare): (&Shop, &[Spare]),
    uses: Vec<SpareUse>,
    there: &BTreeMap<(String, u32, usize), There>,
) -> Result<Verified<Vec<SpareUse>>, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut used = BTreeSet::new();
    let mut layers: BTreeMap<(String, u32, usize), Vec<&Spare>> = BTreeMap::new();
    for of in &uses {
        let spare = spare.iter().find(|spare| spare.label == of.label);
        let why = match spare {
            None => Some("there is none of that name"),
            Some(_) if !used.insert(&of.label) => Some("another rail has it"),
            Some(spare) => misfit(shop, of, spare),
        };
        faults.extend(why.map(|why| fault(of, why)));
        layers.entry((of.frame.clone(), of.copy, of.layer)).or_default().extend(spare);
    }
    for (of, spares) in layers {
        let (asked, others) =
            there.get(&of).map_or((Match::Any, &[][..]), |(asked, all)| (*asked, all));
        let own = spares.iter().map(|spare| (spare.lot.as_str(), spare.stick.as_str()));
        let all = others.iter().map(|(lot, stick)| (lot.as_str(), stick.as_str())).chain(own);
        let from = all.map(|(lot, stick)| (lot, if lot.is_empty() { stick } else { "" }));
        let one = from.collect::<BTreeSet<_>>().len() == 1;
        let as_cut = others.is_empty()
            && spares.iter().all(|spare| spare.of == spares[0].of && spare.alike >= asked);
        if asked > Match::Any && !(one && (asked == Match::Lot || as_cut)) {
            let (frame, copy, layer) = of;
            faults.push(Fault::NotMatched { frame, copy, layer, match_: asked });
        }
    }
    if faults.is_empty() { Ok(Verified::new(uses)) } else { Err(faults) }
}

/// From now on that side is cut.
fn mark(shop: &mut Shop, of: &SpareUse) {
    let frame = shop.frames.iter_mut().find(|frame| frame.id == of.frame);
    if let Some(frame) = frame {
        let place = Side::all(frame.mitre).iter().position(|side| *side == of.side);
        frame.progress.cut.entry((of.copy, of.layer)).or_default().extend(place);
    }
}

/// Whether the spare rails of a layer are as alike as it asks: a layer that must match
/// and of which nothing was cut has all of its rails from them, or some if they are of a
/// lot that is known and a lot is all that it asks. Returns the lot that the rest must be
/// of then.
fn unmatched<'a>(
    shop: &Shop,
    (id, copy, layer): (&str, u32, usize),
    rails: &[(Side, &'a Spare)],
    faults: &mut Vec<Fault>,
) -> Option<&'a str> {
    let frame = shop.frame(id)?;
    let asked = frame.layers[layer - 1].match_;
    if asked == Match::Any || frame.cut(copy, layer).is_some() {
        return None;
    }
    let first = rails[0].1;
    let one_lot = rails.iter().all(|(_, spare)| match first.lot.is_empty() {
        true => spare.lot.is_empty() && spare.stick == first.stick,
        false => spare.lot == first.lot,
    });
    let as_cut = |(side, spare): &(Side, &Spare)| {
        let own = Side::all(frame.mitre).iter().position(|own| own == side);
        spare.of == first.of && own == Some(spare.side) && spare.alike >= asked
    };
    let whole = rails.len() == usize::from(frame.mitre.sides());
    let rest = (!whole && asked == Match::Lot && !first.lot.is_empty()).then_some(&*first.lot);
    if !(whole || rest.is_some()) || !one_lot || (asked > Match::Lot && !rails.iter().all(as_cut)) {
        let frame = id.to_owned();
        faults.push(Fault::NotMatched { frame, copy, layer, match_: asked });
    }
    rest
}
