//! Words that several commands of the book have in common.

use crate::book::{LaidRail, Lay};
use crate::measure::Length;
use crate::rails::{Side, frame_rails};
use crate::report::name;
use crate::shop::{Shop, Stop};

/// `4101`, or `4113 (2/6)` where there are several.
pub(super) fn ticket(shop: &Shop, frame: &str, copy: u32) -> String {
    name::ticket(frame, copy, shop.frame(frame).map_or(1, |frame| frame.copies))
}

/// Frame copies as a list.
pub(super) fn tickets(shop: &Shop, copies: &[(String, u32)]) -> String {
    let all: Vec<String> = copies.iter().map(|(frame, copy)| ticket(shop, frame, *copy)).collect();
    all.join(", ")
}

/// `4101 top`, with the layer where there are several.
pub(super) fn rail(shop: &Shop, rail: &LaidRail) -> String {
    side(shop, (&rail.frame, rail.copy), rail.layer, rail.side)
}

/// A side of a frame copy as it is spoken of.
pub(super) fn side(shop: &Shop, (frame, copy): (&str, u32), layer: usize, side: Side) -> String {
    let layers = shop.frame(frame).map_or(1, |frame| frame.layers.len());
    let layer = if layers > 1 { format!(", layer {layer}") } else { String::new() };
    format!("{} {}{layer}", ticket(shop, frame, copy), name::side(side))
}

/// What the machine's stop is set to for a rail.
pub(super) fn stop(shop: &Shop, lay: &Lay, rail: &LaidRail) -> Length {
    let long = rail.to - rail.from;
    let reads = shop.cutter_of(shop.moulding(&lay.moulding)).stop;
    let frame = shop.frame(&rail.frame);
    let layers = frame.map(|frame| frame_rails(shop, frame)).unwrap_or_default();
    let rails = layers.get(rail.layer.wrapping_sub(1)).map(|layer| layer.rails.as_slice());
    let of = rails.unwrap_or_default().iter().find(|other| other.side == rail.side);
    match (reads, of) {
        (Stop::Long, _) | (_, None) => long,
        (Stop::Rabbet, Some(rail)) => rail.rabbet,
        (Stop::Sight, Some(rail)) => rail.sight,
    }
}

/// `1 stick`, `2 sticks`.
pub(super) fn count(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}
