//! What is possible in offers and price lists but unlikely: a price that has lost its point, a
//! length that has lost a figure.

use std::collections::BTreeMap;

use super::{Form, Lengths, Moulding, Offer, Shop, WHOLE};
use crate::measure::{Length, Worth};

/// A price so many times the others', or the others so many times it, has rather lost its
/// point or is for another unit; a length that is so much apart has lost a figure.
const APART: i64 = 5;

/// What prices are compared for, so that nothing rounds away.
const FAR: Length = Length::from_mm(1_000_000);

/// Mouldings that every offer asks more for than what frames are priced by.
pub(super) fn outdated(shop: &Shop) -> Vec<String> {
    let mut cheapest: BTreeMap<&str, Worth> = BTreeMap::new();
    for offer in &shop.offers {
        let Some(paid) = offer.least_of(FAR) else { continue };
        let known = cheapest.entry(&offer.moulding).or_insert(paid);
        *known = paid.min(*known);
    }
    let is_below = |moulding: &&Moulding| {
        list(moulding).zip(cheapest.get(moulding.id.as_str())).is_some_and(|(list, of)| list < *of)
    };
    let below = shop.mouldings.values().filter(is_below);
    below
        .map(|moulding| {
            format!(
                "mouldings.csv: the price of {} is below every offer of it (frames are priced by \
                 it: is it still so?)",
                moulding.id
            )
        })
        .collect()
}

/// Offers whose price is far from the moulding's own, or, where it has none, from that of
/// the others.
pub(super) fn odd_prices(shop: &Shop) -> Vec<String> {
    let mut priced: BTreeMap<&str, Vec<(Worth, &Offer)>> = BTreeMap::new();
    for offer in &shop.offers {
        let price = offer.at(offer.price, FAR).map(|cost| (Worth(cost), offer));
        priced.entry(&offer.moulding).or_default().extend(price);
    }
    let mut odd = Vec::new();
    for (id, offers) in priced {
        let moulding = shop.moulding(id);
        // A moulding without a price of its own has that of its first offer.
        let is_taken = offers.iter().any(|(_, offer)| {
            let paid = i128::from(offer.price.0) * i128::from(offer.paid()) / i128::from(WHOLE);
            let own = moulding.price.as_ref().map(|price| (i128::from(price.amount.0), price.per));
            own == Some((paid, offer.per))
        });
        let own = list(moulding).filter(|_| !is_taken);
        for (price, offer) in &offers {
            let others = offers.iter().filter(|(_, other)| other.row != offer.row);
            let others: Vec<Worth> = match own {
                Some(list) => vec![list],
                None => others.map(|(price, _)| *price).collect(),
            };
            let apart = |less: Worth, more: Worth| more.0 >= less.0.saturating_mul(APART);
            let is_below = others.iter().all(|other| apart(*price, *other));
            let is_above = others.iter().all(|other| apart(*other, *price));
            if !others.is_empty() && (is_below || is_above) {
                let way = if is_below { "below" } else { "above" };
                let of = match own {
                    Some(_) => "its price in mouldings.csv",
                    None => "its other offers",
                };
                odd.push((*offer, format!("the price of {id} is far {way} {of}")));
            }
        }
    }
    said(odd)
}

/// Offers of a length that is far from the moulding's usual stick.
pub(super) fn odd_lengths(shop: &Shop) -> Vec<String> {
    let style = shop.settings.style();
    let mut odd = Vec::new();
    for offer in shop.offers.iter().filter(|offer| !matches!(offer.form, Form::Chop { .. })) {
        let stick = shop.moulding(&offer.moulding).stick;
        let is_odd = |length: &&Length| {
            let (less, more) = (stick.min(**length), stick.max(**length));
            more >= less * APART
        };
        let lengths = match &offer.lengths {
            Lengths::These(lengths) => lengths.clone(),
            Lengths::Between(from, to) => vec![*from, *to],
        };
        for length in lengths.iter().filter(is_odd) {
            let words = format!(
                "{} is offered in {}, and its usual stick is {}",
                offer.moulding,
                style.show_unit(*length),
                style.show_unit(stick)
            );
            odd.push((offer, words));
        }
    }
    said(odd)
}

/// In the order of their rows, each asked about.
fn said(mut odd: Vec<(&Offer, String)>) -> Vec<String> {
    odd.sort_by_key(|(offer, _)| offer.row);
    odd.into_iter()
        .map(|(offer, words)| format!("{}: {words} (is that so?)", offer.place()))
        .collect()
}

/// What so much of a moulding costs by its own price.
fn list(moulding: &Moulding) -> Option<Worth> {
    moulding.price?;
    let (amount, per) = moulding.rate();
    let cost = i128::from(amount.0) * i128::from(FAR.nm()) / i128::from(per.nm().max(1));
    i64::try_from(cost).ok().map(Worth)
}
