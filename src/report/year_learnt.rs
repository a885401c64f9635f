//! What was learnt of offcuts from simulated years: in plain words, as a page with the curve
//! drawn, and for other programs.

use std::fmt::Write;

use serde_json::{Value, json};

use super::escape::{escape, prose};
use super::html::opening;
use super::json::{list, mm, worth};
use super::text::{COLUMNS, Page};
use super::words::count;
use super::year_html::{HIGH, LEFT, STYLE, WIDE};
use super::year_words::{difference, money};
use crate::measure::{Worth, show_share};
use crate::shop::Shop;
use crate::shop::write::exact;
use crate::year::{Learnt, OffcutRule, WHOLE};

/// What was tried, what was best, and how it fares on other years.
pub fn text(learnt: &Learnt, shop: &Shop) -> String {
    let of = &learnt.question;
    let mut page = Page::new();
    page.line_and_right(&shop.settings.name, "What an offcut is worth, learnt");
    page.line("", &"=".repeat(COLUMNS));
    page.line("", &asked(learnt, shop));
    page.gap();
    page.line("", &row(["keep", "worth", "and longer", "money"], ""));
    for (rule, all) in &learnt.tried {
        let note = note(learnt, rule);
        let [keep, share] = figures(*rule, shop);
        let curve = curve(rule);
        page.line("", &row([&keep, &share, &curve, &money(*all, of.years, shop)], &note));
    }
    page.gap();
    page.line("", &judged(learnt, shop));
    let proposed = proposed(learnt, shop);
    page.line("", &proposed[0]);
    proposed[1..].iter().for_each(|line| page.line("  ", line));
    page.into_text()
}

/// The same as a page: what was tried, and the curve drawn.
pub fn page(learnt: &Learnt, shop: &Shop) -> String {
    let of = &learnt.question;
    let mut out = opening("What an offcut is worth, learnt", &shop.settings.name, of.from);
    out.push_str(STYLE);
    for line in [asked(learnt, shop), judged(learnt, shop)] {
        let _ = writeln!(out, "<p class=\"sum\">{}</p>", prose(&line));
    }
    drawn(&mut out, learnt, shop);
    out.push_str("<div class=\"year\"><h2>Proposed</h2>\n");
    for line in proposed(learnt, shop) {
        let _ = writeln!(out, "<p>{}</p>", escape(&line));
    }
    out.push_str(
        "</div>\n<div class=\"year\"><h2>What was tried</h2>\n<table>\n<tr><th>keep</th>\
         <th>worth</th><th>and longer</th><th>money in a year</th><th></th></tr>\n",
    );
    for (rule, all) in &learnt.tried {
        let ([keep, share], note) = (figures(*rule, shop), note(learnt, rule));
        let (curve, money) = (curve(rule), money(*all, of.years, shop));
        let cells = [keep, share, curve, money, note];
        let cells: String = cells.iter().map(|cell| format!("<td>{}</td>", escape(cell))).collect();
        let _ = writeln!(out, "<tr>{cells}</tr>");
    }
    out.push_str("</table></div>\n</body>\n</html>\n");
    out
}

