//! Splits that are not compared at once, since they are too many: which of them
//! could be part of a cheaper order.
//!
//! Take the mouldings that have such splits out of the order. What the others
//! come to at the least, with each supplier who sells one of those taken out at
//! the best terms they have, is a bound for their share of any order, whatever
//! is bought beside them. To that comes what each moulding taken out costs at
//! the least before carriage: its cheapest way, and for the split in question
//! the chops' bill and what the rest uses up at the cheapest price of every
//! length. Where that comes to no less than an order that is known, the split is
//! struck out; the others are listed as all are.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::finish::{FINE, chop_lots};
use super::packer::{own, price};
use super::splits::Split;
use super::wants::Wants;
use super::ways::Ways;
use crate::buy::{Question, REFUSED, Terms, Way, at_least, goods_of};
use crate::cutting::{Paid, Source};
use crate::measure::{Length, Rate};
use crate::plan::lots::{NEW_LOT, Placed};
use crate::plan::packing::Packing;
use crate::shop::{Shop, Supplier};

/// More splits of a moulding than this are not listed beside the likeliest.
const MOST: usize = 256;

/// A split that no way was listed for.
pub(super) struct Other {
    pub split: Split,
    /// What every way with it costs at the least before suppliers add their own,
    /// in thousandths.
    pub least: i64,
}

/// Lists the splits that an order below this cost could have, and says whether
/// there are any. Afterwards no other is left, or the ways are not whole.
pub(super) fn look_further(shop: &Shop, found: &mut [Ways], cost: i64) -> bool {
    let mut apart: Vec<bool> = found.iter().map(|ways| !ways.others.is_empty()).collect();
    if !apart.contains(&true) {
        return false;
    }
    let known = found.iter().all(|ways| ways.whole) && cost < REFUSED;
    let Some(rest) = known.then(|| together(shop, found, &apart)).flatten() else {
        found.iter_mut().for_each(give_up);
        return false;
    };
    found.par_iter_mut().for_each(by_length);
    strike_out(found, &apart, cost - rest);
    found.iter_mut().filter(|ways| ways.others.len() > MOST).for_each(give_up);
    apart = found.iter().map(|ways| !ways.others.is_empty()).collect();
    if !apart.contains(&true) {
        return false;
    }
    found.par_iter_mut().with_max_len(1).for_each(Ways::list_others);
    true
}

fn give_up(ways: &mut Ways) {
    ways.whole &= ways.others.is_empty();
    ways.others.clear();
}

/// What the mouldings that are not apart cost at the least, together.
fn together(shop: &Shop, found: &[Ways], apart: &[bool]) -> Option<i64> {
    let each = || found.iter().zip(apart);
    let sells = |supplier: &Supplier| {
        each().any(|(ways, is_apart)| {
            let mut offers = shop.offers.iter().filter(|o| o.supplier == supplier.id);
            *is_apart && offers.any(|offer| offer.moulding == ways.wants.moulding.id)
        })
    };
    let terms = |supplier: &Supplier| {
        let terms = Terms::of(supplier);
        if sells(supplier) { terms.at_best() } else { terms }
    };
    let lot = |ways: &Ways| listed(ways).cloned().collect();
    at_least(&Question {
        suppliers: shop.suppliers.values().map(terms).collect(),
        lots: each().filter(|(_, is_apart)| !**is_apart).map(|(ways, _)| lot(ways)).collect(),
        budget: None,
    })
}

fn listed<'a>(ways: &'a Ways) -> impl Iterator<Item = &'a Way> {
    ways.ways.iter().chain(&ways.closed).map(|(way, _)| way)
}

/// Strikes out the splits with which the mouldings that are apart cost no less
/// than so much together.
fn strike_out(found: &mut [Ways], apart: &[bool], cost: i64) {
    let least = |ways: &Ways| {
        let others = ways.others.iter().map(|other| other.least);
        let all = listed(ways).map(|way| way.cost() - way.doubt).chain(others);
        all.min().unwrap_or(0)
    };
    loop {
        let each = found.iter().zip(apart).map(|(ways, is_apart)| match is_apart {
            true => least(ways),
            false => 0,
        });
        let each: Vec<i64> = each.collect();
        let all: i64 = each.iter().sum();
        let mut is_done = true;
        for (ways, least) in found.iter_mut().zip(each) {
            let before = ways.others.len();
            ways.others.retain(|other| all - least + other.least < cost);
            is_done &= ways.others.len() == before;
        }
        if is_done {
            return;
        }
    }
}

/// Works out what each split costs at the least.
fn by_length(ways: &mut Ways) {
    if ways.others.is_empty() {
        return;
    }
    let (wants, packing) = (&ways.wants, cheapest(ways));
    ways.others.par_iter_mut().for_each(|other| {
        let cut = packing.least_by_length(&Wants::counts(&other.split.cut)).0;
        other.least = cut + beside(wants, &other.split);
    });
}

/// What the chops of a split cost, less what rounding may hide: the price of the
/// goods of each offer and length is rounded to a minor unit once, and what
/// sticks use up by less than that in all.
fn beside(wants: &Wants, split: &Split) -> i64 {
    let bill = |(place, layers): &(usize, Vec<_>)| {
        let offer = &wants.shop.offers[wants.chops[*place].offer];
        goods_of(offer, &chop_lots(wants, offer, layers)).0
    };
    let pieces: usize = wants.supplies.iter().map(|supply| supply.pieces.len()).sum();
    let hidden = i64::try_from(pieces + 1).expect("few offers");
    (split.chopped.iter().map(bill).sum::<i64>() - hidden) * FINE
}

/// The rack, and new sticks of every length at the least they are sold for. What
/// is left of one is worth what it cost, at most the moulding's own price. With
/// some offers what is left is worth more, but never by more than they cost more.
fn cheapest<'a>(ways: &Ways<'a>) -> Packing<'a> {
    let wants = &ways.wants;
    let mut new: BTreeMap<Length, Rate> = BTreeMap::new();
    for (place, supply) in wants.supplies.iter().enumerate() {
        for piece in &supply.pieces {
            for step in 0..=wants.shop.offers[supply.offer].steps.len() {
                let price = price(wants, place, step, piece);
                let known = new.entry(piece.length).or_insert(price);
                *known = known.lower(price);
            }
        }
    }
    let bought = new.into_iter().map(|(length, price)| {
        let paid = Some(Paid { price, back: own(wants.moulding).lower(price) });
        (None, Source { length, flaws: Vec::new(), lot: NEW_LOT, is_new: true, paid })
    });
    let sources: Vec<Placed> = wants.rack.iter().cloned().chain(bought).collect();
    Packing::new(wants.bench(), wants.asks, sources, ways.effort())
}
