//! The lines of orders in words.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::tickets;
use crate::book::{LineState, PlacedLine, Reckoning};
use crate::measure::Money;
use crate::report;
use crate::shop::Shop;

/// By the number of a line, the frame copies that wait for it.
pub type FramesByLine = BTreeMap<i64, BTreeSet<(String, u32)>>;

/// The lines as they are placed, under the order and the supplier of each.
pub fn placed_words(shop: &Shop, lines: &[PlacedLine]) -> String {
    let mut text = String::new();
    for lines in lines.chunk_by(|a, b| of(a) == of(b)) {
        let arrives = lines[0].arrives.as_ref().map(|day| format!(", arrives {day}"));
        text += &format!("{}{}:\n", head(shop, &lines[0]), arrives.unwrap_or_default());
        for line in lines {
            let came = if line.came > 0 { format!(", {} came", line.came) } else { String::new() };
            text += &format!("  {}{came}\n", what(shop, line));
        }
    }
    if text.is_empty() { "Nothing is on order.\n".to_owned() } else { text }
}

/// The lines as they stand on a day, by supplier and order, those with something overdue
/// first.
pub fn listing(
    shop: &Shop,
    lines: &[PlacedLine],
    (today, frames): (Date, &FramesByLine),
) -> String {
    let mut lines: Vec<&PlacedLine> = lines.iter().collect();
    lines.sort_by_key(|line| (&line.supplier, line.order, line.line));
    let mut orders: Vec<&[&PlacedLine]> = lines.chunk_by(|a, b| of(a) == of(b)).collect();
    let late = |lines: &[&PlacedLine]| lines.iter().any(|line| is_overdue(line, today));
    orders.sort_by_key(|lines| !late(lines));
    let mut text = String::new();
    for lines in orders {
        let reference = match lines[0].reference.as_str() {
            "" => String::new(),
            number => format!(", their number {number}"),
        };
        let late = if late(lines) { "OVERDUE: " } else { "" };
        text += &format!("{late}{}{reference}:\n", head(shop, lines[0]));
        for line in lines {
            text += &format!("  {}\n    {}\n", what(shop, line), stands(line, today));
            if let Some(frames) = frames.get(&line.line) {
                let frames: Vec<(String, u32)> = frames.iter().cloned().collect();
                text += &format!("    for {}\n", tickets(shop, &frames));
            }
        }
    }
    if text.is_empty() { "Nothing is on order.\n".to_owned() } else { text }
}

/// What an order comes to as it was placed, with what is charged beside its goods; nothing
/// where the price of some line, or of its carriage, was not known.
pub fn ordered_words(shop: &Shop, order: &Reckoning) -> Option<String> {
    let goods = order.lines.iter().map(|of| of.line.cost).sum::<Option<Money>>()?;
    let (carriage, other) = order.agreed?;
    let currency = &shop.settings.currency;
    let mut text = format!("As it was ordered: goods {}", currency.show(goods));
    let charges = [("carriage", carriage), ("what else is charged", other)];
    for (what, money) in charges.into_iter().filter(|(_, money)| money.0 > 0) {
        text += &format!(" + {what} {}", currency.show(money));
    }
    let all = currency.show(goods + carriage + other);
    Some(format!("{text} = {all} {}.", currency.code()))
}

fn of(line: &PlacedLine) -> (&str, i64) {
    (&line.supplier, line.order)
}

/// `Order 1 of 2026-11-25 from Brindlecombe Mouldings (BRIN)`.
pub fn head(shop: &Shop, line: &PlacedLine) -> String {
    let from = match line.supplier.as_str() {
        "" => ", from whoever sells it".to_owned(),
        supplier => report::words::from(shop, supplier),
    };
    format!("Order {} of {}{from}", line.order, line.date)
}

/// `line 1: 2 x BLK-20 by the length, 108 in, 33.30 USD`.
pub fn what(shop: &Shop, line: &PlacedLine) -> String {
    let currency = &shop.settings.currency;
    let cost = line.cost.map(|cost| format!(", {} {}", currency.show(cost), currency.code()));
    goods(shop, line) + &cost.unwrap_or_default()
}

/// The same for whoever is not told what it costs.
pub fn goods(shop: &Shop, line: &PlacedLine) -> String {
    let style = shop.settings.style();
    format!(
        "line {}: {} x {} by the {}, {}",
        line.line,
        line.count,
        line.moulding,
        line.form,
        match line.form.as_str() {
            "sheet" => format!("{} x {}", style.show(line.length), style.show_unit(line.piece)),
            _ => style.show_unit(line.length),
        },
    )
}

/// `confirmed, 1 of 2 came, expected 2026-11-28, OVERDUE`.
pub fn stands(line: &PlacedLine, today: Date) -> String {
    let mut words = line.state.word().to_owned();
    if line.came > 0 {
        words += &format!(", {} of {} came", line.came, line.all());
    }
    if line.given_up > 0 {
        words += &format!(", {} of {} given up", line.given_up, line.count);
    }
    words += &match &line.arrives {
        Some(day) => format!(", expected {day}"),
        None if line.state == LineState::BackOrdered => ", not known when".to_owned(),
        None => String::new(),
    };
    if is_overdue(line, today) {
        words += ", OVERDUE";
    }
    words
}

/// Whether it should have come before this day.
pub fn is_overdue(line: &PlacedLine, today: Date) -> bool {
    let day: Option<Date> = line.arrives.as_ref().and_then(|day| day.parse().ok());
    line.state.is_open() && day.is_some_and(|day| day < today)
}
