//! A simulated year for other programs: lengths in millimetres, money as decimal strings.

use serde_json::{Value, json};

use super::json::{list, mm, worth};
use super::year_words::PAIRS;
use crate::measure::Worth;
use crate::shop::Shop;
use crate::year::{Clairvoyant, PracticeYears, SimulatedYears, YearTally};

/// All years of all practices as one JSON text.
pub fn year(years: &SimulatedYears, shop: &Shop) -> String {
    let of = &years.question;
    let money = |of: Worth| worth(of, true, &shop.settings);
    let differences = PAIRS.iter().filter_map(|&(one, other)| {
        let paired = years.difference(one, other)?;
        Some(json!({
            "practice": one.words(), "against": other.words(),
            "mean": money(paired.mean), "give_or_take": paired.half.map(money),
        }))
    });
    let value = json!({
        "shop": shop.settings.name,
        "currency": shop.settings.currency.code(),
        "from": years.days.0.to_string(), "to": years.days.1.to_string(),
        "days": of.days, "frames": of.frames, "notice": of.notice, "patience": of.patience,
        "lots": of.lots.word(), "seed": of.seed, "years": of.years,
        "tickets": years.tickets, "left_out": years.left_out, "unpriced": years.unpriced,
        "practices": list(&years.practices, |one| practice(one, shop)),
        "at_least": list(&years.bounds, |bound| self::bound(bound, shop)),
        "differences": differences.collect::<Vec<Value>>(),
    });
    format!("{value:#}\n")
}

fn practice(of: &PracticeYears, shop: &Shop) -> Value {
    json!({"practice": of.practice.words(), "years": list(&of.years, |year| tally(year, shop))})
}

fn tally(of: &YearTally, shop: &Shop) -> Value {
    let money = |of: Worth| worth(of, true, &shop.settings);
    json!({
        "money": money(of.money()), "spent": money(of.spent),
        "rack_counted": {"before": money(of.counted.0), "after": money(of.counted.1)},
        "bought": mm(of.bought), "rails": mm(of.rails), "joints": mm(of.joints),
        "trims": mm(of.trims), "scrap": mm(of.scrap),
        "rack": {"before": mm(of.rack.0), "after": mm(of.rack.1)},
        "offcuts": of.offcuts, "offcut_days": of.offcut_days,
        "frames_cut": of.cut, "frames_late": of.late, "frames_not_cut": of.not_cut,
        "open_days_waited": of.waited, "settings": of.settings,
        "offcuts_each_evening": of.evenings,
    })
}

fn bound(of: &Clairvoyant, shop: &Shop) -> Value {
    json!({
        "bought": mm(of.bought), "money": worth(of.money, true, &shop.settings),
        "mouldings_proven": of.proven.0, "mouldings": of.proven.1,
    })
}
