//! A simulated year of orders, in words and for other programs.

use serde_json::{Value, json};

use super::json::worth;
use super::text::{COLUMNS, Page};
use super::words::count;
use super::year_words::{DOUBT, difference, money};
use crate::measure::Worth;
use crate::shop::Shop;
use crate::year::{OrderRule, OrderTally, OrderedYears, SERVICE};

/// What the columns are called, and how wide each is, with the blank before it.
const HEADS: [(&str, usize); 7] = [
    ("money", 10),
    ("orders", 8),
    ("charges", 10),
    ("lacked", 8),
    ("waits", 7),
    ("late", 6),
    ("uncut", 7),
];
/// How wide the names are.
const NAMES: usize = 24;

/// The rules that are held against the plainest.
const OTHERS: [OrderRule; 2] = [OrderRule::LatestDay, OrderRule::KeptOnRack];

/// What each way to order came to, at most eighty columns wide.
pub fn text(years: &OrderedYears, shop: &Shop) -> String {
    let mut page = Page::new();
    page.line_and_right(&shop.settings.name, "A simulated year of orders");
    page.line("", &"=".repeat(COLUMNS));
    let of = &years.question;
    page.line(
        "",
        &format!(
            "{} of {} from {} on, with {} on each, seed {}. Every day the plan is made of all that \
             waits; sticks come from the shop's suppliers on the days on which they deliver, on \
             their terms. Nothing is chopped by them.",
            count(of.years as usize, "year", "years"),
            count(of.days as usize, "open day", "open days"),
            of.from,
            count(of.frames as usize, "frame", "frames"),
            of.seed
        ),
    );
    page.line("", &format!("A frame is in time within {} of coming in.", days(of.notice)));
    if !years.left_out.is_empty() {
        let which = years.left_out.join(", ");
        page.line("", &format!("Left out, since nobody sells sticks that make them: {which}."));
    }
    page.gap();
    page.line("", &row("", &HEADS.map(|(head, _)| head.to_owned())));
    for (rule, tallies) in &years.rules {
        page.line("", &row(rule.words(), &figures(tallies, shop)));
    }
    page.gap();
    page.line("", LEGEND);
    page.heading("WHAT A YEAR COMES TO, ONE AGAINST THE OTHER");
    for other in OTHERS {
        let Some(paired) = years.difference(other, OrderRule::EachDay) else { continue };
        let each = Worth(sum(years, OrderRule::EachDay).0 / i64::from(of.years.max(1)));
        let against = format!("{}, against {}:", other.words(), OrderRule::EachDay.words());
        page.line("  ", &against);
        page.line("    ", &difference(&paired, each, shop));
    }
    page.line("", if of.years > 1 { DOUBT } else { "One year says nothing of chance." });
    page.heading("STICKS KEPT ON THE RACK");
    if years.levels.is_empty() {
        page.line("", "None would be: nothing is asked for.");
    }
    for (id, (sticks, stretch)) in &years.levels {
        let now = shop.moulding(id).keep_on_rack;
        let words = format!(
            "{id}: {}, for what is asked for in {}; keep_on_rack is {now} now.",
            count(*sticks as usize, "stick", "sticks"),
            days(*stretch)
        );
        page.line("* ", &words);
    }
    page.line(
        "",
        &format!(
            "Enough in {SERVICE} of 100 such stretches of other years (an order-up-to level). It is \
             a proposal: write what you take of it into keep_on_rack of mouldings.csv, with \
             restock = \"always\" in shop.toml. Nothing is written."
        ),
    );
    page.into_text()
}

const LEGEND: &str = "Money: what was paid in a year, less what the rack counts more at the end than \
     before. Orders and charges: how many were sent, and what was paid beside the goods. Lacked: \
     frames that could not be cut on the day on which they came in. Waits: open days from coming \
     in to cutting, on average. Late: frames in all. Uncut: those that never were.";

fn days(number: u32) -> String {
    count(number as usize, "open day", "open days")
}

fn sum(years: &OrderedYears, rule: OrderRule) -> Worth {
    let of = years.rules.iter().filter(|(of, _)| *of == rule);
    of.flat_map(|(_, tallies)| tallies).map(|of| of.year.money()).sum()
}

fn figures(tallies: &[OrderTally], shop: &Shop) -> [String; 7] {
    let years = u32::try_from(tallies.len()).unwrap_or(u32::MAX);
    let per = |sum: u64, of: u64| (sum + of / 2) / of.max(1);
    let each = |of: fn(&OrderTally) -> u64| tallies.iter().map(of).sum::<u64>();
    let tenths = per(each(|of| of.year.waited) * 10, each(|of| of.year.cut.into()));
    let charges: Worth = tallies.iter().map(|of| Worth::from(of.charges)).sum();
    [
        money(tallies.iter().map(|of| of.year.money()).sum(), years, shop),
        per(each(|of| of.orders.into()), years.into()).to_string(),
        money(charges, years, shop),
        per(each(|of| of.lacked.into()), years.into()).to_string(),
        format!("{}.{}", tenths / 10, tenths % 10),
        each(|of| of.year.late.into()).to_string(),
        each(|of| of.year.not_cut.into()).to_string(),
    ]
}

fn row(name: &str, cells: &[String]) -> String {
    let cells = cells.iter().zip(HEADS).map(|(cell, (_, width))| format!("{cell:>width$}"));
    format!("{name:<NAMES$}{}", cells.collect::<String>()).trim_end().to_owned()
}

/// The same for other programs: money as decimal strings.
pub fn json(years: &OrderedYears, shop: &Shop) -> String {
    let money = |of: Worth| worth(of, true, &shop.settings);
    let of = &years.question;
    let tally = |of: &OrderTally| {
        json!({
            "money": money(of.year.money()), "paid": money(of.year.spent),
            "charges": money(of.charges.into()), "orders": of.orders, "lacked": of.lacked,
            "frames_cut": of.year.cut, "frames_late": of.year.late,
            "frames_not_cut": of.year.not_cut, "open_days_waited": of.year.waited,
        })
    };
    let rules = years.rules.iter().map(|(rule, tallies)| {
        json!({"rule": rule.words(), "years": tallies.iter().map(tally).collect::<Vec<Value>>()})
    });
    let differences = OTHERS.iter().filter_map(|rule| {
        let paired = years.difference(*rule, OrderRule::EachDay)?;
        Some(json!({
            "rule": rule.words(), "against": OrderRule::EachDay.words(),
            "mean": money(paired.mean), "give_or_take": paired.half.map(money),
        }))
    });
    let levels = years.levels.iter().map(|(id, (sticks, stretch))| {
        let now = shop.moulding(id).keep_on_rack;
        json!({"moulding": id, "keep_on_rack": sticks, "now": now, "open_days": stretch})
    });
    let value = json!({
        "shop": shop.settings.name, "currency": shop.settings.currency.code(),
        "from": of.from.to_string(), "days": of.days, "frames": of.frames, "notice": of.notice,
        "seed": of.seed, "left_out": years.left_out, "service": SERVICE,
        "rules": rules.collect::<Vec<Value>>(),
        "differences": differences.collect::<Vec<Value>>(),
        "levels": levels.collect::<Vec<Value>>(),
    });
    format!("{value:#}\n")
}
