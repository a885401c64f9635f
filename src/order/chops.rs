//! What a supplier's chops cost.

use std::collections::BTreeMap;

use super::splits::Split;
use super::wants::{WantedLayer, Wants};
use crate::buy::{Goods, OfferQuantity, chop_billed, goods_of};
use crate::measure::Length;
use crate::shop::Offer;

/// What the chops of a split cost at each supplier.
pub(super) fn chop_goods(wants: &Wants, split: &Split) -> Vec<Goods> {
    let mut goods: BTreeMap<usize, Goods> = BTreeMap::new();
    for (place, layers) in &split.chopped {
        let offer = &wants.shop.offers[wants.chops[*place].offer];
        let supplier = wants.shop.suppliers.keys().position(|id| *id == offer.supplier);
        let supplier = supplier.expect("an offer's supplier is known");
        let all = goods.entry(supplier).or_insert(Goods { supplier, cost: 0, long: false });
        all.cost += goods_of(offer, &chop_lots(wants, offer, layers)).0;
        all.long |= is_long_chop(wants, offer, layers);
    }
    goods.into_values().collect()
}

/// Chopped layers as they are billed: those of one length together.
pub(super) fn chop_lots(
    wants: &Wants,
    offer: &Offer,
    layers: &[WantedLayer],
) -> Vec<OfferQuantity> {
    let mut lots: BTreeMap<Length, u32> = BTreeMap::new();
    for layer in layers {
        *lots.entry(chop_billed(offer, wants.perimeter(layer))).or_default() += 1;
    }
    lots.into_iter().map(|(length, count)| OfferQuantity { length, count }).collect()
}

/// Whether a rail is so long that its parcel costs more.
fn is_long_chop(wants: &Wants, offer: &Offer, layers: &[WantedLayer]) -> bool {
    let Some(long) = wants.shop.suppliers[&offer.supplier].long else { return false };
    let rails = layers.iter().flat_map(|layer| &wants.asks[layer.ask].rails);
    rails.map(|rail| rail.long_point).any(|length| length > long.over)
}
