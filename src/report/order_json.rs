//! What `plan.json` says of an order beside its sticks.

use serde_json::{Map, Value, json};

use super::json::{list, mm, worth};
use super::order_words::offer;
use crate::measure::Money;
use crate::plan::{Account, OrderLine, Plan};
use crate::shop::Shop;

/// A line of the order.
pub(super) fn line(line: &OrderLine, shop: &Shop) -> Value {
    let mut value = json!({
        "supplier": line.supplier,
        "form": line.form,
        "moulding": line.moulding,
        "length": mm(line.length),
        "count": line.count,
        "cost": line.cost.map(|cost| shop.settings.currency.show(cost)),
        "offer": line.offer,
        "halved": line.halved,
        "pieces": line.pieces,
        "cut": line.cut,
        "to_keep": line.restock,
        "rails": list(&line.rails, |rail| mm(*rail)),
    });
    if let Some(height) = line.height {
        value["height"] = mm(height);
    }
    // A number that is no row of offers.csv says where it comes from.
    let of = offer(line, shop).and_then(|offer| offer.listed.as_ref());
    if let Some((file, row)) = of {
        value["listed"] = json!({"file": file, "row": row});
    }
    value
}

/// The further keys of `order`; those of the account only where there is one.
pub(super) fn beside(plan: &Plan, shop: &Shop) -> Map<String, Value> {
    let (order, currency) = (&plan.order, &shop.settings.currency);
    let show = |money: Money| currency.show(money);
    let mut map = Map::new();
    if let Some(account) = &order.account {
        map.insert("account".to_owned(), self::account(account, shop));
    }
    let mut add = |key: &str, value: Value| map.insert(key.to_owned(), value);
    add(
        "advice",
        list(&order.advice, |a| {
            json!({"costs": show(a.costs), "form": a.form, "length": mm(a.length),
                "more": a.more, "moulding": a.moulding, "pays_at": a.pays_at,
                "sticks": a.sticks, "supplier": a.supplier})
        }),
    );
    add(
        "bills",
        list(&order.bills, |b| {
            json!({"arrives": b.arrives.to_string(), "carriage": show(b.freight),
                "goods": show(b.goods), "long_parcel": show(b.long), "made_up": show(b.made_up),
                "small_order": show(b.small), "supplier": b.supplier, "total": show(b.total())})
        }),
    );
    add(
        "certainty",
        list(&order.certainty, |c| {
            json!({"extra": c.extra, "middle": mm(c.middle), "moulding": c.moulding,
                "pieces": c.sticks, "supplier": c.supplier})
        }),
    );
    add(
        "chops",
        list(&order.chops, |c| {
            json!({"billed": mm(c.billed), "copy": c.copy, "frame": c.frame, "layer": c.layer,
                "moulding": c.moulding, "offer": c.offer, "supplier": c.supplier})
        }),
    );
    add(
        "deadlines",
        list(&order.deadlines, |d| {
            let (frame, copy) = d.frame.clone().unzip();
            json!({"arrives": d.arrives.map(|day| day.to_string()), "copy": copy, "frame": frame,
                "last": d.last.map(|day| day.to_string()), "supplier": d.supplier})
        }),
    );
    add(
        "frames",
        list(&order.awaited, |a| {
            json!({"arrives": a.arrives.map(|day| day.to_string()), "copy": a.copy,
                "cost": show(a.cost), "earliest": a.earliest.map(|day| day.to_string()),
                "frame": a.frame})
        }),
    );
    let not_bought = order.bills.iter().filter_map(|bill| plan.not_bought(bill, shop));
    add(
        "not_bought",
        list(&not_bought.collect::<Vec<_>>(), |of| {
            let mut value = json!({"boxes": of.boxes, "costs_more": show(of.costs),
                "goods": show(of.goods), "more": of.more, "moulding": of.moulding,
                "supplier": of.supplier});
            if let Some(sticks) = of.in_place_of {
                value["in_place_of"] = sticks.into();
            }
            value
        }),
    );
    add(
        "yields",
        list(&order.yields, |y| {
            json!({"bought": mm(y.bought), "moulding": y.moulding, "rails": mm(y.rails),
                "rule": mm(y.rule), "with_waste": mm(y.with_waste)})
        }),
    );
    map
}

fn account(account: &Account, shop: &Shop) -> Value {
    let proven = account.whole && account.bound == account.net;
    let bound = account.whole.then(|| worth(account.bound, true, &shop.settings));
    json!({"bound": bound, "net": worth(account.net, true, &shop.settings),
        "status": if proven { "proven" } else { "feasible" },
        "unit": shop.settings.currency.code()})
}
