//! Which spare rails are taken, and what they become.

use crate::plan::SpareUse;
use crate::rails::frame_rails;
use crate::shop::Shop;

use super::name;

/// `take spare rail R17, 21 1/8 in of BLK-20: it is 4110 top`.
pub(crate) fn words(of: &SpareUse, shop: &Shop) -> String {
    let mut what = String::new();
    let (mut copies, mut layers) = (1, 1);
    if let Some(frame) = shop.frame(&of.frame) {
        (copies, layers) = (frame.copies, frame.layers.len());
        let rails = frame_rails(shop, frame);
        let own = rails.iter().find(|rails| rails.layer == of.layer);
        let own = own.and_then(|own| own.rails.iter().find(|rail| rail.side == of.side));
        if let Some(rail) = own {
            let long = shop.settings.style().show_unit(rail.long_point);
            what = format!(", {long} of {}", frame.layers[of.layer - 1].moulding);
        }
    }
    let layer = if layers > 1 { format!(", layer {}", of.layer) } else { String::new() };
    let side = name::side(of.side);
    let ticket = name::ticket(&of.frame, of.copy, copies);
    format!("take spare rail {}{what}: it is {ticket} {side}{layer}", of.label)
}
