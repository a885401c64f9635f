//! What the order comes to after all: what is paid and what the rack counted
//! before, less what it counts once all is cut and all that is bought is there;
//! and whether the rack is filled up as the shop asked.
//!
//! Worked out from the offers alone, by the rules in the README ("How an order is
//! decided"). A length of a moulding counts its least price on offer today,
//! whoever it comes from.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use super::bills::{each, left_of_price, paid, price};
use super::bought::{offer_of, sticks_each};
use super::facts::Facts;
use super::{Fault, limit, truth};
use crate::measure::{Length, Money, Worth};
use crate::plan::{Left, OrderLine, Part};
use crate::shop::{Moulding, Offer, Per, Restock};

/// Thousandths in a minor unit.
const FINE: i64 = 1000;

/// Millionths in a whole share.
const MILLION: i128 = 1_000_000;

pub(super) fn check(facts: &Facts, faults: &mut Vec<Fault>) {
    let Some(account) = facts.plan.order.account else {
        faults.push(Fault::FalseAccount { what: "existence" });
        return;
    };
    let bills = facts.plan.order.bills.iter().map(|bill| paid(facts.shop, bill));
    let (mut net, mut beyond) = (bills.sum::<i64>() * FINE, 0);
    let mut before = uncut(facts, |part| part != Part::Order);
    let mut after = uncut(facts, |_| true);
    for moulding in facts.shop.mouldings.values() {
        let own = [&mut before, &mut after].map(|all| all.remove(&moulding.id).unwrap_or_default());
        let counts = MouldingCount::new(facts, moulding, own);
        net += counts.used_up();
        beyond += counts.beyond_need();
        counts.restocked(faults);
        // A plan that owns up to what it did not compare may not know what costs less.
        limit::check(facts, moulding, (counts.whole_left(), account.whole), faults);
    }
    let truths = [
        ("sum", account.net == Worth(net)),
        ("bound", account.bound <= account.net),
        ("cost of what is beyond need", account.beyond_need == Money(beyond)),
    ];
    for (what, _) in truths.into_iter().filter(|(_, is_true)| !is_true) {
        faults.push(Fault::FalseAccount { what });
    }
}

/// Sticks alike that nothing is cut from, before the order or after it.
#[derive(Clone, Copy)]
struct Uncut {
    count: u32,
    length: Length,
    /// Whether it could be a whole stick: not halved, without a flaw.
    is_sound: bool,
    is_bought: bool,
}

/// The sticks of the rack and on order that none of these parts cuts, and what today's
/// cutting racks and none of them cuts, by moulding.
fn uncut<'a>(facts: &Facts<'a>, cuts: impl Fn(Part) -> bool) -> BTreeMap<&'a String, Vec<Uncut>> {
    let sticks = facts.sticks().filter(|(part, _)| cuts(*part));
    let cut: BTreeSet<&str> = sticks.map(|(_, stick)| stick.stick.as_str()).collect();
    let racked = facts.plan.today.iter().flat_map(|stick| {
        let left = stick.between.iter().chain([&stick.left]).filter(|left| left.keep);
        let is_flawed = |left: &Left| {
            let end = left.from + left.length;
            stick.flaws.iter().any(|flaw| flaw.to > left.from && flaw.from < end)
        };
        left.map(move |left| (&stick.moulding, left.label.as_str(), left.length, !is_flawed(left)))
    });
    let own = facts.shop.sticks();
    let own =
        own.map(|stick| (&stick.moulding, stick.id.as_str(), stick.length, stick.flaws.is_empty()));
    let mut uncut: BTreeMap<&String, Vec<Uncut>> = BTreeMap::new();
    for (moulding, _, length, is_sound) in
        own.chain(racked).filter(|(_, label, ..)| !cut.contains(label))
    {
        let stick = Uncut { count: 1, length, is_sound, is_bought: false };
        uncut.entry(moulding).or_default().push(stick);
    }
    uncut
}

/// One moulding's sticks and what they count.
struct MouldingCount<'a> {
    facts: &'a Facts<'a>,
    moulding: &'a Moulding,
    /// The least price of a length: thousandths over nanometres.
    rate: (i128, i128),
    /// From which length on a stick is a whole one.
    whole_from: Length,
    /// Whether anybody sells sticks of it.
    is_sold: bool,
    /// What the rack and what is on order hold when the order is decided.
    before: Vec<Uncut>,
    /// What of that nothing is cut from, and what is bought beside.
    after: Vec<Uncut>,
}

