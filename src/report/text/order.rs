//! The order in words: supplier by supplier, then what it all comes to.

use std::collections::BTreeSet;

use jiff::civil::Date;

use crate::measure::Money;
use crate::plan::{Plan, WaitReason, Waiting};
use crate::shop::Shop;

use super::super::order_table::{SupplierTable, percent, tables};
use super::super::order_total;
use super::super::order_why::without_spare;
use super::super::order_words as words;
use super::page::Page;

/// How wide a line's words are, what it is for and what it costs.
const COLUMNS: [usize; 3] = [40, 24, 12];

/// What is bought, what it is for, what it costs and how sure that is the best; with the
/// arithmetic behind it, if that is asked for.
pub(super) fn order(page: &mut Page, plan: &Plan, shop: &Shop, is_why: bool) {
    let tables = tables(plan, shop);
    if !tables.is_empty() {
        page.heading("TO BUY");
    }
    for (place, table) in tables.iter().enumerate() {
        if place > 0 {
            page.gap();
        }
        self::table(page, table, shop);
        let Some(bill) = table.bill else { continue };
        let of = plan.order.deadlines.iter().find(|of| of.supplier == bill.supplier);
        if let Some(deadline) = of {
            page.line("  ", &words::deadline(deadline, plan, shop));
        }
        if let Some(of) = plan.not_bought(bill, shop) {
            page.line("  ", &words::not_bought(&of, shop));
        }
    }
    let is_nothing = plan.order.lines.is_empty() && plan.order.sticks.is_empty();
    let account = plan.order.account.as_ref().filter(|_| !is_nothing);
    if let Some(account) = account {
        page.gap();
        page.line("", &order_total::total(account, plan, shop));
    }
    if is_why {
        why(page, plan, shop);
    }
}

fn table(page: &mut Page, table: &SupplierTable, shop: &Shop) {
    let show = |money: Money| shop.settings.currency.show(money);
    if let Some(bill) = table.bill {
        let name = table.supplier.map_or("", |supplier| &supplier.name);
        page.line("", &format!("From {name} ({}), arrives {}:", bill.supplier, bill.arrives));
    }
    for row in &table.rows {
        let cost = row.line.cost.map(show).unwrap_or_default();
        page.row("  ", COLUMNS, [&row.what, &row.for_what, &cost]);
        if !row.code.is_empty() {
            page.line("      ", &format!("their code {}", row.code));
        }
        row.beside().for_each(|more| page.line("      ", more));
    }
    for (what, money) in &table.charges {
        page.row("  ", COLUMNS, [what, "", &show(*money)]);
    }
    if let Some(supplier) = table.supplier.filter(|supplier| supplier.discount > 0) {
        page.line("  ", &format!("prices are less {} off their list", percent(supplier.discount)));
    }
    if let Some(words) = table.bill.and_then(|bill| words::refused(bill, shop)) {
        page.line("  ", &words);
    }
    if let Some(bill) = table.bill {
        let sum = format!("{} {}", show(bill.to_pay(shop)), shop.settings.currency.code());
        page.row("  ", COLUMNS, [table.together(), "", &sum]);
    }
}

/// What the bills are made of, and what there is to know of the whole.
fn why(page: &mut Page, plan: &Plan, shop: &Shop) {
    page.gap();
    for bill in &plan.order.bills {
        page.line("  ", &format!("{}: {}", bill.supplier, words::bill(bill, shop)));
        if let Some(without) = without_spare(bill, plan, shop) {
            page.line("  ", &without);
        }
    }
    if let Some(account) = &plan.order.account {
        page.line("  ", &order_total::account(account, shop));
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
    let ordered = || coming.iter().filter(|coming| !coming.at_bench);
    let from: BTreeSet<&str> = ordered().map(|coming| coming.supplier.as_str()).collect();
    let named: Vec<&str> = from.iter().copied().filter(|name| !name.is_empty()).collect();
    let late = |day: Date| match day < plan.date {
        true => ", OVERDUE".to_owned(),
        false => words::late(day, waiting.due, shop).map_or(String::new(), |of| format!(", {of}")),
    };
    // The reason speaks of chops on order by itself.
    let chopped = match waiting.reason {
        WaitReason::OnOrder { arrives: Some(day), .. } => Some(late(day)),
        WaitReason::OnOrder { arrives: None, .. } => Some(", nobody knows when".to_owned()),
        _ => None,
    };
    let day = match chopped {
        Some(_) => ordered().filter_map(|coming| coming.arrives).max(),
        None => {
            let awaited = plan.order.awaited.iter().filter(|a| own(&a.frame, a.copy));
            awaited.filter_map(|awaited| awaited.arrives).max()
        }
    };
    if let Some(late) = chopped.as_ref().filter(|_| from.is_empty()) {
        return late.clone();
    }
    if from.is_empty() && day.is_none() && !coming.is_empty() {
        return "; comes from what the plan at the bench leaves".to_owned();
    }
    let also = match &chopped {
        Some(late) => format!("{late}; what else it needs is on order"),
        None => "; on order".to_owned(),
    };
    let by =
        if named.is_empty() { String::new() } else { format!(" from {}", named.join(" and ")) };
    if ordered().any(|coming| coming.arrives.is_none()) {
        return format!("{also}{by}, nobody knows when");
    }
    let when = day.map(|day| format!(", expected {day}{}", late(day))).unwrap_or_default();
    format!("{also}{by}{when}")
}
