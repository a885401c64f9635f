//! The part of a shop that has to do with one frame.

use std::collections::BTreeSet;

use crate::shop::{Frame, Shop};

/// The shop with only those frames, sticks and offers that share a moulding with a
/// frame, by themselves or through the layers of others. Nothing is bought to fill the
/// rack: that is no matter of the frame.
pub(super) fn related(shop: &Shop, frame: &Frame) -> Shop {
    let of = |frame: &Frame| -> BTreeSet<String> {
        frame.layers.iter().map(|layer| layer.moulding.clone()).collect()
    };
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
    let is_known = |id: &str| known.contains(id);
    let mut part = Shop {
        frames: Vec::new(),
        rack: Vec::new(),
        sheets: Vec::new(),
        sheet_rules: Default::default(),
        coming: Vec::new(),
        spare: Vec::new(),
        offers: Vec::new(),
        lists: Vec::new(),
        settings: shop.settings.clone(),
        materials: shop.materials.clone(),
        jobs: shop.jobs.clone(),
        cutters: shop.cutters.clone(),
        mouldings: shop.mouldings.clone(),
        suppliers: shop.suppliers.clone(),
    };
    let touches = |frame: &&Frame| frame.layers.iter().any(|layer| is_known(&layer.moulding));
    part.frames.extend(shop.frames.iter().filter(touches).cloned());
    part.rack.extend(shop.rack.iter().filter(|stick| is_known(&stick.moulding)).cloned());
    part.coming.extend(shop.coming.iter().filter(|on| is_known(&on.stick.moulding)).cloned());
    part.spare.extend(shop.spare.iter().filter(|spare| is_known(&spare.moulding)).cloned());
    part.offers.extend(shop.offers.iter().filter(|offer| is_known(&offer.moulding)).cloned());
    part.mouldings.values_mut().for_each(|moulding| moulding.keep_on_rack = 0);
    part
}
