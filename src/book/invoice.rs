//! A supplier's invoice held against their order: what came, at the price at which it was
//! ordered, beside what is billed.
//!
//! # Why all bills of an order are compared together
//!
//! What comes in three parcels is billed three times, or once, and a mistake is put right
//! by a credit. Whether the shop and the supplier are even shows in the sums of all of it
//! and in nothing else.

use std::collections::BTreeMap;

use rusqlite::{Connection, OptionalExtension, params};

use super::bill::{self, BillPart, BillSums};
use super::error::{BookError, wrong};
use super::ledger::Book;
use super::on_order::{self, PlacedLine};
use super::price;
use super::source_files;
use super::stamp::Stamp;
use super::step::Step;
use crate::measure::{Length, Money};
use crate::report::either::either;

/// An invoice, or a credit, for an order.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Invoice {
    /// The number of the order.
    pub order: i64,
    /// Whose invoice it is; not needed where one supplier alone has the order.
    pub supplier: Option<String>,
    /// The invoice's own number; empty if it is not written down.
    pub number: String,
    /// What it comes to.
    pub sums: BillSums,
    /// What it says of lines, by their numbers.
    pub lines: BTreeMap<i64, Money>,
    /// Whether it gives back what it says.
    pub is_credit: bool,
    /// Whether it is said to be another than one with the same sums.
    pub is_another: bool,
}

/// An order held against what was billed of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reckoning {
    /// The number of the order.
    pub order: i64,
    /// The day of the order.
    pub date: String,
    /// From whom.
    pub supplier: String,
    /// Its lines.
    pub lines: Vec<ReckonedLine>,
    /// What what came comes to at the price at which it was ordered; the goods are not
    /// known where some line's price is not.
    pub goods: Option<Money>,
    /// The carriage, and what is charged beside it, that the order was placed with.
    pub agreed: Option<(Money, Money)>,
    /// How many invoices and credits there are of it.
    pub bills: u32,
    /// What they come to together.
    pub billed: BillSums,
}

/// A line held against what was billed of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReckonedLine {
    /// The line.
    pub line: PlacedLine,
    /// What came of it, end to end; nothing where it came before the book kept it.
    pub length: Length,
    /// How many pieces of it were shorter than ordered, and by how much together.
    pub short: (u32, Length),
    /// What that comes to at the price at which it was ordered, if that is known.
    pub worth: Option<Money>,
    /// What was billed of it, where every bill says so.
    pub billed: Option<Money>,
}

impl Book {
    /// Holds what was billed of an order against what came of it.
    ///
    /// # Errors
    /// If there is no such order of theirs.
    pub fn reckoning(&self, order: i64, supplier: Option<&str>) -> Result<Reckoning, BookError> {
        self.look(|db| reckon(db, on_order::of_order(db, (order, supplier), |_| true)?))
    }

    /// Writes down what a supplier bills for an order, and holds it against what came.
    ///
    /// # Errors
    /// If there is no such order of theirs, a line is not of it, the lines do not come to
    /// the goods, the invoice stands in the book already, or more is given back than was
    /// billed.
    pub fn invoice(&mut self, invoice: &Invoice, stamp: &Stamp) -> Result<Reckoning, BookError> {
        self.change("invoice", stamp, |step| {
            let of = (invoice.order, invoice.supplier.as_deref());
            let lines = on_order::of_order(step.db(), of, |_| true)?;
            let faults = faults(step, invoice, &lines)?;
            if !faults.is_empty() {
                return wrong(faults.join("\n"));
            }
            write(step, invoice, &lines)?;
            let reckoning = reckon(step.db(), lines)?;
            let billed = reckoning.billed;
            if [billed.goods, billed.carriage, billed.other].iter().any(|sum| sum.0 < 0) {
                return wrong("more is given back than was billed (enter the invoice first)");
            }
            Ok(reckoning)
        })
    }
}

