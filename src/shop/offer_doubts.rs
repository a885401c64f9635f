//! What is possible in offers and price lists but unlikely: a price that has lost its point, a
//! length that has lost a figure.

use std::collections::BTreeMap;

use super::{Form, Lengths, Moulding, Offer, Per, Shop, WHOLE};
use crate::measure::{Length, Worth};

/// A price so many times the others', or the others so many times it, has rather lost its
/// point or is for another unit; a length that is so much apart has lost a figure.
const APART: i64 = 5;

/// A metre is 3.28 feet: a price from 2.9 to 3.75 times another (tenths and quarters of it)
/// is rather for the one where it was read as for the other. Suppliers of one moulding are
/// hardly a seventh apart; common practice, no source.
const AS_A_METRE: [(i64, i64); 2] = [(29, 10), (15, 4)];

/// Of one kind of doubt so many are named; a list that is wrong throughout is wrong once.
const MOST_NAMED: usize = 5;

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
    let words = below.map(|moulding| {
        format!(
            "mouldings.csv: the price of {} is below every offer of it (frames are priced by \
             it: is it still so?)",
            moulding.id
        )
    });
    few(words.collect(), "prices in mouldings.csv")
}

/// Offers whose price is far from the moulding's own, or, where it has none, from that of
/// the others.
pub(super) fn odd_prices(shop: &Shop) -> Vec<String> {
    let mut odd = Vec::new();
    for (id, offers) in priced(shop, |offer| offer.at(offer.price, FAR).map(Worth)) {
        let own = own_price(shop.moulding(id), &offers);
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
    said(odd, "prices in offers")
}

/// Offers by the foot or the metre whose price looks as if it were by the other, held against
/// the moulding's own, or, where it has none, against all its other offers; what is chopped
/// against what is chopped. One of a moulding.
pub(super) fn other_units(shop: &Shop) -> Vec<String> {
    let mut odd: BTreeMap<&str, (&Offer, String)> = BTreeMap::new();
    let whole = priced(shop, |offer| offer.at(offer.price, FAR).map(Worth));
    let chopped = priced(shop, |offer| offer.least_of_rails(FAR));
    for (id, offers) in whole.into_iter().chain(chopped) {
        let is_chopped = offers.iter().all(|(_, offer)| matches!(offer.form, Form::Chop { .. }));
        let own = own_price(shop.moulding(id), &offers).filter(|_| !is_chopped);
        for (price, offer) in &offers {
            let others = offers.iter().filter(|(_, other)| other.row != offer.row);
            let others: Vec<Worth> = match own {
                Some(list) => vec![list],
                None => others.map(|(price, _)| *price).collect(),
            };
            // Read as by the foot it is too dear, as by the metre too cheap.
            let (is, other) = match offer.per {
                Per::Foot => ("a foot", "a metre"),
                Per::Metre => ("a metre", "a foot"),
                Per::Stick | Per::Box => continue,
            };
            let is_as = |of: &Worth| match offer.per {
                Per::Foot => is_metre_to_foot(*of, *price),
                _ => is_metre_to_foot(*price, *of),
            };
            if others.is_empty() || !others.iter().all(is_as) {
                continue;
            }
            let of = if own.is_some() { "its price in mouldings.csv" } else { "its other offers" };
            let way = if offer.per == Per::Foot { "3 times" } else { "a third of" };
            let words = format!(
                "the price of {id}, for {is}, is about {way} {of}, as if it were for {other}"
            );
            odd.entry(id).or_insert((*offer, words));
        }
    }
    said(odd.into_values().collect(), "prices in offers")
}

/// Whether one price is so much more than the other as a metre is longer than a foot.
fn is_metre_to_foot(less: Worth, more: Worth) -> bool {
    let [(low, low_of), (high, high_of)] = AS_A_METRE;
    let times = |worth: Worth, by: i64| i128::from(worth.0) * i128::from(by);
    less.0 > 0
        && times(more, low_of) >= times(less, low)
        && times(more, high_of) <= times(less, high)
}

/// What is odd of a price against what it was before; nothing where it moved as prices do. Of
/// what goes by the foot or the metre, whether it looks as if it were by the other now.
pub fn odd_move(was: Worth, is: Worth, by_length: bool) -> Option<&'static str> {
    let (less, more) = (was.min(is), was.max(is));
    let is_other = by_length && is_metre_to_foot(less, more);
    match is > was {
        true if is_other => Some("about 3 times as much, as if it were for a metre, not a foot"),
        false if is_other => Some("about a third, as if it were for a foot, not a metre"),
        _ if less.0 <= 0 || more.0 < less.0.saturating_mul(APART) => None,
        true => Some("5 times as much or more"),
        false => Some("a fifth or less"),
    }
}

/// The offers of each moulding that have a price in this sense.
fn priced(
    shop: &Shop,
    price: impl Fn(&Offer) -> Option<Worth>,
) -> BTreeMap<&str, Vec<(Worth, &Offer)>> {
    let mut priced: BTreeMap<&str, Vec<(Worth, &Offer)>> = BTreeMap::new();
    for offer in &shop.offers {
        let price = price(offer).map(|price| (price, offer));
        priced.entry(&offer.moulding).or_default().extend(price);
    }
    priced
}

/// A moulding's own price; one that has none has that of its first offer, which is nothing to
/// hold them against.
fn own_price(moulding: &Moulding, offers: &[(Worth, &Offer)]) -> Option<Worth> {
    let is_taken = offers.iter().any(|(_, offer)| {
        let paid = i128::from(offer.price.0) * i128::from(offer.paid()) / i128::from(WHOLE);
        let own = moulding.price.as_ref().map(|price| (i128::from(price.amount.0), price.per));
        own == Some((paid, offer.per))
    });
    list(moulding).filter(|_| !is_taken)
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
    said(odd, "lengths in offers")
}

/// In the order of their rows, each asked about, as far as they are few.
fn said(mut odd: Vec<(&Offer, String)>, of: &str) -> Vec<String> {
    odd.sort_by_key(|(offer, _)| offer.row);
    let words =
        odd.into_iter().map(|(offer, words)| format!("{}: {words} (is that so?)", offer.place()));
    few(words.collect(), of)
}

/// The first of many, and how many more there are.
fn few(mut all: Vec<String>, of: &str) -> Vec<String> {
    if all.len() > MOST_NAMED + 1 {
        let more = all.len() - MOST_NAMED;
        all.truncate(MOST_NAMED);
        all.push(format!("{more} more {of} of which the same is to be asked"));
    }
    all
}

/// What so much of a moulding costs by its own price.
fn list(moulding: &Moulding) -> Option<Worth> {
    moulding.price?;
    let (amount, per) = moulding.rate();
    let cost = i128::from(amount.0) * i128::from(FAR.nm()) / i128::from(per.nm().max(1));
    i64::try_from(cost).ok().map(Worth)
}
