//! What was not bought beyond need, and what it would have saved.

use super::{Bill, Plan};
use crate::buy::{self, OfferQuantity, Terms, goods_of};
use crate::measure::Money;
use crate::shop::Shop;

/// More than so many are not tried.
const MOST: u32 = 200;

/// Millionths in a whole share.
const WHOLE: i64 = 1_000_000;

/// More of one offer that would lower what the order comes to, if each stick for nobody
/// counted what the shop's `spare` says; nothing is known to use it up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotBought {
    /// From whom.
    pub supplier: String,
    /// Which moulding.
    pub moulding: String,
    /// How many sticks or boxes more.
    pub more: u32,
    /// Whether those are boxes.
    pub boxes: bool,
    /// What they cost by themselves.
    pub goods: Money,
    /// What the order would cost more with them; less than nothing where it would cost
    /// less.
    pub costs: Money,
}

impl Plan {
    /// The best of what was not bought of the supplier of a bill, if there is any; there is
    /// none where they refuse it, since nothing is saved that nobody pays.
    pub fn not_bought(&self, bill: &Bill, shop: &Shop) -> Option<NotBought> {
        if bill.refused_below(shop).is_some() {
            return None;
        }
        let supplier = shop.suppliers.get(&bill.supplier)?;
        let bend = Terms::charged(supplier).last_bend();
        let mut best: Option<(i64, NotBought)> = None;
        let lines = self.order.lines.iter().filter(|line| line.supplier == bill.supplier);
        for line in lines.filter(|line| line.form != "chop") {
            let Some(offer) = shop.offers.iter().find(|offer| Some(offer.row) == line.offer) else {
                continue;
            };
            let of_offer = self.order.lines.iter().filter(|other| other.offer == line.offer);
            let lots: Vec<OfferQuantity> =
                of_offer.map(|of| OfferQuantity { length: of.length, count: of.count }).collect();
            let now = goods_of(offer, &lots);
            for more in 1..=MOST {
                let extra = OfferQuantity { length: line.length, count: more };
                let then = goods_of(offer, &[&lots[..], &[extra]].concat());
                let all = Money(bill.goods.0 - now.0 + then.0);
                let with = buy::bill(supplier, all, bill.long.0 > 0, self.date)?;
                let (goods, costs) = (then - now, with.total() - bill.total());
                let gain = goods.0 * i64::from(shop.settings.buying.spare) / WHOLE - costs.0;
                if gain > 0 && best.as_ref().is_none_or(|(known, _)| gain > *known) {
                    let (supplier, moulding) = (line.supplier.clone(), line.moulding.clone());
                    let boxes = line.form == "box";
                    best =
                        Some((gain, NotBought { supplier, moulding, more, boxes, goods, costs }));
                }
                if all.0 >= bend {
                    break;
                }
            }
        }
        best.map(|(_, best)| best)
    }
}
