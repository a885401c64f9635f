//! The plan for other programs: `plan.json`, whose shape is a promise.
//!
//! Lengths are millimetres as exact decimals, money is decimal strings, dates
//! are ISO 8601. Where a moulding has no price, worth is a length: its figures
//! are millimetres and `unit` says `mm`.

use jiff::civil::Date;
use serde_json::{Map, Value, json};

use crate::chop::{Cut, MachineSheet, Schedule, StickSteps};
use crate::measure::{Length, Mitre, Worth};
use crate::plan::{
    BrokenBy, BrokenPromise, CutStick, Held, HoldReason, Left, Matching, OffcutUse, Overdue,
    PlacedRail, Plan, Proof, SpareUse, WaitReason, Waiting, Warning,
};
use crate::shop::{Flaw, Settings, Shop};

use super::either::typed;
use super::{job_json, jobs_today, order_json, words};

/// The whole plan, pretty-printed, with a line break at its end.
pub fn plan(plan: &Plan, shop: &Shop, schedule: &Schedule) -> String {
    let settings = &shop.settings;
    let spares: Vec<Value> = plan.spares_today().map(spare).collect();
    let mut today = json!({
        "date": plan.date.to_string(),
        "settings": schedule.settings(),
        "least_settings": plan.least_settings,
        "sticks": list(&plan.today, stick),
    });
    add_some(&mut today, "spare_rails", spares);
    let mut order = json!({
        "lines": list(&plan.order.lines, |line| order_json::line(line, shop)),
        "sticks": list(&plan.order.sticks, stick),
    });
    let (coming, put_off) = plan.coming_and_put_off();
    add_some(&mut order, "on_order", coming.into_iter().map(stick).collect());
    add_some(&mut order, "overdue", plan.overdue(shop).iter().map(overdue).collect());
    object(&mut order).extend(order_json::beside(plan, shop));
    let broken = plan.broken_promises(shop).iter().map(broken_promise).collect();
    let mut all = json!({
        "shop": plan.shop,
        "wishes": {
            "rush": plan.wishes.rush,
            "only": plan.wishes.only,
            "rack_only": plan.wishes.rack_only,
        },
        "today": today,
        "order": order,
        "waiting": list(&plan.waiting, waiting),
        "held": list(&plan.held, |one| held(one, settings)),
        "proof": list(&plan.proof, |one| proof(one, settings)),
        "matching": list(&plan.matching, |one| matching(one, settings)),
        "offcuts": list(&plan.offcuts, |one| offcuts(one, settings)),
        "warnings": list(&plan.warnings, |one| warning(one, settings)),
        "schedule": list(&schedule.benches, bench),
    });
    add_some(&mut all, "put_off", put_off.into_iter().map(stick).collect());
    add_some(&mut all, "promises_broken", broken);
    let jobs = jobs_today(plan, shop).unwrap_or_default();
    add_some(&mut all, "jobs", jobs.iter().map(|sheet| job_json::value(sheet, shop)).collect());
    pretty(&all)
}

fn broken_promise(promise: &BrokenPromise) -> Value {
    let (why, arrives) = match &promise.why {
        BrokenBy::Past => ("past", None),
        BrokenBy::Arrives(day) => ("arrives", Some(day.to_string())),
        BrokenBy::NothingComes => ("nothing_comes", None),
        BrokenBy::NotKnown => ("not_known", None),
        BrokenBy::Overdue(_) => ("overdue", None),
        BrokenBy::Held | BrokenBy::Lengths { .. } => ("held", None),
        BrokenBy::Refused(_) => ("refused", None),
        BrokenBy::Closed => ("closed", None),
        BrokenBy::Hands(_) => ("hands", None),
    };
    json!({"frame": promise.frame, "copies": promise.copies, "due": promise.due.to_string(),
        "why": why, "arrives": arrives})
}

fn overdue(((day, supplier), what): (&(Date, String), &Overdue)) -> Value {
    let copies: Vec<Value> =
        what.frames.iter().map(|(frame, copy)| json!({"frame": frame, "copy": copy})).collect();
    json!({
        "expected": day.to_string(),
        "supplier": supplier,
        "sticks": what.sticks,
        "chops": what.chops,
        "holds_up": copies,
    })
}

/// A value as indented text with a line break at its end.
pub(super) fn pretty(value: &Value) -> String {
    format!("{value:#}\n")
}

