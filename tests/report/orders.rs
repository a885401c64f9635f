//! The order of the demo shop as it goes to suppliers and to other programs:
//! planned, checked, and kept as it should look.

use std::path::Path;

use jiff::civil::date;
use longpoint::chop::schedule;
use longpoint::morning::{WORK, plan};
use longpoint::plan::Plan;
use longpoint::report;
use longpoint::report::order_table::Reference;
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
    insta::assert_snapshot!(
        "order_html",
        report::order_html::orders(Reference::default(), &plan, &shop)
    );
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

/// Names that cannot be file names, or are the same but for capitals or signs.
#[test]
fn each_supplier_has_a_text_of_72_columns_under_a_safe_name() {
    let (mut shop, mut plan) = demo();
    let names = [("BRIN", "../a b"), ("CAST", "..\\A B"), ("OTTER", "\u{d8}kern")];
    for (old, new) in names {
        let mut supplier = shop.suppliers.remove(old).unwrap();
        supplier.id = new.to_owned();
        supplier.name = format!("{new} {}", "of the long name ".repeat(9));
        supplier.account = "40117".to_owned();
        shop.suppliers.insert(new.to_owned(), supplier);
        let order = &mut plan.order;
        let lines = order.lines.iter_mut().map(|line| &mut line.supplier);
        let bills = order.bills.iter_mut().map(|bill| &mut bill.supplier);
        lines.chain(bills).filter(|id| *id == old).for_each(|id| *id = new.to_owned());
    }
    let reference = Reference { number: Some(7) };
    let mails = report::order_mail::mails(reference, &plan, &shop);
    let mut files: Vec<&str> = mails.iter().map(|(name, _)| name.as_str()).collect();
    files.sort_unstable();
    assert_eq!(files, ["order----A-B-2.txt", "order----a-b.txt", "order--kern.txt"]);
    for (_, text) in &mails {
        assert!(text.starts_with("Order 7 of 2026-11-25, from Osprey & Wick"), "{text}");
        assert!(text.contains("Our account with you: 40117\n"));
        assert!(text.lines().all(|line| line.chars().count() <= 72), "{text}");
    }
    assert!(report::order_mail::idle(&plan, &shop).is_empty());
    plan.order.bills.retain(|bill| bill.supplier != "../a b");
    assert_eq!(report::order_mail::idle(&plan, &shop), ["order----a-b.txt"]);
}

/// What an earlier plan wrote for a supplier is not left lying, to be sent again.
#[test]
fn a_text_of_an_earlier_order_goes() {
    let (shop, mut plan) = demo();
    let folder = tempfile::tempdir().unwrap();
    let write = |plan: &Plan| {
        let schedule = schedule(plan, &shop);
        report::folder::write_plan(folder.path(), plan, &shop, &schedule).unwrap();
    };
    write(&plan);
    let own = folder.path().join("order-notes.txt");
    std::fs::write(&own, "call them").unwrap();
    let is_there = |name: &str| folder.path().join(name).exists();
    assert!(is_there("order-BRIN.txt") && is_there("order-CAST.txt"));
    plan.order.bills.retain(|bill| bill.supplier != "CAST");
    write(&plan);
    assert!(is_there("order-BRIN.txt") && !is_there("order-CAST.txt") && own.exists());
}
