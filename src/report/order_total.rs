//! What an order comes to: each bill, what is paid for all, and how sure it is that nothing is
//! cheaper.

use crate::measure::{Money, Worth};
use crate::plan::{Account, OrderLine, Plan};
use crate::shop::Shop;

use super::order_words::{bill, line, money, offer};

/// `BRIN: goods 120.00 + carriage 18.00 = 138.00 USD` of each bill, and what is paid for all;
/// nothing where nobody bills anything.
pub(crate) fn bills(plan: &Plan, shop: &Shop) -> String {
    if plan.order.bills.is_empty() {
        return String::new();
    }
    let bills = plan.order.bills.iter();
    let each = bills.map(|of| format!("{}: {}\n", of.supplier, bill(of, shop)));
    let paid = to_pay(plan, shop);
    format!("{}{paid}.{}\n", each.collect::<String>(), without_price(plan, shop))
}

/// What is paid for the whole order: `To pay 138.00 USD`.
fn to_pay(plan: &Plan, shop: &Shop) -> String {
    let paid = plan.order.bills.iter().fold(Money(0), |sum, bill| sum + bill.to_pay(shop));
    format!("To pay {}", money(paid, shop))
}

/// What is billed, but not in that, since nobody knows its price; nothing if there is none.
fn without_price(plan: &Plan, shop: &Shop) -> String {
    let is_billed = |line: &&OrderLine| {
        plan.order.bills.iter().any(|bill| bill.supplier == line.supplier) && line.cost.is_none()
    };
    let unpriced = plan.order.lines.iter().filter(is_billed);
    let unpriced: Vec<String> = unpriced.map(|of| line(of, offer(of, shop), shop)).collect();
    match unpriced.as_slice() {
        [] => String::new(),
        lines => format!(" Not in it, since no price is known: {}.", lines.join("; ")),
    }
}

/// The same, and how sure it is that nothing is cheaper.
pub(super) fn total(account: &Account, plan: &Plan, shop: &Shop) -> String {
    let refused = plan.order.bills.iter().filter(|bill| bill.refused_below(shop).is_some());
    let refused: Vec<String> = refused
        .map(|bill| {
            format!(
                " {} of it only if {} takes an order below the minimum: ask them first.",
                money(bill.to_pay(shop), shop),
                bill.supplier
            )
        })
        .collect();
    let gap = worth(Worth(account.net.0 - account.bound.0), shop);
    let is_shown = worth(account.net, shop) != worth(account.bound, shop);
    let sure = match (account.whole, account.bound == account.net) {
        (true, true) => "proven best".to_owned(),
        (true, false) if is_shown => {
            format!("the best found; no order is better by more than {gap}")
        }
        (true, false) => "proven best to a minor unit".to_owned(),
        (false, _) => "the best of the orders that were compared".to_owned(),
    };
    let most = shop.settings.buying.spare_most.filter(|most| account.beyond_need > *most);
    let over = most.map(|most| {
        format!(
            " {} is spent on sticks beyond need, more than the {} of spare_most: no order with less \
             of them was found.",
            money(account.beyond_need, shop),
            money(most, shop)
        )
    });
    format!(
        "{}: {sure}.{}{}{}",
        to_pay(plan, shop),
        without_price(plan, shop),
        refused.concat(),
        over.unwrap_or_default()
    )
}

/// What the order comes to when all is counted, and what none comes below.
pub(super) fn account(account: &Account, shop: &Shop) -> String {
    let net = worth(account.net, shop);
    let bound = worth(account.bound, shop);
    let sure = match (account.whole, account.bound == account.net) {
        (true, true) => "proven".to_owned(),
        (true, false) if bound == net => "proven to a minor unit".to_owned(),
        (true, false) => format!("at least {bound}"),
        (false, _) if bound == net => "best found; not every order was compared".to_owned(),
        (false, _) => format!(
            "best found (of those compared none comes to less than {bound}); not every order was compared"
        ),
    };
    format!("Net of leftovers, with rack stock: {net}, {sure}.")
}

fn worth(worth: Worth, shop: &Shop) -> String {
    money(worth.to_money(), shop)
}
