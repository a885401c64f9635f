//! A ticket put back on the pile from the bench, while the rest of its plan goes on.

use super::cancel::{Cancelled, withdraw};
use super::error::{BookError, wrong};
use super::lays::{self, RailState};
use super::ledger::Book;
use super::source_files;
use super::stamp::Stamp;
use super::step::Step;
use crate::report::either::either;

impl Book {
    /// Puts a ticket's copies back on the pile of which nothing is cut, or one of them:
    /// the next plan has them. What others have on their sticks stays there, moved up, as
    /// where a ticket is cancelled.
    ///
    /// # Errors
    /// If there is no such ticket, none of it is at the bench, or something of it is cut.
    pub fn put_back_ticket(
        &mut self,
        frame: &str,
        copy: Option<u32>,
        stamp: &Stamp,
    ) -> Result<Cancelled, BookError> {
        self.change("put-back", stamp, |step| {
            let shop = source_files::typed(step.db())?;
            let ticket = shop.find_frame(frame)?;
            let (mut left, mut begun) = (Cancelled::default(), Vec::new());
            for number in 1..=ticket.copies {
                let is_meant = copy.is_none_or(|copy| copy == number);
                if !is_meant || !is_at_bench(step, (&ticket.id, number))? {
                    continue;
                }
                if is_begun(step, (&ticket.id, number))? {
                    begun.push(number.to_string());
                } else if withdraw(step, (&ticket.id, number), &mut left)? {
                    left.copies.push(number);
                }
            }
            if !left.copies.is_empty() {
                return Ok(left);
            }
            let which = copy.map_or(String::new(), |copy| format!("copy {copy} of "));
            match begun.is_empty() {
                true => wrong(format!("nothing of {which}frame {frame} is at the bench")),
                false => wrong(format!(
                    "copy {} of frame {frame} is cut in part, and is not put back ({})",
                    begun.join(", "),
                    either(
                        "finish the day with --rest-back, or cancel it",
                        "FINISH THE DAY, or cancel it under Tickets"
                    )
                )),
            }
        })
    }
}

fn is_at_bench(step: &Step, (frame, number): (&str, u32)) -> Result<bool, BookError> {
    let sql = "SELECT 1 FROM copy WHERE frame = ? AND number = ? AND state = 'bench'";
    Ok(step.db().prepare_cached(sql)?.exists((frame, number))?)
}

/// Whether a rail of it is cut and good.
fn is_begun(step: &Step, (frame, number): (&str, u32)) -> Result<bool, BookError> {
    let lays = lays::of_copy(step.db(), step.copy(frame, number)?)?;
    Ok(lays.iter().flat_map(|lay| &lay.rails).any(|rail| rail.state == RailState::Cut))
}
