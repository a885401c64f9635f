//! The frames that have a say in what becomes of one.

use std::collections::BTreeSet;

use crate::shop::{Frame, Shop};

/// The shop with those of its frames only that share a moulding with this one,
/// or with one that does, and so on.
pub(super) fn with(shop: &Shop, frame: &Frame) -> Shop {
    let days = &shop.settings.days;
    if days.patience.is_some() && days.frames_a_day.is_some() {
        // Who may wait for others hangs on the hands that there are for all.
        return shop.clone();
    }
    let mut tied: BTreeSet<&str> = mouldings(frame).collect();
    loop {
        let before = tied.len();
        for other in &shop.frames {
            if mouldings(other).any(|moulding| tied.contains(moulding)) {
                tied.extend(mouldings(other));
            }
        }
        if tied.len() == before {
            break;
        }
    }
    let is_tied = |other: &&Frame| mouldings(other).any(|moulding| tied.contains(moulding));
    let frames = shop.frames.iter().filter(is_tied).cloned().collect();
    Shop { frames, ..shop.clone() }
}

fn mouldings(frame: &Frame) -> impl Iterator<Item = &str> {
    frame.layers.iter().map(|layer| layer.moulding.as_str())
}
