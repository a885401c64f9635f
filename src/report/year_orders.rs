//! A simulated year of orders: in words, as a page with charts, and for other programs.

use std::fmt::Write;

use serde_json::{Value, json};

use super::escape::{escape, prose};
use super::html::opening;
use super::json::worth;
use super::text::{COLUMNS, Page};
use super::words::count;
use super::year_html::{STYLE, bars};
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
    asked(years).iter().for_each(|line| page.line("", line));
    page.gap();
    page.line("", &row("", &HEADS.map(|(head, _)| head.to_owned())));
    for (rule, tallies) in &years.rules {
        page.line("", &row(rule.words(), &figures(tallies, shop)));
    }
    page.gap();
    page.line("", LEGEND);
    chopped(years).iter().for_each(|line| page.line("", line));
    page.heading("WHAT A YEAR COMES TO, ONE AGAINST THE OTHER");
    for (against, words) in differences(years, shop) {
        page.line("  ", &format!("{against}:"));
        page.line("    ", &words);
    }
    page.line("", doubt(years));
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
    page.line("", &level());
    page.into_text()
}

/// The same as a page with charts, in black and white.
pub fn page(years: &OrderedYears, shop: &Shop) -> String {
    let of = &years.question;
    let mut out = opening("A simulated year of orders", &shop.settings.name, of.from);
    out.push_str(STYLE);
    for line in asked(years) {
        let _ = writeln!(out, "<p class=\"sum\">{}</p>", prose(&line));
    }
    let heads: String = HEADS.iter().map(|(head, _)| format!("<th>{head}</th>")).collect();
    let _ = writeln!(out, "<div class=\"year\"><table>\n<tr><th>orders go</th>{heads}</tr>");
    for (rule, tallies) in &years.rules {
        let cells: String = figures(tallies, shop)
            .iter()
            .map(|cell| format!("<td>{}</td>", escape(cell)))
            .collect();
        let _ = writeln!(out, "<tr><td>{}</td>{cells}</tr>", rule.words());
    }
    let _ = writeln!(out, "</table>\n<p>{}</p>", prose(LEGEND));
    if let Some(line) = chopped(years) {
        let _ = writeln!(out, "<p>{}</p>", prose(&line));
    }
    let code = shop.settings.currency.code();
    let _ = writeln!(
        out,
        "</div>\n<div class=\"year\"><h2>What moulding comes to in a year</h2>\n<p>{code}</p>"
    );
    let least = years.rules.iter().map(|(rule, _)| sum(years, *rule)).min();
    let money = |(rule, _): &(OrderRule, Vec<OrderTally>)| {
        let all = sum(years, *rule);
        (rule.words(), all.0, money(all, of.years, shop), Some(all) == least)
    };
    bars(&mut out, &years.rules.iter().map(money).collect::<Vec<_>>());
    out.push_str("</div>\n<div class=\"year\"><h2>Frames that lacked moulding, in all</h2>\n");
    let lacked = |(rule, tallies): &(OrderRule, Vec<OrderTally>)| {
        let all: i64 = tallies.iter().map(|of| i64::from(of.lacked)).sum();
        (rule.words(), all, all.to_string(), false)
    };
    bars(&mut out, &years.rules.iter().map(lacked).collect::<Vec<_>>());
    out.push_str("</div>\n<div class=\"year\"><h2>One against the other</h2>\n<table>\n");
    for (against, words) in differences(years, shop) {
        let _ = writeln!(out, "<tr><td>{against}</td><td>{}</td></tr>", escape(&words));
    }
    let _ = writeln!(out, "</table>\n<p>{}</p></div>", prose(doubt(years)));
    out.push_str(
        "<div class=\"year\"><h2>Sticks kept on the rack</h2>\n<table>\n<tr><th>moulding</th>\
         <th>keep_on_rack now</th><th>proposed</th><th>lasts open days</th></tr>\n",
    );
    for (id, (sticks, stretch)) in &years.levels {
        let (id, now) = (escape(id), shop.moulding(id).keep_on_rack);
        let _ = writeln!(
            out,
            "<tr><td>{id}</td><td>{now}</td><td>{sticks}</td><td>{stretch}</td></tr>"
        );
    }
    let _ = writeln!(out, "</table>\n<p>{}</p></div>\n</body>\n</html>", prose(&level()));
    out
}

/// What was asked, a paragraph each.
fn asked(years: &OrderedYears) -> Vec<String> {
    let of = &years.question;
    let mut lines = vec![
        format!(
            "{} of {} from {} on, with {} on each, seed {}. Every day the plan is made of all that \
             waits; sticks and chopped frames come from the shop's suppliers on the days on which \
             they deliver, on their terms.",
            count(of.years as usize, "year", "years"),
            count(of.days as usize, "open day", "open days"),
            of.from,
            count(of.frames as usize, "frame", "frames"),
            of.seed
        ),
        format!("A frame is in time within {} of coming in.", days(of.notice)),
    ];
    if !years.left_out.is_empty() {
        let which = years.left_out.join(", ");
        lines.push(format!("Left out, since nobody sells what makes them: {which}."));
    }
    lines
}

/// What suppliers chopped, if they did.
fn chopped(years: &OrderedYears) -> Option<String> {
    let all = |tallies: &[OrderTally]| tallies.iter().map(|of| of.chopped.0).sum::<u32>();
    let each = |(rule, tallies): &(OrderRule, Vec<OrderTally>)| {
        format!("{} ({})", all(tallies), rule.words())
    };
    years.rules.iter().any(|(_, tallies)| all(tallies) > 0).then(|| {
        let each: Vec<String> = years.rules.iter().map(each).collect();
        format!("Layers that suppliers chopped, in all: {}.", each.join(", "))
    })
}

/// Each rule against the plainest: which, and how they differ.
fn differences(years: &OrderedYears, shop: &Shop) -> Vec<(String, String)> {
    let of = |other: OrderRule| {
        let paired = years.difference(other, OrderRule::EachDay)?;
        let all = sum(years, OrderRule::EachDay);
        let each = Worth(all.0 / i64::from(years.question.years.max(1)));
        let against = format!("{}, against {}", other.words(), OrderRule::EachDay.words());
        Some((against, difference(&paired, each, shop)))
    };
    OTHERS.into_iter().filter_map(of).collect()
}

fn doubt(years: &OrderedYears) -> &'static str {
    if years.question.years > 1 { DOUBT } else { "One year says nothing of chance." }
}

fn level() -> String {
    format!(
        "Enough in {SERVICE} of 100 such stretches of other years (an order-up-to level). It is \
         a proposal: write what you take of it into keep_on_rack of mouldings.csv, with \
         restock = \"always\" in shop.toml. Nothing is written."
    )
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
            "layers_chopped": of.chopped.0,
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
