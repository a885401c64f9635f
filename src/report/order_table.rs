//! The order as a table that every writer of it shows: what is bought, what it is for,
//! what it costs.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::measure::{Length, Money};
use crate::plan::{Bill, CutStick, OrderLine, Plan};
use crate::shop::{Offer, Shop, Supplier, WHOLE};

use super::name::Names;
use super::order_words as words;

/// What an order is called: its number in a book, else the day; before it is placed it
/// is not ordered yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Reference {
    /// Its number.
    pub number: Option<i64>,
}

impl Reference {
    /// `To order`, or `Order 3`.
    pub(super) fn title(self) -> String {
        self.number.map_or("To order".to_owned(), |number| format!("Order {number}"))
    }

    /// What stands over it: `To order, 2026-11-25`, or `Order 3 of 2026-11-25`.
    pub(super) fn heading(self, date: Date) -> String {
        let joint = if self.number.is_none() { "," } else { " of" };
        format!("{}{joint} {date}", self.title())
    }

    /// What a supplier may call it by: its number, or the day.
    pub(super) fn words(self, date: Date) -> String {
        self.number.map_or(date.to_string(), |number| number.to_string())
    }
}

/// What is bought from one supplier; from nobody in particular where the shop has no
/// offers.
pub(super) struct SupplierTable<'a> {
    pub(super) supplier: Option<&'a Supplier>,
    pub(super) bill: Option<&'a Bill>,
    pub(super) rows: Vec<OrderRow<'a>>,
    /// What is charged beyond the goods.
    pub(super) charges: Vec<(&'static str, Money)>,
    /// The minimum that they take, if the goods come to less and they take no less.
    pub(super) refused: Option<Money>,
}

/// A line of the order with all that is to be said of it.
pub(super) struct OrderRow<'a> {
    pub(super) line: &'a OrderLine,
    /// The supplier's own code.
    pub(super) code: &'a str,
    /// What the shop calls the moulding.
    pub(super) name: &'a str,
    /// `2 sticks of BLK-20, 108 in`.
    pub(super) what: String,
    /// The frames, what is for the rack and what is beyond need.
    pub(super) for_what: String,
    /// The frames alone.
    pub(super) frames: Vec<String>,
    /// What is asked of the supplier.
    pub(super) requests: Vec<String>,
    /// What the shop wrote beside the offer.
    pub(super) note: &'a str,
}

/// The order, supplier by supplier.
pub(super) fn tables<'a>(plan: &'a Plan, shop: &'a Shop) -> Vec<SupplierTable<'a>> {
    let rows = rows(plan, shop);
    if plan.order.bills.is_empty() && !rows.is_empty() {
        let (charges, refused) = (Vec::new(), None);
        return vec![SupplierTable { supplier: None, bill: None, rows, charges, refused }];
    }
    let mut by_supplier: BTreeMap<&str, Vec<OrderRow>> = BTreeMap::new();
    for row in rows {
        by_supplier.entry(&row.line.supplier).or_default().push(row);
    }
    let table = |bill: &'a Bill| SupplierTable {
        supplier: shop.suppliers.get(&bill.supplier),
        bill: Some(bill),
        rows: by_supplier.remove(bill.supplier.as_str()).unwrap_or_default(),
        charges: words::charges(bill, shop),
        refused: bill.refused_below(shop),
    };
    let mut tables: Vec<SupplierTable> = plan.order.bills.iter().map(table).collect();
    // What goes to nobody in particular.
    if let Some(rows) = by_supplier.remove("") {
        let (charges, refused) = (Vec::new(), None);
        tables.push(SupplierTable { supplier: None, bill: None, rows, charges, refused });
    }
    tables
}

impl SupplierTable<'_> {
    /// What stands before its total: not everything has a price.
    pub(super) fn together(&self) -> &'static str {
        match self.unpriced().next() {
            None => "together",
            Some(_) => "together, without what has no price",
        }
    }

    /// What is bought at a price that is not known.
    fn unpriced(&self) -> impl Iterator<Item = &OrderRow<'_>> {
        self.rows.iter().filter(|row| row.line.cost.is_none())
    }

    /// What the supplier is to read beside the lines.
    pub(super) fn sentences(&self, shop: &Shop) -> Vec<String> {
        let mut sentences = Vec::new();
        if let Some(supplier) = self.supplier.filter(|supplier| supplier.discount > 0) {
            let off = percent(supplier.discount);
            sentences.push(format!("Prices are those of your list less {off}."));
        }
        if let Some(minimum) = self.refused {
            sentences.push(format!(
                "This is below your minimum of {}: please say whether you take it.",
                words::money(minimum, shop)
            ));
        }
        let unpriced: Vec<&str> = self.unpriced().map(|row| row.what.as_str()).collect();
        if self.bill.is_some() && !unpriced.is_empty() {
            sentences.push(format!("Please say what this costs: {}.", unpriced.join("; ")));
        }
        sentences.extend(self.bill.map(|bill| format!("Expected {}.", bill.arrives)));
        let note = self.supplier.map(|supplier| supplier.note.clone());
        sentences.extend(note.filter(|note| !note.is_empty()));
        sentences
    }
}

