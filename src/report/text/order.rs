//! The order in words: supplier by supplier, then what it all comes to.

use std::collections::BTreeSet;

use crate::measure::Money;
use crate::plan::{OrderLine, Plan, WaitReason, Waiting};
use crate::shop::Shop;

use super::super::not_bought::not_bought;
use super::super::order_words as words;
use super::page::Page;

/// What goes to each supplier, and what the whole comes to.
pub(super) fn order(page: &mut Page, plan: &Plan, shop: &Shop) {
    for bill in &plan.order.bills {
        let name = shop.suppliers.get(&bill.supplier).map_or("", |supplier| &supplier.name);
        page.gap();
        page.line("", &format!("Order from {name} ({}), arrives {}:", bill.supplier, bill.arrives));
        let lines = plan.order.lines.iter().filter(|line| line.supplier == bill.supplier);
        for line in lines {
            self::line(page, line, shop);
        }
        page.line("  ", &words::bill(bill, shop));
        let of = plan.order.deadlines.iter().find(|of| of.supplier == bill.supplier);
        if let Some(deadline) = of {
            page.line("  ", &words::deadline(deadline, plan, shop));
        }
        if let Some(words) = not_bought(bill, plan, shop) {
            page.line("  ", &words);
        }
        if let Some(without) = words::without_spare(bill, plan, shop) {
            page.line("  ", &without);
        }
    }
    let is_nothing = plan.order.lines.is_empty() && plan.order.sticks.is_empty();
    if let Some(account) = plan.order.account.as_ref().filter(|_| !is_nothing) {
        page.gap();
        page.line("", &words::account(account, plan, shop));
    }
    for yield_ in &plan.order.yields {
        page.line("  ", &words::yield_of(yield_, shop));
    }
    for certainty in &plan.order.certainty {
        page.line("  ", &words::certainty(certainty, shop));
    }
    for advice in &plan.order.advice {
        page.line("  ", &words::advice(advice, shop));
    }
}

fn line(page: &mut Page, line: &OrderLine, shop: &Shop) {
    let cost = line.cost.map(|cost: Money| format!(", {}", words::money(cost, shop)));
    let text = format!("{}{}", words::line(line, shop), cost.unwrap_or_default());
    page.line("  * ", &text);
    let remarks = words::remarks(line, shop);
    if !remarks.is_empty() {
        page.line("    ", &remarks);
    }
}

/// When a waiting frame's moulding arrives and what it costs, for the end of its
/// line.
pub(super) fn awaited(plan: &Plan, shop: &Shop, waiting: &Waiting, copies: &[u32]) -> String {
    let frame = waiting.frame.as_str();
    if plan.order.is_covered(shop, frame, copies) {
        return on_order(plan, shop, waiting, copies);
    }
    let of = plan.order.awaited.iter().filter(|a| a.frame == frame && copies.contains(&a.copy));
    let of: Vec<_> = of.collect();
    let Some(first) = of.first() else { return String::new() };
    let due = shop.frame(frame).and_then(|f| f.due);
    let arrives = of.iter().filter_map(|a| a.arrives).max();
    let cost: Money = of.iter().fold(Money(0), |sum, a| sum + a.cost);
    let late = |day| words::late(day, due, shop);
    let when = match arrives.map(|day| (day, late(day))) {
        None => "all of it is at hand".to_owned(),
        Some((day, Some(said))) => match first.earliest {
            Some(earliest) if earliest == day => {
                format!("arrives {day}, {said}: nobody delivers sooner")
            }
            Some(earliest) if late(earliest).is_some() => {
                format!("arrives {day}, {said}: nobody delivers before {earliest}")
            }
            _ => format!("arrives {day}, {said}"),
        },
        Some((day, None)) => format!("arrives {day}"),
    };
    format!("; {when}, moulding {}", words::money(cost, shop))
}

/// From whom and when comes what was ordered before and is all that is needed.
fn on_order(plan: &Plan, shop: &Shop, waiting: &Waiting, copies: &[u32]) -> String {
    let own = |frame: &str, copy: u32| frame == waiting.frame && copies.contains(&copy);
    let sticks = plan.order.coming.iter();
    let sticks = sticks.filter(|stick| stick.rails.iter().any(|r| own(&r.frame, r.copy)));
    let coming: Vec<_> = sticks.filter_map(|stick| shop.coming_stick(&stick.stick)).collect();
    let ordered = coming.iter().filter(|coming| !coming.at_bench);
    let from: BTreeSet<&str> = ordered.map(|coming| coming.supplier.as_str()).collect();
    let named: Vec<&str> = from.iter().copied().filter(|name| !name.is_empty()).collect();
    let awaited = plan.order.awaited.iter().filter(|a| own(&a.frame, a.copy));
    let day = awaited.filter_map(|awaited| awaited.arrives).max();
    let late = match day {
        Some(day) if day < plan.date => ", OVERDUE".to_owned(),
        day => day
            .and_then(|day| words::late(day, waiting.due, shop))
            .map_or_else(String::new, |said| format!(", {said}")),
    };
    // The reason speaks of chops on order by itself.
    let is_said = matches!(waiting.reason, WaitReason::OnOrder { .. });
    if from.is_empty() && is_said {
        return late;
    }
    if from.is_empty() && day.is_none() && !coming.is_empty() {
        return "; comes from what the plan at the bench leaves".to_owned();
    }
    let also = if is_said { "what else it needs is on order" } else { "on order" };
    let by =
        if named.is_empty() { String::new() } else { format!(" from {}", named.join(" and ")) };
    let when = day.map(|day| format!(", expected {day}")).unwrap_or_default();
    format!("; {also}{by}{when}{late}")
}
