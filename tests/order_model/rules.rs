//! The rules of the order's money, written down from the README alone: what a
//! moulding's length is worth, what an offer's goods come to, what a bill adds.

use jiff::civil::Date;
use longpoint::measure::{Length, Money};
use longpoint::shop::{Carton, Form, Lengths, Moulding, Offer, Per, Shop, Supplier};

/// Thousandths in a minor unit.
pub const FINE: i64 = 1000;
/// Millionths in a whole share.
const MILLION: i128 = 1_000_000;
/// What a supplier's saw takes of each half.
const SAW: Length = Length::from_mm(3);

pub struct Rules<'a> {
    pub shop: &'a Shop,
    pub date: Date,
    /// Whether no more is bought beyond need than the shop allows.
    pub is_limited: bool,
}

/// One kind of stick that can be bought, as it is ordered and as it arrives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Kind {
    /// The offer's place in the shop's list.
    pub offer: usize,
    /// As it is ordered; of random lengths the shortest.
    pub stick: Length,
    /// As it arrives at the least.
    pub piece: Length,
    pub halved: bool,
    /// Whether it makes its parcel long.
    pub long: bool,
    /// How many pieces one stick or box gives.
    pub pieces: u32,
}

/// The first day from one on that will do.
fn first(mut day: Date, will_do: impl Fn(Date) -> bool) -> Date {
    while !will_do(day) {
        day = day.tomorrow().unwrap();
    }
    day
}

