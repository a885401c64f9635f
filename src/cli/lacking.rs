//! What lacks of boards and glass, for the commands that order.

use std::path::Path;

use super::exit::{WrongInput, jobs_stand};
use super::plan::wrong as not_checked;
use super::sheets::{left_out, pieces, wrong};
use crate::plan::Plan;
use crate::sheet_order::{
    SheetsComing, is_counted, is_ordered, of_jobs, once_it_came, sheet_order, stock_and_sold,
    with_sheets,
};
use crate::sheets::plan_sheets;
use crate::shop::{SheetPiece, Shop};
use crate::verify::Verified;

/// A plan with the boards and glass on its order that the jobs on the pile lack, and those of
/// a list; `mark` says of each piece how many are cut already. Where nothing is counted and
/// `materials.csv` names no supplier it is the plan as it was. And what is to be said of it.
///
/// # Errors
/// If the list is wrong, or a job or a layout does not stand up to its check.
pub(super) fn ordered(
    plan: &Verified<Plan>,
    (shop, list): (&Shop, Option<&Path>),
    coming: &SheetsComing,
    mark: impl FnOnce(&mut Vec<SheetPiece>) -> anyhow::Result<()>,
) -> anyhow::Result<(Verified<Plan>, Vec<String>)> {
    if list.is_some() && !is_ordered(shop) {
        let words = "--pieces: materials.csv names no supplier of a board or a glass (write it \
                     there, then refresh the book)";
        return Err(WrongInput(words.to_owned()).into());
    }
    if !is_counted(shop) {
        return Ok((plan.clone(), Vec::new()));
    }
    let mut wanted = jobs_stand(of_jobs(shop, plan.date))?;
    if let Some(list) = list {
        wanted.extend(pieces(list, shop)?);
    }
    let stock = once_it_came(shop, stock_and_sold(shop), coming);
    let left_out = left_out(&mut wanted, &stock);
    mark(&mut wanted)?;
    let plans = plan_sheets((&stock, &shop.sheet_rules), &wanted, |_| String::new());
    let plans = plans.or_else(|faults| wrong(&faults))?;
    let with = with_sheets(plan, shop, sheet_order(shop, &plans));
    let (plan, mut notes) = with.or_else(|faults| not_checked(&faults))?;
    if !left_out.is_empty() {
        notes.insert(0, left_out.trim_end().replace('\n', " "));
    }
    Ok((plan, notes))
}
