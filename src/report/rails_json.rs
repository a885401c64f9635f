//! Every rail of every frame for other programs: `longpoint rails --json`.

use serde::Serialize;
use serde_json::Value;

use crate::rails::rails_to_cut;
use crate::shop::{Frame, Shop};

use super::json::{degrees, mm, pretty};

/// All rails that are to be cut, in the order of the pile, innermost layer first.
/// Lengths are millimetres as exact decimals, angles degrees off square.
pub fn rails(shop: &Shop) -> String {
    let rails = shop.frames.iter().flat_map(|frame| of_frame(shop, frame)).collect();
    pretty(&RailsOut { shop: &shop.settings.name, rails })
}

#[derive(Serialize)]
struct RailsOut<'a> {
    shop: &'a str,
    rails: Vec<ListedRail<'a>>,
}

#[derive(Serialize)]
struct ListedRail<'a> {
    frame: &'a str,
    copy: u32,
    layer: usize,
    side: String,
    moulding: &'a str,
    mitre: Value,
    long_point: Value,
    rabbet: Value,
    sight: Value,
}

fn of_frame<'a>(shop: &Shop, frame: &'a Frame) -> Vec<ListedRail<'a>> {
    let mut out = Vec::new();
    for copy in frame.pending() {
        for layer in rails_to_cut(shop, frame, copy) {
            let asked = &frame.layers[layer.layer - 1];
            out.extend(layer.rails.iter().map(|rail| ListedRail {
                frame: &frame.id,
                copy,
                layer: layer.layer,
                side: rail.side.to_string(),
                moulding: &asked.moulding,
                mitre: degrees(frame.mitre),
                long_point: mm(rail.long_point),
                rabbet: mm(rail.rabbet),
                sight: mm(rail.sight),
            }));
        }
    }
    out
}
