//! The order of the demo shop as it goes to suppliers and to other programs:
//! planned, checked, and kept as it should look.

use std::path::Path;

use jiff::civil::date;
use longpoint::chop::schedule;
use longpoint::morning::{WORK, plan};
use longpoint::plan::Plan;
use longpoint::report;
use longpoint::shop::{Shop, read_folder};
use longpoint::solve::Limits;
use longpoint::verify::verify;

fn demo() -> (Shop, Plan) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo");
    let shop = read_folder(&folder).expect("the demo is without fault");
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    let plan = plan(&shop, date(2026, 11, 25), limits).unwrap().into_inner();
    verify(&shop, &plan).expect("every plan is re-checked");
    (shop, plan)
}

#[test]
fn a_real_order_to_print_stands_as_it_should() {
    let (shop, plan) = demo();
    insta::assert_snapshot!("order_html", report::order_html::orders(&plan, &shop));
}

/// The part of `plan.json` that is the order, without the sticks.
#[test]
fn a_real_order_for_programs_stands_as_it_should() {
    let (shop, plan) = demo();
    let text = report::json::plan(&plan, &shop, &schedule(&plan, &shop));
    let mut json: serde_json::Value = serde_json::from_str(&text).unwrap();
    let order = json["order"].as_object_mut().unwrap();
    assert!(order.remove("sticks").is_some());
    insta::assert_snapshot!("order_json", serde_json::to_string_pretty(order).unwrap());
}
