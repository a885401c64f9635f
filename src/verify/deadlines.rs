//! Until when each supplier's order can wait: every day is tried for every frame.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::facts::Facts;
use super::{Fault, days};
use crate::plan::OrderDeadline;
use crate::shop::Supplier;

pub(super) fn check(facts: &Facts, faults: &mut Vec<Fault>) {
    let order = &facts.plan.order;
    let (mut said, hands) = (order.deadlines.iter(), hands(facts));
    for bill in &order.bills {
        let Some(supplier) = facts.shop.suppliers.get(&bill.supplier) else { continue };
        let mut false_ = |what| {
            let supplier = bill.supplier.clone();
            faults.push(Fault::FalseDeadline { supplier, what });
        };
        match said.next().filter(|deadline| deadline.supplier == bill.supplier) {
            Some(deadline) => {
                wrong(facts, (supplier, &hands), deadline).into_iter().for_each(&mut false_)
            }
            None => false_("supplier"),
        }
    }
    if let Some(more) = said.next() {
        let (supplier, what) = (more.supplier.clone(), "supplier");
        faults.push(Fault::FalseDeadline { supplier, what });
    }
}

/// The copies that get something from a supplier, each with the last day that is in
/// time for it, if it has a date.
fn limits<'a>(
    facts: &Facts<'a>,
    supplier: &Supplier,
    hands: &BTreeMap<(&str, u32), Date>,
) -> Vec<(&'a str, u32, Option<Date>)> {
    let order = &facts.plan.order;
    let new = order.sticks.iter().filter(|stick| stick.is_new && stick.supplier == supplier.id);
    let cut = new.flat_map(|stick| &stick.rails).map(|rail| (rail.frame.as_str(), rail.copy));
    let chopped = order.chops.iter().filter(|chop| chop.supplier == supplier.id);
    let chopped = chopped.map(|chop| (chop.frame.as_str(), chop.copy));
    let copies: BTreeSet<(&str, u32)> = cut.chain(chopped).collect();
    let limit = |(id, copy): (&'a str, u32)| {
        let frame = facts.frames.get(id)?;
        let needed = frame.due.map(|due| days::needed_by(facts.shop, due));
        let needed = needed.map(|day| hands.get(&(id, copy)).map_or(day, |hands| day.min(*hands)));
        let wanted = if facts.plan.wishes.rushes(frame) { Some(facts.plan.date) } else { needed };
        let mut awaited = order.awaited.iter();
        let arrives = awaited.find(|a| (a.frame.as_str(), a.copy) == (id, copy))?.arrives;
        Some((id, copy, wanted.map(|wanted| arrives.map_or(wanted, |day| day.max(wanted)))))
    };
    copies.into_iter().filter_map(limit).collect()
}

/// The last day on which there are hands for each copy that has a date: whoever is due last
/// takes the last day up to then that is not taken, of one day whoever comes last in turn.
fn hands<'a>(facts: &Facts<'a>) -> BTreeMap<(&'a str, u32), Date> {
    let Some(each) = facts.shop.settings.days.frames_a_day else { return BTreeMap::new() };
    let mut taken: BTreeMap<Date, u32> = BTreeMap::new();
    let mut copies: Vec<_> = facts.shop.frames.iter().enumerate().collect();
    copies.retain(|(_, frame)| frame.due.is_some());
    copies.sort_by_key(|(place, frame)| {
        (frame.due.max(Some(facts.plan.date)), !frame.promised, *place)
    });
    let mut last = BTreeMap::new();
    // What lies behind it is taken.
    let mut behind = Date::MAX;
    for (_, frame) in copies.into_iter().rev() {
        let due = frame.due.map_or(facts.plan.date, |due| due.max(facts.plan.date));
        for copy in frame.pending().collect::<Vec<_>>().into_iter().rev() {
            let from = std::iter::successors(Some(due.min(behind)), |day| day.yesterday().ok());
            let is_free = |day: &Date| {
                facts.shop.settings.days.open.is_open(*day)
                    && taken.get(day).is_none_or(|taken| *taken < each.max(1))
            };
            let Some(day) = from.take(days::ALL).find(is_free) else { return last };
            *taken.entry(day).or_default() += 1;
            behind = day;
            last.insert((frame.id.as_str(), copy), day);
        }
    }
    last
}

fn wrong(
    facts: &Facts,
    (supplier, hands): (&Supplier, &BTreeMap<(&str, u32), Date>),
    said: &OrderDeadline,
) -> Option<&'static str> {
    let limits = limits(facts, supplier, hands);
    let is_open = |day: Date| facts.shop.settings.days.open.is_open(day);
    let is_late = |day: Date, until: &Option<Date>| {
        let arrives = days::arrival(supplier, day);
        until.is_some_and(|until| arrives.is_none_or(|arrives| arrives > until))
    };
    let will_do = |day: Date| {
        let is_taken = days::is_taken(supplier, day);
        is_taken && !limits.iter().any(|(.., until)| is_late(day, until))
    };
    let Some(last) = said.last else {
        let is_any =
            supplier.order_by.is_none() && limits.iter().all(|(.., until)| until.is_none());
        return (!is_any || said.frame.is_some() || said.arrives.is_some()).then_some("day");
    };
    let today = facts.plan.date;
    let after = std::iter::successors(last.tomorrow().ok(), |day| day.tomorrow().ok());
    let next = after.take(days::ALL).find(|day| is_open(*day));
    let is_day = last == today || last > today && is_open(last);
    if !is_day || !will_do(last) || next.is_some_and(will_do) {
        return Some("day");
    }
    if said.arrives != days::arrival(supplier, last) {
        return Some("day of arrival");
    }
    let ends = next.is_none_or(|next| !days::is_taken(supplier, next));
    let is_reason = |(id, copy): &(String, u32)| {
        let mut own = limits.iter().filter(|(frame, of, _)| (*frame, of) == (id.as_str(), copy));
        own.any(|(.., until)| next.is_some_and(|next| is_late(next, until)))
    };
    let is_right = match &said.frame {
        None => ends,
        Some(frame) => !ends && is_reason(frame),
    };
    (!is_right).then_some("frame")
}
