//! Reads `suppliers.csv`: who sells moulding, their minimum and their freight.

use crate::measure::Money;
use crate::shop::{Contact, Days, Freight, LongParcel, Settings, SmallOrder, Supplier};

use super::calendar;
use super::cells::{self, ReadingUnits};
use super::fault::FileFault;
use super::header::{ColumnRule, needed, optional};
use super::lists;
use super::mistake::Mistake;
use super::register::Register;
use super::table::{FileTable, Row};

/// The file's name.
pub(super) const FILE: &str = "suppliers.csv";

const LIST: &str = "in suppliers.csv";

const COLUMNS: &[ColumnRule] = &[
    needed("supplier", "the shop's short name for them").in_words(),
    optional("name", "what they are called").in_words(),
    optional("account", "the shop's number with them").in_words(),
    optional("address", "their address, its lines parted by ;").in_words(),
    optional("email", "where orders are sent by e-mail").in_words(),
    optional("discount", "the share that they take off their list, such as 0.1"),
    optional("minimum", "the least that an order must come to"),
    optional("below_minimum", "charged or refused: what becomes of a smaller order").in_words(),
    optional("freight", "what carriage costs, such as 18; 9 from 250; 0 from 500"),
    optional("small_below", "the least that the goods come to without a charge for a small order"),
    optional("small_charge", "the charge for a smaller order"),
    needed("lead_days", "the days from order to delivery"),
    optional("order_days", "the days of the week on which an order goes out, such as Mon; Thu")
        .in_words(),
    optional("cut_off", "the time before which an order of the day must be placed, such as 12:00")
        .in_words(),
    optional("delivery_days", "the days of the week on which they deliver, such as Tue; Fri")
        .in_words(),
    optional("closed", "the dates on which they are closed, such as 2026-12-24 .. 2027-01-02")
        .in_words(),
    optional("long_over", "the longest stick that a parcel takes without a surcharge"),
    optional("long_charge", "the surcharge for a parcel with longer sticks"),
    optional("halves", "yes if they cut sticks in half on request").in_words(),
    optional("order_by", "the last day on which they take an order").in_words(),
    optional("note", "anything else").in_words(),
];

const SMALLER: [(&str, bool); 2] = [("charged", false), ("refused", true)];

const FREIGHT: &str = "the charge, and below it where it changes, as 18; 9 from 250; 0 from 500";

/// Reads the file; `bytes` is nothing if there is none, which is for whoever reads
/// the offers to mind.
pub(super) fn read(
    bytes: Option<&[u8]>,
    means: (&ReadingUnits, Option<&Settings>),
    faults: &mut Vec<FileFault>,
) -> Register<Supplier> {
    let Some(bytes) = bytes else { return Register::new(LIST, false) };
    let Some(table) = FileTable::open(FILE, COLUMNS, bytes, faults) else {
        return Register::new(LIST, false);
    };
    Register::of_rows((LIST, "supplier"), table, faults, |row, id| read_row(row, id, means))
}

