//! Every rail of every frame for other programs: `longpoint rails --json`.

use serde_json::{Value, json};

use crate::rails::rails_to_cut;
use crate::shop::{Frame, Shop};

use super::json::{degrees, mm, pretty};

/// All rails that are to be cut, in the order of the pile, innermost layer first.
/// Lengths are millimetres as exact decimals, angles degrees off square.
pub fn rails(shop: &Shop) -> String {
    let rails: Vec<Value> = shop.frames.iter().flat_map(|frame| of_frame(shop, frame)).collect();
    pretty(&json!({ "shop": shop.settings.name, "rails": rails }))
}

fn of_frame(shop: &Shop, frame: &Frame) -> Vec<Value> {
    let mut out = Vec::new();
    for copy in frame.pending() {
        for layer in rails_to_cut(shop, frame, copy) {
            let asked = &frame.layers[layer.layer - 1];
            out.extend(layer.rails.iter().map(|rail| {
                json!({
                    "frame": frame.id,
                    "copy": copy,
                    "layer": layer.layer,
                    "side": rail.side.to_string(),
                    "moulding": asked.moulding,
                    "mitre": degrees(layer.mitre),
                    "long_point": mm(rail.long_point),
                    "rabbet": mm(rail.rabbet),
                    "sight": mm(rail.sight),
                })
            }));
        }
    }
    out
}