impl<'a> MouldingCount<'a> {
    /// Of the sticks that nothing is cut from, before the order and after it.
    fn new(
        facts: &'a Facts<'a>,
        moulding: &'a Moulding,
        [before, left]: [Vec<Uncut>; 2],
    ) -> MouldingCount<'a> {
        let mut rate: Option<(i128, i128)> = None;
        let mut longest: Option<Length> = None;
        for offer in facts.shop.offers.iter().filter(|offer| offer.moulding == moulding.id) {
            let pieces = truth::pieces(facts.shop, offer, facts.plan.date);
            for piece in pieces.iter().filter(|piece| !piece.halved) {
                longest = longest.max(Some(piece.stick));
                let (over, under) = least_rate(offer, piece.stick);
                let least = (over * left_of_price(facts, offer), under * 10_000);
                if rate.is_none_or(|rate| is_less(least, rate)) {
                    rate = Some(least);
                }
            }
        }
        let own = match moulding.price {
            Some(_) => {
                let (amount, per) = moulding.rate();
                (i128::from(amount.0), i128::from(per.nm()))
            }
            None => (0, 1),
        };
        let mut counts = MouldingCount {
            facts,
            moulding,
            rate: rate.unwrap_or(own),
            whole_from: longest.map_or(moulding.stick, |longest| longest.min(moulding.stick)),
            is_sold: longest.is_some(),
            before,
            after: left,
        };
        let bought = counts.lines().map(|line| {
            let (length, count) = (line.piece(), line.pieces.saturating_sub(line.cut));
            Uncut { count, length, is_sound: !line.halved, is_bought: true }
        });
        let bought: Vec<Uncut> = bought.collect();
        counts.after.extend(bought);
        counts
    }

    /// What a stick that is not one of the whole ones for the rack counts.
    fn worth(&self, length: Length) -> i64 {
        let settings = &self.facts.shop.settings;
        let usual = self.moulding.stick;
        if length < settings.keep || !length.is_positive() {
            return 0;
        }
        let mut over = vec![self.rate.0, i128::from(settings.buying.spare), length.nm().into()];
        let mut under = vec![self.rate.1, MILLION];
        if length < usual {
            let (share, of) = truth::share(self.facts.shop, self.moulding, length);
            over.push(share);
            under.push(of);
        }
        quotient(over, under)
    }

    /// How much more a whole stick for the rack counts.
    fn more(&self, length: Length) -> i64 {
        let usual = length.min(self.moulding.stick);
        let whole = quotient(vec![self.rate.0, usual.nm().into()], vec![self.rate.1]) - FINE;
        whole - self.worth(length)
    }

    /// What the rack counts less after the order than before it; what is left as it
    /// was changes nothing.
    fn used_up(&self) -> i64 {
        let mut used_up = self.bonus(&self.before) - self.bonus(&self.after);
        let is_own = |stick: &str| stick == self.moulding.id;
        let cut = self.facts.plan.order.sticks.iter().filter(|stick| is_own(&stick.moulding));
        for stick in cut {
            if !stick.is_new {
                used_up += self.worth(stick.length);
            }
            let left = stick.between.iter().chain([&stick.left]);
            used_up -= left.map(|left| self.worth(left.length)).sum::<i64>();
        }
        let bought = self.after.iter().filter(|stick| stick.is_bought);
        let counts = |of: &Uncut| self.worth(of.length).saturating_mul(of.count.into());
        used_up - bought.map(counts).sum::<i64>()
    }

    /// How many whole sticks the order leaves on the rack and of what is on order.
    fn whole_left(&self) -> u32 {
        let left = self.after.iter().filter(|stick| !stick.is_bought && stick.is_sound);
        let whole = left.filter(|stick| stick.length >= self.whole_from);
        whole.map(|stick| stick.count).sum()
    }

    fn lines(&self) -> impl Iterator<Item = &'a OrderLine> {
        let lines = self.facts.plan.order.lines.iter();
        let own = &self.moulding.id;
        lines.filter(move |line| line.moulding == *own && line.form != "chop")
    }

    /// The whole sticks for the rack among these, the longest first; of those as
    /// long as one another what was there already.
    fn whole(&self, sticks: &[Uncut]) -> Vec<Uncut> {
        let is_whole = |stick: &&Uncut| stick.is_sound && stick.length >= self.whole_from;
        let mut whole: Vec<Uncut> = sticks.iter().filter(is_whole).copied().collect();
        whole.sort_by_key(|stick| (Reverse(stick.length), stick.is_bought));
        let mut lacks = self.moulding.keep_on_rack;
        for stick in &mut whole {
            stick.count = stick.count.min(lacks);
            lacks -= stick.count;
        }
        whole
    }

    fn bonus(&self, sticks: &[Uncut]) -> i64 {
        let more = |of: &Uncut| self.more(of.length).saturating_mul(of.count.into());
        self.whole(sticks).iter().map(more).sum()
    }

    /// What is paid for sticks that are neither cut nor for the rack, by their
    /// length and to the nearest minor unit for each line.
    fn beyond_need(&self) -> i64 {
        let paid = |line: &OrderLine| {
            let offer = offer_of(self.facts, line.offer)?;
            let of_offer = self.lines().filter(|other| other.offer == line.offer);
            let price = i128::from(price(offer, &of_offer.collect::<Vec<_>>()).0);
            let (billed, under) = each(offer, line.length);
            let (length, stick) = (i128::from(line.piece().nm()), i128::from(line.length.nm()));
            let over = match offer.per {
                Per::Foot | Per::Metre => price * length,
                Per::Stick | Per::Box => price * length * billed,
            };
            let held = i128::from(sticks_each(offer, line.length).max(1));
            let per = if under == 1 { stick.max(1) * held } else { under };
            let over = over * left_of_price(self.facts, offer);
            i64::try_from(over.div_euclid(per * 10_000)).ok()
        };
        let beyond = |line: &OrderLine| {
            let count = line.pieces.saturating_sub(line.cut).saturating_sub(line.restock);
            let cost = paid(line).unwrap_or(0).saturating_mul(count.into());
            Worth(cost).to_money().0
        };
        self.lines().map(beyond).sum()
    }

    /// The rack is filled up where that is the rule, and the lines say rightly how
    /// many sticks are for it.
    fn restocked(&self, faults: &mut Vec<Fault>) {
        let whole = self.whole(&self.after);
        let (moulding, right) = (self.moulding.id.clone(), self.moulding.keep_on_rack);
        let found: u32 = whole.iter().map(|stick| stick.count).sum();
        let always = self.facts.shop.settings.buying.restock == Restock::Always;
        if always && self.is_sold && found < right {
            faults.push(Fault::NotRestocked { moulding: moulding.clone(), found, right });
        }
        let bought = whole.iter().filter(|stick| stick.is_bought);
        let right = bought.map(|stick| stick.count).sum();
        let found = self.lines().map(|line| line.restock).sum();
        if found != right {
            faults.push(Fault::FalseRestock { moulding, found, right });
        }
    }
}

