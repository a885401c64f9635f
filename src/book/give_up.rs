//! What was ordered and is given up: whole lines, or some of one.

use rusqlite::Connection;

use super::error::{BookError, wrong};
use super::field::Field;
use super::ledger::Book;
use super::on_order::{self, PlacedLine};
use super::source_files;
use super::stamp::Stamp;
use super::step::Step;
use crate::report::either::either;

impl Book {
    /// Gives up what has not come of these lines, or so many of what was ordered: sticks,
    /// whole boxes, chopped frames, those that are wanted last.
    ///
    /// # Errors
    /// If one of them is not open, or has not so many that are still to come.
    pub fn drop_lines(
        &mut self,
        lines: &[(i64, Option<u32>)],
        stamp: &Stamp,
    ) -> Result<(), BookError> {
        self.change("drop", stamp, |step| {
            for (line, count) in lines {
                let open = on_order::one(step.db(), *line)?;
                if let Some(count) = count {
                    some(step, &open, *count)?;
                    if open.to_come() > count * open.each() {
                        continue;
                    }
                }
                step.set(Field::LineState, *line, "dropped".to_owned())?;
            }
            Ok(())
        })
    }
}

impl Book {
    /// Whether so many of a line can be given up, before that is planned.
    ///
    /// # Errors
    /// If the line is not open, or has not so many that are still to come.
    pub fn may_drop(&self, line: i64, count: Option<u32>) -> Result<(), BookError> {
        self.look(|db| {
            let open = on_order::one(db, line)?;
            count.map_or(Ok(()), |count| has_so_many(&open, count))
        })
    }
}

fn has_so_many(line: &PlacedLine, count: u32) -> Result<(), BookError> {
    let left = line.to_come() / line.each();
    if count == 0 || count > left {
        let (one, many) = match line.form.as_str() {
            "box" => ("whole box is", "whole boxes are"),
            "sheet" => ("whole sheet is", "whole sheets are"),
            "chop" => ("chopped frame is", "chopped frames are"),
            _ => ("whole stick is", "whole sticks are"),
        };
        let what = if left == 1 { one } else { many };
        return wrong(format!(
            "{count} of line {0} cannot be given up: of it {left} {what} still to come ({1} gives up \
             all that is)",
            line.line,
            either(&format!("--drop {}", line.line), "no number")
        ));
    }
    Ok(())
}

/// Gives up so many of what was ordered.
fn some(step: &Step, line: &PlacedLine, count: u32) -> Result<(), BookError> {
    has_so_many(line, count)?;
    if line.form == "chop" {
        for chop in wanted_last(step.db(), line.line)?.into_iter().take(count as usize) {
            step.set(Field::ChopState, chop, "given up".to_owned())?;
        }
    }
    step.set(Field::LineGivenUp, line.line, i64::from(line.given_up + count))
}

/// The frames that are chopped for a line, those that nobody waits for at the front, then
/// those that are wanted last.
fn wanted_last(db: &Connection, line: i64) -> Result<Vec<i64>, BookError> {
    let shop = source_files::typed(db)?;
    let mut query = db.prepare(
        "SELECT c.id, c.frame, c.copy, EXISTS (SELECT 1 FROM copy p WHERE p.frame = c.frame
            AND p.number = c.copy AND p.state IS NOT NULL AND p.state <> 'owed')
         FROM chop c WHERE c.line = ? AND c.state IS NULL",
    )?;
    let mut rows = query.query([line])?;
    let mut chops = Vec::new();
    while let Some(row) = rows.next()? {
        let (chop, frame): (i64, String) = (row.get(0)?, row.get(1)?);
        let (copy, is_gone): (u32, bool) = (row.get(2)?, row.get(3)?);
        let due = shop.frame(&frame).map(|frame| (frame.due.is_none(), frame.due));
        chops.push((is_gone || due.is_none(), due, copy, chop));
    }
    chops.sort_unstable();
    Ok(chops.into_iter().rev().map(|(.., chop)| chop).collect())
}
