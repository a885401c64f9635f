//! Orders that were placed, and what of them has come.
//!
//! # Why an order is its own witness
//!
//! A day that is not settled is another on the next look, with more steps or with
//! what came on order, and leaves other offcuts; then something would lack again of
//! what was just ordered. But the plan of the order was a way to cut them all, and as
//! long as the last step that stands is that order, it still is one. So those copies
//! wait for what is on order, laid out or not, and the rack is not filled up again.
//! Any step ends that but those that only say of an order that it is as it should be, or
//! what it cost: then the plan counts what there is, what is on order, and what
//! the plan at the bench will leave (`remains`).

use std::collections::BTreeSet;

use rusqlite::{Connection, OptionalExtension, Row, params};

use super::error::{BookError, THIS_BOOK, wrong};
use super::field::Field;
use super::journal::STANDS;
use super::ledger::{Book, version};
use super::on_order::{self, PlacedLine};
use super::price::LinePrice;
use super::snapshot::Snapshot;
use super::spare;
use super::stamp::Stamp;
use super::step::Step;
use crate::plan::{Chopped, OrderLine, Plan};
use crate::report::either::either;
use crate::report::order_files;
use crate::report::order_table::Reference;
use crate::shop::{Match, Shop};
use crate::verify::Verified;

/// The step of an order of which a part was left in the basket. It is no witness: the
/// next plan works out anew what lacks beside it.
pub(crate) const PART_ORDER: &str = "part-order";

/// Files by their names.
pub type Pages = Vec<(String, String)>;

impl Book {
    /// Writes down that the order of a plan was placed.
    ///
    /// # Errors
    /// [`BookError::Moved`] if the book changed since the snapshot; else if there
    /// is nothing to order.
    pub fn order(
        &mut self,
        snapshot: &Snapshot,
        plan: &Verified<Plan>,
        stamp: &Stamp,
    ) -> Result<Vec<PlacedLine>, BookError> {
        let pages = self.pages(plan, &snapshot.shop)?;
        self.order_as(snapshot, ("order", plan, &pages), stamp)
    }

    /// The same where its pages are written already, and what the step is called.
    pub(crate) fn order_as(
        &mut self,
        snapshot: &Snapshot,
        (what, plan, pages): (&'static str, &Plan, &Pages),
        stamp: &Stamp,
    ) -> Result<Vec<PlacedLine>, BookError> {
        self.change(what, stamp, |step| {
            if version(step.db())? != step.id || snapshot.version != step.id - 1 {
                return Err(BookError::Moved);
            }
            if plan.order.lines.is_empty() {
                let open = on_order::all(step.db())?;
                return wrong(match open.as_slice() {
                    [] => "there is nothing to order".to_owned(),
                    open => format!(
                        "there is nothing to order beside what is on order already: line{} {} ({})",
                        if open.len() == 1 { "" } else { "s" },
                        open.iter().map(|o| o.line.to_string()).collect::<Vec<_>>().join(", "),
                        either(
                            &format!(
                                "longpoint order {THIS_BOOK} --open lists it; --drop gives it up"
                            ),
                            "Orders lists it"
                        )
                    ),
                });
            }
            place(step, &snapshot.shop, (plan, pages))
        })
    }

    /// The pages of a plan's order, under the number that the next one has.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub(crate) fn pages(&self, plan: &Plan, shop: &Shop) -> Result<Pages, BookError> {
        let last = "SELECT coalesce(max(id), 0) FROM purchase";
        let last: i64 = self.look(|db| Ok(db.query_row(last, [], |row| row.get(0))?))?;
        Ok(order_files(Reference { number: Some(last + 1) }, plan, shop))
    }

    /// The pages of an order that was placed, as they were then.
    ///
    /// # Errors
    /// If there is no such order, or the book keeps no pages of it.
    pub fn order_pages(&self, order: i64) -> Result<Pages, BookError> {
        self.look(|db| placed(db, order))
    }
}

fn place(
    step: &Step,
    shop: &Shop,
    (plan, pages): (&Plan, &Pages),
) -> Result<Vec<PlacedLine>, BookError> {
    step.db().execute(
        "INSERT INTO purchase (step, date) VALUES (?, ?)",
        params![step.id, plan.date.to_string()],
    )?;
    let purchase = step.db().last_insert_rowid();
    let shop = &*plan.served(shop);
    let mut seen = BTreeSet::new();
    let mut chops: Vec<_> = plan.order.chops.iter().collect();
    for line in &plan.order.lines {
        let is_first = line.form != "chop" && seen.insert(&line.moulding);
        let price = LinePrice::of(shop, plan, line);
        let id = write_line(step, purchase, plan, (line, is_first, price))?;
        if line.form == "chop" {
            for _ in 0..line.count {
                let Some(at) = chops.iter().position(|chop| line.is_for(shop, chop)) else { break };
                write_chop(step, id, chops.remove(at))?;
            }
        }
    }
    // What is chopped for a frame leaves out what spare rails are: they are its own now.
    for of in &plan.spares {
        let is_of = |chop: &&Chopped| {
            (&chop.frame, chop.copy, chop.layer) == (&of.frame, of.copy, of.layer)
        };
        if plan.order.chops.iter().any(|chop| is_of(&chop)) {
            let asked = shop.frame(&of.frame).map(|frame| frame.layers[of.layer - 1].match_);
            spare::keep(step, of, asked.unwrap_or(Match::Any))?;
        }
    }
    for bill in &plan.order.bills {
        let beside = bill.to_pay(shop) - bill.goods - bill.freight;
        step.db().execute(
            "INSERT INTO agreed (purchase, supplier, carriage, other) VALUES (?, ?, ?, ?)",
            params![purchase, bill.supplier, bill.freight.0, beside.0],
        )?;
    }
    for held in &plan.held {
        step.db().execute(
            "INSERT INTO without (purchase, frame, copy) VALUES (?, ?, ?)",
            params![purchase, held.frame, held.copy],
        )?;
    }
    for (name, text) in pages {
        step.db().execute(
            "INSERT INTO page (purchase, name, text) VALUES (?, ?, ?)",
            params![purchase, name, text],
        )?;
    }
    on_order::lines(step.db(), "l.purchase = ?", purchase)
}