/// The best curve and the shop's own: the share of its price that an offcut is worth, from
/// the shortest that is kept to a whole stick.
fn drawn(out: &mut String, learnt: &Learnt, shop: &Shop) {
    let is_straight = shop.mouldings.values().all(|moulding| moulding.worths.is_empty());
    let own = if is_straight { "" } else { ", its worth.csv left out" };
    let across = WIDE - 50 - LEFT;
    let x = |quarter: i64| 50 + across * quarter / 4;
    let y = |share: u32| HIGH - 10 - (HIGH - 20) * i64::from(share) / i64::from(WHOLE);
    let _ = writeln!(
        out,
        "<div class=\"year\"><h2>What an offcut is worth, by its length</h2>\n\
         <p>As a share of its price, from the shortest that is kept to a whole stick. Black: the \
         best; dashed: the shop's own{own}.</p>\n\
         <svg viewBox=\"0 0 {WIDE} {}\" role=\"img\">",
        HIGH + 24
    );
    for share in [0, WHOLE / 4, WHOLE / 2, WHOLE / 4 * 3, WHOLE] {
        let _ = writeln!(
            out,
            "<line class=\"grid\" x1=\"50\" y1=\"{0}\" x2=\"{1}\" y2=\"{0}\"/>\
             <text class=\"end\" x=\"44\" y=\"{2}\">{3}</text>",
            y(share),
            x(4),
            y(share) + 4,
            show_share(share)
        );
    }
    for (quarter, words) in (0..).zip(["keep", "1/4", "1/2", "3/4", "a whole stick"]) {
        let (x, y) = (x(quarter) - 12, HIGH + 12);
        let _ = writeln!(out, "<text x=\"{x}\" y=\"{y}\">{words}</text>");
    }
    let is_new = learnt.best != learnt.own;
    let best = is_new.then_some((&learnt.best, 2.6, "1 0"));
    for (rule, wide, dash) in [(&learnt.own, 1.4, "7 4")].into_iter().chain(best) {
        let shares = [vec![rule.worth], rule.shares().to_vec(), vec![WHOLE]].concat();
        let point = |(quarter, share): (i64, &u32)| format!("{},{}", x(quarter), y(*share));
        let points: Vec<String> = (0..).zip(&shares).map(point).collect();
        let _ = writeln!(
            out,
            "<polyline class=\"line\" style=\"stroke-width:{wide}\" \
             stroke-dasharray=\"{dash}\" points=\"{}\"/>",
            points.join(" "),
        );
    }
    out.push_str("</svg></div>\n");
}

/// What is proposed: a sentence, and what to write, line by line.
fn proposed(learnt: &Learnt, shop: &Shop) -> Vec<String> {
    let Some(rule) = learnt.proposed() else {
        return vec!["Nothing is proposed: no other figures are surely better.".to_owned()];
    };
    let [keep, share] = figures(rule, shop);
    let mut lines = vec![
        "Proposed for [offcuts] in shop.toml, where nothing is written for you:".to_owned(),
        format!("keep = \"{keep}\""),
        format!("worth = \"{share}\""),
    ];
    if rule.curve.is_some() {
        lines.push("and a file of its own, worth.csv:".to_owned());
        lines.push("moulding,length,worth".to_owned());
        lines.extend(worths(learnt, &rule, shop));
    }
    if rule.later != learnt.own.later {
        lines.push("and for [days] in shop.toml:".to_owned());
        lines.push(rule.later.map_or_else(
            || "no later".to_owned(),
            |later| format!("later = \"{}\"", times(later)),
        ));
    }
    lines
}

/// What was asked.
fn asked(learnt: &Learnt, shop: &Shop) -> String {
    let waits = shop.settings.days.patience.is_some();
    let of = &learnt.question;
    format!(
        "{} of {} with {} on each, seed {}; each cut by the plan{}. What it comes to \
         in a year, with each keep and worth of [offcuts], \
         {}the shares of offcuts a quarter, a half and three quarters of the way to a whole \
         stick{}.",
        years(learnt, ""),
        count(of.days as usize, "open day", "open days"),
        count(of.frames as usize, "frame", "frames"),
        of.seed,
        if waits { ", with waiting" } else { " of every day" },
        if waits { "" } else { "and " },
        if waits { ", and later of [days]" } else { "" },
    )
}

fn years(learnt: &Learnt, adjective: &str) -> String {
    let one = format!("{adjective}year");
    count(learnt.question.years as usize, &one, &format!("{one}s"))
}

