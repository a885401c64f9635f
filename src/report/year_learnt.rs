//! What was learnt of offcuts from simulated years, in plain words and for other programs.

use serde_json::{Value, json};

use super::json::{list, mm, worth};
use super::text::{COLUMNS, Page};
use super::words::count;
use super::year_words::{difference, money};
use crate::measure::{Worth, show_share};
use crate::shop::Shop;
use crate::shop::write::exact;
use crate::year::{Learnt, OffcutRule};

/// What was tried, what was best, and how it fares on other years.
pub fn text(learnt: &Learnt, shop: &Shop) -> String {
    let of = &learnt.question;
    let years = |adjective: &str| {
        let one = format!("{adjective}year");
        count(of.years as usize, &one, &format!("{one}s"))
    };
    let mut page = Page::new();
    page.line_and_right(&shop.settings.name, "What an offcut is worth, learnt");
    page.line("", &"=".repeat(COLUMNS));
    let asked = format!(
        "{} of {} with {} on each, seed {}; each cut by the plan of every day. What it comes to \
         in a year, with each keep and worth of [offcuts], \
         and the shares of offcuts a quarter, a half and three quarters of the way to a whole \
         stick:",
        years(""),
        count(of.days as usize, "open day", "open days"),
        count(of.frames as usize, "frame", "frames"),
        of.seed
    );
    page.line("", &asked);
    page.gap();
    page.line("", &row(["keep", "worth", "and longer", "money"], ""));
    for (rule, all) in &learnt.tried {
        let note = match rule {
            rule if *rule == learnt.own => "the shop's own",
            rule if *rule == learnt.best => "the best",
            _ => "",
        };
        let [keep, share] = figures(*rule, shop);
        let curve = curve(rule);
        page.line("", &row([&keep, &share, &curve, &money(*all, of.years, shop)], note));
    }
    page.gap();
    let own = Worth(learnt.judged_own.0.div_euclid(i64::from(of.years.max(1))));
    match &learnt.judged {
        None => page.line("", "The shop's own figures are the best of them."),
        Some(judged) => {
            let [keep, share] = figures(learnt.best, shop);
            let judged = difference(judged, own, shop);
            page.line(
                "",
                &format!(
                    "On {} that it was not learnt on, keep {keep} and worth {share}{} come to \
                     {judged} in a year than the shop's own.",
                    years("other "),
                    match learnt.best.curve {
                        None => String::new(),
                        Some(_) => format!(" with the curve {}", curve(&learnt.best)),
                    }
                ),
            );
        }
    }
    match learnt.proposed() {
        Some(rule) => {
            let [keep, share] = figures(rule, shop);
            page.line("", "Proposed for [offcuts] in shop.toml, where nothing is written for you:");
            page.line("  ", &format!("keep = \"{keep}\""));
            page.line("  ", &format!("worth = \"{share}\""));
            if rule.curve.is_some() {
                page.line("", "and a file of its own, worth.csv:");
                page.line("  ", "moulding,length,worth");
                worths(learnt, &rule, shop).iter().for_each(|row| page.line("  ", row));
            }
        }
        None => page.line("", "Nothing is proposed: no other figures are surely better."),
    }
    page.into_text()
}

/// The same as JSON: lengths in millimetres, money and shares as decimal strings.
pub fn json(learnt: &Learnt, shop: &Shop) -> String {
    let of = &learnt.question;
    let money = |of: Worth| worth(of, true, &shop.settings);
    let shares = |rule: OffcutRule| rule.curve.map(|curve| curve.map(show_share));
    let rule = |rule: OffcutRule| {
        json!({
            "keep": mm(rule.keep), "worth": show_share(rule.worth), "curve": shares(rule),
        })
    };
    let judged = learnt
        .judged
        .as_ref()
        .map(|judged| json!({"mean": money(judged.mean), "give_or_take": judged.half.map(money)}));
    let tried = |(tried, all): &(OffcutRule, Worth)| -> Value {
        json!({"keep": mm(tried.keep), "worth": show_share(tried.worth), "curve": shares(*tried),
            "money": money(*all)})
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
    format!("{keep:>8}{share:>8}{curve:>14}{money:>13}  {note}")
}
