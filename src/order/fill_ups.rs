//! Mouldings that nobody waits for and that may still be on an order: the shop is known to use
//! them, and a supplier of the order charges less beside the goods for more.
//!
//! # Why no others
//!
//! A stick that nobody waits for counts no more than it costs, so it is bought for the sake
//! of a minimum, of carriage or of a small-order charge alone: only from a supplier from whom
//! something comes anyway, and whose terms have such a thing.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use crate::buy::Terms;
use crate::planner::lots::Placed;
use crate::planner::offered::supplies;
use crate::shop::{Form, Moulding, Offer, Shop};

/// So many at the most, those that are used most: each makes an order longer to decide.
const MOST: usize = 12;

/// Millionths of a stick in one.
const MILLION: u64 = 1_000_000;

/// The mouldings beside those that are `known` to be on the order, of which `left` is on the
/// rack.
pub(super) fn fill_ups<'a>(
    shop: &'a Shop,
    date: Date,
    known: &BTreeSet<&str>,
    left: &BTreeMap<String, Vec<Placed>>,
) -> Vec<&'a str> {
    let is_known = |offer: &&Offer| known.contains(offer.moulding.as_str());
    let from: BTreeSet<&str> =
        shop.offers.iter().filter(is_known).map(|offer| offer.supplier.as_str()).collect();
    let charges_less = |id: &&str| shop.suppliers.get(*id).is_some_and(|of| falls(&Terms::of(of)));
    let from: BTreeSet<&str> = from.into_iter().filter(charges_less).collect();
    let is_sold = |offer: &&Offer| {
        from.contains(offer.supplier.as_str()) && !matches!(offer.form, Form::Chop { .. })
    };
    let sold: BTreeSet<&str> =
        shop.offers.iter().filter(is_sold).map(|offer| offer.moulding.as_str()).collect();
    let whole = |moulding: &Moulding| {
        let sticks = left.get(&moulding.id).into_iter().flatten();
        let is_whole = |(_, of): &&Placed| of.flaws.is_empty() && of.length >= moulding.stick;
        sticks.filter(is_whole).count() as u64
    };
    let is_short = |moulding: &&Moulding| {
        let months = u64::from(shop.settings.buying.cover_months);
        let used = u64::from(moulding.monthly.unwrap_or(0)) * months;
        used / MILLION > whole(moulding)
    };
    let is_new = |moulding: &&Moulding| {
        let id = moulding.id.as_str();
        !known.contains(id) && sold.contains(id) && !supplies(shop, id, date).is_empty()
    };
    let mut all: Vec<&Moulding> = shop.mouldings.values().filter(is_short).filter(is_new).collect();
    all.sort_by_key(|moulding| (Reverse(moulding.monthly), &moulding.id));
    all.truncate(MOST);
    all.into_iter().map(|moulding| moulding.id.as_str()).collect()
}

/// Whether less is charged beside the goods for more.
fn falls(terms: &Terms) -> bool {
    terms.minimum > 0 || terms.freight.windows(2).any(|steps| steps[1].1 < steps[0].1)
}
