//! What a supplier charges: for the goods of one offer, and for the whole order.
//!
//! # Why a refused order is a dear one
//!
//! A supplier who takes nothing below a minimum is one whose carriage for less is
//! beyond all bounds; it is no state of theirs. Only where nothing else is left is it
//! paid for, and the plan says that they must be asked.

use std::collections::BTreeSet;

use jiff::civil::Date;

use super::question::Terms;
use crate::measure::{Length, Money, Rate, Worth};
use crate::shop::{Carton, Form, Lengths, Offer, Per, Shop, Supplier, WHOLE};

/// So many alike of what an offer sells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct OfferQuantity {
    /// How long a stick is; for a chop, the length billed for a frame.
    pub length: Length,
    /// How many sticks, boxes or chopped frames.
    pub count: u32,
}

/// What one supplier charges for an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bill {
    /// Who.
    pub supplier: String,
    /// The price of the goods.
    pub goods: Money,
    /// What is charged because less than the minimum is ordered.
    pub made_up: Money,
    /// What a small order costs more.
    pub small: Money,
    /// Carriage.
    pub freight: Money,
    /// The surcharge for a long parcel.
    pub long: Money,
    /// When it arrives, if it is ordered on the day of the plan.
    pub arrives: Date,
}

impl Bill {
    /// All of it together.
    pub fn total(&self) -> Money {
        self.goods + self.made_up + self.small + self.freight + self.long
    }

    /// The supplier's minimum, if they take no less and this is less.
    pub fn refused_below(&self, shop: &Shop) -> Option<Money> {
        let supplier = shop.suppliers.get(&self.supplier)?;
        (supplier.refuses && self.made_up.0 > 0).then_some(supplier.minimum)
    }

    /// What is to be paid if the supplier takes the order: where they refuse one so small,
    /// without what lacks to their minimum.
    pub fn to_pay(&self, shop: &Shop) -> Money {
        match self.refused_below(shop) {
            Some(_) => self.total() - self.made_up,
            None => self.total(),
        }
    }
}

/// What the whole order from a supplier comes to; `None` if they take no order
/// on this day.
pub fn bill(supplier: &Supplier, goods: Money, is_long: bool, date: Date) -> Option<Bill> {
    let arrives = supplier.arrives(date).filter(|_| supplier.takes_orders(date))?;
    let terms = Terms::charged(supplier);
    Some(Bill {
        supplier: supplier.id.clone(),
        goods,
        made_up: Money(terms.made_up(goods.0)),
        small: small(supplier, goods),
        freight: Money(terms.carriage(goods.0) - small(supplier, goods).0),
        long: Money(if is_long { terms.long } else { 0 }),
        arrives,
    })
}

/// What goods of this price cost more since they are a small order.
fn small(supplier: &Supplier, goods: Money) -> Money {
    supplier.small.filter(|small| goods < small.below).map_or(Money(0), |small| small.charge)
}

/// What an order that a supplier refuses is taken to cost, in minor units: more
/// than any that somebody takes.
pub const REFUSED: i64 = 1_000_000_000_000;

impl Terms {
    /// A supplier's terms as integers; an order below the minimum costs
    /// [`REFUSED`] where they take none.
    pub fn of(supplier: &Supplier) -> Terms {
        let charged = Terms::charged(supplier);
        let minimum = charged.minimum;
        if !supplier.refuses || minimum <= 0 {
            return charged;
        }
        let at_minimum = (minimum, charged.carriage(minimum));
        let above = charged.freight.into_iter().filter(|(from, _)| *from > minimum);
        let freight = [(0, REFUSED), at_minimum].into_iter().chain(above).collect();
        Terms { minimum: 0, freight, long: charged.long }
    }

    /// The same if every smaller order is made up to the minimum. What a small order
    /// costs more is one with carriage: both hang on the goods alone.
    pub fn charged(supplier: &Supplier) -> Terms {
        let bends = supplier.freight.iter().map(|step| step.from);
        let bends: BTreeSet<Money> = bends.chain(supplier.small.map(|small| small.below)).collect();
        let carriage = |from: Money| {
            let holds = supplier.freight.iter().take_while(|step| step.from <= from).last();
            holds.map_or(0, |step| step.charge.0) + small(supplier, from).0
        };
        Terms {
            minimum: supplier.minimum.0,
            freight: bends.into_iter().map(|from| (from.0, carriage(from))).collect(),
            long: supplier.long.map_or(0, |long| long.charge.0),
        }
    }
}

/// How many sticks of a length a box of the offer is sure to hold; 1 where
/// sticks are sold one by one.
pub fn sticks_in(offer: &Offer, length: Length) -> u32 {
    let longest = match &offer.lengths {
        Lengths::These(_) => length,
        Lengths::Between(_, to) => *to,
    };
    match offer.form {
        Form::Box { holds } => holds.sticks(longest),
        Form::Length | Form::Chop { .. } => 1,
    }
}

/// How much length one stick, box or chopped frame of the offer is billed as.
fn billed(offer: &Offer, length: Length) -> Length {
    match offer.form {
        Form::Box { holds: Carton::Sticks(sticks) } => length * i64::from(sticks),
        Form::Box { holds: Carton::Length(length) } => length,
        Form::Length | Form::Chop { .. } => length,
    }
}

