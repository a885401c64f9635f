//! Boards and glass that the jobs on the pile want, laid out on what stands there.

use jiff::civil::Date;

use super::site::Site;
use crate::book::BookError;
use crate::sheet_order::{SheetsComing, left_out, of_jobs, once_it_came, stock_and_sold};
use crate::sheets::{SheetPlan, plan_sheets};
use crate::shop::Shop;

/// How they are cut, as far as they are not cut yet; and what is said of those that no
/// sheet is known for. What is `coming` is laid out as if it stood there already.
pub(super) fn boards_of_jobs(
    site: &Site,
    shop: &Shop,
    date: Date,
    coming: &SheetsComing,
) -> Result<(Vec<SheetPlan>, Option<String>), BookError> {
    let odd = |faults: Vec<String>| BookError::Damaged(faults.join("; "));
    let mut wanted = of_jobs(shop, date).map_err(odd)?;
    let stock = once_it_came(shop, stock_and_sold(shop), coming);
    let left_out = left_out(&mut wanted, &stock);
    site.look(|book| book.mark_cut(&mut wanted))?;
    let plans = plan_sheets((&stock, &shop.sheet_rules), &wanted, |_| String::new());
    Ok((plans.map_err(odd)?, left_out))
}
