//! Orders that were placed, and what of them has come.
//!
//! # Why an order is its own witness
//!
//! A day that is not settled is another on the next look, with more steps or with
//! what came on order, and leaves other offcuts; then something would lack again of
//! what was just ordered. But the plan of the order was a way to cut them all, and as
//! long as the last step that stands is that order, it still is one. So those copies
//! wait for what is on order, laid out or not, and the rack is not filled up again.
//! Any step ends that: then the plan counts what there is, what is on order, and what
//! the plan at the bench will leave (`remains`).

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::{Connection, OptionalExtension, Row, params};

use super::error::{BookError, THIS_BOOK, wrong};
use super::field::Field;
use super::ledger::{Book, version};
use super::snapshot::Snapshot;
use super::spare;
use super::stamp::Stamp;
use super::step::Step;
use crate::measure::{Length, Money};
use crate::plan::{Chopped, OrderLine, Plan};
use crate::rails::rails_to_cut;
use crate::report::{csv, order_html};
use crate::shop::{Coming, Match, Shop, Stick};
use crate::verify::Verified;

/// The step of an order of which a part was left in the basket. It is no witness: the
/// next plan works out anew what lacks beside it.
pub(crate) const PART_ORDER: &str = "part-order";

/// A line of an order that has not all come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenLine {
    /// Its number, by which it is received.
    pub line: i64,
    /// The number of its order.
    pub order: i64,
    /// The day of the order.
    pub date: String,
    /// From whom; empty where the shop chooses by itself.
    pub supplier: String,
    /// Which moulding.
    pub moulding: String,
    /// `length`, `box` or `chop`.
    pub form: String,
    /// How long each is as it is ordered; of random lengths the shortest.
    pub length: Length,
    /// How long each piece is at the least as it arrives: half of that where the
    /// supplier halves.
    pub piece: Length,
    /// How many were ordered.
    pub count: u32,
    /// How many pieces are to come; none for chops.
    pub pieces: u32,
    /// How many have come.
    pub came: u32,
    /// What they cost, if that is known.
    pub cost: Option<Money>,
    /// The day on which they should come, if that is known.
    pub arrives: Option<String>,
}

/// Files by their names.
pub type Pages = Vec<(&'static str, String)>;

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
    ) -> Result<Vec<OpenLine>, BookError> {
        self.order_as(snapshot, ("order", plan, &pages(plan, &snapshot.shop)), stamp)
    }

    /// The same where its pages are written already, and what the step is called.
    pub(crate) fn order_as(
        &mut self,
        snapshot: &Snapshot,
        (what, plan, pages): (&'static str, &Plan, &Pages),
        stamp: &Stamp,
    ) -> Result<Vec<OpenLine>, BookError> {
        self.change(what, stamp, |step| {
            if version(step.db())? != step.id || snapshot.version != step.id - 1 {
                return Err(BookError::Moved);
            }
            if plan.order.lines.is_empty() {
                let open = all_open(step.db())?;
                return wrong(match open.as_slice() {
                    [] => "there is nothing to order".to_owned(),
                    open => format!(
                        "there is nothing to order beside what is on order already: line{} {} \
                         (longpoint order {THIS_BOOK} --open lists it; --drop gives it up)",
                        if open.len() == 1 { "" } else { "s" },
                        open.iter().map(|o| o.line.to_string()).collect::<Vec<_>>().join(", ")
                    ),
                });
            }
            place(step, &snapshot.shop, (plan, pages))
        })
    }

    /// The lines that have not all come.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn open_lines(&self) -> Result<Vec<OpenLine>, BookError> {
        self.look(all_open)
    }

    /// The pages of an order that was placed, as they were then.
    ///
    /// # Errors
    /// If there is no such order, or the book keeps no pages of it.
    pub fn order_pages(&self, order: i64) -> Result<Pages, BookError> {
        self.look(|db| placed(db, order))
    }

    /// Gives up what has not come of these lines.
    ///
    /// # Errors
    /// If one of them is not open.
    pub fn drop_lines(&mut self, lines: &[i64], stamp: &Stamp) -> Result<(), BookError> {
        self.change("drop", stamp, |step| {
            for line in lines {
                one(step.db(), *line)?;
                step.set(Field::LineState, *line, "dropped".to_owned())?;
            }
            Ok(())
        })
    }
}