fn faults(step: &Step, invoice: &Invoice, lines: &[PlacedLine]) -> Result<Vec<String>, BookError> {
    let mut faults = Vec::new();
    for number in invoice.lines.keys() {
        if !lines.iter().any(|line| line.line == *number) {
            let own: Vec<String> = lines.iter().map(|line| line.line.to_string()).collect();
            faults.push(format!(
                "line {number} is not of order {}{} (its lines are {})",
                invoice.order,
                lines[0].from(),
                own.join(", ")
            ));
        }
    }
    let said: i64 = invoice.lines.values().map(|goods| goods.0).sum();
    let is_whole = lines.iter().all(|line| invoice.lines.contains_key(&line.line));
    if said > invoice.sums.goods.0 || (is_whole && said != invoice.sums.goods.0) {
        let currency = source_files::typed(step.db())?.settings.currency;
        faults.push(format!(
            "the lines come to {} and the goods to {} (check the figures; carriage and what else \
             is charged are said by themselves)",
            currency.show(Money(said)),
            currency.show(invoice.sums.goods)
        ));
    }
    faults.extend(entered_before(step.db(), invoice, &lines[0].supplier)?);
    Ok(faults)
}

/// That the invoice stands in the book already: by its number, or, where nobody wrote one
/// down, by its sums.
fn entered_before(
    db: &Connection,
    invoice: &Invoice,
    supplier: &str,
) -> Result<Option<String>, BookError> {
    let order = invoice.order;
    let all = "SELECT step, number, goods, carriage, other FROM bill WHERE state IS NOT NULL
               AND purchase = ? AND supplier = ? ORDER BY step";
    let mut query = db.prepare_cached(all)?;
    let rows = query.query_map(params![order, supplier], |row| {
        let sums = BillSums { goods: row.get(2)?, carriage: row.get(3)?, other: row.get(4)? };
        Ok((row.get::<_, i64>(0)?, row.get::<_, String>(1)?, sums))
    })?;
    let rows = rows.collect::<Result<Vec<_>, _>>()?;
    let has_number = !invoice.number.is_empty();
    let is_it = |number: &str| has_number && bare(number) == bare(&invoice.number);
    if let Some((step, ..)) = rows.iter().find(|(_, number, _)| is_it(number)) {
        let number = &invoice.number;
        let words =
            format!("invoice {number} of order {order} stands in the book already (step {step})");
        return Ok(Some(words));
    }
    // One of the two without a number may be the other.
    let is_like = |(_, number, sums): &&(i64, String, BillSums)| {
        (!has_number || number.is_empty()) && *sums == signed(invoice)
    };
    let like = rows.iter().filter(|_| !invoice.is_another).find(is_like);
    Ok(like.map(|(step, number, _)| {
        let kind = if invoice.is_credit { "a credit" } else { "an invoice" };
        let (without, mend) = match number.is_empty() {
            true => (", without a number", either("add --another", "tick that it is another")),
            false => ("", "write its number".to_owned()),
        };
        format!(
            "{kind} of order {order} with these sums stands in the book already (step \
             {step}{without}; if this is another, {mend})"
        )
    }))
}

/// An invoice's number without what one writes so and another otherwise: capitals, blanks and
/// dashes. What is nothing else is left as it is.
fn bare(number: &str) -> String {
    let is_mark = |c: &char| c.is_whitespace() || matches!(c, '-' | '\u{2010}'..='\u{2015}');
    let bare: String = number.chars().filter(|c| !is_mark(c)).collect();
    if bare.is_empty() { number.to_owned() } else { bare.to_lowercase() }
}

/// A sum of it; less than nothing where it gives back.
fn sign(invoice: &Invoice, sum: Money) -> Money {
    if invoice.is_credit { Money(-sum.0) } else { sum }
}

/// What it comes to.
fn signed(invoice: &Invoice) -> BillSums {
    let sign = |sum| sign(invoice, sum);
    let BillSums { goods, carriage, other } = invoice.sums;
    BillSums { goods: sign(goods), carriage: sign(carriage), other: sign(other) }
}

