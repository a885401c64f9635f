//! Until when the order from each supplier can wait.
//!
//! A day will do as long as what is ordered then comes in time for every frame that is
//! in time if it is ordered today, and no later than today's for every other that has a
//! date. The later the order, the later it comes; so days are tried one after the other.
//! In time is what comes while the bench has its days before the due date, and by the last
//! day on which the shop has hands for the frame beside all that are due later.

use jiff::civil::Date;

use crate::plan::{Awaited, Order, OrderDeadline, last_turns};
use crate::shop::{Shop, Supplier};

/// A frame copy, and the last day on which what comes from a supplier is in time for it.
type LastDay<'a> = (Date, &'a Awaited);

/// For each supplier of the order.
pub(super) fn deadlines(
    shop: &Shop,
    date: Date,
    order: &Order,
    is_rushed: impl Fn(&str) -> bool,
) -> Vec<OrderDeadline> {
    let turns = last_turns(shop, date);
    let limit = |awaited: &Awaited| -> Option<Date> {
        let turn = turns.get(&(awaited.frame.as_str(), awaited.copy));
        let needed = |due| turn.map_or(shop.needed_by(due), |turn| shop.needed_by(due).min(*turn));
        let due = shop.frame(&awaited.frame)?.due.map(needed);
        let wanted = if is_rushed(&awaited.frame) { Some(date) } else { due };
        wanted.map(|day| awaited.arrives.map_or(day, |arrives| arrives.max(day)))
    };
    let of = |id: &String| {
        let supplier = shop.suppliers.get(id)?;
        let limits = order.awaited.iter().filter(|awaited| is_from(order, id, awaited));
        let limits = limits.filter_map(|awaited| Some((limit(awaited)?, awaited)));
        // Of frames alike in that, the first in turn.
        Some(deadline(shop, supplier, date, limits.min_by_key(|(day, _)| *day)))
    };
    order.bills.iter().filter_map(|bill| of(&bill.supplier)).collect()
}

/// Whether something of a copy is cut from what a supplier sends, or chopped by them.
fn is_from(order: &Order, supplier: &str, awaited: &Awaited) -> bool {
    let own = (awaited.frame.as_str(), awaited.copy);
    let new = order.sticks.iter().filter(|stick| stick.is_new && stick.supplier == supplier);
    let mut chops = order.chops.iter().filter(|chop| chop.supplier == supplier);
    new.flat_map(|stick| &stick.rails).any(|rail| (rail.frame.as_str(), rail.copy) == own)
        || chops.any(|chop| (chop.frame.as_str(), chop.copy) == own)
}

fn deadline(shop: &Shop, supplier: &Supplier, date: Date, limit: Option<LastDay>) -> OrderDeadline {
    let open = &shop.settings.days.open;
    let arrives = |day| supplier.arrives(day).filter(|_| supplier.takes_orders(day));
    let (last, frame) = match (limit, supplier.order_by) {
        (None, None) => (None, None),
        (limit, _) => {
            let is_in_time = |arrives: Date| limit.is_none_or(|(until, _)| arrives <= until);
            let last = supplier.last_order(open, date, is_in_time).unwrap_or(date);
            let next = last.tomorrow().ok().and_then(|day| open.next(day));
            // Where their terms end first, no frame is the reason.
            let ends = next.is_none_or(|day| !supplier.takes_orders(day));
            (Some(last), limit.filter(|_| !ends).map(|(_, of)| (of.frame.clone(), of.copy)))
        }
    };
    OrderDeadline { supplier: supplier.id.clone(), arrives: last.and_then(arrives), last, frame }
}