impl OrderRow<'_> {
    /// What is to be read below it: what is asked of the supplier, and the shop's note.
    pub(super) fn beside(&self) -> impl Iterator<Item = &str> {
        let note = (!self.note.is_empty()).then_some(self.note);
        self.requests.iter().map(String::as_str).chain(note)
    }
}

/// A share in ten-thousandths as it is spoken of: `12.5 %`.
pub(super) fn percent(share: u16) -> String {
    let (whole, part) = (share / (WHOLE / 100), share % (WHOLE / 100));
    let part = format!(".{part:02}");
    let part = part.trim_end_matches('0').trim_end_matches('.');
    format!("{whole}{part} %")
}

fn rows<'a>(plan: &'a Plan, shop: &'a Shop) -> Vec<OrderRow<'a>> {
    let names = Names::new(shop);
    let offers: BTreeMap<u64, &Offer> =
        shop.offers.iter().map(|offer| (offer.row, offer)).collect();
    let mut cut = cut_by_kind(plan);
    let served = plan.served(shop);
    let row = |line: &'a OrderLine| {
        let offer = line.offer.and_then(|row| offers.get(&row).copied());
        let sheet = line.height.and_then(|_| shop.materials.get(&line.moulding));
        let frames = match line.form.as_str() {
            "chop" => chopped(plan, &served, line),
            _ => of_sticks(&mut cut, line),
        };
        let mut frames: Vec<String> =
            frames.iter().map(|(frame, copies)| names.copies(frame, copies.len())).collect();
        frames.extend(line.tickets.iter().cloned());
        let mut for_what = frames.clone();
        if line.restock > 0 {
            for_what.push(format!("{} to keep on the rack", line.restock));
        }
        let spare = line.pieces.saturating_sub(line.cut + line.restock);
        if spare > 0 {
            for_what.push(format!("{spare} beyond need"));
        }
        OrderRow {
            line,
            code: offer.map_or(sheet.map_or("", |sheet| &sheet.code), |offer| &offer.code),
            name: match sheet {
                Some(sheet) => &sheet.name,
                None => &shop.moulding(&line.moulding).name,
            },
            what: words::line(line, offer, shop),
            for_what: for_what.join(", "),
            frames,
            requests: words::requests(line, offer, shop),
            note: offer.map_or("", |offer| &offer.note),
        }
    };
    plan.order.lines.iter().map(row).collect()
}

/// A frame and its copies.
type Copies<'a> = Vec<(&'a str, Vec<u32>)>;

/// From whom, of what moulding, and how long as it arrives.
type StickKind<'a> = (&'a str, &'a str, Length);

/// The new sticks that are cut, in their order.
fn cut_by_kind(plan: &Plan) -> BTreeMap<StickKind<'_>, Vec<&CutStick>> {
    let mut cut: BTreeMap<StickKind, Vec<&CutStick>> = BTreeMap::new();
    for stick in plan.order.sticks.iter().filter(|stick| stick.is_new) {
        cut.entry((&stick.supplier, &stick.moulding, stick.length)).or_default().push(stick);
    }
    cut
}

/// The frames that the sticks of a line are cut for: as many as the line says, of those
/// that are left.
fn of_sticks<'a>(
    cut: &mut BTreeMap<StickKind<'a>, Vec<&'a CutStick>>,
    line: &'a OrderLine,
) -> Copies<'a> {
    let kind = (line.supplier.as_str(), line.moulding.as_str(), line.piece());
    let Some(sticks) = cut.get_mut(&kind) else { return Vec::new() };
    let count = sticks.len().min(usize::try_from(line.cut).unwrap_or(usize::MAX));
    let own: Vec<&CutStick> = sticks.drain(..count).collect();
    let rails = own.iter().flat_map(|stick| &stick.rails);
    together(rails.map(|rail| (rail.frame.as_str(), rail.copy)))
}

/// The frames that a line of chops is for.
fn chopped<'a>(plan: &'a Plan, shop: &Shop, line: &OrderLine) -> Copies<'a> {
    let of = plan.order.chops.iter().filter(|chop| line.is_for(shop, chop));
    together(of.map(|chop| (chop.frame.as_str(), chop.copy)))
}

/// Copies of a frame together, the frames in the order in which they are met.
fn together<'a>(all: impl Iterator<Item = (&'a str, u32)>) -> Copies<'a> {
    let mut copies: Copies = Vec::new();
    for (frame, copy) in all {
        match copies.iter_mut().find(|(known, _)| *known == frame) {
            Some((_, known)) if known.contains(&copy) => {}
            Some((_, known)) => known.push(copy),
            None => copies.push((frame, vec![copy])),
        }
    }
    copies
}

#[cfg(test)]
mod tests {
    use super::percent;

    #[test]
    fn a_share_is_shown_without_noughts_at_its_end() {
        assert_eq!(percent(1000), "10 %");
        assert_eq!(percent(1250), "12.5 %");
        assert_eq!(percent(1205), "12.05 %");
        assert_eq!(percent(5), "0.05 %");
    }
}