/// The pages of an order that was placed, as they were.
fn placed(db: &Connection, order: i64) -> Result<Pages, BookError> {
    let stands = "SELECT 1 FROM line WHERE purchase = ? AND state IS NOT NULL";
    if !db.prepare_cached(stands)?.exists([order])? {
        return wrong(format!("there is no order {order} in the book, or it was undone"));
    }
    let mut query =
        db.prepare_cached("SELECT name, text FROM page WHERE purchase = ? ORDER BY name")?;
    let rows = query.query_map([order], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let pages: Pages = rows.collect::<Result<_, _>>()?;
    match pages.is_empty() {
        true => wrong(format!(
            "order {order} was placed with an older Longpoint, which kept no pages of it ({} lists \
             what has not come)",
            either(&format!("longpoint order {THIS_BOOK} --open"), "Orders")
        )),
        false => Ok(pages),
    }
}

/// As long as the last step that stands is an order, nothing more is bought for the
/// frames that it was for, nor to fill the rack: its plan was a way to cut them all, and
/// another plan that finds none, since its search is cut short elsewhere, is no reason.
pub(super) fn mark(db: &Connection, shop: &mut Shop) -> Result<(), BookError> {
    let last = format!(
        "SELECT id, what FROM step s WHERE {STANDS}
         AND NOT (what IN ('confirm', 'invoice') AND NOT EXISTS
           (SELECT 1 FROM note n WHERE n.step = s.id AND n.field = 'line.arrives'))
         ORDER BY id DESC LIMIT 1"
    );
    let read = |row: &Row| Ok((row.get::<_, i64>(0)?, row.get::<_, String>(1)?));
    let Some((step, what)) = db.query_row(&last, [], read).optional()? else { return Ok(()) };
    // What was ordered with an older version says nothing of whom it was for.
    let kept = "SELECT 1 FROM purchase p JOIN page g ON g.purchase = p.id WHERE p.step = ?";
    if what != "order" || !db.prepare_cached(kept)?.exists([step])? {
        return Ok(());
    }
    let mut query = db.prepare_cached(
        "SELECT w.frame, w.copy FROM without w JOIN purchase p ON p.id = w.purchase WHERE p.step = ?",
    )?;
    let rows = query.query_map([step], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let without: BTreeSet<(String, u32)> = rows.collect::<Result<_, _>>()?;
    for frame in &mut shop.frames {
        let is_for = |copy: &u32| !without.contains(&(frame.id.clone(), *copy));
        frame.progress.ordered = frame.pending().filter(is_for).collect();
    }
    shop.mouldings.values_mut().for_each(|moulding| moulding.keep_on_rack = 0);
    Ok(())
}

fn write_line(
    step: &Step,
    purchase: i64,
    plan: &Plan,
    (line, is_first, price): (&OrderLine, bool, Option<LinePrice>),
) -> Result<i64, BookError> {
    let asked = plan.order.yields.iter().find(|y| y.moulding == line.moulding && is_first);
    let bill = plan.order.bills.iter().find(|bill| bill.supplier == line.supplier);
    step.db().execute(
        "INSERT INTO line (purchase, supplier, moulding, form, length, piece, count, pieces, cost, needed,
         arrives, price, per, whole, fee) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        params![
            purchase,
            line.supplier,
            line.moulding,
            line.form,
            line.length.nm(),
            line.height.unwrap_or_else(|| line.piece()).nm(),
            line.count,
            line.pieces,
            line.cost.map(|cost| cost.0),
            asked.map_or(0, |asked| asked.with_waste.nm()),
            bill.map(|bill| bill.arrives.to_string()),
            price.as_ref().map(|price| price.price.0),
            price.as_ref().map(|price| price.per),
            price.as_ref().and_then(|price| price.whole),
            price.map_or(0, |price| price.fee.0),
        ],
    )?;
    let id = step.db().last_insert_rowid();
    step.set(Field::LineState, id, "open".to_owned())?;
    Ok(id)
}

fn write_chop(step: &Step, line: i64, chop: &Chopped) -> Result<(), BookError> {
    step.db().execute(
        "INSERT INTO chop (line, frame, copy, layer) VALUES (?, ?, ?, ?)",
        params![line, chop.frame, chop.copy, chop.layer],
    )?;
    Ok(())
}
