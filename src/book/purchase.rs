//! Orders that were placed, and what of them has come.

use rusqlite::{Connection, Row, params};

use super::error::wrong;
use super::field::Field;
use super::papers::Snapshot;
use super::step::Step;
use super::{Book, BookError, Stamp, version};
use crate::measure::{Length, Money};
use crate::plan::{OrderLine, Plan};

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
    /// How long each piece is at the least.
    pub length: Length,
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

/// An order that was placed.
pub type Ordered = Vec<OpenLine>;

impl Book {
    /// Writes down that the order of a plan was placed.
    ///
    /// # Errors
    /// [`BookError::Moved`] if the book changed since the snapshot; else if there
    /// is nothing to order, or an order for one of its mouldings is still open and
    /// `more` was not said.
    pub fn order(
        &mut self,
        snapshot: &Snapshot,
        (plan, more): (&Plan, bool),
        stamp: &Stamp,
    ) -> Result<Ordered, BookError> {
        self.change("order", stamp, |step| {
            if version(step.db())? != step.id || snapshot.version != step.id - 1 {
                return Err(BookError::Moved);
            }
            if plan.order.lines.is_empty() {
                return wrong("there is nothing to order");
            }
            let open = open(step.db(), "l.state = 'open'", 0)?;
            let again =
                open.iter().find(|o| plan.order.lines.iter().any(|l| l.moulding == o.moulding));
            if let Some(open) = again.filter(|_| !more) {
                return wrong(format!(
                    "{} of order {} has not come yet (receive it, give it up with --drop {}, or \
                     order more with --more)",
                    open.moulding, open.order, open.line
                ));
            }
            place(step, snapshot, plan)
        })
    }

    /// The lines that have not all come.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn open_lines(&self) -> Result<Vec<OpenLine>, BookError> {
        self.look(|db| open(db, "l.state = 'open'", 0))
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

fn place(step: &Step, snapshot: &Snapshot, plan: &Plan) -> Result<Ordered, BookError> {
    step.db().execute(
        "INSERT INTO purchase (step, date) VALUES (?, ?)",
        params![step.id, plan.date.to_string()],
    )?;
    let purchase = step.db().last_insert_rowid();
    let mut seen = std::collections::BTreeSet::new();
    let mut chops: Vec<_> = plan.order.chops.iter().collect();
    for line in &plan.order.lines {
        let is_first = seen.insert(&line.moulding);
        let id = write_line(step, purchase, plan, (line, is_first))?;
        if line.form == "chop" {
            let mut count = line.count;
            chops.retain(|chop| {
                let same = chop.supplier == line.supplier && chop.moulding == line.moulding;
                let takes = same && count > 0 && Some(chop.offer) == line.offer;
                if takes {
                    count -= 1;
                }
                !takes || write_chop(step, snapshot, id, chop).is_err()
            });
        }
    }
    open(step.db(), "l.purchase = ?", purchase)
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
        "INSERT INTO line (purchase, supplier, moulding, form, length, count, pieces, cost, needed, arrives)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        params![
            purchase,
            line.supplier,
            line.moulding,
            line.form,
            line.length.nm(),
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

fn write_chop(
    step: &Step,
    snapshot: &Snapshot,
    line: i64,
    chop: &crate::plan::Chopped,
) -> Result<(), BookError> {
    let numbers = snapshot.pending.get(&chop.frame);
    let at = usize::try_from(chop.copy).unwrap_or(1).saturating_sub(1);
    let copy = numbers.and_then(|numbers| numbers.get(at)).copied().unwrap_or(chop.copy);
    step.db().execute(
        "INSERT INTO chop (line, frame, copy, layer) VALUES (?, ?, ?, ?)",
        params![line, chop.frame, copy, chop.layer],
    )?;
    Ok(())
}

/// An open line by its number.
pub(super) fn one(db: &Connection, line: i64) -> Result<OpenLine, BookError> {
    match open(db, "l.state = 'open' AND l.id = ?", line)?.pop() {
        Some(line) => Ok(line),
        None => wrong(format!("no line {line} is open (longpoint order BOOK --open lists those)")),
    }
}

fn open(db: &Connection, which: &str, of: i64) -> Result<Vec<OpenLine>, BookError> {
    let sql = format!(
        "SELECT l.id, p.id, p.date, l.supplier, l.moulding, l.form, l.length, l.count, l.pieces,
         l.came, l.cost, l.arrives FROM line l JOIN purchase p ON p.id = l.purchase
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
            length: Length::from_nm(row.get(6)?),
            count: row.get(7)?,
            pieces: row.get(8)?,
            came: row.get(9)?,
            cost: row.get::<_, Option<i64>>(10)?.map(Money),
            arrives: row.get(11)?,
        })
    };
    let rows = match which.contains('?') {
        true => query.query_map([of], read)?,
        false => query.query_map([], read)?,
    };
    Ok(rows.collect::<Result<_, _>>()?)
}