fn write(step: &Step, invoice: &Invoice, lines: &[PlacedLine]) -> Result<(), BookError> {
    let mut parts = Vec::new();
    for line in lines {
        let came = price::of_what_came(step.db(), line)?.filter(|worth| worth.0 != 0);
        parts.push(BillPart {
            line: Some(line.line),
            moulding: &line.moulding,
            goods: invoice.lines.get(&line.line).map(|goods| sign(invoice, *goods)),
            weight: came.unwrap_or_default(),
        });
    }
    if parts.iter().all(|part| part.goods.is_some() || part.weight.0 == 0) {
        // Billed before anything of it came: by what was ordered.
        for (part, line) in parts.iter_mut().zip(lines) {
            part.weight = line.cost.unwrap_or_default();
        }
    }
    let of = (Some(invoice.order), lines[0].supplier.as_str(), invoice.number.as_str());
    bill::write(step, of, signed(invoice), &parts)
}

/// The lines of one supplier's order against all that was billed of it.
fn reckon(db: &Connection, lines: Vec<PlacedLine>) -> Result<Reckoning, BookError> {
    let first = lines[0].clone();
    let of = params![first.order, first.supplier];
    let mut query = db.prepare_cached(
        "SELECT coalesce(sum(goods), 0), coalesce(sum(carriage), 0), coalesce(sum(other), 0), count(*)
         FROM bill WHERE state IS NOT NULL AND purchase = ? AND supplier = ?",
    )?;
    let (billed, bills) = query.query_row(of, |row| {
        let sums = BillSums { goods: row.get(0)?, carriage: row.get(1)?, other: row.get(2)? };
        Ok((sums, row.get(3)?))
    })?;
    let agreed = "SELECT carriage, other FROM agreed WHERE purchase = ? AND supplier = ?";
    let agreed = db
        .prepare_cached(agreed)?
        .query_row(of, |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?;
    let said = said_of_lines(db, &first)?;
    let mut reckoned = Vec::new();
    for line in lines {
        let length = price::length_that_came(db, line.line)?;
        let short = price::what_came_short(db, &line)?;
        let worth = price::of_what_came(db, &line)?;
        let billed = said.get(&line.line).copied().flatten();
        reckoned.push(ReckonedLine { line, length, short, worth, billed });
    }
    let worths = reckoned.iter().map(|line| line.worth);
    let goods = worths.sum::<Option<Money>>();
    let (order, date, supplier) = (first.order, first.date, first.supplier);
    Ok(Reckoning { order, date, supplier, lines: reckoned, goods, agreed, bills, billed })
}

/// What the bills of an order say of each of its lines: a bill that says of some lines
/// what all of its goods come to says of the others that they cost nothing.
fn said_of_lines(
    db: &Connection,
    of: &PlacedLine,
) -> Result<BTreeMap<i64, Option<Money>>, BookError> {
    let mut query = db.prepare_cached(
        "SELECT d.line, d.goods, (SELECT coalesce(sum(o.goods), 0) FROM billed o
            WHERE o.bill = b.id) = b.goods
         FROM billed d JOIN bill b ON b.id = d.bill
         WHERE b.state IS NOT NULL AND b.purchase = ? AND b.supplier = ? AND d.line IS NOT NULL",
    )?;
    let mut rows = query.query(params![of.order, of.supplier])?;
    let mut said: BTreeMap<i64, Option<Money>> = BTreeMap::new();
    while let Some(row) = rows.next()? {
        let (goods, is_all): (Option<Money>, bool) = (row.get(1)?, row.get(2)?);
        let now = goods.or(is_all.then_some(Money(0)));
        let sum = said.entry(row.get(0)?).or_insert(Some(Money(0)));
        *sum = sum.zip(now).map(|(sum, now)| sum + now);
    }
    Ok(said)
}
