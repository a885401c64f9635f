//! The days of orders and deliveries, found one by one.

use jiff::civil::Date;

use crate::shop::{Shop, Supplier};

/// More days than lie in all the years that a shop's files can name.
pub(super) const ALL: usize = 120_000;

/// The first day from one on that is as wanted.
fn first(from: Date, is_wanted: impl Fn(Date) -> bool) -> Option<Date> {
    let days = std::iter::successors(Some(from), |day| day.tomorrow().ok());
    days.take(ALL).find(|day| is_wanted(*day))
}

/// When an order of a day goes out.
fn goes_out(supplier: &Supplier, date: Date) -> Option<Date> {
    first(date, |day| supplier.orders.is_open(day))
}

/// Whether an order of a day is taken on these terms.
pub(super) fn is_taken(supplier: &Supplier, date: Date) -> bool {
    match (supplier.order_by, goes_out(supplier, date)) {
        (None, _) => true,
        (Some(last), day) => day.is_some_and(|day| day <= last),
    }
}

/// When an order of a day arrives.
pub(super) fn arrival(supplier: &Supplier, date: Date) -> Option<Date> {
    let days = jiff::Span::new().days(i64::from(supplier.lead_days));
    let there = goes_out(supplier, date)?.checked_add(days).ok()?;
    first(there, |day| supplier.delivers.is_open(day))
}

/// The last day on which moulding may come for what is due on a day: so many working
/// days before the last working day up to it.
pub(super) fn needed_by(shop: &Shop, due: Date) -> Date {
    let days = &shop.settings.days;
    let back = std::iter::successors(Some(due), |day| day.yesterday().ok());
    let mut open = back.take(ALL).filter(|day| days.open.is_open(*day));
    open.nth(days.bench_days as usize).unwrap_or(Date::MIN)
}
