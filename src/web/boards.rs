//! Boards and glass that jobs want, laid out on what stands there.

use jiff::civil::Date;

use super::site::Site;
use crate::book::{Book, BookError};
use crate::sheet_order::{SheetsComing, lacking, laid_out, of_jobs, of_sheets};
use crate::sheets::{LackingSheets, SheetPlan};
use crate::shop::Shop;
use crate::ticket::JobSheet;

/// How those of the jobs on the pile are cut, as far as they are not cut yet; and what is said
/// of those that no sheet is known for. What is `coming` is laid out as if it stood there already.
pub(super) fn boards_of_jobs(
    site: &Site,
    shop: &Shop,
    date: Date,
    coming: &SheetsComing,
) -> Result<(Vec<SheetPlan>, Option<String>), BookError> {
    let mut wanted = of_jobs(shop, date).map_err(odd)?;
    site.look(|book| book.mark_cut(&mut wanted))?;
    laid_out(shop, wanted, coming).map_err(odd)
}

/// The whole sheets that these jobs lack today.
pub(super) fn lacking_of(
    site: &Site,
    shop: &Shop,
    jobs: &[JobSheet],
) -> Result<Vec<LackingSheets>, BookError> {
    let mut wanted = of_sheets(shop, jobs);
    site.look(|book| book.mark_cut(&mut wanted))?;
    lacking(shop, wanted, &site.look(Book::sheets_coming)?).map_err(odd)
}

fn odd(faults: Vec<String>) -> BookError {
    BookError::Damaged(faults.join("; "))
}
