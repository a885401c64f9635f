//! What the order costs, added up again from the offers.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::bought::{offer_of, sticks_each};
use super::facts::Facts;
use super::{Fault, days, truth};
use crate::measure::{Length, Money, Worth};
use crate::plan::{Awaited, Bill, OrderLine, PlacedRail};
use crate::shop::{Carton, Form, Frame, Offer, Per, Shop, Supplied, Supplier};

pub(super) fn check(facts: &Facts, faults: &mut Vec<Fault>) {
    let goods = goods(facts, faults);
    charged(facts, &goods, &|_| false, faults);
    arrivals(facts, faults);
}

/// What is paid of a bill, in minor units: who refuses an order below their minimum is asked,
/// and nobody pays up to it.
pub(super) fn paid(shop: &Shop, bill: &Bill) -> i64 {
    let is_refused = shop.suppliers.get(&bill.supplier).is_some_and(|of| of.refuses);
    bill.total().0 - if is_refused { bill.made_up.0 } else { 0 }
}

/// What the moulding from each supplier costs.
pub(super) fn goods<'a>(facts: &Facts<'a>, faults: &mut Vec<Fault>) -> BTreeMap<&'a str, i64> {
    let lines = by_offer(facts);
    let mut goods: BTreeMap<&str, i64> = BTreeMap::new();
    for (row, lines) in &lines {
        let Some(offer) = offer_of(facts, Some(*row)) else { continue };
        let right = charge(facts, offer, lines);
        let said: i64 = lines.iter().filter_map(|line| line.cost).map(|cost| cost.0).sum();
        if said != right || lines.iter().any(|line| line.cost.is_none()) {
            faults.push(Fault::FalseCost { moulding: offer.moulding.clone() });
        }
        *goods.entry(&offer.supplier).or_default() += right;
    }
    goods
}

/// The lines of the order by the offer that they are of.
fn by_offer<'a>(facts: &Facts<'a>) -> BTreeMap<u64, Vec<&'a OrderLine>> {
    let mut lines: BTreeMap<u64, Vec<&OrderLine>> = BTreeMap::new();
    for line in &facts.plan.order.lines {
        lines.entry(line.offer.unwrap_or(0)).or_default().push(line);
    }
    lines
}

/// How much of what an offer's price is for one stick, box or chopped frame of a
/// length is: over and under a line of division.
pub(super) fn each(offer: &Offer, length: Length) -> (i128, i128) {
    let billed = match offer.form {
        Form::Box { holds: Carton::Length(holds) } => i128::from(holds.nm()),
        Form::Box { holds: Carton::Sticks(sticks) } => i128::from(length.nm()) * i128::from(sticks),
        Form::Length | Form::Chop { .. } => i128::from(length.nm()),
    };
    let over = match offer.per {
        Per::Foot | Per::Metre => billed,
        Per::Stick => i128::from(sticks_each(offer, length)),
        Per::Box => 1,
    };
    (over, unit(offer.per))
}

/// A foot or a metre in nanometres; sticks and boxes are counted.
fn unit(per: Per) -> i128 {
    match per {
        Per::Foot => 12 * 25_400_000,
        Per::Metre => 1_000_000_000,
        Per::Stick | Per::Box => 1,
    }
}

/// How much is bought of an offer, in the same way.
fn amount(offer: &Offer, lines: &[&OrderLine]) -> (i128, i128) {
    let all = |line: &&OrderLine| each(offer, line.length).0 * i128::from(line.count);
    (lines.iter().map(all).sum(), unit(offer.per))
}

/// The price that this much is bought at.
pub(super) fn price(offer: &Offer, lines: &[&OrderLine]) -> Worth {
    let (over, under) = amount(offer, lines);
    let mut price = offer.price;
    for step in &offer.steps {
        if over >= i128::from(step.from) * under {
            price = step.price;
        }
    }
    price
}

