//! What was not bought beyond need, and what it would have saved.

use crate::buy::{self, OfferQuantity, Terms, goods_of};
use crate::measure::Money;
use crate::plan::{Bill, Plan};
use crate::shop::{Form, Shop};

use super::order_words::money;

/// More than so many are not tried.
const MOST: u32 = 200;

/// Millionths in a whole share.
const WHOLE: i64 = 1_000_000;

/// More of what is ordered from a supplier that would lower what the order comes to, if
/// each stick for nobody counted what the shop's `spare` says, and is not bought.
pub(super) fn not_bought(bill: &Bill, plan: &Plan, shop: &Shop) -> Option<String> {
    let supplier = shop.suppliers.get(&bill.supplier)?;
    let bend = Terms::charged(supplier).last_bend();
    let mut best: Option<(i64, String)> = None;
    let lines = plan.order.lines.iter().filter(|line| line.supplier == bill.supplier);
    for line in lines.filter(|line| line.form != "chop") {
        let Some(offer) = shop.offers.iter().find(|offer| Some(offer.row) == line.offer) else {
            continue;
        };
        let of_offer = plan.order.lines.iter().filter(|other| other.offer == line.offer);
        let lots: Vec<OfferQuantity> =
            of_offer.map(|of| OfferQuantity { length: of.length, count: of.count }).collect();
        let now = goods_of(offer, &lots);
        for more in 1..=MOST {
            let extra = OfferQuantity { length: line.length, count: more };
            let then = goods_of(offer, &[&lots[..], &[extra]].concat());
            let goods = Money(bill.goods.0 - now.0 + then.0);
            let with = buy::bill(supplier, goods, bill.long.0 > 0, plan.date)?;
            let (added, paid) = (then.0 - now.0, with.total().0 - bill.total().0);
            let counts = added * i64::from(shop.settings.buying.spare) / WHOLE;
            let gain = counts - paid;
            if gain > 0 && best.as_ref().is_none_or(|(known, _)| gain > *known) {
                let what = match (&offer.form, more) {
                    (Form::Box { .. }, 1) => "box",
                    (Form::Box { .. }, _) => "boxes",
                    (_, 1) => "stick",
                    _ => "sticks",
                };
                let all = match paid {
                    0 => "for the same in all".to_owned(),
                    paid if paid < 0 => format!("for {} less in all", money(Money(-paid), shop)),
                    paid => format!("for {} more in all", money(Money(paid), shop)),
                };
                let words = format!(
                    "Not bought, since nothing is known to use it up: {more} more {what} of {} at \
                     {}, {all}.",
                    line.moulding,
                    money(Money(added), shop)
                );
                best = Some((gain, words));
            }
            if goods.0 >= bend {
                break;
            }
        }
    }
    best.map(|(_, words)| words)
}
