//! A ticket that is otherwise than it was taken: another size, another day.

use jiff::civil::Date;

use super::error::{BookError, wrong};
use super::ledger::Book;
use super::refresh::{Refreshed, take_over};
use super::source_files::{self, typed};
use super::stamp::Stamp;
use crate::measure::{Length, Mitre};
use crate::shop::write::frame_row;

impl Book {
    /// Writes another size or day into a ticket of the book's own `frames.csv`. What is cut
    /// of it is spare where it has another size, and it goes back to the pile; another day
    /// is wanted, and not promised.
    ///
    /// # Errors
    /// If there is no such ticket, its size follows from its job, a supplier chops it, or
    /// it is as it is said to be.
    pub fn change_ticket(
        &mut self,
        frame: &str,
        (size, due): (Option<(Length, Length)>, Option<Date>),
        stamp: &Stamp,
    ) -> Result<Refreshed, BookError> {
        let path = self.path.clone();
        self.change("ticket", stamp, |step| {
            let shop = typed(step.db())?;
            let ticket = shop.find_frame(frame)?;
            let size = size.filter(|size| *size != (ticket.width, ticket.height));
            let due = due.filter(|due| ticket.due != Some(*due));
            if size.is_none() && due.is_none() {
                return wrong(format!("{frame} is of that size and wanted then already"));
            }
            let of_job = shop.jobs.get(&ticket.id).is_some_and(|job| job.shown.given.is_none());
            if size.is_some() && of_job {
                return wrong(format!(
                    "the size of {frame} follows from its job (change its row in jobs.csv)"
                ));
            }
            let is_square = ticket.mitre == Mitre::SQUARE;
            let size = size.map(|(width, height)| (width, is_square.then_some(height)));
            let mut files = source_files::files(step.db())?;
            let before = files.remove("frames.csv").unwrap_or_default();
            let after = frame_row(&before, ticket, (size, due), &shop.settings);
            let after = String::from_utf8_lossy(&after);
            let (files, read) = source_files::with(step.db(), &[("frames.csv", &after)])?;
            match read {
                Ok(shop) => take_over(step, &path, (&shop, &files)),
                Err(faults) => wrong(faults.to_string()),
            }
        })
    }
}