fn place(
    step: &Step,
    shop: &Shop,
    (plan, pages): (&Plan, &Pages),
) -> Result<Vec<OpenLine>, BookError> {
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
        let id = write_line(step, purchase, plan, (line, is_first))?;
        if line.form == "chop" {
            for _ in 0..line.count {
                let Some(at) = chops.iter().position(|chop| is_of(shop, line, chop)) else { break };
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
    open(step.db(), "l.purchase = ?", purchase)
}

/// The pages of an order: all of it as a table, and a page for each supplier.
pub fn pages(plan: &Plan, shop: &Shop) -> Pages {
    vec![("order.csv", csv::order(plan, shop)), ("order.html", order_html::orders(plan, shop))]
}

/// The pages of an order that was placed, as they were.
fn placed(db: &Connection, order: i64) -> Result<Pages, BookError> {
    let stands = "SELECT 1 FROM line WHERE purchase = ? AND state IS NOT NULL";
    if !db.prepare_cached(stands)?.exists([order])? {
        return wrong(format!("there is no order {order} in the book, or it was undone"));
    }
    let mut query = db.prepare_cached("SELECT name, text FROM page WHERE purchase = ?")?;
    let rows = query.query_map([order], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let mut texts = rows.collect::<Result<BTreeMap<String, String>, _>>()?;
    let known = ["order.csv", "order.html"].into_iter();
    let pages: Pages = known.filter_map(|name| Some((name, texts.remove(name)?))).collect();
    match pages.is_empty() {
        true => wrong(format!(
            "order {order} was placed with an older Longpoint, which kept no pages of it (longpoint \
             order {THIS_BOOK} --open lists what has not come)"
        )),
        false => Ok(pages),
    }
}

/// As long as the last step that stands is an order, nothing more is bought for the
/// frames that it was for, nor to fill the rack: its plan was a way to cut them all, and
/// another plan that finds none, since its search is cut short elsewhere, is no reason.
pub(super) fn mark(db: &Connection, shop: &mut Shop) -> Result<(), BookError> {
    let last = "SELECT id, what FROM step s WHERE undoes IS NULL
                AND NOT EXISTS (SELECT 1 FROM step u WHERE u.undoes = s.id) ORDER BY id DESC LIMIT 1";
    let read = |row: &Row| Ok((row.get::<_, i64>(0)?, row.get::<_, String>(1)?));
    let Some((step, what)) = db.query_row(last, [], read).optional()? else { return Ok(()) };
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
    (line, is_first): (&OrderLine, bool),
) -> Result<i64, BookError> {
    let asked = plan.order.yields.iter().find(|y| y.moulding == line.moulding && is_first);
    let bill = plan.order.bills.iter().find(|bill| bill.supplier == line.supplier);
    step.db().execute(
        "INSERT INTO line (purchase, supplier, moulding, form, length, piece, count, pieces, cost, needed,
         arrives) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        params![
            purchase,
            line.supplier,
            line.moulding,
            line.form,
            line.length.nm(),
            line.piece().nm(),
            line.count,
            line.pieces,
            line.cost.map(|cost| cost.0),
            asked.map_or(0, |asked| asked.with_waste.nm()),
            bill.map(|bill| bill.arrives.to_string()),
        ],
    )?;
    let id = step.db().last_insert_rowid();
    step.set(Field::LineState, id, "open".to_owned())?;
    Ok(id)
}

/// Whether a chopped layer is one of those that a line is for, rail by rail.
fn is_of(shop: &Shop, line: &OrderLine, chop: &Chopped) -> bool {
    let rails = || -> Option<Vec<Length>> {
        let frame = shop.frame(&chop.frame)?;
        let mut layers = rails_to_cut(shop, frame, chop.copy).into_iter();
        let layer = layers.find(|layer| layer.layer == chop.layer)?;
        Some(layer.rails.iter().map(|rail| rail.long_point).collect())
    };
    line.form == "chop"
        && (Some(chop.offer), chop.billed) == (line.offer, line.length)
        && rails().is_some_and(|rails| rails == line.rails)
}

fn write_chop(step: &Step, line: i64, chop: &Chopped) -> Result<(), BookError> {
    step.db().execute(
        "INSERT INTO chop (line, frame, copy, layer) VALUES (?, ?, ?, ?)",
        params![line, chop.frame, chop.copy, chop.layer],
    )?;
    Ok(())
}

/// The lines that have not all come.
pub(super) fn all_open(db: &Connection) -> Result<Vec<OpenLine>, BookError> {
    open(db, "l.state = 'open'", 0)
}

/// An open line by its number.
pub(super) fn one(db: &Connection, line: i64) -> Result<OpenLine, BookError> {
    match open(db, "l.state = 'open' AND l.id = ?", line)?.pop() {
        Some(line) => Ok(line),
        None => wrong(format!(
            "no line {line} is open (longpoint order {THIS_BOOK} --open lists those)"
        )),
    }
}

/// The sticks that are on order. Those of one delivery count as one lot, as the
/// planner counts them when it orders.
pub(super) fn coming(db: &Connection, rack: &[Stick]) -> Result<Vec<Coming>, BookError> {
    let mut coming = Vec::new();
    for line in open(db, "l.state = 'open' AND l.form <> 'chop'", 0)? {
        let lot = match line.supplier.as_str() {
            "" => format!("order {}", line.order),
            supplier => format!("order {} from {supplier}", line.order),
        };
        for number in line.came + 1..=line.pieces {
            let mut id = format!("on-order-{}.{number}", line.line);
            while rack.iter().any(|stick| stick.id == id) {
                id.push('+');
            }
            let stick = Stick {
                id,
                moulding: line.moulding.clone(),
                length: line.piece,
                lot: lot.clone(),
                place: String::new(),
                flaws: Vec::new(),
                since: None,
            };
            let arrives = line.arrives.as_ref().and_then(|day| day.parse().ok());
            let supplier = line.supplier.clone();
            coming.push(Coming { stick, supplier, arrives, at_bench: false });
        }
    }
    Ok(coming)
}

fn open(db: &Connection, which: &str, of: i64) -> Result<Vec<OpenLine>, BookError> {
    let sql = format!(
        "SELECT l.id, p.id, p.date, l.supplier, l.moulding, l.form, l.length, l.count, l.pieces,
         l.came, l.cost, l.arrives, l.piece FROM line l JOIN purchase p ON p.id = l.purchase
         WHERE {which} ORDER BY l.id"
    );
    let mut query = db.prepare(&sql)?;
    let read = |row: &Row| {
        Ok(OpenLine {
            line: row.get(0)?,
            order: row.get(1)?,
            date: row.get(2)?,
            supplier: row.get(3)?,
            moulding: row.get(4)?,
            form: row.get(5)?,
            length: row.get::<_, Length>(6)?,
            count: row.get(7)?,
            pieces: row.get(8)?,
            came: row.get(9)?,
            cost: row.get::<_, Option<i64>>(10)?.map(Money),
            arrives: row.get(11)?,
            piece: row.get::<_, Length>(12)?,
        })
    };
    let rows = match which.contains('?') {
        true => query.query_map([of], read)?,
        false => query.query_map([], read)?,
    };
    Ok(rows.collect::<Result<_, _>>()?)
}