fn read_row(
    row: &mut Row,
    id: Option<String>,
    (figures, settings): (&ReadingUnits, Option<&Settings>),
) -> Option<Supplier> {
    let name = row.take("name", cells::text);
    let account = row.take("account", cells::text);
    let address = row.take("address", cells::lines);
    let email = row.take("email", cells::text);
    let discount = row.take("discount", cells::discount);
    let minimum = row.take("minimum", |text| figures.money(text));
    let refuses = row.take("below_minimum", cells::word(&SMALLER));
    let freight = row.take("freight", |text| freight(text, figures));
    let small = read_small(row, figures);
    let lead_days = row.need("lead_days", cells::count(0, 365));
    let days = read_days(row, settings);
    let cut_off = row.take("cut_off", calendar::time);
    let long = read_long(row, figures);
    let halves = row.take("halves", cells::word(&cells::ANSWERS));
    if long == Some(None) && halves == Some(Some(true)) {
        row.fault("halves", Mistake::OutOfPlace { belongs: "suppliers with a surcharge" });
    }
    let order_by = row.take("order_by", cells::date);
    let note = row.take("note", cells::text);
    let id = id?;
    let (orders, delivers) = days?;
    Some(Supplier {
        name: name?.unwrap_or_else(|| id.clone()),
        id,
        account: account?.unwrap_or_default(),
        contact: Contact {
            address: address?.unwrap_or_default(),
            phone: String::new(),
            email: email?.unwrap_or_default(),
            page: String::new(),
        },
        discount: discount?.unwrap_or(0),
        minimum: minimum?.unwrap_or_default(),
        refuses: refuses?.unwrap_or(false),
        freight: freight?.unwrap_or_else(|| vec![Freight { from: Money(0), charge: Money(0) }]),
        small: small?,
        lead_days: u16::try_from(lead_days?).ok()?,
        orders,
        cut_off: cut_off?,
        delivers,
        long: long?,
        halves: halves?.unwrap_or(false),
        order_by: order_by?,
        note: note?.unwrap_or_default(),
    })
}

/// The charge for a small order: below what and how much, both or neither.
fn read_small(row: &mut Row, figures: &ReadingUnits) -> Option<Option<SmallOrder>> {
    let money = |text: &str| figures.money(text);
    let below = row.take("small_below", money);
    let charge = match below {
        Some(None) => row.take("small_charge", money),
        _ => row.need("small_charge", money).map(Some),
    };
    if let (Some(None), Some(Some(_))) = (below, charge) {
        row.fault("small_charge", Mistake::ChargeAlone { with: "small_below" });
    }
    Some(below?.zip(charge?).map(|(below, charge)| SmallOrder { below, charge }))
}

/// The days on which an order goes out, and those on which it is delivered and taken in.
fn read_days(row: &mut Row, settings: Option<&Settings>) -> Option<(Days, Days)> {
    let order = row.take("order_days", calendar::week);
    let delivery = row.take("delivery_days", calendar::week);
    let closed = row.take("closed", calendar::dates);
    let dates = closed.iter().flatten().flatten().copied();
    let of = |week: Option<_>| week.map_or_else(Days::default, Days::of_week).but(dates.clone());
    let open = settings.map(|settings| settings.days.open.clone()).unwrap_or_default();
    let (order, delivery) = (order.map(of), delivery.map(|week| of(week).and(&open)));
    let mut needed = |column, days: Option<Days>, what| {
        let is_none = days.as_ref().is_some_and(calendar::are_none);
        if is_none {
            row.fault(column, Mistake::NoDays { what });
        }
        days.filter(|_| !is_none)
    };
    let order = needed("order_days", order, "an order goes out");
    let delivery = needed("delivery_days", delivery, "they deliver and the shop is open");
    closed.and(order.zip(delivery))
}

/// The surcharge for long parcels: its length and its charge, both or neither.
fn read_long(row: &mut Row, figures: &ReadingUnits) -> Option<Option<LongParcel>> {
    let over = row.take("long_over", figures.positive("the longest stick"));
    let charge = match over {
        Some(None) => row.take("long_charge", |text| figures.money(text)),
        _ => row.need("long_charge", |text| figures.money(text)).map(Some),
    };
    if let (Some(None), Some(Some(_))) = (over, charge) {
        row.fault("long_charge", Mistake::ChargeAlone { with: "long_over" });
    }
    Some(over?.zip(charge?).map(|(over, charge)| LongParcel { over, charge }))
}

/// The charge from an empty order on, and where it changes.
fn freight(text: &str, figures: &ReadingUnits) -> Result<Vec<Freight>, Mistake> {
    let money = |text: &str| figures.money(text);
    let steps = lists::steps(text, Some(Money(0)), FREIGHT, money, money)?;
    Ok(steps.into_iter().map(|(from, charge)| Freight { from, charge }).collect())
}
