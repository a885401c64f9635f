//! What a supplier delivered: sticks with the lengths that really came.

use rusqlite::Connection;

use super::bill::{self, BillPart, BillSums};
use super::error::{BookError, THIS_BOOK, wrong};
use super::field::Field;
use super::ledger::Book;
use super::on_order::PlacedLine;
use super::stamp::Stamp;
use super::step::{MovementKind, NewStick, Step};
use super::{on_order, rack, source_files, spelt};
use crate::measure::{Length, Money};
use crate::report::either::either;
use crate::shop::{Flaw, Stick, read_code};

/// Sticks that came.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Delivery {
    /// Their moulding.
    pub moulding: String,
    /// The length of each.
    pub lengths: Vec<Length>,
    /// Their lot; if it is empty, those of a line or of a purchase count as one, and others are
    /// each a lot of its own.
    pub lot: String,
    /// Where they are put.
    pub place: String,
    /// The flaws of each.
    pub flaws: Vec<Flaw>,
    /// The line of an order that they are of.
    pub line: Option<i64>,
}

/// What came of receiving.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Came {
    /// The sticks with the labels that the book gives them.
    pub sticks: Vec<Stick>,
    /// How many pieces of the line are still to come.
    pub open: u32,
    /// How long each piece of the line was to be at the least, and its number.
    pub ordered: Option<(Length, i64)>,
    /// Whether they count as one lot, since none was said.
    pub as_one_lot: bool,
    /// The frame copies that the supplier chopped whole.
    pub bought: Vec<(String, u32)>,
    /// Those of which other layers are still to be cut.
    pub in_part: Vec<(String, u32)>,
    /// Those that are not made any more.
    pub cancelled: Vec<(String, u32)>,
}

impl Book {
    /// Takes sticks onto the rack, or the rails of a line of chops.
    ///
    /// # Errors
    /// If the moulding is not known, a flaw does not lie on each stick, or they
    /// are not what the line was for.
    pub fn receive(&mut self, delivery: &Delivery, stamp: &Stamp) -> Result<Came, BookError> {
        self.change("receive", stamp, |step| take_in(step, delivery, None))
    }

    /// Takes in sticks that were bought without an order, from whom and for how much.
    ///
    /// # Errors
    /// As [`receive`](Self::receive), and if they are of a line of an order, whose cost an
    /// invoice says.
    pub fn buy(
        &mut self,
        delivery: &Delivery,
        (from, cost): (&str, Money),
        stamp: &Stamp,
    ) -> Result<Came, BookError> {
        self.change("receive", stamp, |step| {
            if let Some(line) = delivery.line {
                return wrong(format!(
                    "line {line} is of an order, and what it costs is billed (receive it, then {})",
                    either(&format!("longpoint invoice {THIS_BOOK}"), "enter the INVOICE")
                ));
            }
            let came = take_in(step, delivery, Some(from))?;
            let sums = BillSums { goods: cost, ..BillSums::default() };
            let moulding = &delivery.moulding;
            let part = BillPart { line: None, moulding, goods: Some(cost), weight: cost };
            bill::write(step, (None, from, ""), sums, &[part])?;
            Ok(came)
        })
    }

    /// Takes in the chopped rails of a line: the frames that they make whole need
    /// no bench any more.
    ///
    /// # Errors
    /// If the line is not open, or is one of sticks.
    pub fn receive_chops(&mut self, line: i64, stamp: &Stamp) -> Result<Came, BookError> {
        self.change("receive", stamp, |step| {
            let open = on_order::arriving(step, line)?;
            if open.form == "sheet" {
                return wrong(of_sheets(&open));
            }
            if open.form != "chop" {
                let how = format!(
                    ", as in longpoint receive {THIS_BOOK} --line {line} --length LENGTH --count {}",
                    open.to_come()
                );
                let how = either(&how, "");
                return wrong(format!("line {line} is of sticks (say how long they are{how})"));
            }
            step.set(Field::LineCame, line, i64::from(open.to_come()))?;
            step.set(Field::LineState, line, "in".to_owned())?;
            chopped(step, line)
        })
    }

    /// The moulding of an open line.
    ///
    /// # Errors
    /// If the line is not open.
    pub fn moulding_of_line(&self, line: i64) -> Result<String, BookError> {
        self.look(|db| Ok(on_order::one(db, line)?.moulding))
    }
}

/// Takes sticks in; those bought `from` somebody without an order, if they were.
fn take_in(step: &Step, delivery: &Delivery, from: Option<&str>) -> Result<Came, BookError> {
    let shop = source_files::typed(step.db())?;
    let end = delivery.flaws.iter().map(|flaw| flaw.to).max().unwrap_or_default();
    if delivery.lengths.iter().any(|length| !length.is_positive()) {
        return wrong("a stick is longer than zero (write its length as it was measured)");
    }
    if delivery.lengths.iter().any(|length| *length < end) {
        return wrong("a flaw lies beyond the end of a stick (give each its own flaws)");
    }
    let mut came = Came::default();
    let mut lot = delivery.lot.clone();
    if let Some(line) = delivery.line {
        let open = against(step, delivery, line)?;
        let now = u32::try_from(delivery.lengths.len()).unwrap_or(u32::MAX);
        came.open = open.to_come() - now;
        came.ordered = Some((open.piece, line));
        came.as_one_lot = lot.is_empty();
        if came.as_one_lot {
            let named = format!("order {} {} {}", open.order, open.supplier, step.date);
            lot = unnamed_lot(&named, &format!("order {} line {line} {}", open.order, step.date));
        }
    } else if let Some(from) = from.filter(|_| lot.is_empty()) {
        came.as_one_lot = true;
        lot = unnamed_lot(&format!("{from} {}", step.date), &format!("bought {}", step.date));
    }
    shop.find_moulding(&delivery.moulding)?;
    for length in &delivery.lengths {
        came.sticks.push(one(step, delivery, &lot, *length)?);
    }
    Ok(came)
}

