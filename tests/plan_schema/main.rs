//! The schema of `plan.json`: made of the types beside this, kept in `data/`, and true of
//! what is written.

#[path = "../../benches/shops/mod.rs"]
mod shops;

mod shape;

use std::path::{Path, PathBuf};

use jiff::civil::{Date, date};
use longpoint::chop::schedule;
use longpoint::morning::plan_as_wished;
use longpoint::plan::Wishes;
use longpoint::report::json;
use longpoint::shop::{Shop, read_folder};
use longpoint::solve::Limits;
use schemars::generate::SchemaSettings;
use serde_json::{Value, json};

const TODAY: Date = date(2026, 11, 25);

fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn kept() -> String {
    std::fs::read_to_string(root("data/plan.schema.json")).unwrap()
}

/// `LONGPOINT_SCHEMA=write cargo test --test plan_schema` writes it anew.
#[test]
fn what_is_kept_is_made_of_the_types() {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    let schema = settings.into_generator().into_root_schema_for::<shape::PlanFile>();
    let made = format!("{:#}\n", serde_json::to_value(&schema).unwrap());
    if std::env::var_os("LONGPOINT_SCHEMA").is_some() {
        std::fs::write(root("data/plan.schema.json"), &made).unwrap();
    }
    assert!(made == kept(), "data/plan.schema.json is another (LONGPOINT_SCHEMA=write writes it)");
}

fn written(shop: &Shop, wishes: &Wishes) -> Value {
    let limits = Limits { work: 40_000, deadline: None, stop: None, watch: None };
    let plan = plan_as_wished(shop, TODAY, wishes, limits).unwrap();
    serde_json::from_str(&json::plan(&plan, shop, &schedule(&plan, shop))).unwrap()
}

/// All paths of a value, lists as one: what of the shape was seen.
fn paths(value: &Value, at: &str, seen: &mut std::collections::BTreeSet<String>) {
    match value {
        Value::Object(map) => map.iter().for_each(|(key, value)| {
            seen.insert(format!("{at}.{key}"));
            paths(value, &format!("{at}.{key}"), seen);
        }),
        Value::Array(all) => all.iter().for_each(|value| paths(value, at, seen)),
        _ => {}
    }
}

#[test]
fn what_is_written_is_as_the_schema_says() {
    let schema: Value = serde_json::from_str(&kept()).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let mut shops = vec![
        read_folder(&root("data/demo")).unwrap(),
        read_folder(&root("data/metric")).unwrap(),
        read_folder(&root("tests/dates/folders/match-of-a-chop")).unwrap(),
        read_folder(&root("tests/dates/folders/two-mitres-two-dates")).unwrap(),
    ];
    shops.extend(
        (1..9).map(|seed| shops::shop(seed, shops::Size { frames: 12, mouldings: 4, sticks: 12 })),
    );
    let mut seen = std::collections::BTreeSet::new();
    let mut all = Vec::new();
    for shop in &shops {
        let first = shop.frames.iter().take(1).map(|frame| frame.id.clone()).collect();
        let rush = Wishes { rush: first, ..Wishes::default() };
        let rack = Wishes { rack_only: true, ..Wishes::default() };
        all.extend([Wishes::default(), rush, rack].map(|wishes| written(shop, &wishes)));
    }
    for plan in &all {
        let faults: Vec<String> = validator
            .iter_errors(plan)
            .map(|fault| format!("{}: {fault}", fault.instance_path()))
            .collect();
        assert!(faults.is_empty(), "{}: {faults:#?}", plan["shop"]);
        paths(plan, "", &mut seen);
    }
    // It is not true of something by having none of it.
    for path in [
        ".jobs.hanging.hanger.material",
        ".jobs.pieces.what",
        ".order.account.net",
        ".order.bills.total",
        ".order.chops.frame",
        ".order.deadlines.last",
        ".order.lines.rails",
        ".held.kind",
        ".waiting.reason",
        ".today.sticks.flaws.from",
        ".matching.used_up_free",
        ".warnings.kind",
        ".proof.bound",
        ".offcuts.idle",
        ".schedule.sticks.cuts.set_mitre",
    ] {
        assert!(seen.contains(path), "{path}: {seen:#?}");
    }
}

/// What has a key more, one less, or another kind of value is not as the schema says.
#[test]
fn what_is_otherwise_is_refused() {
    let schema: Value = serde_json::from_str(&kept()).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let plan = written(&read_folder(&root("data/metric")).unwrap(), &Wishes::default());
    assert!(validator.is_valid(&plan));
    let spoil = |path: &str, value: Option<Value>| {
        let mut other = plan.clone();
        let (of, key) = path.rsplit_once('/').unwrap();
        let of = other.pointer_mut(of).unwrap().as_object_mut().unwrap();
        match value {
            Some(value) => drop(of.insert(key.to_owned(), value)),
            None => assert!(of.remove(key).is_some(), "{path}"),
        }
        assert!(!validator.is_valid(&other), "{path}");
    };
    spoil("/today/date", Some(json!("25 November")));
    spoil("/today/sticks/0/length", Some(json!("1000")));
    spoil("/today/sticks/0/rails/0/side", None);
    spoil("/today/least_settings", None);
    spoil("/order/more", Some(json!(1)));
    spoil("/proof/0/status", Some(json!("good")));
    spoil("/proof/0/bound", Some(json!("much")));
    spoil("/wishes/rack_only", Some(json!(null)));
}
