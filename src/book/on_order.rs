//! The lines of orders: how each stands, and the sticks that are still to come.

use jiff::civil::Date;
use rusqlite::{Connection, Row};

use super::error::{BookError, THIS_BOOK, wrong};
use super::ledger::Book;
use super::step::Step;
use crate::measure::{Length, Money};
use crate::report::either::either;
use crate::sheet_order::{SHEET, SheetsComing};
use crate::shop::{Coming, Stick, shown};

/// What the name of a stick that is on order begins with.
const ON_ORDER: &str = "on-order-";

/// How a line of an order stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineState {
    /// It went to the supplier.
    Sent,
    /// The supplier has said that it comes.
    Confirmed,
    /// Some of it has come.
    PartReceived,
    /// The supplier has said that it comes later, or not when.
    BackOrdered,
    /// All of it has come.
    Done,
    /// What has not come of it is given up.
    GivenUp,
}

impl LineState {
    /// The state in words.
    pub const fn word(self) -> &'static str {
        match self {
            LineState::Sent => "sent",
            LineState::Confirmed => "confirmed",
            LineState::PartReceived => "part received",
            LineState::BackOrdered => "back-ordered",
            LineState::Done => "done",
            LineState::GivenUp => "given up",
        }
    }

    /// Whether something of it is still to come.
    pub const fn is_open(self) -> bool {
        !matches!(self, LineState::Done | LineState::GivenUp)
    }
}

/// A line of an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlacedLine {
    /// Its number, by which it is received.
    pub line: i64,
    /// The number of its order.
    pub order: i64,
    /// The day of the order.
    pub date: String,
    /// From whom; empty where the shop chooses by itself.
    pub supplier: String,
    /// The supplier's own number for the order; empty if it is not known.
    pub reference: String,
    /// Which moulding, or of what sheets are.
    pub moulding: String,
    /// `length`, `box` or `chop`, or `sheet`.
    pub form: String,
    /// How long each is as it is ordered, of random lengths the shortest; how wide a sheet.
    pub length: Length,
    /// How long each piece is at the least as it arrives: half of that where the
    /// supplier halves. How high a sheet.
    pub piece: Length,
    /// How many were ordered.
    pub count: u32,
    /// How many of them were given up since.
    pub given_up: u32,
    /// How many pieces that is; none for chops.
    pub pieces: u32,
    /// How many pieces, or chopped frames, have come.
    pub came: u32,
    /// What they cost, if that is known.
    pub cost: Option<Money>,
    /// The day on which they should come, if that is known.
    pub arrives: Option<String>,
    /// How it stands.
    pub state: LineState,
}

impl PlacedLine {
    /// How many pieces arrive for each that is ordered; chopped frames count as one.
    pub(super) fn each(&self) -> u32 {
        if self.form == "chop" { 1 } else { (self.pieces / self.count.max(1)).max(1) }
    }

    /// ` from BRIN`, or nothing where the shop chooses by itself.
    pub(super) fn from(&self) -> String {
        match self.supplier.as_str() {
            "" => String::new(),
            supplier => format!(" from {}", shown(supplier)),
        }
    }

    /// How many pieces, or chopped frames, were ordered.
    pub fn all(&self) -> u32 {
        if self.form == "chop" { self.count } else { self.pieces }
    }

    /// How many pieces, or chopped frames, are still to come.
    pub fn to_come(&self) -> u32 {
        let gone = self.came.saturating_add(self.given_up.saturating_mul(self.each()));
        if self.state.is_open() { self.all().saturating_sub(gone) } else { 0 }
    }
}

impl Book {
    /// The lines of which something is still to come.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn open_lines(&self) -> Result<Vec<PlacedLine>, BookError> {
        self.look(all)
    }

    /// Those of sticks of a ticket's mouldings.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn lines_for(&self, ticket: &str) -> Result<Vec<PlacedLine>, BookError> {
        let shop = self.shop()?;
        let Some(frame) = shop.frame(ticket) else { return Ok(Vec::new()) };
        let is_of_it = |line: &PlacedLine| {
            matches!(line.form.as_str(), "length" | "box")
                && frame.layers.iter().any(|layer| layer.moulding == line.moulding)
        };
        let mut lines = self.open_lines()?;
        lines.retain(is_of_it);
        Ok(lines)
    }

    /// The orders that stand and whom each went to, the last first.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn orders(&self, most: u32) -> Result<Vec<(i64, String)>, BookError> {
        self.look(|db| {
            let sql = "SELECT DISTINCT purchase, supplier FROM line WHERE state IS NOT NULL
                       ORDER BY purchase DESC, supplier LIMIT ?";
            let mut query = db.prepare_cached(sql)?;
            let rows = query.query_map([most], |row| Ok((row.get(0)?, row.get(1)?)))?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }
}

impl Book {
    /// How many sheets of each board and glass are on order.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn sheets_coming(&self) -> Result<SheetsComing, BookError> {
        let mut coming = SheetsComing::new();
        for line in self.open_lines()?.into_iter().filter(|line| line.form == SHEET) {
            let count = line.to_come();
            *coming.entry((line.moulding, (line.length, line.piece))).or_default() += count;
        }
        Ok(coming)
    }
}

/// The line that a stick on order is of, by the name that it has until it comes.
pub fn line_of(stick: &str) -> Option<i64> {
    stick.strip_prefix(ON_ORDER)?.split_once('.')?.0.parse().ok()
}

