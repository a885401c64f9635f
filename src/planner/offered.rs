//! What can be bought of a moulding on a day: sticks by offer, and chops.

use std::collections::BTreeSet;

use jiff::civil::Date;

use crate::cutting::Ask;
use crate::measure::Length;
use crate::shop::{Form, Lengths, Match, Offer, Shop, halved};

/// One offer's sticks as they arrive: whole, or halved on request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Supply {
    /// The offer's place in the shop's list.
    pub offer: usize,
    /// The lengths that it can be ordered in, and the pieces that arrive.
    pub pieces: Vec<OfferedPiece>,
    /// When they arrive.
    pub arrives: Date,
}

/// A length as it is ordered, and as it arrives at the least.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct OfferedPiece {
    /// The length of the stick that is ordered; of random lengths the shortest.
    pub stick: Length,
    /// The length of what arrives, at the least.
    pub length: Length,
    /// Two pieces a stick: halved.
    pub halved: bool,
    /// Whether it makes a parcel long: a half does where it is still too long.
    pub long: bool,
}

/// Chops that can be had of a moulding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Chops {
    /// The offer's place in the shop's list.
    pub offer: usize,
    /// The shortest and longest rail.
    pub ends: (Length, Length),
    /// When they arrive.
    pub arrives: Date,
}

/// Whether the shop says at all where it buys. If not, moulding comes from
/// wherever, in its usual length and at its own price.
pub(crate) fn has_offers(shop: &Shop) -> bool {
    !shop.offers.is_empty()
}

/// The offers of a moulding that can be ordered on a day, with when they arrive.
fn open<'a>(
    shop: &'a Shop,
    moulding: &'a str,
    date: Date,
) -> impl Iterator<Item = (usize, &'a Offer, Date)> {
    let offers = shop.offers.iter().enumerate().filter(move |(_, o)| o.moulding == moulding);
    offers.filter_map(move |(place, offer)| {
        let supplier = &shop.suppliers[&offer.supplier];
        let is_open = supplier.takes_orders(date) && offer.dates.hold_on(date);
        let arrives = supplier.arrives(date).filter(|_| is_open)?;
        Some((place, offer, arrives))
    })
}

/// The sticks that can be bought of a moulding, by offer in the order of the
/// file; an offer whose sticks can be halved stands twice.
pub(crate) fn supplies(shop: &Shop, moulding: &str, date: Date) -> Vec<Supply> {
    let mut supplies = Vec::new();
    for (place, offer, arrives) in open(shop, moulding, date) {
        if matches!(offer.form, Form::Chop { .. }) {
            continue;
        }
        let supplier = &shop.suppliers[&offer.supplier];
        let (_, longest) = offer.lengths.ends();
        let sold: Vec<(Length, Length)> = match &offer.lengths {
            Lengths::These(lengths) => lengths.iter().map(|length| (*length, *length)).collect(),
            Lengths::Between(from, _) => vec![(*from, longest)],
        };
        let is_long = |longest: Length| supplier.long.is_some_and(|long| longest > long.over);
        let whole = |&(stick, longest): &(Length, Length)| {
            let long = is_long(longest);
            OfferedPiece { stick, length: stick, halved: false, long }
        };
        let half = |&(stick, longest): &(Length, Length)| match is_long(longest) {
            true => {
                let long = is_long(Length::from_nm(longest.nm() / 2));
                OfferedPiece { stick, length: halved(stick), halved: true, long }
            }
            false => whole(&(stick, longest)),
        };
        let pieces: Vec<OfferedPiece> = sold.iter().map(whole).collect();
        let halves: Vec<OfferedPiece> = sold.iter().map(half).collect();
        let can_be_halved = supplier.halves
            && halves != pieces
            && halves.iter().all(|piece| piece.length > shop.settings.keep);
        supplies.push(Supply { offer: place, pieces, arrives });
        if can_be_halved {
            supplies.push(Supply { offer: place, pieces: halves, arrives });
        }
    }
    supplies
}

/// Who sells sticks of a moulding in random lengths, and how long these are at the most.
pub(crate) fn random<'a>(shop: &'a Shop, moulding: &'a str, date: Date) -> Vec<(&'a str, Length)> {
    let sticks =
        open(shop, moulding, date).filter(|(_, offer, _)| !matches!(offer.form, Form::Chop { .. }));
    let random = sticks.filter_map(|(_, offer, _)| match offer.lengths {
        Lengths::Between(_, longest) => Some((offer.supplier.as_str(), longest)),
        Lengths::These(_) => None,
    });
    random.collect()
}

/// The chops that can be had of a moulding.
pub(crate) fn chops(shop: &Shop, moulding: &str, date: Date) -> Vec<Chops> {
    let chops =
        open(shop, moulding, date).filter(|(_, offer, _)| matches!(offer.form, Form::Chop { .. }));
    chops
        .map(|(offer, sold, arrives)| Chops { offer, ends: sold.lengths.ends(), arrives })
        .collect()
}

/// The lengths of new sticks that can be had of a moulding: each different one
/// once, rising.
pub(crate) fn new_lengths(shop: &Shop, moulding: &str, date: Date) -> Vec<Length> {
    if !has_offers(shop) {
        return vec![shop.moulding(moulding).stick];
    }
    let supplies = supplies(shop, moulding, date);
    let pieces = supplies.iter().flat_map(|supply| &supply.pieces);
    let lengths: BTreeSet<Length> = pieces.map(|piece| piece.length).collect();
    lengths.into_iter().collect()
}

/// The first day after this one on which sticks of all these mouldings can be ordered,
/// as far as the dates of offers tell. Only on such a date can that change.
pub(crate) fn sold_from(shop: &Shop, mouldings: &[String], date: Date) -> Option<Date> {
    let own = shop.offers.iter().filter(|offer| mouldings.contains(&offer.moulding));
    let days = own.flat_map(|offer| [offer.dates.from, offer.dates.out_until]).flatten();
    let days: BTreeSet<Date> = days.filter(|day| *day > date && *day < Date::MAX).collect();
    let is_sold = |day: Date| mouldings.iter().all(|id| !new_lengths(shop, id, day).is_empty());
    days.into_iter().find(|day| is_sold(*day))
}

impl Chops {
    /// Whether a layer can be had chopped: the whole of it, each rail within what
    /// they cut, and no match that only one stick in hand can give. A supplier's
    /// chop comes from one lot.
    pub fn can_cut(&self, ask: &Ask) -> bool {
        let (shortest, longest) = self.ends;
        matches!(ask.match_, Match::Any | Match::Lot)
            && ask.rails.len() == usize::from(ask.mitre.sides())
            && ask.rails.iter().all(|rail| (shortest..=longest).contains(&rail.long_point))
    }
}
