//! Why more was bought than is needed.

use std::collections::BTreeMap;

use crate::buy::{self, OfferQuantity, goods_of};
use crate::measure::Money;
use crate::plan::{Bill, Plan};
use crate::shop::Shop;

use super::order_words as words;

/// What a supplier's bill would be without what is bought beyond need, where that
/// is another: why it was bought.
pub(super) fn without_spare(bill: &Bill, plan: &Plan, shop: &Shop) -> Option<String> {
    let supplier = shop.suppliers.get(&bill.supplier)?;
    let (mut lots, mut is_other): (BTreeMap<u64, Vec<OfferQuantity>>, bool) = Default::default();
    let offer = |row: u64| shop.offers.iter().find(|offer| offer.row == row);
    for line in plan.order.lines.iter().filter(|line| line.supplier == bill.supplier) {
        let each = (line.pieces / line.count.max(1)).max(1);
        let needed = match line.form.as_str() {
            "chop" => line.count,
            _ => match (line.cut + line.restock).div_ceil(each) {
                0 => 0,
                // They have it in no fewer.
                needed => needed.max(offer(line.offer?)?.least_count),
            },
        };
        is_other |= needed < line.count;
        lots.entry(line.offer?)
            .or_default()
            .push(OfferQuantity { length: line.length, count: needed });
    }
    let mut goods = lots.iter().map(|(row, lots)| Some(goods_of(offer(*row)?, lots)));
    let goods = goods.try_fold(Money(0), |sum, goods| Some(sum + goods?))?;
    let without = buy::bill(supplier, goods, bill.long.0 > 0, plan.date)?;
    is_other.then(|| format!("without what is beyond need: {}", words::bill(&without, shop)))
}
