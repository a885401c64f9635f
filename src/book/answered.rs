//! What a supplier answers: that an order comes, or that some of it comes later.

use jiff::civil::Date;

use super::error::{BookError, wrong};
use super::field::Field;
use super::ledger::Book;
use super::on_order::{self, LineState, PlacedLine};
use super::stamp::Stamp;
use super::step::Step;
use crate::report::either::either;

/// A supplier's confirmation of an order.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Confirmation {
    /// The number of the order.
    pub order: i64,
    /// Whose confirmation it is; not needed where one supplier alone has it.
    pub supplier: Option<String>,
    /// The day on which they say it comes; as it was, if they say none.
    pub on: Option<Date>,
    /// Their own number for it; as it was, if they say none.
    pub reference: Option<String>,
}

impl Book {
    /// Writes down that a supplier confirms what is still to come of an order. A line that
    /// is back-ordered stays so, with its own day. Returns their lines of which something
    /// is to come.
    ///
    /// # Errors
    /// If nothing of it is to come from them, or the day is before the order.
    pub fn confirm(
        &mut self,
        said: &Confirmation,
        stamp: &Stamp,
    ) -> Result<Vec<PlacedLine>, BookError> {
        self.change("confirm", stamp, |step| {
            let of = (said.order, said.supplier.as_deref());
            let is_open = |line: &PlacedLine| line.state.is_open();
            let lines = on_order::of_order(step.db(), of, is_open)?;
            if !lines.iter().any(is_open) {
                return wrong(format!(
                    "nothing of order {} is still to come{} (what has come is billed: longpoint \
                     invoice)",
                    said.order,
                    lines[0].from()
                ));
            }
            for line in &lines {
                if let Some(reference) = &said.reference {
                    step.set(Field::LineReference, line.line, reference.clone())?;
                }
                if line.state.is_open() && line.state != LineState::BackOrdered {
                    step.set(Field::LineAnswer, line.line, "confirmed".to_owned())?;
                    if let Some(day) = said.on {
                        arrives(step, line, Some(day))?;
                    }
                }
            }
            read_again(step, &lines)
        })
    }

    /// Writes down that these lines come later: on a day, or nobody knows when. Returns
    /// them.
    ///
    /// # Errors
    /// If one of them is not open, or the day is before its order.
    pub fn expect(
        &mut self,
        (lines, on): (&[i64], Option<Date>),
        stamp: &Stamp,
    ) -> Result<Vec<PlacedLine>, BookError> {
        self.change("expect", stamp, |step| {
            let lines = lines.iter().map(|line| on_order::one(step.db(), *line));
            let lines: Vec<PlacedLine> = lines.collect::<Result<_, _>>()?;
            for line in &lines {
                step.set(Field::LineAnswer, line.line, "back-ordered".to_owned())?;
                arrives(step, line, on)?;
            }
            read_again(step, &lines)
        })
    }
}

/// The lines of these that are open, as they stand now.
fn read_again(step: &Step, lines: &[PlacedLine]) -> Result<Vec<PlacedLine>, BookError> {
    let mut all = on_order::all(step.db())?;
    all.retain(|line| lines.iter().any(|of| of.line == line.line));
    Ok(all)
}

fn arrives(step: &Step, line: &PlacedLine, on: Option<Date>) -> Result<(), BookError> {
    let day = on.map(|day| day.to_string());
    if day.as_ref().is_some_and(|day| *day < line.date) {
        return wrong(format!(
            "line {} was ordered on {}, and nothing comes before that (write the day as \
             {}, year first)",
            line.line, line.date, step.date
        ));
    }
    if let Some(day) = on.filter(|day| *day < step.date) {
        return wrong(format!(
            "{day} is past, and what comes of line {} is still to come (it is {} today; write the \
             day on which it comes, year first{})",
            line.line,
            step.date,
            either(", or what came: longpoint receive", "")
        ));
    }
    step.set(Field::LineArrives, line.line, day)
}