/// The ten-thousandths of its price that are left of an offer's when its supplier's
/// discount is off.
pub(super) fn left_of_price(facts: &Facts, offer: &Offer) -> i128 {
    let discount = facts.shop.suppliers.get(&offer.supplier).map_or(0, |of| of.discount);
    10_000 - i128::from(discount)
}

/// What the lines of one offer cost, in minor units.
pub(super) fn charge(facts: &Facts, offer: &Offer, lines: &[&OrderLine]) -> i64 {
    let (over, under) = amount(offer, lines);
    let under = under * 10_000;
    let thousandths = over * i128::from(price(offer, lines).0) * left_of_price(facts, offer);
    let (whole, rest) =
        (thousandths.div_euclid(under * 1000), thousandths.rem_euclid(under * 1000));
    let nearest = whole + i128::from(2 * rest >= under * 1000);
    let fee = if let Form::Chop { fee, .. } = offer.form { fee.0 } else { 0 };
    let frames: i64 = lines.iter().map(|line| i64::from(line.count)).sum();
    i64::try_from(nearest).unwrap_or(i64::MAX) + fee * frames
}

/// Whether the bills are those of these goods; of whom something has no price, there is one
/// even if they cost nothing that is known.
pub(super) fn charged(
    facts: &Facts,
    goods: &BTreeMap<&str, i64>,
    is_unpriced: &dyn Fn(&str) -> bool,
    faults: &mut Vec<Fault>,
) {
    let said: BTreeSet<&str> =
        facts.plan.order.bills.iter().map(|bill| bill.supplier.as_str()).collect();
    let due: BTreeSet<&str> = goods
        .iter()
        .filter(|(id, goods)| **goods > 0 || is_unpriced(id))
        .map(|(id, _)| *id)
        .collect();
    for supplier in said.symmetric_difference(&due) {
        let (supplier, what) = ((*supplier).to_owned(), "existence");
        faults.push(Fault::FalseBill { supplier, what });
    }
    for bill in &facts.plan.order.bills {
        let Some(supplier) = facts.shop.suppliers.get(&bill.supplier) else { continue };
        let goods = goods.get(bill.supplier.as_str()).copied().unwrap_or(0);
        let mut freight = 0;
        for step in &supplier.freight {
            if goods >= step.from.0 {
                freight = step.charge.0;
            }
        }
        let surcharge = supplier.long.filter(|_| has_long(facts, supplier));
        let fee = supplier.small.map_or(0, |of| if goods < of.below.0 { of.charge.0 } else { 0 });
        let is_small = supplier.refuses && goods < supplier.minimum.0;
        let truths = [
            // Refused, unless it is owned up to that not every order was looked at.
            ("size", !(is_small && facts.plan.order.account.is_some_and(|a| a.whole))),
            ("price of goods", bill.goods == Money(goods)),
            ("minimum", bill.made_up == Money((supplier.minimum.0 - goods).max(0))),
            ("small order", bill.small == Money(fee)),
            ("carriage", bill.freight == Money(freight)),
            ("surcharge", bill.long == surcharge.map_or(Money(0), |long| long.charge)),
            ("day", days::arrival(supplier, facts.plan.date) == Some(bill.arrives)),
        ];
        for (what, _) in truths.into_iter().filter(|(_, is_true)| !is_true) {
            faults.push(Fault::FalseBill { supplier: bill.supplier.clone(), what });
        }
    }
}

/// Whether anything in the order from a supplier makes the parcel long.
fn has_long(facts: &Facts, supplier: &Supplier) -> bool {
    let Some(long) = supplier.long else { return false };
    let lines = facts.plan.order.lines.iter().filter(|line| line.supplier == supplier.id);
    lines.into_iter().any(|line| {
        if line.form == "chop" {
            return line.rails.iter().any(|rail| *rail > long.over);
        }
        let Some(offer) = offer_of(facts, line.offer) else { return false };
        let pieces = truth::pieces(facts.shop, offer, facts.plan.date);
        pieces.iter().any(|p| (p.stick, p.halved) == (line.length, line.halved) && p.long)
    })
}