/// Each of these as a value.
pub(super) fn list<T>(of: &[T], value: impl Fn(&T) -> Value) -> Value {
    of.iter().map(value).collect()
}

/// A list under a key of an object, unless it is empty.
fn add_some(value: &mut Value, key: &str, some: Vec<Value>) {
    if !some.is_empty() {
        object(value).insert(key.to_owned(), some.into());
    }
}

fn object(value: &mut Value) -> &mut Map<String, Value> {
    value.as_object_mut().expect("it was made as one")
}

/// Millimetres as the shortest exact decimal: whole ones without a point.
pub(super) fn mm(length: Length) -> Value {
    let whole = length.nm() / Length::from_mm(1).nm();
    if Length::from_mm(whole) == length { Value::from(whole) } else { Value::from(length.as_mm()) }
}

/// Degrees as a number, to a thousandth.
pub(super) fn degrees(mitre: Mitre) -> Value {
    let thousandths = mitre.millidegrees();
    if thousandths % 1000 == 0 {
        Value::from(thousandths / 1000)
    } else {
        let thousandths = i32::try_from(thousandths).expect("at most sixty degrees");
        Value::from(f64::from(thousandths) / 1000.0)
    }
}

fn spare(of: &SpareUse) -> Value {
    json!({
        "copy": of.copy,
        "frame": of.frame,
        "layer": of.layer,
        "rail": of.label,
        "side": of.side.to_string(),
    })
}

fn stick(stick: &CutStick) -> Value {
    let zone = |flaw: &Flaw| json!({ "from": mm(flaw.from), "to": mm(flaw.to) });
    json!({
        "stick": stick.stick,
        "new": stick.is_new,
        "moulding": stick.moulding,
        "length": mm(stick.length),
        "lot": stick.lot,
        "place": stick.place,
        "supplier": stick.supplier,
        "first_trim": mm(stick.first_trim),
        "flaws": list(&stick.flaws, zone),
        "rails": list(&stick.rails, rail),
        "between": list(&stick.between, left),
        "left": left(&stick.left),
    })
}

fn rail(rail: &PlacedRail) -> Value {
    json!({
        "frame": rail.frame,
        "copy": rail.copy,
        "layer": rail.layer,
        "side": rail.side.to_string(),
        "from": mm(rail.from),
        "to": mm(rail.to),
        "long_point": mm(rail.long_point),
        "rabbet": mm(rail.rabbet),
        "sight": mm(rail.sight),
        "mitre": degrees(rail.mitre),
        "turned": rail.turned,
    })
}

fn left(left: &Left) -> Value {
    json!({
        "from": mm(left.from),
        "length": mm(left.length),
        "keep": left.keep,
        "label": left.label,
    })
}

fn waiting(waiting: &Waiting) -> Value {
    let mut value = json!({
        "copy": waiting.copy,
        "due": waiting.due.map(|due| due.to_string()),
        "frame": waiting.frame,
        "reason": waiting.reason.words(),
    });
    if let WaitReason::Patience { by, .. } = &waiting.reason {
        object(&mut value).insert("by".to_owned(), json!(by.to_string()));
    }
    value
}

fn held(held: &Held, settings: &Settings) -> Value {
    let kind = match held.reason {
        HoldReason::NoOpening { .. } => "no-opening",
        HoldReason::TooShort { .. } => "too-short",
        HoldReason::NoMitre { .. } => "no-mitre",
        HoldReason::TooLong { .. } => "too-long",
        HoldReason::MatchTooLong { .. } => "match-too-long",
        HoldReason::RandomLengths { .. } => "random-lengths",
        HoldReason::NotSold { .. } => "not-sold",
        HoldReason::StickTaken { .. } => "stick-taken",
        HoldReason::NotSettled { .. } => "not-settled",
    };
    let reason = typed(&words::held(&held.reason, &settings.style()));
    json!({ "copy": held.copy, "frame": held.frame, "kind": kind, "reason": reason })
}

fn proof(proof: &Proof, settings: &Settings) -> Value {
    json!({
        "moulding": proof.moulding,
        "part": proof.part.word(),
        "status": status(proof.proven),
        "used_up": worth(proof.used_up, proof.priced, settings),
        "bound": worth(proof.bound, proof.priced, settings),
        "unit": unit(proof.priced, settings),
        "sticks": proof.sticks,
    })
}

