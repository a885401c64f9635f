//! The plan for other programs: `plan.json`, whose shape is a promise.
//!
//! Lengths are millimetres as exact decimals, money is decimal strings, dates
//! are ISO 8601. Where a moulding has no price, worth is a length: its figures
//! are millimetres and `unit` says `mm`.

use serde::Serialize;
use serde_json::{Value, json};

use crate::chop::{Cut, MachineSheet, Schedule, StickSteps};
use crate::measure::{Length, Mitre, Worth};
use crate::plan::{
    CutStick, HoldReason, Left, Matching, OffcutUse, PlacedRail, Plan, Proof, SpareUse, Warning,
};
use crate::shop::{Flaw, Settings, Shop};

use super::{order_json, words};

/// The whole plan, pretty-printed, with a line break at its end.
pub fn plan(plan: &Plan, shop: &Shop, schedule: &Schedule) -> String {
    let whole = PlanOut {
        shop: &plan.shop,
        wishes: WishesOut {
            rush: plan.wishes.rush.iter().map(String::as_str).collect(),
            only: plan.wishes.only.as_ref().map(|o| o.iter().map(String::as_str).collect()),
            rack_only: plan.wishes.rack_only,
        },
        today: Today {
            date: plan.date.to_string(),
            settings: schedule.settings(),
            least_settings: plan.least_settings,
            sticks: sticks(&plan.today),
            spare_rails: plan.spares_today().map(spare).collect(),
        },
        order: OrderOut {
            lines: order_json::lines(plan, shop),
            sticks: sticks(&plan.order.sticks),
            on_order: sticks(&plan.order.coming),
            beside: order_json::beside(plan, shop),
        },
        waiting: waiting(plan),
        held: held(plan, shop),
        proof: plan.proof.iter().map(|proof| self::proof(proof, &shop.settings)).collect(),
        matching: plan.matching.iter().map(|cost| matching(cost, &shop.settings)).collect(),
        offcuts: plan.offcuts.iter().map(|use_| offcuts(use_, &shop.settings)).collect(),
        warnings: plan.warnings.iter().map(|w| warning(w, &shop.settings)).collect(),
        schedule: schedule.benches.iter().map(bench).collect(),
    };
    pretty(&whole)
}

/// A value as indented text with a line break at its end.
pub(super) fn pretty(value: &impl Serialize) -> String {
    let text = serde_json::to_string_pretty(value).expect("plain fields with text keys");
    text + "\n"
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

#[derive(Serialize)]
struct PlanOut<'a> {
    shop: &'a str,
    wishes: WishesOut<'a>,
    today: Today<'a>,
    order: OrderOut<'a>,
    waiting: Vec<Value>,
    held: Vec<Value>,
    proof: Vec<ProofOut<'a>>,
    matching: Vec<MatchingOut<'a>>,
    offcuts: Vec<OffcutsOut<'a>>,
    warnings: Vec<Value>,
    schedule: Vec<BenchOut<'a>>,
}

#[derive(Serialize)]
struct WishesOut<'a> {
    rush: Vec<&'a str>,
    only: Option<Vec<&'a str>>,
    rack_only: bool,
}

#[derive(Serialize)]
struct Today<'a> {
    date: String,
    settings: u32,
    least_settings: u32,
    sticks: Vec<StickOut<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    spare_rails: Vec<Value>,
}

fn spare(of: &SpareUse) -> Value {
    let (frame, side) = (&of.frame, of.side.to_string());
    json!({ "rail": of.label, "frame": frame, "copy": of.copy, "layer": of.layer, "side": side })
}

#[derive(Serialize)]
struct OrderOut<'a> {
    lines: Vec<order_json::LineOut<'a>>,
    sticks: Vec<StickOut<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    on_order: Vec<StickOut<'a>>,
    #[serde(flatten)]
    beside: serde_json::Map<String, Value>,
}

#[derive(Serialize)]
struct StickOut<'a> {
    stick: &'a str,
    new: bool,
    moulding: &'a str,
    length: Value,
    lot: &'a str,
    place: &'a str,
    supplier: &'a str,
    first_trim: Value,
    flaws: Vec<Zone>,
    rails: Vec<RailOut<'a>>,
    between: Vec<LeftOut<'a>>,
    left: LeftOut<'a>,
}

#[derive(Serialize)]
struct Zone {
    from: Value,
    to: Value,
}

#[derive(Serialize)]
struct RailOut<'a> {
    frame: &'a str,
    copy: u32,
    layer: usize,
    side: String,
    from: Value,
    to: Value,
    long_point: Value,
    rabbet: Value,
    sight: Value,
    mitre: Value,
    turned: bool,
}

#[derive(Serialize)]
struct LeftOut<'a> {
    from: Value,
    length: Value,
    keep: bool,
    label: &'a str,
}

fn sticks(sticks: &[CutStick]) -> Vec<StickOut<'_>> {
    sticks.iter().map(stick).collect()
}

fn stick(stick: &CutStick) -> StickOut<'_> {
    let zone = |flaw: &Flaw| Zone { from: mm(flaw.from), to: mm(flaw.to) };
    StickOut {
        stick: &stick.stick,
        new: stick.is_new,
        moulding: &stick.moulding,
        length: mm(stick.length),
        lot: &stick.lot,
        place: &stick.place,
        supplier: &stick.supplier,
        first_trim: mm(stick.first_trim),
        flaws: stick.flaws.iter().map(zone).collect(),
        rails: stick.rails.iter().map(rail).collect(),
        between: stick.between.iter().map(left).collect(),
        left: left(&stick.left),
    }
}