/// How the best fares on other years.
fn judged(learnt: &Learnt, shop: &Shop) -> String {
    let own = Worth(learnt.judged_own.0.div_euclid(i64::from(learnt.question.years.max(1))));
    let Some(judged) = &learnt.judged else {
        return "The shop's own figures are the best of them.".to_owned();
    };
    let [keep, share] = figures(learnt.best, shop);
    format!(
        "On {} that it was not learnt on, keep {keep} and worth {share}{}{} come to {} in a year than \
         the shop's own.",
        years(learnt, "other "),
        match learnt.best.curve {
            None => String::new(),
            Some(_) => format!(" with the curve {}", curve(&learnt.best)),
        },
        later(&learnt.best).map(|later| format!(", {later}")).unwrap_or_default(),
        difference(judged, own, shop),
    )
}

fn note(learnt: &Learnt, rule: &OffcutRule) -> String {
    let which = match rule {
        rule if *rule == learnt.own => Some("the shop's own".to_owned()),
        rule if *rule == learnt.best => Some("the best".to_owned()),
        _ => None,
    };
    later(rule).into_iter().chain(which).collect::<Vec<String>>().join(", ")
}

/// What is said of a length that is left to later, if anything is.
fn later(rule: &OffcutRule) -> Option<String> {
    rule.later.map(|later| format!("later {}", times(later)))
}

/// How many times a length, from thousandths.
fn times(thousandths: u32) -> String {
    show_share(thousandths.saturating_mul(1000))
}

/// The same as JSON: lengths in millimetres, money and shares as decimal strings.
pub fn json(learnt: &Learnt, shop: &Shop) -> String {
    let of = &learnt.question;
    let money = |of: Worth| worth(of, true, &shop.settings);
    let shares = |rule: OffcutRule| rule.curve.map(|curve| curve.map(show_share));
    let rule = |rule: OffcutRule| {
        json!({
            "keep": mm(rule.keep), "worth": show_share(rule.worth), "curve": shares(rule),
            "later": rule.later.map(times),
        })
    };
    let judged = learnt
        .judged
        .as_ref()
        .map(|judged| json!({"mean": money(judged.mean), "give_or_take": judged.half.map(money)}));
    let tried = |(tried, all): &(OffcutRule, Worth)| -> Value {
        json!({"keep": mm(tried.keep), "worth": show_share(tried.worth), "curve": shares(*tried),
            "later": tried.later.map(times), "money": money(*all)})
    };
    let value = json!({
        "shop": shop.settings.name,
        "currency": shop.settings.currency.code(),
        "days": of.days, "frames": of.frames, "lots": of.lots.word(), "seed": of.seed,
        "years": of.years,
        "own": rule(learnt.own),
        "tried": list(&learnt.tried, tried),
        "best": rule(learnt.best),
        "judged_on_other_years": judged,
        "proposed": learnt.proposed().map(rule),
    });
    format!("{value:#}\n")
}

fn figures(rule: OffcutRule, shop: &Shop) -> [String; 2] {
    [shop.settings.style().show(rule.keep), show_share(rule.worth)]
}

/// The rows of `worth.csv` for the mouldings that were cut.
fn worths(learnt: &Learnt, rule: &OffcutRule, shop: &Shop) -> Vec<String> {
    let settings = &shop.settings;
    let of = |id: &String| {
        let knots = rule.knots(shop.moulding(id).stick, settings.mark);
        let row = |(at, share)| format!("{id},{},{}", exact(at, settings), show_share(share));
        knots.into_iter().map(row).collect::<Vec<String>>()
    };
    learnt.mouldings.iter().flat_map(of).collect()
}

/// `0.2 0.3 0.6`, or nothing for a straight line.
fn curve(rule: &OffcutRule) -> String {
    rule.curve.map(|curve| curve.map(show_share).join(" ")).unwrap_or_default()
}

fn row([keep, share, curve, money]: [&str; 4], note: &str) -> String {
    format!("{keep:>8}{share:>8}{curve:>19}{money:>13}  {note}")
}