/// The lines of which something is still to come.
pub(super) fn all(db: &Connection) -> Result<Vec<PlacedLine>, BookError> {
    lines(db, "l.state = 'open' AND ? = 0", 0)
}

/// An open line by its number.
pub(super) fn one(db: &Connection, line: i64) -> Result<PlacedLine, BookError> {
    match lines(db, "l.state = 'open' AND l.id = ?", line)?.pop() {
        Some(line) => Ok(line),
        None => {
            let list = format!("longpoint order {THIS_BOOK} --open lists those");
            let mend = either(&list, "look at Orders, which lists those");
            wrong(format!("no line {line} is open ({mend})"))
        }
    }
}

/// An open line of which something comes in this step, and so not before it was ordered.
pub(super) fn arriving(step: &Step, line: i64) -> Result<PlacedLine, BookError> {
    let open = one(step.db(), line)?;
    let ordered = open.date.parse::<Date>();
    match ordered.is_ok_and(|ordered| step.date < ordered) {
        true => wrong(format!(
            "line {line} was ordered on {}, and cannot have come on {} ({})",
            open.date,
            step.date,
            either("say when it came with --at", "see that this computer has the right day")
        )),
        false => Ok(open),
    }
}

/// The lines of an order that went to one supplier: to the one that is named, or else to
/// the only one of whom something `is_wanted`.
pub(super) fn of_order(
    db: &Connection,
    (order, supplier): (i64, Option<&str>),
    is_wanted: impl Fn(&PlacedLine) -> bool,
) -> Result<Vec<PlacedLine>, BookError> {
    let mut lines = lines(db, "l.purchase = ?", order)?;
    if lines.is_empty() {
        return wrong(format!("there is no order {order} in the book, or it was undone"));
    }
    let mut from: Vec<&str> = lines.iter().map(|line| line.supplier.as_str()).collect();
    from.sort_unstable();
    from.dedup();
    let whose = match supplier {
        Some(named) => match from.iter().find(|one| one.eq_ignore_ascii_case(named)) {
            Some(whose) => vec![*whose],
            None => {
                return wrong(format!(
                    "order {order} has no line from {named:?} (it went to {})",
                    names(&from)
                ));
            }
        },
        None => {
            let wanted =
                |whose: &&str| lines.iter().any(|line| line.supplier == **whose && is_wanted(line));
            let some: Vec<&str> = from.iter().copied().filter(wanted).collect();
            if some.is_empty() { from } else { some }
        }
    };
    let [whose] = whose.as_slice() else {
        return wrong(format!(
            "order {order} went to {} (say whose it is{})",
            names(&whose),
            either(&format!(": --supplier {}", shown(whose[0])), "")
        ));
    };
    let whose = (*whose).to_owned();
    lines.retain(|line| line.supplier == whose);
    Ok(lines)
}

fn names(suppliers: &[&str]) -> String {
    suppliers.iter().map(|supplier| shown(supplier)).collect::<Vec<_>>().join(", ")
}

/// The sticks that are on order. Those of one delivery count as one lot, as the
/// planner counts them when it orders.
pub(super) fn coming(db: &Connection, rack: &[Stick]) -> Result<Vec<Coming>, BookError> {
    let mut coming = Vec::new();
    for line in all(db)?.into_iter().filter(|line| !matches!(line.form.as_str(), "chop" | "sheet"))
    {
        let lot = match line.supplier.as_str() {
            "" => format!("order {}", line.order),
            supplier => format!("order {} from {supplier}", line.order),
        };
        for number in line.came + 1..=line.came + line.to_come() {
            let mut id = format!("{ON_ORDER}{}.{number}", line.line);
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

/// Lines of orders that stand.
pub(super) fn lines(db: &Connection, which: &str, of: i64) -> Result<Vec<PlacedLine>, BookError> {
    let sql = format!(
        "SELECT l.id, p.id, p.date, l.supplier, l.moulding, l.form, l.length, l.count, l.pieces,
         l.came, l.cost, l.arrives, l.piece, l.reference, l.given_up, l.state, l.answer
         FROM line l JOIN purchase p ON p.id = l.purchase
         WHERE l.state IS NOT NULL AND {which} ORDER BY l.id"
    );
    let mut query = db.prepare_cached(&sql)?;
    let rows = query.query_map([of], |row| {
        let came = row.get(9)?;
        Ok(PlacedLine {
            line: row.get(0)?,
            order: row.get(1)?,
            date: row.get(2)?,
            supplier: row.get(3)?,
            moulding: row.get(4)?,
            form: row.get(5)?,
            length: row.get::<_, Length>(6)?,
            count: row.get(7)?,
            pieces: row.get(8)?,
            came,
            cost: row.get(10)?,
            arrives: row.get(11)?,
            piece: row.get::<_, Length>(12)?,
            reference: row.get(13)?,
            given_up: row.get(14)?,
            state: state(row, came)?,
        })
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// How a line stands, from what is written of it.
fn state(row: &Row, came: u32) -> rusqlite::Result<LineState> {
    let (state, answer): (String, Option<String>) = (row.get(15)?, row.get(16)?);
    Ok(match (state.as_str(), answer.as_deref()) {
        ("in", _) => LineState::Done,
        ("dropped", _) => LineState::GivenUp,
        (_, Some("back-ordered")) => LineState::BackOrdered,
        _ if came > 0 => LineState::PartReceived,
        (_, Some(_)) => LineState::Confirmed,
        _ => LineState::Sent,
    })
}
