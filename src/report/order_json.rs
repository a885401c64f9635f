//! What `plan.json` says of an order beside its lines and sticks.

use serde::Serialize;
use serde_json::{Map, Value, json};

use super::json::{mm, worth};
use crate::measure::Money;
use crate::plan::{Account, Plan};
use crate::shop::Shop;

/// A line of the order.
#[derive(Serialize)]
pub(super) struct LineOut<'a> {
    supplier: &'a str,
    form: &'a str,
    moulding: &'a str,
    length: Value,
    count: u32,
    cost: Option<String>,
    offer: Option<u64>,
    halved: bool,
    pieces: u32,
    cut: u32,
    to_keep: u32,
    rails: Vec<Value>,
}

/// The lines of the order.
pub(super) fn lines<'a>(plan: &'a Plan, shop: &Shop) -> Vec<LineOut<'a>> {
    let out = |line: &'a crate::plan::OrderLine| LineOut {
        supplier: &line.supplier,
        form: &line.form,
        moulding: &line.moulding,
        length: mm(line.length),
        count: line.count,
        cost: line.cost.map(|cost| shop.settings.currency.show(cost)),
        offer: line.offer,
        halved: line.halved,
        pieces: line.pieces,
        cut: line.cut,
        to_keep: line.restock,
        rails: line.rails.iter().map(|rail| mm(*rail)).collect(),
    };
    plan.order.lines.iter().map(out).collect()
}

/// The further keys of `order`; those of the account only where there is one.
pub(super) fn beside(plan: &Plan, shop: &Shop) -> Map<String, Value> {
    let (order, currency) = (&plan.order, &shop.settings.currency);
    let show = |money: Money| Value::from(currency.show(money));
    let mut map = Map::new();
    let list = |values: Vec<Value>| Value::Array(values);
    let chop = |c: &crate::plan::Chopped| {
        json!({"frame": c.frame, "copy": c.copy, "layer": c.layer, "moulding": c.moulding,
            "supplier": c.supplier, "offer": c.offer, "billed": mm(c.billed)})
    };
    map.insert("chops".to_owned(), list(order.chops.iter().map(chop).collect()));
    let bill = |b: &crate::plan::Bill| {
        json!({"supplier": b.supplier, "goods": show(b.goods), "made_up": show(b.made_up),
            "carriage": show(b.freight), "long_parcel": show(b.long), "total": show(b.total()),
            "arrives": b.arrives.to_string()})
    };
    map.insert("bills".to_owned(), list(order.bills.iter().map(bill).collect()));
    let awaited = |a: &crate::plan::Awaited| {
        json!({"frame": a.frame, "copy": a.copy, "arrives": a.arrives.map(|day| day.to_string()),
            "earliest": a.earliest.map(|day| day.to_string()), "cost": show(a.cost)})
    };
    map.insert("frames".to_owned(), list(order.awaited.iter().map(awaited).collect()));
    let yields = |y: &crate::plan::Yield| {
        json!({"moulding": y.moulding, "rails": mm(y.rails), "bought": mm(y.bought),
            "rule": mm(y.rule), "with_waste": mm(y.with_waste)})
    };
    map.insert("yields".to_owned(), list(order.yields.iter().map(yields).collect()));
    let certainty = |c: &crate::plan::Certainty| {
        json!({"moulding": c.moulding, "supplier": c.supplier, "pieces": c.sticks,
            "extra": c.extra, "middle": mm(c.middle)})
    };
    map.insert("certainty".to_owned(), list(order.certainty.iter().map(certainty).collect()));
    let advice = |a: &crate::plan::Advice| {
        json!({"moulding": a.moulding, "supplier": a.supplier, "form": a.form,
            "length": mm(a.length), "more": a.more, "sticks": a.sticks,
            "costs": show(a.costs), "pays_at": a.pays_at})
    };
    map.insert("advice".to_owned(), list(order.advice.iter().map(advice).collect()));
    if let Some(account) = &order.account {
        map.insert("account".to_owned(), self::account(account, shop));
    }
    map
}

fn account(account: &Account, shop: &Shop) -> Value {
    let proven = account.whole && account.bound == account.net;
    let bound = account.whole.then(|| worth(account.bound, true, &shop.settings));
    json!({"net": worth(account.net, true, &shop.settings), "bound": bound,
        "status": if proven { "proven" } else { "feasible" },
        "unit": shop.settings.currency.code()})
}
