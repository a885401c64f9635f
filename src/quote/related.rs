//! The part of a shop that has to do with one frame.

use std::collections::BTreeSet;

use crate::shop::{Frame, Kind, Moulding, Shop};

/// The shop with only those frames, sticks and offers that share a moulding with a
/// frame, by themselves or through the layers of others. Nothing is bought to fill the
/// rack: that is no matter of the frame.
pub(super) fn related(shop: &Shop, frame: &Frame) -> Shop {
    let mut known = of(frame);
    let mut frames: Vec<(&Frame, BTreeSet<String>)> =
        shop.frames.iter().map(|frame| (frame, of(frame))).collect();
    // Each round takes in all that touch what is known, until none is left that does.
    loop {
        let (touched, rest): (Vec<_>, Vec<_>) =
            frames.into_iter().partition(|(_, mouldings)| !mouldings.is_disjoint(&known));
        if touched.is_empty() {
            break;
        }
        known.extend(touched.into_iter().flat_map(|(_, mouldings)| mouldings));
        frames = rest;
    }
    let touches = |frame: &&Frame| frame.layers.iter().any(|layer| known.contains(&layer.moulding));
    let frames = shop.frames.iter().filter(touches).cloned().collect();
    with(shop, frames, &known, |_| true)
}

/// One copy of a frame and nobody else, in the shop with only what it may be made of, so that a
/// plan has next to nothing to look through.
pub(super) fn by_itself(shop: &Shop, frame: &Frame) -> Shop {
    let known = of(frame);
    let fillets: BTreeSet<&String> =
        shop.jobs.values().filter_map(|job| job.fillet.as_ref()).collect();
    let may_be = |moulding: &Moulding| {
        known.contains(&moulding.id)
            || fillets.contains(&moulding.id)
            || moulding.kind == Kind::BuildOut
    };
    with(shop, vec![Frame { copies: 1, ..frame.clone() }], &known, may_be)
}

/// The mouldings of a frame.
fn of(frame: &Frame) -> BTreeSet<String> {
    frame.layers.iter().map(|layer| layer.moulding.clone()).collect()
}

/// The shop with these frames, with sticks and offers of these mouldings alone, and with
/// `which` of all mouldings.
fn with(
    shop: &Shop,
    frames: Vec<Frame>,
    known: &BTreeSet<String>,
    which: impl Fn(&Moulding) -> bool,
) -> Shop {
    let mouldings = shop.mouldings.iter().filter(|(_, moulding)| which(moulding));
    let mouldings =
        mouldings.map(|(id, of)| (id.clone(), Moulding { keep_on_rack: 0, ..of.clone() }));
    let is_known = |id: &str| known.contains(id);
    Shop {
        frames,
        rack: shop.rack.iter().filter(|stick| is_known(&stick.moulding)).cloned().collect(),
        sheets: Vec::new(),
        sheet_rules: Default::default(),
        coming: shop.coming.iter().filter(|on| is_known(&on.stick.moulding)).cloned().collect(),
        spare: shop.spare.iter().filter(|spare| is_known(&spare.moulding)).cloned().collect(),
        offers: shop.offers.iter().filter(|offer| is_known(&offer.moulding)).cloned().collect(),
        lists: Vec::new(),
        settings: shop.settings.clone(),
        materials: shop.materials.clone(),
        jobs: shop.jobs.clone(),
        cutters: shop.cutters.clone(),
        mouldings: mouldings.collect(),
        suppliers: shop.suppliers.clone(),
    }
}
