//! What was not bought beyond need, and what it would have saved.

use super::{Bill, OrderLine, Plan};
use crate::buy::{self, OfferQuantity, Terms, goods_of, step_reached, sticks_in};
use crate::measure::Money;
use crate::shop::{Form, Lengths, Offer, Shop};

/// More than so many are not tried.
const MOST: u32 = 200;

/// Millionths in a whole share.
const WHOLE: i64 = 1_000_000;

/// More of one offer that would lower what the order comes to, if each stick for nobody
/// counted what the shop's `spare` says, or boxes in place of single sticks; nothing is known
/// to use it up.
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
    /// In place of how many sticks that are bought one by one; `None` if beside them.
    pub in_place_of: Option<u32>,
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
        let lines = self.order.lines.iter().filter(|line| line.supplier == bill.supplier);
        let mut best: Option<(i64, NotBought)> = None;
        for line in lines.filter(|line| line.form != "chop") {
            let offer = shop.offers.iter().find(|offer| Some(offer.row) == line.offer);
            let Some(offer) = offer else { continue };
            let of_offer = self.order.lines.iter().filter(|other| other.offer == line.offer);
            let lots: Vec<OfferQuantity> =
                of_offer.map(|of| OfferQuantity { length: of.length, count: of.count }).collect();
            let more = self.more_of(bill, line, (offer, &lots), shop);
            for (gain, of) in
                more.into_iter().chain(self.boxes_for(bill, line, (offer, &lots), shop))
            {
                if gain > 0 && best.as_ref().is_none_or(|(known, _)| gain > *known) {
                    best = Some((gain, of));
                }
            }
        }
        best.map(|(_, best)| best)
    }

    /// What the whole order costs more with goods of one offer that come to another price.
    fn costs_more(&self, bill: &Bill, (now, then): (Money, Money), shop: &Shop) -> Option<Money> {
        let supplier = shop.suppliers.get(&bill.supplier)?;
        let all = bill.goods - now + then;
        Some(buy::bill(supplier, all, bill.long.0 > 0, self.date)?.total() - bill.total())
    }

    /// More of what a line buys, with what each is worth.
    fn more_of(
        &self,
        bill: &Bill,
        line: &OrderLine,
        (offer, lots): (&Offer, &[OfferQuantity]),
        shop: &Shop,
    ) -> Vec<(i64, NotBought)> {
        let Some(supplier) = shop.suppliers.get(&bill.supplier) else { return Vec::new() };
        let bend = Terms::charged(supplier).last_bend();
        let now = goods_of(offer, lots);
        let mut found = Vec::new();
        for more in 1..=MOST {
            let extra = OfferQuantity { length: line.length, count: more };
            let with = [lots, &[extra]].concat();
            let then = goods_of(offer, &with);
            let Some(costs) = self.costs_more(bill, (now, then), shop) else { break };
            let goods = then - now;
            let spare = i64::from(shop.settings.buying.spare);
            let gain = goods.0.max(0) * spare / WHOLE - costs.0;
            let (boxes, in_place_of) = (line.form == "box", None);
            found.push((gain, not_bought(line, (more, boxes, in_place_of), (goods, costs))));
            let is_last_step = step_reached(offer, &with) == offer.steps.len();
            if is_last_step && (bill.goods + goods).0 >= bend {
                break;
            }
        }
        found
    }

    /// Boxes in place of the sticks of a line, where that costs less.
    fn boxes_for(
        &self,
        bill: &Bill,
        line: &OrderLine,
        (offer, lots): (&Offer, &[OfferQuantity]),
        shop: &Shop,
    ) -> Vec<(i64, NotBought)> {
        if offer.form != Form::Length || lots.len() > 1 || line.halved {
            return Vec::new();
        }
        let is_box = |other: &&Offer| {
            (&other.supplier, &other.moulding) == (&offer.supplier, &offer.moulding)
                && matches!(other.form, Form::Box { .. })
                && matches!(&other.lengths, Lengths::These(sold) if sold.contains(&line.length))
                && other.dates.hold_on(self.date)
                && self.order.lines.iter().all(|line| line.offer != Some(other.row))
        };
        let in_its_place = |of: &Offer| {
            let each = sticks_in(of, line.length).max(1);
            let count = line.count.div_ceil(each).max(of.least_count);
            let goods = goods_of(of, &[OfferQuantity { length: line.length, count }]);
            let costs = self.costs_more(bill, (goods_of(offer, lots), goods), shop)?;
            Some((-costs.0, not_bought(line, (count, true, Some(line.count)), (goods, costs))))
        };
        shop.offers.iter().filter(is_box).filter_map(in_its_place).collect()
    }
}

fn not_bought(
    line: &OrderLine,
    (more, boxes, in_place_of): (u32, bool, Option<u32>),
    (goods, costs): (Money, Money),
) -> NotBought {
    let (supplier, moulding) = (line.supplier.clone(), line.moulding.clone());
    NotBought { supplier, moulding, more, boxes, in_place_of, goods, costs }
}