/// The least price of a length at which an offer's sticks of one length can be had:
/// of a stick or box, over what it is sure to hold.
fn least_rate(offer: &Offer, stick: Length) -> (i128, i128) {
    let (over, under) = each(offer, stick);
    let steps = offer.steps.iter().map(|step| step.price.0);
    let least = steps.chain([offer.price.0]).min().unwrap_or(0);
    let holds = i128::from(stick.nm()) * i128::from(sticks_each(offer, stick).max(1));
    (over * i128::from(least), under * holds)
}

/// A quotient of products, rounded down. Factors in common are struck out first; a
/// product beyond the integers there are counts as the largest.
fn quotient(mut over: Vec<i128>, mut under: Vec<i128>) -> i64 {
    for a in &mut over {
        for b in &mut under {
            let common = common(*a, *b).max(1);
            (*a, *b) = (*a / common, *b / common);
        }
    }
    let product = |of: &[i128]| of.iter().try_fold(1_i128, |all, one| all.checked_mul(*one));
    let (Some(over), Some(under)) = (product(&over), product(&under)) else { return i64::MAX };
    i64::try_from(over.div_euclid(under.max(1))).unwrap_or(i64::MAX)
}

/// Whether one fraction is less than another, without their products: where they
/// have the same whole part, what remains of them upside down the other way round.
/// Neither is below zero.
fn is_less((mut a, mut b): (i128, i128), (mut c, mut d): (i128, i128)) -> bool {
    loop {
        let (own, other) = (a.div_euclid(b), c.div_euclid(d));
        if own != other {
            return own < other;
        }
        (a, c) = (a - own * b, c - other * d);
        if a == 0 || c == 0 {
            return a < c;
        }
        ((a, b), (c, d)) = ((d, c), (b, a));
    }
}

/// The greatest common divisor, by Euclid.
fn common(mut a: i128, mut b: i128) -> i128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

#[cfg(test)]
mod tests {
    use super::is_less;
    use proptest::prelude::*;

    #[test]
    fn rates_at_the_limits_are_compared_without_their_products() {
        let (huge, large) = (i128::MAX / 2, i128::MAX / 3);
        assert!(is_less((large, huge), (huge, large)));
        assert!(!is_less((huge, large), (large, huge)));
        assert!(is_less((huge - 1, huge), (huge, huge - 1)));
    }

    proptest! {
        #[test]
        fn one_rate_is_less_than_another_as_their_products_say(
            a in 0..2_000_i128, b in 1..2_000_i128, c in 0..2_000_i128, d in 1..2_000_i128,
        ) {
            prop_assert_eq!(is_less((a, b), (c, d)), a * d < c * b);
        }
    }
}