/// Every waiting frame arrives when the last of its moulding does, and in time
/// unless that is said to be impossible.
fn arrivals(facts: &Facts, faults: &mut Vec<Fault>) {
    let mut arrive: BTreeMap<(&str, u32), Date> = BTreeMap::new();
    let new = facts.plan.order.sticks.iter().filter(|stick| stick.is_new);
    let rails = new.flat_map(|stick| stick.rails.iter().map(move |rail| (stick, rail)));
    let cut = rails.map(|(stick, rail)| ((rail.frame.as_str(), rail.copy), &stick.supplier));
    let chopped = facts.plan.order.chops.iter();
    let chopped = chopped.map(|c| ((c.frame.as_str(), c.copy), &c.supplier));
    for (copy, supplier) in cut.chain(chopped) {
        let day =
            facts.shop.suppliers.get(supplier).and_then(|s| days::arrival(s, facts.plan.date));
        let Some(day) = day else { continue };
        let known = arrive.entry(copy).or_insert(day);
        *known = (*known).max(day);
    }
    for (copy, day) in on_order(facts) {
        let known = arrive.entry(copy).or_insert(day);
        *known = (*known).max(day);
    }
    let waiting = facts.plan.waiting.iter().filter(|waiting| !waiting.reason.is_patience());
    let waiting = waiting.map(|w| (w.frame.as_str(), w.copy));
    let said: BTreeMap<(&str, u32), &Awaited> =
        facts.plan.order.awaited.iter().map(|a| ((a.frame.as_str(), a.copy), a)).collect();
    if waiting.collect::<BTreeSet<_>>() != said.keys().copied().collect() {
        faults.push(Fault::FalseAccount { what: "list of frames" });
    }
    for (copy, awaited) in said {
        let early = awaited.earliest.zip(awaited.arrives).is_some_and(|(e, a)| e > a);
        if awaited.arrives != arrive.get(&copy).copied() || early {
            let (frame, copy) = (copy.0.to_owned(), copy.1);
            faults.push(Fault::FalseWait { frame, copy, what: "day of arrival" });
        }
    }
}

/// For a copy that was ordered for and is not laid out in this plan, the days of all that
/// comes of its mouldings.
fn not_laid_out<'a>(facts: &Facts<'a>, frame: &'a Frame, copy: u32) -> Vec<((&'a str, u32), Date)> {
    let own = |rail: &PlacedRail| rail.frame == frame.id && rail.copy == copy;
    let is_laid = facts.sticks().any(|(_, stick)| stick.rails.iter().any(own));
    if is_laid || !frame.progress.ordered.contains(&copy) {
        return Vec::new();
    }
    let to_cut = frame.to_cut(copy);
    let is_of_it = |moulding: &str| to_cut.iter().any(|l| frame.layers[l - 1].moulding == moulding);
    let coming = facts.shop.coming.iter().filter(|coming| is_of_it(&coming.stick.moulding));
    coming.filter_map(|coming| Some(((frame.id.as_str(), copy), coming.arrives?))).collect()
}

/// The days on which what was ordered before should come, by frame copy.
fn on_order<'a>(facts: &Facts<'a>) -> Vec<((&'a str, u32), Date)> {
    let mut days = Vec::new();
    for (_, stick) in facts.sticks() {
        let coming = facts.shop.coming.iter().find(|coming| coming.stick.id == stick.stick);
        let Some(day) = coming.and_then(|coming| coming.arrives) else { continue };
        days.extend(stick.rails.iter().map(|rail| ((rail.frame.as_str(), rail.copy), day)));
    }
    for waiting in &facts.plan.waiting {
        let Some(frame) = facts.frames.get(waiting.frame.as_str()) else { continue };
        for ((copy, _), supplied) in &frame.progress.supplied {
            if let (Supplied::Coming { arrives: Some(day), .. }, true) =
                (supplied, *copy == waiting.copy)
            {
                days.push(((frame.id.as_str(), *copy), *day));
            }
        }
        days.extend(not_laid_out(facts, frame, waiting.copy));
    }
    days
}