/// How much is bought, in what the price is for: as a fraction over nanometres
/// for prices by length.
pub fn quantity(offer: &Offer, lots: &[OfferQuantity]) -> (i128, i128) {
    let sum = |of: &dyn Fn(&OfferQuantity) -> i128| lots.iter().map(of).sum::<i128>();
    match (offer.per, offer.per.length()) {
        (_, Some(unit)) => {
            let length = |lot: &OfferQuantity| {
                i128::from(billed(offer, lot.length).nm()) * i128::from(lot.count)
            };
            (sum(&length), i128::from(unit.nm()))
        }
        (Per::Stick, None) => {
            let each = |lot: &OfferQuantity| {
                i128::from(sticks_in(offer, lot.length)) * i128::from(lot.count)
            };
            (sum(&each), 1)
        }
        (_, None) => (sum(&|lot| i128::from(lot.count)), 1),
    }
}

/// Which step these reach: 0 is the price of one, 1 the first step and so on.
pub fn step_reached(offer: &Offer, lots: &[OfferQuantity]) -> usize {
    let (amount, unit) = quantity(offer, lots);
    offer.steps.iter().take_while(|step| i128::from(step.from) * unit <= amount).count()
}

/// The price at a step by the supplier's list.
pub fn price_at(offer: &Offer, step: usize) -> Worth {
    step.checked_sub(1).map_or(offer.price, |place| offer.steps[place].price)
}

/// The least number of sticks, boxes or frames of one length that reaches a step
/// together with `others`.
pub fn count_for(offer: &Offer, step: usize, length: Length, others: &[OfferQuantity]) -> u32 {
    let Some(place) = step.checked_sub(1) else { return 0 };
    let (amount, unit) = quantity(offer, others);
    let (one, _) = quantity(offer, &[OfferQuantity { length, count: 1 }]);
    let lacks = (i128::from(offer.steps[place].from) * unit - amount).max(0);
    u32::try_from((lacks + one - 1) / one.max(1)).unwrap_or(u32::MAX)
}

/// What so much over what the price is for costs, to the nearest minor unit.
pub fn priced((amount, unit): (i128, i128), price: Worth) -> Money {
    let under = unit * 1000;
    let nearest = (2 * amount * i128::from(price.0) + under).div_euclid(2 * under);
    Money(i64::try_from(nearest).unwrap_or(i64::MAX))
}

/// Whether what comes is billed by its length, whatever length was ordered.
pub fn is_billed_as_it_comes(offer: &Offer) -> bool {
    let is_as_it_comes = match offer.form {
        Form::Length | Form::Box { holds: Carton::Sticks(_) } => true,
        Form::Box { holds: Carton::Length(_) } | Form::Chop { .. } => false,
    };
    is_as_it_comes && offer.per.length().is_some()
}

/// What these cost less the discount, to the nearest minor unit, with the fees of chops.
///
/// All of them at the price of the step that they reach together.
pub fn goods_of(offer: &Offer, lots: &[OfferQuantity]) -> Money {
    let (amount, unit) = quantity(offer, lots);
    let price = Worth(price_at(offer, step_reached(offer, lots)).0 * offer.paid());
    let goods = priced((amount, unit * i128::from(WHOLE)), price);
    let count: i128 = lots.iter().map(|lot| i128::from(lot.count)).sum();
    let fees = count * i128::from(chop_fee(offer).0);
    Money(i64::try_from(i128::from(goods.0) + fees).unwrap_or(i64::MAX))
}

/// What each chopped frame of the offer costs beside its length.
pub fn chop_fee(offer: &Offer) -> Money {
    match offer.form {
        Form::Chop { fee, .. } => fee,
        Form::Length | Form::Box { .. } => Money(0),
    }
}

/// The price of a stick of this length at a step, as a rate: so many thousandths
/// of a minor unit buy so long a piece.
pub fn rate_paid(offer: &Offer, step: usize, length: Length) -> Rate {
    let per = match (offer.per, offer.per.length()) {
        (_, Some(unit)) => unit,
        (Per::Stick, None) => length,
        (_, None) => length * i64::from(sticks_in(offer, length).max(1)),
    };
    paid(offer, Rate { amount: price_at(offer, step), per })
}

/// The same rate less the discount.
fn paid(offer: &Offer, listed: Rate) -> Rate {
    match offer.discount {
        0 => listed,
        _ => Rate {
            amount: Worth(listed.amount.0 * offer.paid()),
            per: listed.per * i64::from(WHOLE),
        },
    }
}

/// What one stick or box of this length costs at a step: so many thousandths over
/// a number, exactly.
pub fn unit_price(offer: &Offer, step: usize, length: Length) -> (i128, i128) {
    let (amount, under) = quantity(offer, &[OfferQuantity { length, count: 1 }]);
    let price = price_at(offer, step).0 * offer.paid();
    (amount * i128::from(price), under * i128::from(WHOLE))
}

/// The length billed for a chopped frame whose rails are so long together.
pub fn chop_billed(offer: &Offer, perimeter: Length) -> Length {
    match offer.form {
        Form::Chop { least, .. } => perimeter.max(least),
        Form::Length | Form::Box { .. } => perimeter,
    }
}

#[cfg(test)]
#[path = "tariff_tests.rs"]
mod tests;