/// What the lot is called that comes of an order, or of a purchase without one, from one
/// supplier, on one day, and that nobody has named: as long as it is on order it counts as one,
/// and so it does once it is there. `short` is its name where the other is too long.
fn unnamed_lot(named: &str, short: &str) -> String {
    read_code(&named.replace("  ", " ")).unwrap_or_else(|_| short.to_owned())
}

fn one(step: &Step, delivery: &Delivery, lot: &str, length: Length) -> Result<Stick, BookError> {
    let label = step.label()?;
    let new = NewStick {
        name: &label,
        moulding: &delivery.moulding,
        lot,
        place: &spelt::place(step.db(), &delivery.place)?,
        flaws: &rack::write_flaws(&delivery.flaws),
        since: Some(step.date),
        line: delivery.line,
        ..NewStick::default()
    };
    let id = step.stick(&new)?;
    step.moved(id, MovementKind::Received, length, None)?;
    Ok(rack::named(step.db(), &label)?.stick)
}

/// What is said where a line of sheets is received as moulding.
fn of_sheets(line: &PlacedLine) -> String {
    let how = format!(
        ": longpoint receive {THIS_BOOK} --line {0} --count {1}",
        line.line,
        line.to_come()
    );
    let (line, material) = (line.line, &line.moulding);
    format!("line {line} is of sheets of {material} (say how many came{})", either(&how, ""))
}

/// Counts sticks against a line; returns the line as it was.
fn against(step: &Step, delivery: &Delivery, line: i64) -> Result<PlacedLine, BookError> {
    let open = on_order::arriving(step, line)?;
    if open.form == "sheet" {
        return wrong(of_sheets(&open));
    }
    if open.form == "chop" {
        let receive =
            format!("receive it by its number alone: longpoint receive {THIS_BOOK} --line {line}");
        let drop = format!("longpoint order {THIS_BOOK} --drop {line} gives it up");
        return wrong(format!(
            "line {line} is of {} that is chopped to size ({}; if it cannot be used, {}, and the \
             next order has it again)",
            open.moulding,
            either(&receive, "say that ALL OF IT CAME"),
            either(&drop, "GIVE UP its line under Orders")
        ));
    }
    if open.moulding != delivery.moulding {
        return wrong(format!(
            "line {line} is of {} (what came of {} is received without a line, or against its own)",
            open.moulding, delivery.moulding
        ));
    }
    let now = u32::try_from(delivery.lengths.len()).unwrap_or(u32::MAX);
    let lacks = open.to_come();
    if now > lacks {
        return wrong(format!(
            "{now} came, and of line {line} only {lacks} are still to come (receive {lacks} against \
             the line, and what was sent beyond it {})",
            either(
                &format!("with --moulding {} alone", open.moulding),
                "as BOUGHT WITHOUT AN ORDER"
            )
        ));
    }
    step.set(Field::LineCame, line, i64::from(open.came + now))?;
    if now >= lacks {
        step.set(Field::LineState, line, "in".to_owned())?;
    }
    Ok(open)
}

fn chopped(step: &Step, line: i64) -> Result<Came, BookError> {
    let shop = source_files::typed(step.db())?;
    let mut came = Came::default();
    for (frame, copy, is_cancelled) in copies(step.db(), line)? {
        if is_cancelled {
            came.cancelled.push((frame, copy));
            continue;
        }
        // A frame that was struck off the pile in the meantime stays off it.
        let Some(ticket) = shop.frame(&frame) else { continue };
        if ticket.to_cut(copy).is_empty() && ticket.coming(copy).is_empty() {
            step.set(Field::CopyState, step.copy(&frame, copy)?, "bought".to_owned())?;
            came.bought.push((frame, copy));
        } else {
            came.in_part.push((frame, copy));
        }
    }
    Ok(came)
}

/// The frame copies that a line of chops is for, and whether each is cancelled.
fn copies(db: &Connection, line: i64) -> Result<Vec<(String, u32, bool)>, BookError> {
    let mut query = db.prepare(
        "SELECT DISTINCT c.frame, c.copy, EXISTS (SELECT 1 FROM copy p WHERE p.frame = c.frame
            AND p.number = c.copy AND p.state = 'cancelled')
         FROM chop c WHERE c.line = ? AND c.state IS NULL",
    )?;
    let rows = query.query_map([line], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
    Ok(rows.collect::<Result<_, _>>()?)
}