fn rail(rail: &PlacedRail) -> RailOut<'_> {
    RailOut {
        frame: &rail.frame,
        copy: rail.copy,
        layer: rail.layer,
        side: rail.side.to_string(),
        from: mm(rail.from),
        to: mm(rail.to),
        long_point: mm(rail.long_point),
        rabbet: mm(rail.rabbet),
        sight: mm(rail.sight),
        mitre: degrees(rail.mitre),
        turned: rail.turned,
    }
}

fn left(left: &Left) -> LeftOut<'_> {
    LeftOut { from: mm(left.from), length: mm(left.length), keep: left.keep, label: &left.label }
}

fn waiting(plan: &Plan) -> Vec<Value> {
    let out = |waiting: &crate::plan::Waiting| {
        serde_json::json!({
            "frame": waiting.frame,
            "copy": waiting.copy,
            "due": waiting.due.map(|due| due.to_string()),
            "reason": waiting.reason.words(),
        })
    };
    plan.waiting.iter().map(out).collect()
}

fn held(plan: &Plan, shop: &Shop) -> Vec<Value> {
    let out = |held: &crate::plan::Held| {
        let kind = match held.reason {
            HoldReason::NoOpening { .. } => "no-opening",
            HoldReason::TooShort { .. } => "too-short",
            HoldReason::NoMitre { .. } => "no-mitre",
            HoldReason::TooLong { .. } => "too-long",
            HoldReason::MatchTooLong { .. } => "match-too-long",
            HoldReason::NotSold { .. } => "not-sold",
            HoldReason::StickTaken { .. } => "stick-taken",
            HoldReason::NotSettled { .. } => "not-settled",
        };
        let reason = held.reason.words(&shop.settings.style());
        serde_json::json!({"frame": held.frame, "copy": held.copy, "kind": kind, "reason": reason})
    };
    plan.held.iter().map(out).collect()
}

#[derive(Serialize)]
struct ProofOut<'a> {
    moulding: &'a str,
    part: &'static str,
    status: &'static str,
    used_up: String,
    bound: String,
    unit: &'a str,
    sticks: u32,
}

fn proof<'a>(proof: &'a Proof, settings: &'a Settings) -> ProofOut<'a> {
    ProofOut {
        moulding: &proof.moulding,
        part: proof.part.word(),
        status: status(proof.proven),
        used_up: worth(proof.used_up, proof.priced, settings),
        bound: worth(proof.bound, proof.priced, settings),
        unit: unit(proof.priced, settings),
        sticks: proof.sticks,
    }
}

#[derive(Serialize)]
struct MatchingOut<'a> {
    moulding: &'a str,
    part: &'static str,
    status: &'static str,
    sticks: u32,
    sticks_free: u32,
    used_up: String,
    used_up_free: String,
    unit: &'a str,
}

fn matching<'a>(cost: &'a Matching, settings: &'a Settings) -> MatchingOut<'a> {
    MatchingOut {
        moulding: &cost.moulding,
        part: cost.part.word(),
        status: status(cost.proven),
        sticks: cost.sticks,
        sticks_free: cost.sticks_free,
        used_up: worth(cost.used_up, cost.priced, settings),
        used_up_free: worth(cost.used_up_free, cost.priced, settings),
        unit: unit(cost.priced, settings),
    }
}

#[derive(Serialize)]
struct OffcutsOut<'a> {
    moulding: &'a str,
    saved_at_least: String,
    unit: &'a str,
    idle: &'a [String],
}

fn offcuts<'a>(use_: &'a OffcutUse, settings: &'a Settings) -> OffcutsOut<'a> {
    OffcutsOut {
        moulding: &use_.moulding,
        saved_at_least: worth(use_.saved, use_.priced, settings),
        unit: unit(use_.priced, settings),
        idle: &use_.idle,
    }
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
    serde_json::json!({"kind": kind, "frame": words::ticket_of(warning), "words": words})
}

#[derive(Serialize)]
struct BenchOut<'a> {
    cutter: &'a str,
    stop: &'static str,
    settings: u32,
    sticks: Vec<StepsOut<'a>>,
}

#[derive(Serialize)]
struct StepsOut<'a> {
    number: u32,
    stick: &'a str,
    cuts: Vec<CutOut>,
}

#[derive(Serialize)]
struct CutOut {
    rail: u32,
    stop: Value,
    set: bool,
    set_mitre: bool,
    turn: bool,
    clamp: bool,
}

fn bench(bench: &MachineSheet) -> BenchOut<'_> {
    BenchOut {
        cutter: &bench.cutter,
        stop: bench.stop.word(),
        settings: bench.settings,
        sticks: bench.sticks.iter().map(steps).collect(),
    }
}

fn steps(steps: &StickSteps) -> StepsOut<'_> {
    let cut = |cut: &Cut| CutOut {
        rail: cut.number,
        stop: mm(cut.stop),
        set: cut.move_stop,
        set_mitre: cut.set_mitre,
        turn: cut.turn,
        clamp: cut.clamp,
    };
    StepsOut {
        number: steps.number,
        stick: &steps.stick,
        cuts: steps.cuts.iter().map(cut).collect(),
    }
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
            unit: crate::measure::Unit::Inch,
            mark: Length::from_64ths(2),
            allowance: Length::ZERO,
            currency: Currency::new("USD").unwrap(),
            default_cutter: String::new(),
            keep: Length::ZERO,
            worth: 0,
            buying: Default::default(),
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