impl<'a> Rules<'a> {
    pub fn moulding(&self, id: &str) -> &'a Moulding {
        &self.shop.mouldings[id]
    }

    pub fn supplier(&self, offer: &Offer) -> &'a Supplier {
        &self.shop.suppliers[&offer.supplier]
    }

    /// Whether an offer can be ordered by on the day of the plan.
    pub fn is_open(&self, offer: &Offer) -> bool {
        let (dates, supplier) = (offer.dates, self.supplier(offer));
        let is_taken = supplier.order_by.is_none_or(|last| self.goes_out(supplier) <= last);
        let from = [dates.from, dates.out_until].into_iter().flatten().max();
        is_taken
            && dates.until.is_none_or(|last| self.date <= last)
            && from.is_none_or(|first| self.date >= first)
    }

    /// The day on which an order from a supplier is there.
    pub fn day(&self, supplier: &Supplier) -> Date {
        let there = self.goes_out(supplier) + jiff::Span::new().days(i64::from(supplier.lead_days));
        first(there, |day| supplier.delivers.is_open(day))
    }

    /// The day on which an order to a supplier goes out.
    fn goes_out(&self, supplier: &Supplier) -> Date {
        first(self.date, |day| supplier.orders.is_open(day))
    }

    /// The last day on which moulding is in time for a due date.
    pub fn needed_by(&self, due: Date) -> Date {
        let days = &self.shop.settings.days;
        let (mut day, mut left) = (due, days.bench_days);
        // Nobody fetches a frame on a closed day.
        while left > 0 || !days.open.is_open(day) {
            left -= u32::from(days.open.is_open(day));
            day = day.yesterday().unwrap();
        }
        day
    }

    /// The offers of a moulding in one of the forms that can be ordered by.
    pub fn offers(&self, moulding: &str, chops: bool) -> Vec<usize> {
        let is_chop = |offer: &Offer| matches!(offer.form, Form::Chop { .. });
        let offers = self.shop.offers.iter().enumerate();
        let offers = offers.filter(|(_, o)| o.moulding == moulding && self.is_open(o));
        offers.filter(|(_, o)| is_chop(o) == chops).map(|(place, _)| place).collect()
    }

    /// The kinds of stick of an offer, whole or with each long one halved; `None`
    /// where there is nothing to halve, or a half would be none to keep.
    pub fn kinds(&self, place: usize, halved: bool) -> Option<Vec<Kind>> {
        let offer = &self.shop.offers[place];
        let supplier = self.supplier(offer);
        let over = supplier.long.map(|long| long.over);
        let is_long = |length: Length| over.is_some_and(|over| length > over);
        let sold: Vec<(Length, Length)> = match &offer.lengths {
            Lengths::These(lengths) => lengths.iter().map(|length| (*length, *length)).collect(),
            Lengths::Between(from, to) => vec![(*from, *to)],
        };
        if halved && !(supplier.halves && sold.iter().any(|(_, longest)| is_long(*longest))) {
            return None;
        }
        let kind = |(stick, longest): (Length, Length)| {
            let is_halved = halved && is_long(longest);
            let half = |length: Length| Length::from_nm(length.nm() / 2);
            Kind {
                offer: place,
                stick,
                piece: if is_halved { half(stick) - SAW } else { stick },
                halved: is_halved,
                long: is_long(if is_halved { half(longest) } else { longest }),
                pieces: self.held(offer, stick) * if is_halved { 2 } else { 1 },
            }
        };
        let kinds: Vec<Kind> = sold.into_iter().map(kind).collect();
        let keeps = |kind: &Kind| !kind.halved || kind.piece > self.shop.settings.keep;
        kinds.iter().all(keeps).then_some(kinds)
    }

    /// How many sticks one of what is counted is sure to hold.
    fn held(&self, offer: &Offer, stick: Length) -> u32 {
        let longest = match offer.lengths {
            Lengths::These(_) => stick,
            Lengths::Between(_, to) => to,
        };
        match offer.form {
            Form::Box { holds: Carton::Sticks(sticks) } => sticks,
            Form::Box { holds: Carton::Length(length) } => {
                u32::try_from(length.nm() / longest.nm()).unwrap()
            }
            Form::Length | Form::Chop { .. } => 1,
        }
    }

    /// How much of what an offer's price is for one of a length is, as a fraction.
    fn each(&self, offer: &Offer, length: Length) -> (i128, i128) {
        let billed = match offer.form {
            Form::Box { holds: Carton::Sticks(sticks) } => length * i64::from(sticks),
            Form::Box { holds: Carton::Length(holds) } => holds,
            Form::Length | Form::Chop { .. } => length,
        };
        match offer.per {
            Per::Foot => (i128::from(billed.nm()), 304_800_000),
            Per::Metre => (i128::from(billed.nm()), 1_000_000_000),
            Per::Stick => (i128::from(self.held(offer, length)), 1),
            Per::Box => (1, 1),
        }
    }

    /// What is left of a price once the supplier's discount is off, in ten-thousandths.
    pub fn left(&self, offer: &Offer) -> i64 {
        10_000 - i64::from(self.supplier(offer).discount)
    }

    /// What so many of these lengths cost by one offer, and the price of one of
    /// what it is sold by, in ten-millionths; without the fees of chops.
    pub fn goods(&self, place: usize, bought: &[(Length, u32)]) -> (i64, i64) {
        let offer = &self.shop.offers[place];
        let mut amount = 0;
        let mut under = 1;
        for (length, count) in bought {
            let (over, unit) = self.each(offer, *length);
            amount += over * i128::from(*count);
            under = unit;
        }
        let reached = offer.steps.iter().rfind(|step| i128::from(step.from) * under <= amount);
        let price = reached.map_or(offer.price, |step| step.price).0 * self.left(offer);
        let (fine, whole) = (amount * i128::from(price), under * 10_000_000);
        let nearest = (2 * fine + whole).div_euclid(2 * whole);
        (i64::try_from(nearest).unwrap(), price)
    }

    /// What one piece of a kind is paid by its length at such a price, in thousandths.
    pub fn piece_price(&self, kind: &Kind, price: i64) -> i64 {
        let offer = &self.shop.offers[kind.offer];
        let (price, length) = (i128::from(price), i128::from(kind.piece.nm()));
        let per = match offer.per {
            Per::Foot => 304_800_000,
            Per::Metre => 1_000_000_000,
            Per::Stick => i128::from(kind.stick.nm()),
            Per::Box => i128::from(kind.stick.nm()) * i128::from(self.held(offer, kind.stick)),
        };
        i64::try_from((price * length).div_euclid(per * 10_000)).unwrap()
    }

    /// The rate of a moulding: the least price for a length at which it can be had,
    /// as thousandths of a minor unit for so many nanometres.
    pub fn rate(&self, moulding: &str) -> (i128, i128) {
        let mut least: Option<(i128, i128)> = None;
        for place in self.offers(moulding, false) {
            let offer = &self.shop.offers[place];
            let steps = offer.steps.iter().map(|step| step.price.0);
            let price = steps.chain([offer.price.0]).min().unwrap();
            for kind in self.kinds(place, false).unwrap() {
                let (over, under) = self.each(offer, kind.stick);
                let sure = i128::from(kind.stick.nm()) * i128::from(kind.pieces);
                let price = i128::from(price * self.left(offer));
                let rate = (price * over, under * sure * 10_000);
                let common = gcd(rate.0, rate.1);
                let rate = (rate.0 / common, rate.1 / common);
                if least.is_none_or(|(a, b)| rate.0 * b < a * rate.1) {
                    least = Some(rate);
                }
            }
        }
        let own = || {
            let moulding = self.moulding(moulding);
            let Some(price) = moulding.price else { return (0, 1) };
            let per = match price.per {
                Per::Foot => 304_800_000,
                Per::Metre => 1_000_000_000,
                Per::Stick | Per::Box => moulding.stick.nm(),
            };
            (i128::from(price.amount.0), i128::from(per))
        };
        least.unwrap_or_else(own)
    }

    /// What a stick or offcut of this length counts, in thousandths.
    pub fn worth(&self, moulding: &str, length: Length) -> i64 {
        let settings = &self.shop.settings;
        let usual = self.moulding(moulding).stick;
        if length < settings.keep || length.nm() <= 0 {
            return 0;
        }
        let (amount, per) = self.rate(moulding);
        let spare = i128::from(settings.buying.spare);
        let (mut over, mut under) =
            (vec![amount, spare, i128::from(length.nm())], vec![per, MILLION]);
        if length < usual {
            let mut knots = vec![(settings.keep, settings.worth)];
            knots.extend(&self.moulding(moulding).worths);
            knots.push((usual, 1_000_000));
            let after = knots.iter().position(|(at, _)| *at > length).expect("the usual stick");
            let ((from, low), (to, high)) = (knots[after - 1], knots[after]);
            let rise = i128::from((to - from).nm());
            let risen = i128::from((length - from).nm());
            over.push(i128::from(low) * (rise - risen) + i128::from(high) * risen);
            under.extend([MILLION, rise]);
        }
        quotient(over, under)
    }

    /// From which length on a stick counts as a whole one.
    pub fn whole_from(&self, moulding: &str) -> Length {
        let usual = self.moulding(moulding).stick;
        let kinds = self.offers(moulding, false).into_iter();
        let kinds = kinds.filter_map(|place| self.kinds(place, false)).flatten();
        let longest = kinds.map(|kind| kind.stick).max();
        longest.map_or(usual, |longest| longest.min(usual))
    }

    /// What a whole stick for the rack counts, in thousandths.
    pub fn whole(&self, moulding: &str, length: Length) -> i64 {
        let length = length.min(self.moulding(moulding).stick);
        let (amount, per) = self.rate(moulding);
        quotient(vec![amount, i128::from(length.nm())], vec![per]) - FINE
    }

    /// What sticks count more than as remainders, since some of them are whole ones
    /// that the rack is to have.
    pub fn bonus(&self, moulding: &str, mut sticks: Vec<Length>) -> i64 {
        let from = self.whole_from(moulding);
        let keep = usize::try_from(self.moulding(moulding).keep_on_rack).unwrap();
        sticks.retain(|length| *length >= from);
        sticks.sort_unstable_by(|a, b| b.cmp(a));
        let more = |length: Length| self.whole(moulding, length) - self.worth(moulding, length);
        sticks.into_iter().take(keep).map(more).sum()
    }

    /// What a supplier charges if they were asked, and take the order however small it is.
    pub fn bill_if_asked(&self, supplier: &Supplier, goods: i64, long: bool) -> Option<i64> {
        let minimum = if supplier.refuses { Money(0) } else { supplier.minimum };
        self.bill(&Supplier { minimum, ..supplier.clone() }, goods, long)
    }

    /// What a supplier charges; `None` if they do not take the order.
    pub fn bill(&self, supplier: &Supplier, goods: i64, long: bool) -> Option<i64> {
        if goods == 0 {
            return Some(0);
        }
        if supplier.refuses && goods < supplier.minimum.0 {
            return None;
        }
        let carriage = supplier.freight.iter().rfind(|step| step.from.0 <= goods);
        let carriage = carriage.map_or(0, |step| step.charge.0);
        let small = supplier.small.filter(|small| goods < small.below.0);
        let carriage = carriage + small.map_or(0, |small| small.charge.0);
        let surcharge = supplier.long.filter(|_| long).map_or(0, |long| long.charge.0);
        Some(goods.max(supplier.minimum.0) + carriage + surcharge)
    }
}

/// A quotient of products, rounded down; common factors are struck out first, so
/// that it stays within the integers there are.
fn quotient(mut over: Vec<i128>, mut under: Vec<i128>) -> i64 {
    for a in &mut over {
        for b in &mut under {
            let common = gcd(*a, *b).max(1);
            (*a, *b) = (*a / common, *b / common);
        }
    }
    let product = |of: Vec<i128>| of.into_iter().try_fold(1_i128, i128::checked_mul).unwrap();
    i64::try_from(product(over).div_euclid(product(under))).unwrap()
}

fn gcd(a: i128, b: i128) -> i128 {
    if b == 0 { a } else { gcd(b, a % b) }
}
