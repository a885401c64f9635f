//! The rack as today's cutting leaves it: what waits may be cut from that.
//!
//! # Why the order sees another shop
//!
//! What waits is cut from the rack as it is in the evening: the same shop, less the
//! sticks that today cuts, with what remains of them under its new labels. Nothing
//! after today needs to know of it.

use std::collections::BTreeSet;

use jiff::civil::Date;

use crate::offcuts::flaws_on;
use crate::plan::CutStick;
use crate::shop::{Shop, Stick};

/// The shop with what today leaves on the rack: the sticks that are not cut, then
/// the offcuts of those that are, under the labels that they get.
pub(crate) fn evening(shop: &Shop, today: &[CutStick], date: Date) -> Shop {
    let cut: BTreeSet<&str> = today.iter().map(|cut| cut.stick.as_str()).collect();
    let is_left = |stick: &&Stick| !cut.contains(stick.id.as_str());
    let left = shop.rack.iter().filter(is_left).cloned();
    let offcuts = today.iter().flat_map(|cut| racked(cut, date));
    Shop { rack: left.chain(offcuts).collect(), ..shop.clone() }
}

/// What goes back on the rack of one stick.
pub(crate) fn racked(cut: &CutStick, date: Date) -> impl Iterator<Item = Stick> + '_ {
    let pieces = cut.between.iter().chain([&cut.left]).filter(|left| left.keep);
    pieces.map(move |left| Stick {
        id: left.label.clone(),
        moulding: cut.moulding.clone(),
        length: left.length,
        lot: cut.lot.clone(),
        place: cut.place.clone(),
        flaws: flaws_on(&cut.flaws, left.from, left.length),
        since: Some(date),
    })
}