fn matching(cost: &Matching, settings: &Settings) -> Value {
    json!({
        "moulding": cost.moulding,
        "part": cost.part.word(),
        "status": status(cost.proven),
        "sticks": cost.sticks,
        "sticks_free": cost.sticks_free,
        "used_up": worth(cost.used_up, cost.priced, settings),
        "used_up_free": worth(cost.used_up_free, cost.priced, settings),
        "unit": unit(cost.priced, settings),
    })
}

fn offcuts(use_: &OffcutUse, settings: &Settings) -> Value {
    json!({
        "moulding": use_.moulding,
        "saved_at_least": worth(use_.saved, use_.priced, settings),
        "unit": unit(use_.priced, settings),
        "idle": use_.idle,
    })
}

fn status(proven: bool) -> &'static str {
    if proven { "proven" } else { "feasible" }
}

fn unit(priced: bool, settings: &Settings) -> &str {
    if priced { settings.currency.code() } else { "mm" }
}

/// A worth to its full fineness; zeros beyond what is usual are left out.
pub(super) fn worth(worth: Worth, priced: bool, settings: &Settings) -> String {
    if !priced {
        return mm(words::length_of(worth)).to_string();
    }
    let usual = settings.currency.show(worth.to_money());
    let decimals = usual.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let fine = settings.currency.show_fine(worth);
    let (whole, part) = fine.split_once('.').expect("three decimals more than usual");
    let (keep, rest) = part.split_at(decimals);
    let rest = rest.trim_end_matches('0');
    if keep.is_empty() && rest.is_empty() {
        whole.to_owned()
    } else {
        format!("{whole}.{keep}{rest}")
    }
}

fn warning(warning: &Warning, settings: &Settings) -> Value {
    let kind = match warning {
        Warning::TooThick { .. } => "too-thick",
        Warning::Late { .. } => "late",
        Warning::Relaxed { .. } => "relaxed",
    };
    let words = words::warning(warning, &settings.style());
    json!({ "frame": words::ticket_of(warning), "kind": kind, "words": words })
}

fn bench(bench: &MachineSheet) -> Value {
    json!({
        "cutter": bench.cutter,
        "stop": bench.stop.word(),
        "settings": bench.settings,
        "sticks": list(&bench.sticks, steps),
    })
}

fn steps(steps: &StickSteps) -> Value {
    json!({ "number": steps.number, "stick": steps.stick, "cuts": list(&steps.cuts, cut) })
}

fn cut(cut: &Cut) -> Value {
    json!({
        "rail": cut.number,
        "stop": mm(cut.stop),
        "set": cut.move_stop,
        "set_mitre": cut.set_mitre,
        "turn": cut.turn,
        "clamp": cut.clamp,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Currency;

    #[test]
    fn millimetres_are_exact_decimals() {
        assert_eq!(mm(Length::from_64ths(1)).to_string(), "0.396875");
        assert_eq!(mm(Length::from_mm(412)).to_string(), "412");
        assert_eq!(mm(Length::from_nm(49_999_999_999)).to_string(), "49999.999999");
        assert_eq!(degrees(Mitre::new(8).unwrap()).to_string(), "22.5");
    }

    #[test]
    fn worth_keeps_its_fineness_and_the_usual_decimals() {
        let mut settings = Settings {
            name: String::new(),
            contact: Default::default(),
            unit: crate::measure::Unit::Inch,
            mark: Length::from_64ths(2),
            allowance: Length::ZERO,
            currency: Currency::new("USD").unwrap(),
            default_cutter: String::new(),
            keep: Length::ZERO,
            worth: 0,
            buying: Default::default(),
            price: None,
            days: Default::default(),
            job: Default::default(),
        };
        assert_eq!(worth(Worth(1_250_375), true, &settings), "12.50375");
        assert_eq!(worth(Worth(1_250_000), true, &settings), "12.50");
        assert_eq!(worth(Worth(1_250_370), true, &settings), "12.5037");
        assert_eq!(worth(Worth(-5_000), true, &settings), "-0.05");
        assert_eq!(worth(Worth(1_250_375), false, &settings), "1250.375");
        settings.currency = Currency::new("JPY").unwrap();
        assert_eq!(worth(Worth(1_250_000), true, &settings), "1250");
        assert_eq!(worth(Worth(1_250_300), true, &settings), "1250.3");
    }
}
