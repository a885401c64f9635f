//! What was learnt of offcuts from simulated years, in plain words and for other programs.

use serde_json::{Value, json};

use super::json::{list, mm, worth};
use super::text::{COLUMNS, Page};
use super::words::count;
use super::year_words::{difference, money};
use crate::measure::Worth;
use crate::shop::Shop;
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
         in a year, with each keep and worth of [offcuts]:",
        years(""),
        count(of.days as usize, "open day", "open days"),
        count(of.frames as usize, "frame", "frames"),
        of.seed
    );
    page.line("", &asked);
    page.gap();
    page.line("", &row(["keep", "worth", "money"], ""));
    for (rule, all) in &learnt.tried {
        let note = match rule {
            rule if *rule == learnt.own => "the shop's own",
            rule if *rule == learnt.best => "the best",
            _ => "",
        };
        let [keep, share] = figures(*rule, shop);
        page.line("", &row([&keep, &share, &money(*all, of.years, shop)], note));
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
                    "On {} that it was not learnt on, keep {keep} and worth {share} come to \
                     {judged} in a year than the shop's own.",
                    years("other ")
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
        }
        None => page.line("", "Nothing is proposed: no other figures are surely better."),
    }
    page.into_text()
}

/// The same as JSON: lengths in millimetres, money and shares as decimal strings.
pub fn json(learnt: &Learnt, shop: &Shop) -> String {
    let of = &learnt.question;
    let money = |of: Worth| worth(of, true, &shop.settings);
    let rule = |rule: OffcutRule| json!({"keep": mm(rule.keep), "worth": share(rule.worth)});
    let judged = learnt
        .judged
        .as_ref()
        .map(|judged| json!({"mean": money(judged.mean), "give_or_take": judged.half.map(money)}));
    let tried = |(tried, all): &(OffcutRule, Worth)| -> Value {
        json!({"keep": mm(tried.keep), "worth": share(tried.worth), "money": money(*all)})
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
    [shop.settings.style().show(rule.keep), share(rule.worth)]
}

/// Millionths as a decimal.
fn share(millionths: u32) -> String {
    let text = format!("{}.{:06}", millionths / 1_000_000, millionths % 1_000_000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn row([keep, share, money]: [&str; 3], note: &str) -> String {
    format!("{keep:>8}{share:>8}{money:>13}  {note}")
}
